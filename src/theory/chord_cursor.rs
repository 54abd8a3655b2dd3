//! A place in a chord symbol, and the words of the trade that may stand there.

use std::ops::Range;

use super::chord_error::{ChordError, ChordProblem};
use super::{Letter, NoteName};

/// The most characters of a piece that a message quotes.
const LONGEST_PIECE: usize = 24;

/// How roots and basses are named.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum NoteNames {
    /// B is a semitone below C.
    #[default]
    English,
    /// H is a semitone below C, and B, or Bb, a whole tone.
    German,
}

/// Reads a symbol from left to right.
pub(super) struct Cursor<'a> {
    text: &'a str,
    at: usize,
}

const MAJOR: [&str; 9] = ["major", "Major", "MAJOR", "maj", "Maj", "MAJ", "ma", "Ma", "MA"];
const MINOR: [&str; 9] = ["minor", "Minor", "MINOR", "min", "Min", "MIN", "mi", "Mi", "MI"];
const DASHES: [&str; 3] = ["-", "\u{2212}", "\u{2013}"];
const FLATS: [&str; 2] = ["b", "♭"];
const SHARPS: [&str; 2] = ["#", "♯"];

impl<'a> Cursor<'a> {
    pub(super) fn new(text: &'a str) -> Self {
        Self { text, at: 0 }
    }

    /// The byte that it stands at.
    pub(super) fn at(&self) -> usize {
        self.at
    }

    /// What is yet to be read.
    pub(super) fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    pub(super) fn is_at_end(&self) -> bool {
        self.at == self.text.len()
    }

    pub(super) fn skip_spaces(&mut self) {
        let rest = self.rest();
        self.at += rest.len() - rest.trim_start().len();
    }

    /// Steps over a word, if it stands here.
    pub(super) fn take(&mut self, word: &str) -> bool {
        let is_here = self.rest().starts_with(word);
        self.at += if is_here { word.len() } else { 0 };
        is_here
    }

    /// Steps over the first of some words that stands here.
    pub(super) fn take_any(&mut self, words: &[&str]) -> bool {
        words.iter().any(|word| self.take(word))
    }

    /// The character that stands here.
    pub(super) fn next(&self) -> Option<char> {
        self.rest().chars().next()
    }

    /// Steps over a character.
    pub(super) fn step(&mut self) {
        self.at += self.next().map_or(0, char::len_utf8);
    }

    /// Steps over letters for major. The `m` of `madd9` is no `ma`, nor that of `Madd9`.
    pub(super) fn take_major(&mut self) -> bool {
        let other = |rest: &str| {
            let after = rest.strip_prefix(['m', 'M']).and_then(|it| it.strip_prefix(['a', 'A']));
            after.is_some_and(|after| after.starts_with(['d', 'D', 'u', 'l']))
        };
        let is_word = self.is_second(b'a') && !other(self.rest()) && self.take_any(&MAJOR);
        is_word || (!self.is_minor() && self.take("M"))
    }

    fn is_minor(&self) -> bool {
        self.is_second(b'i') && MINOR.iter().any(|word| self.rest().starts_with(word))
    }

    /// Whether the second letter is one that all words of a list have there: most symbols have none of
    /// them, and need not be held against each.
    fn is_second(&self, letter: u8) -> bool {
        self.rest().as_bytes().get(1).is_some_and(|own| own.eq_ignore_ascii_case(&letter))
    }

    /// Steps over letters for minor. The `mi` of `mino5` is no `min`.
    pub(super) fn take_minor(&mut self) -> bool {
        if self.rest().starts_with("mino") && !self.rest().starts_with("minor") {
            return self.take("mi");
        }
        self.is_second(b'i') && self.take_any(&MINOR) || self.take("m")
    }

    pub(super) fn take_dash(&mut self) -> bool {
        self.take_any(&DASHES)
    }

    /// Steps over a flat or a sharp, in semitones.
    pub(super) fn take_accidental(&mut self) -> Option<i32> {
        if self.take_any(&FLATS) {
            Some(-1)
        } else if self.take_any(&SHARPS) {
            Some(1)
        } else {
            None
        }
    }

    /// Whether a digit stands here.
    pub(super) fn is_at_digit(&self) -> bool {
        self.rest().starts_with(|c: char| c.is_ascii_digit())
    }

    /// Steps over a number; 0 stands for one that is too long for any chord.
    pub(super) fn take_number(&mut self) -> Option<i32> {
        let digits = self.rest().bytes().take_while(u8::is_ascii_digit).count();
        let number = self.rest()[..digits].parse().unwrap_or(0);
        self.at += digits;
        (digits > 0).then_some(number)
    }

    /// Reads a root or a bass: a capital letter with at most two flats or sharps.
    pub(super) fn note(&mut self, names: NoteNames) -> Result<NoteName, ChordError> {
        let letter = match self.rest().bytes().next() {
            Some(b'H') if names == NoteNames::German => Letter::B,
            Some(b'H') => return Err(self.step_and_fail(ChordProblem::GermanH)),
            Some(byte @ b'A'..=b'G') => Letter::from_steps(i32::from(byte) - i32::from(b'C')),
            _ => {
                let what = "a capital letter from A to G";
                return Err(self.step_and_fail(ChordProblem::Expected(what)));
            }
        };
        let is_german_b = names == NoteNames::German && self.rest().starts_with('B');
        self.at += 1;
        let alter = self.signs();
        // B and Bb are one note in German charts.
        let alter = if is_german_b && alter == 0 { -1 } else { alter };
        Ok(NoteName::new(letter, alter))
    }

    /// Up to two like signs, in semitones.
    fn signs(&mut self) -> i32 {
        if self.take("𝄫") {
            return -2;
        }
        if self.take("𝄪") {
            return 2;
        }
        let Some(sign) = self.take_accidental() else { return 0 };
        let same = if sign < 0 { &FLATS } else { &SHARPS };
        if self.take_any(same) { 2 * sign } else { sign }
    }

    /// An error about the character that stands here.
    fn step_and_fail(&mut self, problem: ChordProblem) -> ChordError {
        let from = self.at;
        self.step();
        self.fail(from, problem)
    }

    /// An error about the next run of letters or the one sign that stands here.
    pub(super) fn unexpected(&self, what: &'static str) -> ChordError {
        let rest = self.rest();
        let letters = rest.chars().take_while(|c| c.is_alphanumeric()).map(char::len_utf8).sum();
        let first = self.next().map_or(0, char::len_utf8);
        self.about(self.at..self.at + first.max(letters), ChordProblem::Expected(what))
    }

    /// An error about what was read since a place.
    pub(super) fn fail(&self, from: usize, problem: ChordProblem) -> ChordError {
        self.about(from..self.at, problem)
    }

    pub(super) fn about(&self, at: Range<usize>, problem: ChordProblem) -> ChordError {
        let piece = self.text[at.clone()].chars().take(LONGEST_PIECE).collect();
        ChordError { at, piece, problem }
    }
}
