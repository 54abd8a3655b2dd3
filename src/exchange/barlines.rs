//! Barlines, with the repeats and endings that stand at them.

use super::xml::Xml;
use crate::score::{Barline, Ending, Score};

/// What stands at the left end of a bar: what begins there.
pub(super) fn left(xml: &mut Xml, score: &Score, bar: usize) {
    let begins_repeat = score.barline_before(bar).begins_repeat();
    let ending = score.signs.endings.iter().find(|ending| ending.bars.start == bar);
    if !begins_repeat && ending.is_none() {
        return;
    }
    xml.group("barline", &[("location", "left")], |xml| {
        if begins_repeat {
            xml.leaf("bar-style", &[], "heavy-light");
        }
        if let Some(ending) = ending {
            let number = numbers(ending);
            xml.leaf("ending", &[("number", &number), ("type", "start")], ending.words());
        }
        if begins_repeat {
            xml.empty("repeat", &[("direction", "forward")]);
        }
    });
}

/// What stands at the right end of a bar: what ends there, unless that is the bar alone.
pub(super) fn right(xml: &mut Xml, score: &Score, bar: usize) {
    let after = bar + 1;
    let barline = score.barline_before(after);
    let style = match barline {
        // The repeat that begins there belongs to the next bar.
        Barline::Single | Barline::RepeatBegin => None,
        Barline::Double => Some("light-light"),
        Barline::RepeatEnd | Barline::RepeatBoth | Barline::Final => Some("light-heavy"),
    };
    let ending = score.signs.endings.iter().find(|ending| ending.bars.end == after);
    if style.is_none() && ending.is_none() {
        return;
    }
    xml.group("barline", &[("location", "right")], |xml| {
        if let Some(style) = style {
            xml.leaf("bar-style", &[], style);
        }
        if let Some(ending) = ending {
            let kind = if ending.is_open { "discontinue" } else { "stop" };
            xml.empty("ending", &[("number", &numbers(ending)), ("type", kind)]);
        }
        if barline.ends_repeat() {
            let times = score.signs.times.get(&after).map(u8::to_string);
            let times = times.as_deref().map(|times| ("times", times));
            let own: Vec<_> = [("direction", "backward")].into_iter().chain(times).collect();
            xml.empty("repeat", &own);
        }
    });
}

/// The rounds of an ending as an attribute has them.
fn numbers(ending: &Ending) -> String {
    let rounds: Vec<String> = ending.rounds.iter().map(u8::to_string).collect();
    rounds.join(",")
}
