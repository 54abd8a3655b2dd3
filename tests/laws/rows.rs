//! Laws of the rows: where numerals stand beside what hangs under their notes.

use kurbo::Rect;
use quintfall::engrave::{MarkRole, System, rules};
use quintfall::typeset::Trace;

use crate::engraving::{every_system, of};

/// So much less than the white between two words of a row stands between the parts of one.
const WITHIN_A_WORD: f64 = 0.8;

/// Half of the width that the digits of a chord take, and a little.
const BESIDE_DIGIT: f64 = 0.8;

/// What the reading of a page may be off by.
const OFF: f64 = 0.3;

/// A symbol or numeral of a row: the box round it, and its baseline.
struct Word {
    ink: Rect,
    baseline: f64,
}

/// The words of a row, from left to right.
fn words(system: &System, role: MarkRole, em: f64) -> Vec<Word> {
    let mut marks: Vec<(Rect, Option<f64>)> = of(system, role)
        .map(|mark| match &mark.trace {
            Trace::Text { at, size, .. } if *size == em => (mark.bounds(), Some(at.y)),
            _ => (mark.bounds(), None),
        })
        .collect();
    marks.sort_by(|a, b| a.0.x0.total_cmp(&b.0.x0));
    let mut words: Vec<(Rect, Option<f64>)> = Vec::new();
    for (ink, baseline) in marks {
        match words.last_mut().filter(|(word, _)| ink.x0 - word.x1 < WITHIN_A_WORD) {
            Some((word, own)) => (*word, *own) = (word.union(ink), own.or(baseline)),
            None => words.push((ink, baseline)),
        }
    }
    let word = |(ink, baseline): (Rect, Option<f64>)| Some(Word { ink, baseline: baseline? });
    words.into_iter().filter_map(word).collect()
}

/// The ink of the staves and of what belongs to their notes.
fn notes(system: &System) -> impl Iterator<Item = (MarkRole, Rect)> {
    let is_row = |role| {
        use MarkRole::{BarNumber, Count, Numeral, Symbol};
        matches!(role, Symbol | Numeral | Count | BarNumber)
    };
    let is_form = |role| {
        use MarkRole::{Ending, PassageTitle, SectionLetter, Watch};
        matches!(role, Ending | PassageTitle | SectionLetter | Watch)
    };
    let is_line = |role| matches!(role, MarkRole::Barline | MarkRole::Brace);
    let is_other = move |role| is_row(role) || is_form(role) || is_line(role);
    let marks = system.marks.iter().filter(move |mark| !is_other(mark.role));
    marks.map(|mark| (mark.role, mark.bounds()))
}

/// A numeral stands right of a stem, without a chord's digits there, only where it would have to go
/// further down below the stem than the table allows.
#[test]
fn a_numeral_stands_aside_only_for_what_hangs_there() {
    let (mut beside, mut under) = (0, 0);
    every_system(|name, _, system| {
        let floor = -system.drop - 2.0;
        let low: Vec<(MarkRole, Rect)> =
            notes(system).filter(|(_, ink)| ink.y0 < floor - 0.1).collect();
        let mut before = f64::NEG_INFINITY;
        for Word { ink, baseline } in words(system, MarkRole::Numeral, rules::NUMERAL_SIZE) {
            let after = std::mem::replace(&mut before, ink.x1);
            let stems = low.iter().filter(|(role, _)| *role == MarkRole::Stem);
            let digits = |stem: &Rect| {
                let near = |digit: &Rect| (digit.center().x - stem.center().x).abs() < BESIDE_DIGIT;
                low.iter().filter(|(role, own)| *role == MarkRole::Finger && near(own)).count()
            };
            let mut stems = stems.map(|(_, stem)| stem).filter(|stem| digits(stem) < 2);
            under += stems.clone().filter(|stem| (-0.6..0.2).contains(&(ink.x0 - stem.x0))).count();
            let Some(stem) = stems.find(|stem| (0.4..1.4).contains(&(ink.x0 - stem.x1))) else {
                continue;
            };
            beside += 1;
            if after + rules::NUMERAL_GAP > stem.x0 - OFF {
                continue;
            }
            let side = rules::NUMERAL_SIDE + OFF;
            let over = [stem.x0 - side, stem.x0 + ink.width() + side];
            let over = low.iter().filter(|(_, own)| own.x0 < over[1] && over[0] < own.x1);
            let lowest = over.map(|(_, own)| own.y0).fold(floor, f64::min);
            let would_stand = lowest - rules::NUMERAL_CLEARANCE - (ink.y1 - baseline);
            let down = baseline - would_stand;
            assert!(down > rules::NUMERAL_UNDER_STEM - OFF, "{name}: {ink:?}, {down} lower");
        }
    });
    println!("{beside} numerals beside a stem, {under} under one");
    assert!(under > 100, "{beside} and {under}");
}

/// Where a numeral has not quite the room between its own chord's digits and the next ones, their columns
/// are widened for it.
#[test]
fn columns_are_widened_for_a_numeral_between_digits() {
    let (mut between, mut below) = (0, 0);
    every_system(|name, _, system| {
        let floor = -system.drop - 2.0;
        let mut digits: Vec<Rect> =
            of(system, MarkRole::Finger).map(|mark| mark.bounds()).collect();
        digits.retain(|ink| ink.y1 < floor);
        for Word { ink, .. } in words(system, MarkRole::Numeral, rules::NUMERAL_SIZE) {
            let own: Vec<&Rect> =
                digits.iter().filter(|digit| (0.2..1.2).contains(&(ink.x0 - digit.x1))).collect();
            let beyond = digits.iter().map(|digit| digit.x0).filter(|x| *x > ink.x0);
            let next = beyond.fold(f64::INFINITY, f64::min);
            let left = own.iter().map(|digit| digit.x1).fold(f64::NEG_INFINITY, f64::max);
            if own.len() < 2 || next.is_infinite() {
                continue;
            }
            let short = ink.width() + 2.0 * rules::NUMERAL_NEAREST - (next - left);
            let is_little = (OFF..rules::NUMERAL_WIDENS - OFF).contains(&short);
            assert!(!is_little, "{name}: {ink:?} lacks {short}");
            if short < OFF { between += 1 } else { below += 1 }
        }
    });
    println!("{between} numerals have room between digits, {below} lack it");
    assert!(between > 100, "{between} and {below}");
}
