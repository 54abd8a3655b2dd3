//! Laws of the rows: where symbols and numerals stand beside what hangs over or under their notes.

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

/// No symbol lifts its row by more than the digits of half a chord where it has room beside the digits
/// that lift it.
#[test]
fn no_symbol_alone_lifts_its_row_over_digits() {
    let (mut aside, mut over) = (0, 0);
    every_system(|name, _, system| {
        let lines = of(system, MarkRole::Barline).map(|mark| mark.bounds().x1);
        let last = lines.fold(0.0, f64::max);
        let own = |role: MarkRole| notes(system).filter(move |(own, _)| *own == role);
        let digits: Vec<Rect> =
            own(MarkRole::Finger).map(|(_, ink)| ink).filter(|ink| ink.y0 > -2.0).collect();
        let first = own(MarkRole::Head).map(|(_, ink)| ink.x0).fold(f64::INFINITY, f64::min);
        let high: Vec<Rect> =
            notes(system).map(|(_, ink)| ink).filter(|ink| ink.y1 > -2.0).collect();
        let words = words(system, MarkRole::Symbol, rules::SYMBOL_SIZE);
        let need = |word: &Word, [left, right]: [f64; 2]| {
            let left = left.max(first - OFF);
            let under = high.iter().filter(|ink| ink.x0 < right && left < ink.x1);
            let top = under.map(|ink| ink.y1).fold(2.0, f64::max);
            (top + rules::SYMBOL_CLEARANCE + word.baseline - word.ink.y0)
                .max(rules::SYMBOL_BASELINE)
        };
        let usual = |word: &Word| {
            need(word, [word.ink.x0 - rules::SYMBOL_SIDE, word.ink.x1 + rules::SYMBOL_SIDE])
        };
        for (index, word) in words.iter().enumerate() {
            let stack: Vec<&Rect> = digits
                .iter()
                .filter(|digit| (-2.0..1.6).contains(&(word.ink.x0 - digit.center().x)))
                .collect();
            let [one, _, ..] = stack[..] else { continue };
            let is_one_stack =
                stack.iter().all(|own| (own.center().x - one.center().x).abs() < OFF);
            if !is_one_stack {
                continue;
            }
            let beside = one.center().x + BESIDE_DIGIT + rules::SYMBOL_BESIDE;
            if word.ink.x0 > one.x1 {
                aside += 1;
                continue;
            }
            over += 1;
            let end = beside + word.ink.width();
            let next = words.get(index + 1).map(|next| next.ink.x0 - rules::SYMBOL_GAP);
            if end + OFF > next.unwrap_or(last) {
                continue;
            }
            let others = words.iter().enumerate().filter(|(other, _)| *other != index);
            let others = others.map(|(_, word)| usual(word)).fold(rules::SYMBOL_BASELINE, f64::max);
            let there =
                need(word, [beside - rules::SYMBOL_BESIDE - OFF, end + rules::SYMBOL_SIDE + OFF]);
            let lift = usual(word) - others.max(there);
            assert!(
                lift < 2.0 * rules::FINGER_LEADING + OFF,
                "{name}: {:?} lifts {lift}",
                word.ink
            );
        }
    });
    println!("{aside} symbols beside digits, {over} over them");
    assert!(aside > 10 && over > 100, "{aside} and {over}");
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
