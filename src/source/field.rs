//! The names of all fields that a teacher can write, by the kind of file.

use std::fmt;

macro_rules! names {
    ($(#[$doc:meta])* $Name:ident { $($Field:ident = $word:literal),* $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        #[expect(missing_docs, reason = "the fields name themselves")]
        pub enum $Name { $($Field),* }

        impl $Name {
            /// Every field.
            pub const ALL: &'static [Self] = &[$(Self::$Field),*];

            /// Its name as files write it.
            pub const fn name(self) -> &'static str {
                match self { $(Self::$Field => $word),* }
            }

            /// The field of a name.
            pub fn named(name: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|field| field.name() == name)
            }
        }

        impl From<$Name> for Field {
            fn from(field: $Name) -> Self {
                Self::$Name(field)
            }
        }
    };
}

names! {
    /// A field of a recipe; `recipe::fields` says what each may hold.
    RecipeField {
        Quintfall = "quintfall",
        Form = "form",
        Title = "title",
        Student = "student",
        Studio = "studio",
        Note = "note",
        Date = "date",
        Slip = "slip",
        Watch = "watch",
        Tracks = "tracks",
        TracksAt = "tracks-at",
        Drill = "drill",
        Template = "template",
        Course = "course",
        Keys = "keys",
        Order = "order",
        Seed = "seed",
        Level = "level",
        Tempo = "tempo",
        Goal = "goal",
        Feel = "feel",
        Paper = "paper",
        Orientation = "orientation",
        Staff = "staff",
        Bars = "bars",
        KeysAPage = "keys-a-page",
        Binding = "binding",
        Booklet = "booklet",
        Symbols = "symbols",
        Minor = "minor",
        Major = "major",
        Numerals = "numerals",
        Counts = "counts",
        Fingering = "fingering",
        Hand = "hand",
        Spans = "spans",
        Hands = "hands",
        LeaveOut = "leave-out",
        Answers = "answers",
        Boxes = "boxes",
        LogEvery = "log-every",
        Term = "term",
        Logo = "logo",
        LogoData = "logo_data",
    }
}

names! {
    /// What a recipe in a file may say of the file, which is no part of the recipe.
    FileField {
        Extends = "extends",
    }
}

names! {
    /// A field of a drill template, or of one of its passages.
    DrillField {
        Name = "name",
        Title = "title",
        About = "about",
        Listen = "listen",
        Metre = "metre",
        Mode = "mode",
        Feel = "feel",
        Phrase = "phrase",
        Passage = "passage",
        Degrees = "degrees",
        Changes = "changes",
        Progression = "progression",
        Beats = "beats",
        Note = "note",
        Figure = "figure",
        Voicing = "voicing",
        Comping = "comping",
        Left = "left",
        LeftNote = "left-note",
        Key = "key",
        Signature = "signature",
        Scale = "scale",
        Seed = "seed",
        Section = "section",
        Repeat = "repeat",
        Times = "times",
        Ending = "ending",
        DoubleBar = "double-bar",
        ToCoda = "to-coda",
        WayOn = "way-on",
        RightOctave = "right-octave",
        LeftOctave = "left-octave",
        VoiceLeading = "voice-leading",
        Entry = "entry",
        Fermata = "fermata",
        Hands = "hands",
    }
}

names! {
    /// A field of a chart, or of one of its sections.
    ChartField {
        Title = "title",
        Composer = "composer",
        Style = "style",
        Metre = "metre",
        Tempo = "tempo",
        Feel = "feel",
        Key = "key",
        PickUp = "pick-up",
        Form = "form",
        Section = "section",
        Name = "name",
        Bars = "bars",
    }
}

names! {
    /// A field of a page template, or one of its tables.
    PageField {
        Margins = "margins",
        Staff = "staff",
        Type = "type",
        Distance = "distance",
        Top = "top",
        Bottom = "bottom",
        Left = "left",
        Right = "right",
        Size = "size",
        Least = "least",
        Title = "title",
        LeastTitle = "least-title",
        Heading = "heading",
        Key = "key",
        Drill = "drill",
        Tempo = "tempo",
        Body = "body",
        Note = "note",
        Header = "header",
        LeastHeader = "least-header",
        Folio = "folio",
        Ring = "ring",
        CoverRing = "cover-ring",
        LabelColumn = "label-column",
        AfterHeader = "after-header",
        BeforeFoot = "before-foot",
        LogoHeight = "logo-height",
    }
}

/// A field of any file that a teacher can write.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Field {
    /// Of a recipe.
    RecipeField(RecipeField),
    /// Of a file with a recipe in it.
    FileField(FileField),
    /// Of a drill template.
    DrillField(DrillField),
    /// Of a page template.
    PageField(PageField),
    /// Of a chart.
    ChartField(ChartField),
}

impl Field {
    /// Its name as files write it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::RecipeField(field) => field.name(),
            Self::FileField(field) => field.name(),
            Self::DrillField(field) => field.name(),
            Self::PageField(field) => field.name(),
            Self::ChartField(field) => field.name(),
        }
    }
}

impl fmt::Display for Field {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl fmt::Display for RecipeField {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
