//! Laws of the engraving: reach, rows, stems, ties.

use std::collections::BTreeMap;

use kurbo::{Point, Shape as _};
use quintfall::canvas::paper;
use quintfall::engrave::{BRACE_REACH, Engraved, Look, MarkRole, System, engrave, rules};
use quintfall::recipe::{Counts, FingeringMarks, Orientation, Paper, StaffSize};
use quintfall::score::Score;
use quintfall::theory::{ChordStyle, MinorStyle, NumeralStyle, SymbolStyle};
use quintfall::typeset::Trace;

use crate::{FINGERINGS, for_every_piece, for_every_score};

/// The looks and fingers that the laws are tried on: every choice of counts and fingers, then
/// the other styles of symbol.
pub(crate) fn looks() -> Vec<(Look, FingeringMarks)> {
    let mut looks = Vec::new();
    for counts in [Counts::All, Counts::FirstBar, Counts::None] {
        for fingering in FINGERINGS {
            looks.push((Look { counts, ..Look::default() }, fingering));
        }
    }
    for style in [SymbolStyle::Letters, SymbolStyle::Signs] {
        let look = Look { symbols: style.into(), ..Look::default() };
        looks.push((look, FingeringMarks::All));
    }
    for numerals in [NumeralStyle::Plain, NumeralStyle::Off] {
        let symbols = ChordStyle::with(SymbolStyle::Letters, Some(MinorStyle::Mi), None);
        looks.push((Look { symbols, numerals, ..Look::default() }, FingeringMarks::Changes));
    }
    looks
}

/// Every style of symbol with counts and fingers on and off.
pub(crate) fn every_look() -> Vec<(Look, FingeringMarks)> {
    let mut looks = Vec::new();
    for style in [SymbolStyle::Letters, SymbolStyle::Signs, SymbolStyle::Mixed] {
        for counts in [Counts::All, Counts::None] {
            for fingering in [FingeringMarks::All, FingeringMarks::Changes, FingeringMarks::None] {
                let look = Look { symbols: style.into(), counts, ..Look::default() };
                looks.push((look, fingering));
            }
        }
    }
    looks
}

/// Widths of line in staff spaces: A4 and Letter with margins of 15 mm, on staves of 7 mm, less
/// the reach of the brace.
pub(crate) const WIDTHS: [f64; 2] = [102.9 - BRACE_REACH, 106.2 - BRACE_REACH];

/// One system in so many may have a row on more than one level (ours).
const MOST_UNEVEN: usize = 20;

/// Every width that the program prints: both papers, both ways up, every staff size; with the
/// margins of the page templates, 17 and 15 mm.
pub(crate) fn every_width() -> Vec<f64> {
    let inside = [Paper::A4, Paper::Letter].into_iter().flat_map(|paper| {
        [Orientation::Portrait, Orientation::Landscape]
            .map(|orientation| paper::size(paper, orientation).width / paper::MM - 32.0)
    });
    inside.flat_map(|mm| StaffSize::all().map(move |staff| mm / (staff.mm() / 4.0))).collect()
}

/// Whether the laws that take minutes are to be held over their whole domain.
pub(crate) fn whole_domain() -> bool {
    std::env::var_os("QUINTFALL_LAWS").is_some_and(|laws| laws == "whole")
}

/// How many combinations of drill, key, look and width there are for one that is tried.
///
/// The library in every key, look and width would take hours: each drill in each key takes its
/// turn at the looks and widths instead, so that every pair of choices meets many times over.
fn turns() -> usize {
    if whole_domain() { 15 } else { 11 }
}

/// Calls `check` with every drill in every key, and with the written pieces, set on as few
/// systems of a width as hold it, and on one and two more; each score takes its turn at looks
/// and widths.
pub(crate) fn for_every_sheet(
    (look, fingering): (Look, FingeringMarks),
    widths: &[f64],
    mut check: impl FnMut(&str, &Score, &[System]),
) {
    let ChordStyle { minor, major, rings } = look.symbols;
    let style = minor as usize + 3 * (major as usize) + 6 * usize::from(rings);
    let words = 3 * style + look.numerals as usize;
    let choice = words * 9 + look.counts as usize * 3 + fingering as usize;
    let mut scores = 0;
    let mut set = |name: &str, score: &Score| {
        scores += 1;
        for width in widths {
            let place = scores + scores / 15 + 7 * choice + 3 * (width * 10.0) as usize;
            if !place.is_multiple_of(turns()) {
                continue;
            }
            let counts = (1..=score.bars.len()).filter_map(|count| {
                let systems = engrave(score, &look, *width, count)?;
                Some((count, systems))
            });
            let mut fewest = None;
            let mut sheets = 0;
            for (count, systems) in counts.take(3) {
                let name = format!("{name}, {look:?}, {fingering:?}, {count} systems of {width}");
                check(&name, score, &systems);
                fewest.get_or_insert(count);
                sheets += 1;
            }
            let fewest = fewest.unwrap_or_else(|| panic!("{name} fits on no line of {width}"));
            let expected = (score.bars.len() + 1 - fewest).min(3);
            assert_eq!(sheets, expected, "{name} does not fit on lines of {width}");
        }
    };
    for_every_score(fingering, &mut set);
    for_every_piece(fingering, whole_domain(), &mut set);
}

pub(crate) fn of(system: &System, role: MarkRole) -> impl Iterator<Item = &Engraved> {
    system.marks.iter().filter(move |mark| mark.role == role)
}

pub(crate) fn every_system(mut check: impl FnMut(&str, f64, &System)) {
    for look in looks() {
        for width in WIDTHS {
            for_every_sheet(look, &[width], |name, _, systems| {
                for system in systems {
                    let name = format!("{name}, bar {}", system.bars.start + 1);
                    check(&name, width, system);
                }
            });
        }
    }
}

#[test]
fn systems_hold_every_bar_once_and_in_order() {
    for look in looks() {
        for_every_sheet(look, &WIDTHS[..1], |name, score, systems| {
            let mut next = 0;
            for system in systems {
                assert_eq!(system.bars.start, next, "{name}");
                assert!(!system.bars.is_empty(), "{name}");
                next = system.bars.end;
            }
            assert_eq!(next, score.bars.len(), "{name}");
        });
    }
}

#[test]
fn no_mark_leaves_its_system() {
    every_system(|name, width, system| {
        for mark in &system.marks {
            let ink = mark.bounds();
            assert!(ink.is_finite(), "{name}: {mark:?}");
            assert!(ink.x0 >= -BRACE_REACH - 1e-9, "{name}: {mark:?} reaches left to {}", ink.x0);
            // Symbols and numerals too, in the margin of the page as little as a barline.
            assert!(ink.x1 <= width + 1e-9, "{name}: {mark:?} reaches right to {}", ink.x1);
            assert!(ink.y1 <= system.top + 1e-9, "{name}: {mark:?} is above the top");
            assert!(ink.y0 >= system.bottom - 1e-9, "{name}: {mark:?} is below the bottom");
        }
    });
}

/// A symbol or numeral begins at its column; where its system ends, so little left of it that it
/// stays nearest to it, and only as far as its end asks.
#[test]
fn a_word_at_the_end_of_a_system_stays_nearest_to_its_own_column() {
    let mut moved = 0;
    every_system(|name, _, system| {
        let columns: Vec<f64> = [MarkRole::Head, MarkRole::Rest, MarkRole::Count]
            .into_iter()
            .flat_map(|role| of(system, role))
            .map(|mark| mark.bounds().x0)
            .collect();
        let end = of(system, MarkRole::Barline).map(|mark| mark.bounds().x1).fold(0.0, f64::max);
        for (role, em) in
            [(MarkRole::Symbol, rules::SYMBOL_SIZE), (MarkRole::Numeral, rules::NUMERAL_SIZE)]
        {
            // What stands last in its row reaches to the end of the system, or has not moved.
            let right = of(system, role).map(|mark| mark.bounds().x1).fold(0.0, f64::max);
            let last = of(system, role).filter(|mark| match &mark.trace {
                Trace::Text { text, size, .. } => *size == em && !text.starts_with('/'),
                _ => false,
            });
            let Some(left) = last.map(|mark| mark.bounds().x0).reduce(f64::max) else { continue };
            // A numeral may stand right of its chord's digits.
            let most = if role == MarkRole::Numeral { 4.5 } else { 0.9 };
            let stands = columns.iter().any(|column| (-0.9..most).contains(&(left - column)));
            let nearest = columns.iter().filter(|column| **column > left).copied();
            let off = nearest.fold(f64::INFINITY, f64::min) - left;
            let is_held = end - right < 0.3 && off < rules::LEFT_OF_COLUMN + 0.2;
            assert!(stands || is_held, "{name}: {role:?} at {left} of {end}, {off} left");
            moved += usize::from(!stands);
        }
    });
    assert!(moved > 10, "only {moved} had to move");
}

/// Counts stand on one baseline. Symbols and numerals change theirs seldom, at barlines alone, and
/// never where all could stand as far off as the furthest at less cost.
#[test]
fn each_row_keeps_its_baseline() {
    let mut systems: BTreeMap<MarkRole, (usize, usize)> = BTreeMap::new();
    every_system(|name, _, system| {
        let numerals = system.drop + rules::NUMERAL_BASELINE;
        let barlines: Vec<f64> =
            of(system, MarkRole::Barline).map(|mark| mark.bounds().center().x).collect();
        for (role, size, usual, sign) in [
            (MarkRole::Count, rules::COUNT_SIZE, f64::INFINITY, 1.0),
            (MarkRole::Symbol, rules::SYMBOL_SIZE, rules::SYMBOL_BASELINE, 1.0),
            (MarkRole::Numeral, rules::NUMERAL_SIZE, numerals, -1.0),
        ] {
            let row: Vec<Point> = of(system, role)
                .filter_map(|mark| match &mark.trace {
                    Trace::Text { at, size: em, .. } if *em == size => Some(*at),
                    _ => None,
                })
                .collect();
            let baselines: Vec<f64> = row.iter().map(|at| sign * at.y).collect();
            let is_change = |pair: &&[Point]| (pair[0].y - pair[1].y).abs() > 1e-9;
            let own = row.windows(2).filter(is_change).count();
            if role == MarkRole::Count {
                assert_eq!(own, 0, "{name}: counts on {baselines:?}");
                continue;
            }
            assert!(baselines.iter().all(|baseline| *baseline >= usual - 1e-9), "{name}");
            assert!(role != MarkRole::Symbol || !baselines.is_empty(), "{name}: no {role:?}");
            for pair in row.windows(2).filter(is_change) {
                // The last of a system may begin a little left of its column.
                let between = pair[0].x..pair[1].x + rules::LEFT_OF_COLUMN + 0.1;
                let is_at_barline = barlines.iter().any(|barline| between.contains(barline));
                assert!(is_at_barline, "{name}: {role:?} on {baselines:?} within a bar");
            }
            let furthest = baselines.iter().copied().fold(usual, f64::max);
            let lift = (furthest - usual).powi(2) / rules::ROW_LIFT;
            let lower = baselines.iter().filter(|baseline| furthest - **baseline > 1e-9).count();
            assert!(own as f64 <= lift * lower as f64, "{name}: {role:?} on {baselines:?}");
            let (all, uneven) = systems.entry(role).or_default();
            *all += 1;
            *uneven += usize::from(own > 0);
        }
    });
    for (role, (all, uneven)) in &systems {
        println!("{role:?}: {uneven} of {all} systems have more than one level");
        assert!(MOST_UNEVEN * uneven < *all, "{role:?}: {uneven} of {all}");
    }
}

/// Gould p. 14: stems are never shorter than a sixth.
#[test]
fn no_stem_is_shorter_than_two_spaces_and_a_half() {
    let mut shortest = (f64::INFINITY, String::new());
    every_system(|name, _, system| {
        let heads: Vec<Point> = of(system, MarkRole::Head).filter_map(origin).collect();
        for stem in of(system, MarkRole::Stem) {
            let Trace::Line { from, to, .. } = &stem.trace else { panic!("{name}: {stem:?}") };
            // The free part, from the head nearest to the tip.
            let ink = stem.bounds();
            let inner = heads
                .iter()
                .filter(|head| (head.x - ink.x0).abs() < 1.5 && ink.inflate(0.0, 0.5).y0 <= head.y)
                .filter(|head| head.y <= ink.y1 + 0.5 && touches_side(head.x, ink.x0, ink.x1))
                .map(|head| (to.y - head.y).abs())
                .fold(f64::INFINITY, f64::min);
            assert!(inner.is_finite(), "{name}: a stem without a head at {from}");
            if inner < shortest.0 {
                shortest = (inner, name.to_owned());
            }
        }
    });
    println!("shortest stem: {:.2} ({})", shortest.0, shortest.1);
    assert!(shortest.0 >= 2.5, "{shortest:?}");
}

fn origin(mark: &Engraved) -> Option<Point> {
    match &mark.trace {
        Trace::Sign { at, .. } => Some(*at),
        _ => None,
    }
}

/// Whether a stem between two abscissas stands at the left or right edge of a head.
fn touches_side(head: f64, x0: f64, x1: f64) -> bool {
    let width = [quintfall::glyphs::Sign::NoteheadBlack, quintfall::glyphs::Sign::NoteheadHalf]
        .map(|sign| quintfall::glyphs::MusicFace::get().bounds(sign).width());
    (head - x0).abs() < 0.02 || width.iter().any(|width| (head + width - x1).abs() < 0.02)
}

#[test]
fn no_tie_is_shorter_than_the_shortest() {
    let mut shortest = (f64::INFINITY, String::new());
    let mut ties = 0;
    every_system(|name, _, system| {
        for tie in of(system, MarkRole::Tie) {
            let length = tie.trace.filled().bounding_box().width();
            ties += 1;
            if length < shortest.0 {
                shortest = (length, name.to_owned());
            }
        }
    });
    println!("{ties} ties, shortest {:.2} ({})", shortest.0, shortest.1);
    assert!(shortest.0 >= rules::SHORTEST_TIE - 1e-9, "{shortest:?}");
    assert!(ties > 1000, "only {ties} ties were looked at");
}

#[test]
fn systems_are_neither_squeezed_nor_torn_apart() {
    let mut forces: BTreeMap<usize, (f64, f64)> = BTreeMap::new();
    for look in looks() {
        for_every_sheet(look, &WIDTHS, |name, _, systems| {
            for system in systems {
                assert!(system.force >= rules::TIGHTEST, "{name}: {}", system.force);
                let range = forces.entry(systems.len()).or_insert((f64::INFINITY, 0.0));
                *range = (range.0.min(system.force), range.1.max(system.force));
            }
        });
    }
    println!("force by number of systems: {forces:?}");
}

/// Equal notes look equal: within a bar no eighth has much more room than another for the sake of
/// words. Where ink of the staves stands between two of them, that may ask for more, and halves of
/// a bar stand a little apart.
#[test]
fn words_do_not_spread_equal_notes() {
    /// The widest beside the narrowest (ours): air between halves of a bar, and a little.
    const MOST: f64 = 1.3;
    let mut seen = 0;
    for look in [looks()[0], looks().last().copied().unwrap()] {
        for_every_sheet(look, &WIDTHS, |name, _, systems| {
            for system in systems.iter().filter(|it| of(it, MarkRole::Tuplet).next().is_none()) {
                for spaces in spaces_of_eighths(system) {
                    let least = spaces.iter().copied().fold(f64::INFINITY, f64::min);
                    let most = spaces.iter().copied().fold(0.0, f64::max);
                    assert!(most < MOST * least, "{name}, {:?}: {spaces:.2?}", system.bars);
                    seen += 1;
                }
            }
        });
    }
    assert!(seen > 1_000, "only {seen} bars");
}

/// The spaces between neighbouring eighths of each bar that is counted in full and struck, where no ink
/// of the staves stands between them.
fn spaces_of_eighths(system: &System) -> Vec<Vec<f64>> {
    let middle = |mark: &Engraved| mark.bounds().center().x;
    let barlines: Vec<f64> = of(system, MarkRole::Barline).map(middle).collect();
    let is_syllable = |mark: &&Engraved| matches!(&mark.trace, Trace::Text { size, .. } if *size == rules::COUNT_SIZE);
    // What is counted in brackets is held or silent, and no note.
    let is_struck =
        |mark: &Engraved| matches!(&mark.trace, Trace::Text { text, .. } if !text.starts_with('('));
    let mut counts: Vec<(f64, bool)> = of(system, MarkRole::Count)
        .filter(is_syllable)
        .map(|mark| (middle(mark), is_struck(mark)))
        .collect();
    counts.sort_by(|one, other| one.0.total_cmp(&other.0));
    let ink: Vec<f64> = [MarkRole::Accidental, MarkRole::Tie, MarkRole::Dot, MarkRole::Clef]
        .into_iter()
        .flat_map(|role| of(system, role))
        .map(|mark| mark.bounds().x0)
        .collect();
    let mut bars: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
    for pair in counts.windows(2).filter(|pair| pair.iter().all(|(_, is_struck)| *is_struck)) {
        let pair = [pair[0].0, pair[1].0];
        let bar = |x: f64| barlines.iter().filter(|line| **line < x).count();
        let has_ink = ink.iter().any(|x| (pair[0]..pair[1] + 1.0).contains(x));
        if bar(pair[0]) == bar(pair[1]) && !has_ink {
            bars.entry(bar(pair[0])).or_default().push(pair[1] - pair[0]);
        }
    }
    bars.into_values().filter(|spaces| spaces.len() > 3).collect()
}
