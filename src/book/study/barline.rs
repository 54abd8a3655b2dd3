//! What stands between the bars of a chart.

use kurbo::{Circle, Point, Shape as _};

use super::piece::upright;
use crate::canvas::Trace;
use crate::chart::{Chart, Section};
use crate::score::Barline;

/// Thickness of lines and the white between them, in ems of the symbols (ours: a chart has no
/// staff, so they suit the weight of its letters).
const THIN: f64 = 0.05;
const THICK: f64 = 0.16;
const BETWEEN: f64 = 0.11;
/// Radius of the dots of a repeat, and the white between them and its lines, in ems.
const DOT: f64 = 0.075;
const TO_DOTS: f64 = 0.13;
/// Heights of the two dots, as shares of the line.
const DOTS: [f64; 2] = [0.36, 0.64];

/// How far the signs of a barline reach to the left and to the right of the place where the bar
/// ends, in ems of the symbols.
pub(super) fn reach(kind: Barline) -> [f64; 2] {
    let repeat = THICK + BETWEEN + THIN / 2.0 + TO_DOTS + 2.0 * DOT;
    let both = THICK / 2.0 + BETWEEN + THIN + TO_DOTS + 2.0 * DOT;
    match kind {
        Barline::Single => [THIN / 2.0; 2],
        Barline::Double => [THIN / 2.0 + BETWEEN + THIN, THIN / 2.0],
        Barline::Final => [THICK + BETWEEN + THIN, 0.0],
        Barline::RepeatBegin => [THIN / 2.0, repeat],
        Barline::RepeatEnd => [repeat, THIN / 2.0],
        Barline::RepeatBoth => [both; 2],
    }
}

/// The lines and dots of a barline at an abscissa, between two heights.
pub(super) fn traces(kind: Barline, x: f64, span: [f64; 2], em: f64) -> Vec<Trace> {
    let line = |x: f64, width: f64| upright(x, span, width * em);
    let dots = |x: f64| {
        DOTS.map(|share| {
            let y = span[0] + share * (span[1] - span[0]);
            let circle = Circle::new(Point::new(x, y), DOT * em);
            Trace::Fill(circle.to_path(1e-3))
        })
    };
    let [left, right] = reach(kind).map(|reach| reach * em);
    match kind {
        Barline::Single => vec![line(x, THIN)],
        Barline::Double => vec![line(x - (BETWEEN + THIN) * em, THIN), line(x, THIN)],
        Barline::Final => {
            let thick = THICK * em;
            vec![line(x - thick - (BETWEEN + THIN / 2.0) * em, THIN), line(x - thick / 2.0, THICK)]
        }
        Barline::RepeatBegin => {
            let thick = x - THIN * em / 2.0 + THICK * em / 2.0;
            let thin = thick + (THICK / 2.0 + BETWEEN + THIN / 2.0) * em;
            let mut all = vec![line(thick, THICK), line(thin, THIN)];
            all.extend(dots(x + right - DOT * em));
            all
        }
        Barline::RepeatEnd => {
            let thick = x + THIN * em / 2.0 - THICK * em / 2.0;
            let thin = thick - (THICK / 2.0 + BETWEEN + THIN / 2.0) * em;
            let mut all: Vec<Trace> = dots(x - left + DOT * em).into();
            all.extend([line(thin, THIN), line(thick, THICK)]);
            all
        }
        Barline::RepeatBoth => {
            let thin = (THICK / 2.0 + BETWEEN + THIN / 2.0) * em;
            let mut all: Vec<Trace> = dots(x - left + DOT * em).into();
            all.extend([line(x - thin, THIN), line(x, THICK), line(x + thin, THIN)]);
            all.extend(dots(x + right - DOT * em));
            all
        }
    }
}

/// The barline before a bar of a section, or at its end for the number of its bars.
fn before(chart: &Chart, place: usize, bar: usize) -> Barline {
    let section = &chart.sections[place];
    let ends = bar.checked_sub(1).and_then(|last| section.bars.get(last)?.ends_repeat).is_some();
    let begins = section.bars.get(bar).is_some_and(|bar| bar.begins_repeat);
    match (ends, begins) {
        (true, true) => Barline::RepeatBoth,
        (true, false) => Barline::RepeatEnd,
        (false, true) => Barline::RepeatBegin,
        (false, false) if bar < section.bars.len() || bar == 0 => Barline::Single,
        _ if chart.ends_below(place) => Barline::Final,
        _ => Barline::Double,
    }
}

/// The barline that a line begins with before a bar.
pub(super) fn at_start(chart: &Chart, place: usize, bar: usize) -> Barline {
    if before(chart, place, bar).begins_repeat() { Barline::RepeatBegin } else { Barline::Single }
}

/// The barline after a bar, which may be the last one of its line.
pub(super) fn after(chart: &Chart, place: usize, bar: usize, ends_line: bool) -> Barline {
    let kind = before(chart, place, bar + 1);
    if ends_line { kind.at_system_end() } else { kind }
}

/// How often what ends with a bar is played, where that is to be said.
pub(super) fn rounds(section: &Section, bar: usize) -> Option<u8> {
    section.bars[bar].ends_repeat.filter(|rounds| *rounds > 2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_barline_reaches_as_far_as_it_says() {
        for kind in Barline::ALL {
            let traces = traces(kind, 100.0, [0.0, 10.0], 10.0);
            let ink = traces.iter().map(Trace::bounds).reduce(|all, ink| all.union(ink)).unwrap();
            let [left, right] = reach(kind).map(|reach| 10.0 * reach);
            assert!((ink.x0 - (100.0 - left)).abs() < 1e-2, "{kind:?}: {ink:?}, {left}");
            assert!((ink.x1 - (100.0 + right)).abs() < 1e-2, "{kind:?}: {ink:?}, {right}");
        }
    }
}
