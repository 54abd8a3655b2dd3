//! The signs of the music face, with the names and code points of SMuFL 1.4.

macro_rules! signs {
    ($($sign:ident = $code:literal $name:literal),* $(,)?) => {
        /// A sign of the music face.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[expect(missing_docs, reason = "each variant is the glyph name in camel case")]
        pub enum Sign { $($sign),* }

        impl Sign {
            /// Every sign of the face, by code point.
            pub const ALL: &'static [Self] = &[$(Self::$sign),*];

            /// The Unicode private-use code point that SMuFL 1.4 gives this sign; past U+F3FF
            /// it is one that SMuFL leaves to each face.
            pub const fn code(self) -> char {
                match self { $(Self::$sign => $code),* }
            }

            /// The SMuFL glyph name, or ours for a sign of our own.
            pub const fn smufl_name(self) -> &'static str {
                match self { $(Self::$sign => $name),* }
            }
        }
    };
}

// Source: W3C Community Group Final Report "Standard Music Font Layout 1.4", glyphnames.json.
signs! {
    Brace = '\u{E000}' "brace",
    RepeatDots = '\u{E043}' "repeatDots",
    GClef = '\u{E050}' "gClef",
    FClef = '\u{E062}' "fClef",
    GClefChange = '\u{E07A}' "gClefChange",
    FClefChange = '\u{E07C}' "fClefChange",
    TimeSig0 = '\u{E080}' "timeSig0",
    TimeSig1 = '\u{E081}' "timeSig1",
    TimeSig2 = '\u{E082}' "timeSig2",
    TimeSig3 = '\u{E083}' "timeSig3",
    TimeSig4 = '\u{E084}' "timeSig4",
    TimeSig5 = '\u{E085}' "timeSig5",
    TimeSig6 = '\u{E086}' "timeSig6",
    TimeSig7 = '\u{E087}' "timeSig7",
    TimeSig8 = '\u{E088}' "timeSig8",
    TimeSig9 = '\u{E089}' "timeSig9",
    NoteheadWhole = '\u{E0A2}' "noteheadWhole",
    NoteheadHalf = '\u{E0A3}' "noteheadHalf",
    NoteheadBlack = '\u{E0A4}' "noteheadBlack",
    AugmentationDot = '\u{E1E7}' "augmentationDot",
    TextBlackNoteLongStem = '\u{E1F1}' "textBlackNoteLongStem",
    TextBlackNoteFrac8thLongStem = '\u{E1F3}' "textBlackNoteFrac8thLongStem",
    TextCont8thBeamLongStem = '\u{E1F8}' "textCont8thBeamLongStem",
    TextTupletBracketStartLongStem = '\u{E201}' "textTupletBracketStartLongStem",
    TextTuplet3LongStem = '\u{E202}' "textTuplet3LongStem",
    TextTupletBracketEndLongStem = '\u{E203}' "textTupletBracketEndLongStem",
    Flag8thUp = '\u{E240}' "flag8thUp",
    Flag8thDown = '\u{E241}' "flag8thDown",
    Flag16thUp = '\u{E242}' "flag16thUp",
    Flag16thDown = '\u{E243}' "flag16thDown",
    AccidentalFlat = '\u{E260}' "accidentalFlat",
    AccidentalNatural = '\u{E261}' "accidentalNatural",
    AccidentalSharp = '\u{E262}' "accidentalSharp",
    AccidentalDoubleSharp = '\u{E263}' "accidentalDoubleSharp",
    AccidentalDoubleFlat = '\u{E264}' "accidentalDoubleFlat",
    ArticAccentAbove = '\u{E4A0}' "articAccentAbove",
    ArticAccentBelow = '\u{E4A1}' "articAccentBelow",
    ArticStaccatoAbove = '\u{E4A2}' "articStaccatoAbove",
    ArticStaccatoBelow = '\u{E4A3}' "articStaccatoBelow",
    ArticTenutoAbove = '\u{E4A4}' "articTenutoAbove",
    ArticTenutoBelow = '\u{E4A5}' "articTenutoBelow",
    FermataAbove = '\u{E4C0}' "fermataAbove",
    FermataBelow = '\u{E4C1}' "fermataBelow",
    RestWhole = '\u{E4E3}' "restWhole",
    RestHalf = '\u{E4E4}' "restHalf",
    RestQuarter = '\u{E4E5}' "restQuarter",
    Rest8th = '\u{E4E6}' "rest8th",
    Rest16th = '\u{E4E7}' "rest16th",
    CsymDiminished = '\u{E870}' "csymDiminished",
    CsymHalfDiminished = '\u{E871}' "csymHalfDiminished",
    CsymAugmented = '\u{E872}' "csymAugmented",
    CsymMajorSeventh = '\u{E873}' "csymMajorSeventh",
    CsymMinor = '\u{E874}' "csymMinor",
    CsymParensLeftTall = '\u{E875}' "csymParensLeftTall",
    CsymParensRightTall = '\u{E876}' "csymParensRightTall",
    Tuplet3 = '\u{E883}' "tuplet3",
    MetNoteQuarterUp = '\u{ECA5}' "metNoteQuarterUp",
    MetNote8thUp = '\u{ECA7}' "metNote8thUp",
    MetAugmentationDot = '\u{ECB7}' "metAugmentationDot",
    Fingering0 = '\u{ED10}' "fingering0",
    Fingering1 = '\u{ED11}' "fingering1",
    Fingering2 = '\u{ED12}' "fingering2",
    Fingering3 = '\u{ED13}' "fingering3",
    Fingering4 = '\u{ED14}' "fingering4",
    Fingering5 = '\u{ED15}' "fingering5",
    CsymAccidentalFlat = '\u{ED60}' "csymAccidentalFlat",
    CsymAccidentalNatural = '\u{ED61}' "csymAccidentalNatural",
    CsymAccidentalSharp = '\u{ED62}' "csymAccidentalSharp",
    CsymAccidentalDoubleSharp = '\u{ED63}' "csymAccidentalDoubleSharp",
    CsymAccidentalDoubleFlat = '\u{ED64}' "csymAccidentalDoubleFlat",
    HeadingFlat = '\u{F400}' "headingFlat",
    HeadingNatural = '\u{F401}' "headingNatural",
    HeadingSharp = '\u{F402}' "headingSharp",
}

impl Sign {
    /// The time-signature figure for a decimal digit; `None` past 9.
    pub fn time_digit(digit: u8) -> Option<Self> {
        const DIGITS: [Sign; 10] = [
            Sign::TimeSig0,
            Sign::TimeSig1,
            Sign::TimeSig2,
            Sign::TimeSig3,
            Sign::TimeSig4,
            Sign::TimeSig5,
            Sign::TimeSig6,
            Sign::TimeSig7,
            Sign::TimeSig8,
            Sign::TimeSig9,
        ];
        DIGITS.get(usize::from(digit)).copied()
    }

    /// The fingering figure for a finger (0 to 5); `None` past 5.
    pub fn finger(digit: u8) -> Option<Self> {
        const DIGITS: [Sign; 6] = [
            Sign::Fingering0,
            Sign::Fingering1,
            Sign::Fingering2,
            Sign::Fingering3,
            Sign::Fingering4,
            Sign::Fingering5,
        ];
        DIGITS.get(usize::from(digit)).copied()
    }
}
