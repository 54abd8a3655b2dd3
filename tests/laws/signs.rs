//! Laws of the signs of form and of reading, over the pieces that have them.

use kurbo::Rect;
use quintfall::engrave::{Engraved, Look, MarkRole, System, Watched, engrave, rules};
use quintfall::recipe::{Counts, FingeringMarks};
use quintfall::score::{OctaveShift, Score};
use quintfall::typeset::Trace;

use crate::{for_every_piece, for_every_score};

/// Calls `check` with the pieces with signs, on as few systems as hold them and on two more.
fn for_every_sheet(mut check: impl FnMut(&str, &Score, &[System])) {
    for_every_piece(FingeringMarks::None, true, |name, score| {
        if score.signs.is_plain() {
            return;
        }
        let look = Look { counts: Counts::None, ..Look::default() };
        let sheets = (1..=score.bars.len()).filter_map(|count| engrave(score, &look, 100.0, count));
        for systems in sheets.take(3) {
            check(&format!("{name} on {} systems", systems.len()), score, &systems);
        }
    });
}

/// Heads keep clear of the barlines, dots and signatures on either side: nothing takes its room from
/// the notes.
#[test]
fn notes_keep_their_distance_from_barlines_and_signatures() {
    let mut measured = 0;
    for_every_sheet(|name, _, systems| {
        for system in systems {
            let inks = |roles: &[MarkRole]| -> Vec<Rect> {
                let marks = system.marks.iter().filter(|mark| roles.contains(&mark.role));
                marks.map(|mark| mark.bounds()).collect()
            };
            let signs = inks(&[MarkRole::Barline, MarkRole::RepeatDot, MarkRole::KeySign]);
            let heads = inks(&[MarkRole::Head]);
            for head in &heads {
                // Heads on the wrong side of a stem stand left of their column.
                let in_column = heads.iter().map(|other| other.x0);
                let column = in_column.filter(|x| (0.0..1.3).contains(&(x - head.x0)));
                let column = column.fold(head.x0, f64::max);
                for sign in &signs {
                    let is_clear = column - sign.x1 > 1.3 || sign.x0 - head.x1 > 0.9;
                    assert!(is_clear, "{name}: {head:?} at {sign:?}");
                    measured += 1;
                }
            }
        }
    });
    assert!(measured > 10_000, "{measured}");
}

/// Systems but short last ones are as wide as the line, whatever ends them; a signature that warns
/// stands right of the last barline, and is the one that the next system begins with.
#[test]
fn systems_end_flush_and_warn_of_the_next_key() {
    let (mut warned, mut plain) = (0, 0);
    for_every_sheet(|name, score, systems| {
        for (index, system) in systems.iter().enumerate() {
            let of = |role: MarkRole| {
                let marks = system.marks.iter().filter(move |mark| mark.role == role);
                marks.map(|mark| mark.bounds())
            };
            let right = |role: MarkRole| of(role).map(|ink| ink.x1).fold(0.0, f64::max);
            let (lines, barlines) = (right(MarkRole::StaffLine), right(MarkRole::Barline));
            if index + 1 < systems.len() {
                assert!((lines - 100.0).abs() < 1e-6, "{name}: a system of {lines}");
            }
            let warns = of(MarkRole::KeySign).filter(|ink| ink.x0 > barlines).count();
            let next = score.new_key_at(system.bars.end).filter(|_| index + 1 < systems.len());
            let signs = next.map_or(0, |key| match key.signature().len() {
                0 => score.key_at(system.bars.end - 1).signature().len(),
                count => count,
            });
            assert_eq!(warns, 2 * signs, "{name}, bar {}", system.bars.end);
            if warns == 0 {
                assert!((lines - barlines).abs() < 1e-6, "{name}: {lines}, {barlines}");
                plain += 1;
            } else {
                warned += 1;
            }
        }
    });
    assert!(warned > 20 && plain > 100, "{warned} with a warning, {plain} without");
}

/// An octave line that is broken by the end of a system says its octave again in brackets, and only
/// its last part has a hook; nothing else is said in brackets.
#[test]
fn octave_lines_go_on_over_the_ends_of_systems() {
    let mut broken = 0;
    for_every_sheet(|name, score, systems| {
        let said: Vec<Vec<String>> = systems
            .iter()
            .map(|system| {
                let own = system.marks.iter().filter(|mark| mark.role == MarkRole::OctaveLine);
                let text = own.filter_map(|mark| match &mark.trace {
                    Trace::Text { text, .. } => Some(text.to_string()),
                    _ => None,
                });
                text.collect()
            })
            .collect();
        let begun = said.iter().flatten().filter(|words| !words.starts_with('(')).count();
        let shifts = score.signs.octaves.iter().map(Vec::len).sum::<usize>();
        assert_eq!(begun, shifts, "{name}: {said:?}");
        for (system, said) in systems.iter().zip(&said).skip(1) {
            let start = score.bars[system.bars.start].start;
            let over = |shift: &&OctaveShift| shift.span.start < start && start < shift.span.end;
            let going_on = score.signs.octaves.iter().flatten().filter(over).count();
            let bracketed = said.iter().filter(|words| words.starts_with('(')).count();
            assert_eq!(bracketed, going_on, "{name}, bar {}: {said:?}", system.bars.start + 1);
            broken += bracketed;
        }
    });
    assert!(broken > 10, "{broken}");
}

/// The brackets of a system, first ending and second, stand on one level, over every symbol.
#[test]
fn endings_stand_on_one_level_over_the_symbols() {
    let mut levels = 0;
    for_every_sheet(|name, _, systems| {
        for system in systems {
            let of = |role: MarkRole| system.marks.iter().filter(move |mark| mark.role == role);
            let brackets =
                of(MarkRole::Ending).filter(|mark| !matches!(mark.trace, Trace::Text { .. }));
            let inks: Vec<Rect> = brackets.map(|mark| mark.bounds()).collect();
            for pair in inks.windows(2) {
                assert!((pair[0].y1 - pair[1].y1).abs() < 1e-9, "{name}: {pair:?}");
                levels += 1;
            }
            for symbol in of(MarkRole::Symbol).map(|mark| mark.bounds()) {
                let under = inks.iter().filter(|ink| ink.x0 < symbol.x1 && symbol.x0 < ink.x1);
                for ink in under {
                    let line = ink.y1 - rules::ENDING_JOG;
                    assert!(symbol.y1 < line, "{name}: {symbol:?} under {ink:?}");
                }
            }
        }
    });
    assert!(levels > 20, "{levels}");
}

/// Sets of bars to watch: none side by side, all, runs of every length.
const WATCHED: [&[usize]; 5] =
    [&[0], &[0, 2, 4, 6], &[1, 2, 3], &[0, 1, 3, 4, 5, 6, 7, 8], &[2, 3, 4, 5, 6, 7, 8, 9, 10, 11]];

/// A bracket stands over every bar to watch and over no other, broken where systems end, with a jog
/// at either end of each run, above everything that stands over those bars.
#[test]
fn brackets_stand_over_the_bars_to_watch_and_above_all_else() {
    let mut runs = 0;
    let mut check = |name: &str, score: &Score| {
        for bars in WATCHED {
            let watch = Watched::of(bars.iter().copied().filter(|bar| *bar < score.bars.len()));
            let look = Look { watch, ..Look::default() };
            let sheets =
                (1..=score.bars.len()).filter_map(|count| engrave(score, &look, 100.0, count));
            for system in sheets.take(2).flatten() {
                brackets_of(name, &system, watch);
                runs += watch.runs(&system.bars).len();
            }
        }
    };
    for_every_piece(FingeringMarks::All, true, &mut check);
    for_every_score(FingeringMarks::Changes, &mut check);
    assert!(runs > 2000, "{runs}");
}

fn brackets_of(name: &str, system: &System, watch: Watched) {
    let own = |mark: &&Engraved| mark.role == MarkRole::Watch;
    let marks: Vec<&Engraved> = system.marks.iter().filter(own).collect();
    // Where each bar ends: the thin and thick lines of one barline stand close together.
    let lines = system.marks.iter().filter(|mark| mark.role == MarkRole::Barline);
    let mut lines: Vec<f64> = lines.map(|mark| mark.bounds().center().x).collect();
    lines.sort_by(f64::total_cmp);
    lines.dedup_by(|a, b| (*a - *b).abs() < 3.0);
    lines.retain(|x| *x > 3.0);
    // A repeat that begins with the system stands after clef and signatures.
    lines.drain(..lines.len().saturating_sub(system.bars.len()));
    assert_eq!(lines.len(), system.bars.len(), "{name}: {lines:?}");
    for run in watch.runs(&system.bars) {
        let inks = marks.iter().map(|mark| mark.bounds());
        let end = lines[run.end - 1 - system.bars.start];
        let own = inks.clone().filter(|ink| (ink.x1 - end).abs() < 1.5);
        assert_eq!(own.count(), 1, "{name}: bars {run:?} of {:?}", system.bars);
        if run.start > system.bars.start {
            let begin = lines[run.start - 1 - system.bars.start];
            let own = inks.filter(|ink| (ink.x0 - begin).abs() < 1.5);
            assert_eq!(own.count(), 1, "{name}: bars {run:?} of {:?}", system.bars);
        }
    }
    let middle = |bar: usize| {
        let end = lines[bar - system.bars.start];
        bar.checked_sub(system.bars.start + 1).map(|at| (lines[at] + end) / 2.0)
    };
    for bar in system.bars.clone().filter(|bar| !watch.has(*bar)) {
        let Some(middle) = middle(bar) else { continue };
        let is_over = |mark: &&Engraved| (mark.bounds().x0..mark.bounds().x1).contains(&middle);
        assert!(!marks.iter().any(is_over), "{name}: bar {bar}");
    }
    assert_eq!(marks.is_empty(), watch.runs(&system.bars).is_empty(), "{name}");
    for mark in marks {
        let ink = mark.bounds();
        let over = system.marks.iter().filter(|other| other.role != MarkRole::Watch);
        for other in over.map(Engraved::bounds) {
            let apart = other.x1 <= ink.x0 || other.x0 >= ink.x1;
            assert!(apart || other.y1 < ink.y0, "{name}: {mark:?} below {other:?}");
        }
        assert!(ink.y1 <= system.top + 1e-9 && ink.x1 <= 100.0 + 1e-6, "{name}: {mark:?}");
    }
}
