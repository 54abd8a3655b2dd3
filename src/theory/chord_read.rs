//! Reads chord symbols in the trade's spellings.
//!
//! There is no one standard, so whatever players write is read (the spellings of the MusicXML 4.0
//! documentation of `kind`; Brandt & Roemer, *Standardized Chord Symbol Notation*, 1976, at second
//! hand; the rest common practice, no source):
//!
//! - `m` is minor and `M` major; a dash after the root is minor, so `C-7` is C minor seven;
//! - a sign after the letter belongs to the root, so `Bb7` is on B flat;
//! - a ring alone is a triad, as are `maj` and `dim` alone; a triangle alone is a major seventh;
//! - `sus` alone is `sus4`; a plus or a dash after a number raises or lowers what follows;
//! - `11` and `13` bring the tensions under them as far as players do, see
//!   [`ChordKind::top`].

use std::ops::Range;
use std::str::FromStr;

use super::chord_cursor::{Cursor, NoteNames};
use super::chord_error::{ChordError, ChordProblem};
use super::chord_kind::{ChordKind, KindError};
use super::chord_parts::{Fifth, Seventh, Tension, Tensions, Third};
use super::chord_write::{Suffix, is_customary};
use super::symbol::plain_text;
use super::{Chord, Interval, NoteName, SymbolStyle};

/// Reads a chord symbol, its notes named in English; see the spellings above.
///
/// # Errors
///
/// What is no chord, and what is read in two ways.
pub fn read_chord(text: &str) -> Result<Chord, ChordError> {
    read_chord_named(text, NoteNames::English)
}

/// Reads a chord symbol whose notes are named in a language.
///
/// # Errors
///
/// As of [`read_chord`].
pub fn read_chord_named(text: &str, names: NoteNames) -> Result<Chord, ChordError> {
    let mut cursor = Cursor::new(text);
    cursor.skip_spaces();
    let from = cursor.at();
    let root = cursor.note(names)?;
    let name = &text[from..cursor.at()];
    let is_five = cursor
        .rest()
        .strip_prefix('5')
        .is_some_and(|after| !after.starts_with(|c: char| c.is_ascii_digit()));
    let sign = ["b", "♭", "#", "♯"].into_iter().find(|sign| name.ends_with(sign));
    if let (true, false, Some(sign)) = (is_five, is_customary(root), sign) {
        let other = format!("{}({sign}5)", &name[..name.len() - sign.len()]);
        let both = ChordProblem::TwoReadings(format!("{name}(no3)"), other);
        return Err(cursor.about(from..cursor.at() + 1, both));
    }
    let mut reader = Reader { cursor, root: name, draft: Draft::default(), names: Some(names) };
    let kind = reader.kind()?;
    let chord = Chord::new(root, kind);
    Ok(reader.draft.bass.map_or(chord, |bass| chord.over(bass)))
}

impl FromStr for Chord {
    type Err = ChordError;

    fn from_str(text: &str) -> Result<Self, ChordError> {
        read_chord(text)
    }
}

/// Reads what follows the root in a chord symbol: `m7b5`, `7(b9,b13)`, `6/9`; nothing is major.
impl FromStr for ChordKind {
    type Err = ChordError;

    fn from_str(text: &str) -> Result<Self, ChordError> {
        let cursor = Cursor::new(text);
        Reader { cursor, root: "", draft: Draft::default(), names: None }.kind()
    }
}

/// What was said so far.
#[derive(Default)]
struct Draft {
    third: Option<Third>,
    fifth: Option<Fifth>,
    number: Option<i32>,
    is_major_seventh: bool,
    ring: Option<Ring>,
    tensions: Tensions,
    /// Where a tension stands that is true beside a seventh and added to a triad.
    loose: Option<Range<usize>>,
    is_altered: bool,
    bass: Option<NoteName>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Ring {
    Whole,
    Slashed,
}

struct Reader<'a> {
    cursor: Cursor<'a>,
    /// The root as it was written.
    root: &'a str,
    draft: Draft,
    /// How a bass is named; `None` where there can be none.
    names: Option<NoteNames>,
}

type Read<T = ()> = Result<T, ChordError>;

const PIECE: &str = "a quality, a number or an alteration";

impl Reader<'_> {
    fn kind(&mut self) -> Read<ChordKind> {
        let start = self.cursor.at();
        let mut bracket = None;
        let mut is_fresh = true;
        loop {
            self.cursor.skip_spaces();
            let from = self.cursor.at();
            if self.cursor.is_at_end() {
                break;
            } else if self.cursor.take("(") {
                if bracket.replace(from).is_some() {
                    return Err(self
                        .cursor
                        .fail(from, ChordProblem::Expected("a closing bracket")));
                }
                self.wants_more()?;
                continue;
            } else if self.cursor.take(")") {
                if bracket.take().is_none() {
                    return Err(self.cursor.fail(from, ChordProblem::Expected(PIECE)));
                }
            } else if !is_fresh && self.cursor.take(",") {
                self.wants_more()?;
                continue;
            } else if self.cursor.take("/") {
                if self.slash(from, is_fresh, bracket.is_some())? {
                    break;
                }
            } else if !(is_fresh && bracket.is_none() && self.quality()?) {
                self.piece(from, bracket.is_some())?;
            }
            is_fresh = false;
        }
        if bracket.is_some() {
            return Err(self.cursor.unexpected("a closing bracket"));
        }
        self.finish(start)
    }

    /// After an opening bracket and a comma something must stand.
    fn wants_more(&mut self) -> Read {
        self.cursor.skip_spaces();
        let is_empty = self.cursor.is_at_end() || self.cursor.rest().starts_with([',', ')']);
        if is_empty { Err(self.cursor.unexpected(PIECE)) } else { Ok(()) }
    }

    /// A quality right after the root that means something else further on.
    fn quality(&mut self) -> Read<bool> {
        let from = self.cursor.at();
        if self.cursor.take("+") {
            self.draft.fifth = Some(Fifth::Augmented);
            self.after_plus(from)?;
        } else if self.cursor.take_dash() {
            self.draft.third = Some(Third::Minor);
            if self.cursor.rest().starts_with('5') {
                self.cursor.take_number();
                return Err(self.two(from, "(b5)", "m"));
            }
        } else {
            return Ok(false);
        }
        Ok(true)
    }

    /// What follows a plus after the root: of a ninth, is it the fifth or the ninth that is raised?
    fn after_plus(&mut self, from: usize) -> Read {
        let at = self.cursor.at();
        match self.cursor.take_number() {
            None | Some(5) => Ok(()),
            Some(number @ (6 | 7)) => self.number(number, at, false),
            Some(9) => Err(self.two(from, "9#5", "7#9")),
            Some(11) => Err(self.two(from, "11#5", "7#11")),
            Some(13) => Err(self.two(from, "13#5", "(add13)")),
            Some(_) => Err(self.cursor.fail(at, ChordProblem::Expected("7, or nothing,"))),
        }
    }

    /// Any other piece of a symbol.
    fn piece(&mut self, from: usize, in_bracket: bool) -> Read {
        let cursor = &mut self.cursor;
        if let Some(number) = cursor.take_number() {
            self.number(number, from, in_bracket)
        } else if let Some(alter) = cursor.take_accidental() {
            self.alteration(alter, from, false)
        } else if cursor.take_any(&["suspended", "sus"]) {
            self.suspension(from)
        } else if cursor.take_any(&["add", "Add"]) {
            self.added(from)
        } else if cursor.take_any(&["omit", "no"]) {
            self.omission(from)
        } else if cursor.take("alt") {
            self.altered(from)
        } else if cursor.take_any(&["augmented", "aug"]) {
            self.fifth(Fifth::Augmented, from)?;
            self.cursor.take("5");
            Ok(())
        } else if cursor.take_any(&["dominant", "dom"]) {
            let number = cursor.take_number().unwrap_or(7);
            self.number(number, from, false)
        } else if cursor.take_any(&["diminished", "dim", "°", "º", "o"]) {
            self.ring(Ring::Whole, from)
        } else if cursor.take_any(&["ø", "Ø", "∅"]) {
            self.ring(Ring::Slashed, from)
        } else if cursor.take_triangle() {
            self.major(from, true)
        } else if cursor.take_major() {
            self.major(from, false)
        } else if cursor.take_minor() {
            self.third(Third::Minor, from)
        } else if cursor.take("+") {
            self.plus(from)
        } else if cursor.take_dash() {
            self.alteration(-1, from, false)
        } else {
            Err(cursor.unexpected(PIECE))
        }
    }

    /// After a slash: a bass, which ends the symbol, or more figures, as in 6/9.
    fn slash(&mut self, from: usize, is_fresh: bool, in_bracket: bool) -> Read<bool> {
        self.cursor.skip_spaces();
        let rest = self.cursor.rest();
        let is_figure = rest.starts_with(|c: char| c.is_ascii_digit() || "#♯♭+-".contains(c))
            || (rest.starts_with('b') && rest[1..].starts_with(|c: char| c.is_ascii_digit()))
            || ["M7", "maj", "Maj", "ma", "△"].iter().any(|word| rest.starts_with(word));
        if is_figure && !is_fresh {
            return Ok(false);
        }
        match self.names {
            Some(names) if !in_bracket => {
                self.draft.bass = Some(self.cursor.note(names)?);
                self.cursor.skip_spaces();
                if self.cursor.is_at_end() {
                    return Ok(true);
                }
                Err(self.cursor.unexpected("the end after the bass"))
            }
            _ => Err(self.cursor.fail(from, ChordProblem::Expected(PIECE))),
        }
    }

    fn third(&mut self, third: Third, from: usize) -> Read {
        if self.draft.number.is_some() || self.draft.ring.is_some() || self.draft.fifth.is_some() {
            return Err(self.cursor.fail(from, ChordProblem::Expected("an alteration")));
        }
        let other = self.draft.third.replace(third);
        self.once(other.is_none(), from)
    }

    fn fifth(&mut self, fifth: Fifth, from: usize) -> Read {
        let ringed = self.draft.ring.map(|_| Fifth::Diminished);
        match self.draft.fifth.replace(fifth).or(ringed) {
            None => Ok(()),
            Some(other) => Err(self.instead(from, other.interval(), fifth.interval())),
        }
    }

    /// An error about a part that has one in its place already.
    fn instead(&self, from: usize, one: Option<Interval>, other: Option<Interval>) -> ChordError {
        let problem = match one.zip(other) {
            Some((one, other)) if one != other => ChordProblem::Kind(KindError::Clash(one, other)),
            _ => ChordProblem::SaidTwice,
        };
        self.cursor.fail(from, problem)
    }

    fn ring(&mut self, ring: Ring, from: usize) -> Read {
        let Draft { third: None, fifth: None, number: None, ring: None, .. } = self.draft else {
            return Err(self.cursor.fail(from, ChordProblem::Expected("an alteration")));
        };
        self.draft.third = Some(Third::Minor);
        self.draft.ring = Some(ring);
        Ok(())
    }

    /// After letters or a sign of major: a seventh, a sixth, or nothing of a major triad.
    fn major(&mut self, from: usize, is_triangle: bool) -> Read {
        let is_first = !self.draft.is_major_seventh;
        self.cursor.skip_spaces();
        let at = self.cursor.at();
        let is_after_seven = self.draft.number.is_some_and(|number| number >= 7);
        if is_after_seven && !self.cursor.is_at_digit() {
            self.draft.is_major_seventh = true;
            return self.once(is_first, from);
        }
        match self.cursor.take_number() {
            Some(number @ (7 | 9 | 11 | 13)) => {
                self.draft.is_major_seventh = true;
                self.number(number, at, false)?;
            }
            Some(number @ (6 | 69)) if !is_triangle && self.draft.third.is_none() => {
                self.number(number, at, false)?;
            }
            Some(_) => {
                return Err(self.cursor.fail(at, ChordProblem::Expected("6, 7, 9, 11 or 13")));
            }
            None if is_triangle || self.draft.third == Some(Third::Minor) => {
                self.draft.is_major_seventh = true;
                self.number(7, at, false)?;
            }
            None => return self.third(Third::Major, from),
        }
        self.once(is_first, from)
    }

    /// A plus after more than the root raises what follows; alone it raises the fifth.
    fn plus(&mut self, from: usize) -> Read {
        if self.cursor.is_at_digit() {
            self.alteration(1, from, false)
        } else {
            self.fifth(Fifth::Augmented, from)
        }
    }

    /// A number without a sign: the figure of the chord, or a tension after that.
    fn number(&mut self, number: i32, from: usize, in_bracket: bool) -> Read {
        if let Some(figure) = self.draft.number {
            return match (number, Tension::ALL.iter().find(|it| it.interval().number() == number)) {
                (9 | 11 | 13, _) => self.tension(natural(number), from, true),
                (6, _) if figure >= 7 => self.tension(Tension::Thirteenth, from, true),
                _ => Err(self.cursor.fail(from, ChordProblem::Expected("9, 11 or 13"))),
            };
        }
        let is_bare = self.draft.third.is_none() && self.draft.fifth.is_none();
        match number {
            9 | 11 | 13 if in_bracket => self.tension(natural(number), from, false),
            2 if is_bare => Err(self.two(from, "sus2", "(add9)")),
            4 if is_bare => Err(self.two(from, "sus4", "(add11)")),
            5 if is_bare => {
                self.draft.third = Some(Third::Absent);
                Ok(())
            }
            69 => {
                self.draft.number = Some(6);
                self.tension(Tension::Ninth, from, true)
            }
            6 | 7 | 9 | 11 | 13 => {
                self.draft.number = Some(number);
                Ok(())
            }
            _ => Err(self.cursor.fail(from, ChordProblem::Expected("6, 7, 9, 11 or 13"))),
        }
    }

    /// A sign and its number.
    fn alteration(&mut self, alter: i32, from: usize, is_added: bool) -> Read {
        let number = self.cursor.take_number();
        match (alter, number) {
            (-1, Some(5)) if !is_added => self.fifth(Fifth::Diminished, from),
            (1, Some(5)) if !is_added => self.fifth(Fifth::Augmented, from),
            (-1, Some(9)) => self.tension(Tension::FlatNinth, from, is_added),
            (1, Some(9)) => self.tension(Tension::SharpNinth, from, is_added),
            (1, Some(4 | 11)) => self.tension(Tension::SharpEleventh, from, is_added),
            (-1, Some(6)) => self.tension(Tension::FlatThirteenth, from, true),
            (-1, Some(13)) => self.tension(Tension::FlatThirteenth, from, is_added),
            (1, Some(7)) if self.draft.third == Some(Third::Minor) && !is_added => {
                self.draft.is_major_seventh = true;
                self.number(7, from, false)
            }
            _ => Err(self.cursor.fail(from, ChordProblem::Expected("b5, #5, b9, #9, #11 or b13"))),
        }
    }

    fn tension(&mut self, tension: Tension, from: usize, is_added: bool) -> Read {
        let is_first = !self.draft.tensions.has(tension);
        self.draft.tensions = self.draft.tensions.with(tension);
        if !is_added {
            self.draft.loose.get_or_insert(from..self.cursor.at());
        }
        self.once(is_first, from)
    }

    fn suspension(&mut self, from: usize) -> Read {
        self.cursor.skip_spaces();
        let third = if self.cursor.take("24") || self.cursor.take("2/4") {
            self.draft.tensions = self.draft.tensions.with(Tension::Ninth);
            Third::Sus4
        } else if self.cursor.take("2") {
            Third::Sus2
        } else {
            self.cursor.take("4");
            Third::Sus4
        };
        match self.draft.third.replace(third) {
            None | Some(Third::Major) => Ok(()),
            Some(other) => Err(self.instead(from, other.interval(), third.interval())),
        }
    }

    /// Tones beside a triad; what stands behind a comma is added too.
    fn added(&mut self, from: usize) -> Read {
        self.added_tone(from)?;
        while self.cursor.take(",") {
            self.added_tone(self.cursor.at())?;
        }
        Ok(())
    }

    fn added_tone(&mut self, from: usize) -> Read {
        self.cursor.skip_spaces();
        if let Some(alter) = self.cursor.take_accidental() {
            return self.alteration(alter, from, true);
        }
        let tension = match self.cursor.take_number() {
            Some(2 | 9) => Tension::Ninth,
            Some(4 | 11) => Tension::Eleventh,
            Some(6 | 13) => Tension::Thirteenth,
            _ => {
                return Err(self.cursor.fail(from, ChordProblem::Expected("add9, add11 or add13")));
            }
        };
        self.tension(tension, from, true)
    }

    fn omission(&mut self, from: usize) -> Read {
        self.cursor.skip_spaces();
        match self.cursor.take_number() {
            Some(3) => {
                self.cursor.take("rd");
                let is_first = self.draft.third.replace(Third::Absent).is_none();
                self.once(is_first, from)
            }
            Some(5) => {
                self.cursor.take("th");
                self.fifth(Fifth::Absent, from)
            }
            _ => Err(self.cursor.fail(from, ChordProblem::Expected("no3 or no5"))),
        }
    }

    fn altered(&mut self, from: usize) -> Read {
        let Draft { third: None, fifth: None, ring: None, number: None | Some(7), .. } = self.draft
        else {
            return Err(self.cursor.fail(from, ChordProblem::Expected("an alteration")));
        };
        let is_first = !self.draft.is_altered && self.draft.tensions.is_empty();
        self.draft.is_altered = true;
        self.draft.number = Some(7);
        self.once(is_first && !self.draft.is_major_seventh, from)
    }

    fn once(&self, is_first: bool, from: usize) -> Read {
        if is_first { Ok(()) } else { Err(self.cursor.fail(from, ChordProblem::SaidTwice)) }
    }

    /// An error that names both readings, each a suffix.
    fn two(&self, from: usize, one: &str, other: &str) -> ChordError {
        let [one, other] = [one, other].map(|suffix| format!("{}{suffix}", self.root));
        self.cursor.fail(from, ChordProblem::TwoReadings(one, other))
    }

    /// The kind of all that was said since a place.
    fn finish(&self, start: usize) -> Read<ChordKind> {
        let draft = &self.draft;
        let whole = start..self.cursor.at();
        if draft.is_altered {
            let is_more =
                !draft.tensions.is_empty() || draft.fifth.is_some() || draft.third.is_some();
            let what = ChordProblem::Expected("alt with nothing beside it");
            return if is_more {
                Err(self.cursor.about(whole, what))
            } else {
                Ok(ChordKind::ALTERED)
            };
        }
        let third = draft.third.unwrap_or(Third::Major);
        let ringed = if draft.ring.is_some() { Fifth::Diminished } else { Fifth::Perfect };
        let fifth = draft.fifth.unwrap_or(ringed);
        let ringed = if draft.ring.is_some() { Seventh::Diminished } else { Seventh::Minor };
        let mut tensions = draft.tensions;
        let made = |seventh, tensions| {
            ChordKind::new(third, fifth, seventh, tensions)
                .map_err(|error| self.cursor.about(whole.clone(), ChordProblem::Kind(error)))
        };
        let seventh = match (draft.number, draft.ring) {
            (None, Some(Ring::Slashed)) => Seventh::Minor,
            (None, _) => {
                let is_sixth = tensions.has(Tension::Thirteenth);
                let triad = if is_sixth { Seventh::Sixth } else { Seventh::Absent };
                let added = made(triad, tensions.without(Tension::Thirteenth))?;
                return match &draft.loose {
                    Some(loose) => Err(self.either(loose, made(ringed, tensions)?, added)),
                    None => Ok(added),
                };
            }
            (Some(6), _) => Seventh::Sixth,
            (Some(_), _) if draft.is_major_seventh => Seventh::Major,
            (Some(_), Some(Ring::Whole)) => Seventh::Diminished,
            (Some(_), _) => Seventh::Minor,
        };
        let number = draft.number.unwrap_or(0);
        if number >= 9 {
            tensions = tensions.stack(third, number).iter().fold(tensions, Tensions::with);
            // The number itself is meant; a suspended fourth is the eleventh of its chord.
            if (third, number) != (Third::Sus4, 11) {
                tensions = tensions.with(natural(number));
            }
        }
        made(seventh, tensions)
    }

    /// An error about a tension of a chord that has no seventh: is it one of a seventh chord, or is
    /// it added to the triad?
    fn either(&self, loose: &Range<usize>, seventh: ChordKind, triad: ChordKind) -> ChordError {
        let [one, other] = [seventh, triad].map(|kind| {
            let suffix = Suffix::new(kind, SymbolStyle::Letters.into()).without_five();
            format!("{}{}", self.root, plain_text(&suffix.parts()))
        });
        self.cursor.about(loose.clone(), ChordProblem::TwoReadings(one, other))
    }
}

/// The tension of a number without a sign.
fn natural(number: i32) -> Tension {
    match number {
        9 => Tension::Ninth,
        11 => Tension::Eleventh,
        _ => Tension::Thirteenth,
    }
}
