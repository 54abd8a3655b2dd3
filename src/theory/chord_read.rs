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

use std::str::FromStr;

use super::chord_cursor::{Cursor, NoteNames};
use super::chord_draft::{DiminishedSign, Drafted, Said, SymbolDraft};
use super::chord_error::{ChordError, ChordProblem};
use super::chord_kind::ChordKind;
use super::chord_parts::{Fifth, Tension, Third};
use super::chord_write::{Suffix, is_customary};
use super::symbol::plain_text;
use super::{Chord, NoteName, SymbolStyle};

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
    let mut reader = ChordReader::new(cursor, name, Some(names));
    let kind = reader.kind()?;
    let chord = Chord::new(root, kind);
    Ok(reader.bass.map_or(chord, |bass| chord.over(bass)))
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
        ChordReader::new(Cursor::new(text), "", None).kind()
    }
}

struct ChordReader<'a> {
    cursor: Cursor<'a>,
    /// The root as it was written.
    root: &'a str,
    draft: SymbolDraft,
    /// How a bass is named; `None` where there can be none.
    names: Option<NoteNames>,
    bass: Option<NoteName>,
}

type Read<T = ()> = Result<T, ChordError>;

const PIECE: &str = "a quality, a number or an alteration";
const ALTERATION: &str = "b5, #5, b9, #9, #11 or b13";
const FIGURE: &str = "6, 7, 9, 11 or 13";

impl<'a> ChordReader<'a> {
    fn new(cursor: Cursor<'a>, root: &'a str, names: Option<NoteNames>) -> Self {
        Self { cursor, root, draft: SymbolDraft::default(), names, bass: None }
    }

    fn kind(&mut self) -> Read<ChordKind> {
        let start = self.cursor.at();
        let mut is_in_bracket = false;
        let mut is_fresh = true;
        loop {
            self.cursor.skip_spaces();
            let from = self.cursor.at();
            if self.cursor.is_at_end() {
                break;
            } else if self.cursor.take("(") {
                if is_in_bracket {
                    return self.expected("a closing bracket", from);
                }
                is_in_bracket = true;
                self.wants_more()?;
                continue;
            } else if is_in_bracket && self.cursor.take(")") {
                is_in_bracket = false;
            } else if !is_fresh && self.cursor.take(",") {
                self.wants_more()?;
            } else if self.cursor.take("/") {
                if self.slash(from, is_fresh, is_in_bracket)? {
                    break;
                }
            } else if is_in_bracket || !is_fresh || !self.quality()? {
                self.piece(from, is_in_bracket)?;
            }
            is_fresh = false;
        }
        if is_in_bracket {
            return Err(self.cursor.unexpected("a closing bracket"));
        }
        self.finish(start)
    }

    /// After an opening bracket, a comma and a slash something must stand.
    fn wants_more(&mut self) -> Read {
        self.cursor.skip_spaces();
        let is_empty = self.cursor.is_at_end() || self.cursor.rest().starts_with([',', ')', '/']);
        if is_empty { Err(self.cursor.unexpected(PIECE)) } else { Ok(()) }
    }

    /// A sign right after the root that means something else further on.
    fn quality(&mut self) -> Read<bool> {
        let from = self.cursor.at();
        if self.cursor.take("+") {
            self.said(from, |draft| draft.set_fifth(Fifth::Augmented))?;
            self.after_plus(from)?;
        } else if self.cursor.take_dash() {
            self.said(from, |draft| draft.set_third(Third::Minor))?;
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
            Some(_) => self.expected("7, or nothing,", at),
        }
    }

    /// Any other piece of a symbol.
    fn piece(&mut self, from: usize, is_in_bracket: bool) -> Read {
        let cursor = &mut self.cursor;
        match cursor.next() {
            Some('0'..='9') => {
                let number = cursor.take_number().unwrap_or(0);
                self.number(number, from, is_in_bracket)
            }
            Some('b' | '♭' | '#' | '♯') => {
                let alter = cursor.take_accidental().unwrap_or(0);
                self.alteration(alter, from, false)
            }
            Some('m' | 'M') if cursor.take_major() => self.major(from, false),
            Some('m' | 'M') if cursor.take_minor() => {
                self.said(from, |draft| draft.set_third(Third::Minor))
            }
            // U+25B3 is the sign of MusicXML 4.0; its Greek and mathematical likenesses are typed.
            Some('△' | 'Δ' | '∆' | 'j') => {
                cursor.step();
                self.major(from, true)
            }
            Some('ø' | 'Ø' | '∅') => {
                cursor.step();
                self.said(from, |draft| draft.set_ring(DiminishedSign::Slashed))
            }
            Some('+') => {
                cursor.step();
                self.plus(from)
            }
            _ if cursor.take_dash() => self.alteration(-1, from, false),
            _ => self.word(from),
        }
    }

    /// A word of the trade, or the ring that an o may be.
    fn word(&mut self, from: usize) -> Read {
        let cursor = &mut self.cursor;
        if cursor.take_any(&["half-diminished", "half diminished", "half-dim", "half dim"]) {
            self.said(from, |draft| draft.set_ring(DiminishedSign::Slashed))
        } else if cursor.take_any(&["suspended", "sus"]) {
            self.suspension(from)
        } else if cursor.take_any(&["add", "Add"]) {
            self.added(from)
        } else if cursor.take_any(&["omit", "no"]) {
            self.omission(from)
        } else if cursor.take("alt") {
            self.said(from, SymbolDraft::set_altered)
        } else if cursor.take_any(&["augmented", "aug"]) {
            cursor.take("5");
            self.said(from, |draft| draft.set_fifth(Fifth::Augmented))
        } else if cursor.take_any(&["dominant", "dom"]) {
            cursor.skip_spaces();
            let number = cursor.take_number().unwrap_or(7);
            self.number(number, from, false)
        } else if cursor.take_any(&["diminished", "dim", "°", "º", "o"]) {
            self.said(from, |draft| draft.set_ring(DiminishedSign::Whole))
        } else {
            Err(cursor.unexpected(PIECE))
        }
    }

    /// After a slash: a bass, which ends the symbol, or more figures, as in 6/9.
    fn slash(&mut self, from: usize, is_fresh: bool, is_in_bracket: bool) -> Read<bool> {
        self.cursor.skip_spaces();
        let rest = self.cursor.rest();
        let is_figure = rest.starts_with(|c: char| c.is_ascii_digit() || "#♯♭+-".contains(c))
            || (rest.starts_with('b') && rest[1..].starts_with(|c: char| c.is_ascii_digit()))
            || ["M7", "maj", "Maj", "ma", "△"].iter().any(|word| rest.starts_with(word));
        if is_figure && !is_fresh {
            return Ok(false);
        }
        let Some(names) = self.names.filter(|_| !is_in_bracket) else {
            return self.expected(PIECE, from);
        };
        self.bass = Some(self.cursor.note(names)?);
        self.cursor.skip_spaces();
        if self.cursor.is_at_end() {
            return Ok(true);
        }
        Err(self.cursor.unexpected("the end after the bass"))
    }

    /// After letters or a sign of major: a seventh, a sixth, or nothing of a major triad.
    fn major(&mut self, from: usize, is_triangle: bool) -> Read {
        self.cursor.skip_spaces();
        let at = self.cursor.at();
        let is_after_seven = self.draft.figure().is_some_and(|figure| figure >= 7);
        if is_after_seven && !self.cursor.is_at_digit() {
            return self.said(from, SymbolDraft::set_major_seventh);
        }
        let number = self.cursor.take_number();
        // The seventh of a chord whose figure is higher, as in m9(maj7).
        if number == Some(7) && self.draft.figure().is_some_and(|figure| figure > 7) {
            return self.said(from, SymbolDraft::set_major_seventh);
        }
        match number {
            Some(6 | 69) if !is_triangle && self.draft.is_bare() => {}
            Some(7 | 9 | 11 | 13) => self.said(from, SymbolDraft::set_major_seventh)?,
            Some(_) => return self.expected(FIGURE, at),
            None if is_triangle || self.draft.has_minor_third() => {
                self.said(from, SymbolDraft::set_major_seventh)?;
            }
            None => return self.said(from, |draft| draft.set_third(Third::Major)),
        }
        self.number(number.unwrap_or(7), at, false)
    }

    /// A plus after more than the root raises what follows; alone it raises the fifth.
    fn plus(&mut self, from: usize) -> Read {
        if self.cursor.is_at_digit() {
            self.alteration(1, from, false)
        } else {
            self.said(from, |draft| draft.set_fifth(Fifth::Augmented))
        }
    }

    /// A number without a sign: the figure of the chord, or a tension after that.
    fn number(&mut self, number: i32, from: usize, is_in_bracket: bool) -> Read {
        if let Some(figure) = self.draft.figure() {
            return match number {
                9 | 11 | 13 => self.said(from, |draft| draft.add_natural(number, None)),
                6 if figure >= 7 => self.said(from, |draft| draft.add_natural(13, None)),
                _ => self.expected("9, 11 or 13", from),
            };
        }
        let at = from..self.cursor.at();
        match number {
            9 | 11 | 13 if is_in_bracket => {
                self.said(from, |draft| draft.add_natural(number, Some(at)))
            }
            2 if self.draft.is_bare() => Err(self.two(from, "sus2", "(add9)")),
            4 if self.draft.is_bare() => Err(self.two(from, "sus4", "(add11)")),
            5 if self.draft.is_bare() => self.said(from, SymbolDraft::leave_out_third),
            69 => {
                self.said(from, |draft| draft.set_figure(6))?;
                self.said(from, |draft| draft.add(Tension::Ninth))
            }
            6 | 7 | 9 | 11 | 13 => self.said(from, |draft| draft.set_figure(number)),
            _ => self.expected(FIGURE, from),
        }
    }

    /// A sign and its number.
    fn alteration(&mut self, alter: i32, from: usize, is_added: bool) -> Read {
        let number = self.cursor.take_number();
        let tension = match (alter, number) {
            (-1, Some(5)) if !is_added => {
                return self.said(from, |draft| draft.set_fifth(Fifth::Diminished));
            }
            (1, Some(5)) if !is_added => {
                return self.said(from, |draft| draft.set_fifth(Fifth::Augmented));
            }
            (1, Some(7)) if self.draft.has_minor_third() && !is_added => {
                self.said(from, SymbolDraft::set_major_seventh)?;
                return self.number(7, from, false);
            }
            (-1, Some(9)) => Tension::FlatNinth,
            (1, Some(9)) => Tension::SharpNinth,
            (1, Some(4 | 11)) => Tension::SharpEleventh,
            (-1, Some(6 | 13)) => Tension::FlatThirteenth,
            _ => return self.expected(ALTERATION, from),
        };
        let at = from..self.cursor.at();
        // A flat six is one beside a triad too.
        if is_added || number == Some(6) {
            self.said(from, |draft| draft.add(tension))
        } else {
            self.said(from, |draft| draft.add_loose(tension, at))
        }
    }

    fn suspension(&mut self, from: usize) -> Read {
        self.cursor.skip_spaces();
        let third = if self.cursor.take_any(&["24", "2/4"]) {
            self.said(from, |draft| draft.add(Tension::Ninth))?;
            Third::Sus4
        } else if self.cursor.take("2") {
            Third::Sus2
        } else {
            self.cursor.take("4");
            Third::Sus4
        };
        self.said(from, |draft| draft.suspend(third))
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
        let number = match self.cursor.take_number() {
            Some(2 | 9) => 9,
            Some(4 | 11) => 11,
            Some(6 | 13) => 13,
            _ => return self.expected("add9, add11 or add13", from),
        };
        self.said(from, |draft| draft.add_natural(number, None))
    }

    fn omission(&mut self, from: usize) -> Read {
        self.cursor.skip_spaces();
        match self.cursor.take_number() {
            Some(3) => {
                self.cursor.take("rd");
                self.said(from, SymbolDraft::leave_out_third)
            }
            Some(5) => {
                self.cursor.take("th");
                self.said(from, |draft| draft.set_fifth(Fifth::Absent))
            }
            _ => self.expected("no3 or no5", from),
        }
    }

    /// Takes a piece that began at a place into the draft.
    fn said(&mut self, from: usize, piece: impl FnOnce(&mut SymbolDraft) -> Said) -> Read {
        piece(&mut self.draft).map_err(|problem| self.cursor.fail(from, problem))
    }

    /// An error about what was read since a place, where something else was expected.
    fn expected<T>(&self, what: &'static str, from: usize) -> Read<T> {
        Err(self.cursor.fail(from, ChordProblem::Expected(what)))
    }

    /// An error that names both readings, each by what follows the root.
    fn two(&self, from: usize, one: &str, other: &str) -> ChordError {
        let [one, other] = [one, other].map(|suffix| format!("{}{suffix}", self.root));
        self.cursor.fail(from, ChordProblem::TwoReadings(one, other))
    }

    /// The kind of all that was said since a place.
    fn finish(&self, start: usize) -> Read<ChordKind> {
        match self.draft.drafted() {
            Ok(Drafted::Kind(kind)) => Ok(kind),
            Ok(Drafted::Either { at, seventh, triad }) => {
                let [one, other] = [seventh, triad].map(|kind| {
                    let suffix = Suffix::new(kind, SymbolStyle::Letters.into()).without_five();
                    format!("{}{}", self.root, plain_text(&suffix.parts()))
                });
                Err(self.cursor.about(at, ChordProblem::TwoReadings(one, other)))
            }
            Err(problem) => Err(self.cursor.fail(start, problem)),
        }
    }
}
