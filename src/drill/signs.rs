//! The signs of form and of reading that a drill has on paper.

use super::template::Template;
use crate::score::{Barline, Ending, Heading, OctaveShift, Signs, Ticks};
use crate::theory::Key;

/// The signs of a drill in a key.
pub(super) fn signs(template: &Template, key: Key) -> Signs {
    let mut signs = Signs::default();
    let bar_of = |moment: Ticks| (moment / template.metre.bar()) as usize;
    let mut start = 0;
    let mut in_force = key;
    for (index, passage) in template.passages.iter().enumerate() {
        let (form, end) = (&passage.form, start + passage.length());
        let bars = bar_of(start)..bar_of(end);
        if form.section.is_some() || form.title.is_some() {
            let heading = Heading { letter: form.section.clone(), title: form.title.clone() };
            signs.headings.insert(bars.start, heading);
        }
        // A section ends where another one begins.
        if form.section.is_some() {
            lay(&mut signs, bars.start, Barline::Double);
        }
        if let Some(last) = form.to_coda.map(|coda| bars.start + coda).filter(|it| *it <= bars.end)
        {
            say(&mut signs, last - 1, TO_CODA);
        }
        if let Some(words) = &form.way_on {
            say(&mut signs, bars.end - 1, words);
        }
        if form.begins_repeat() {
            lay(&mut signs, bars.start, Barline::RepeatBegin);
        }
        if form.ends_section {
            lay(&mut signs, bars.end, Barline::Double);
        }
        let goes_on = template.passages.get(index + 1).is_some_and(|it| !it.form.ending.is_empty());
        if form.ends_repeat() || (!form.ending.is_empty() && goes_on) {
            lay(&mut signs, bars.end, Barline::RepeatEnd);
        }
        if let Some(times) = form.times.filter(|times| *times > 2) {
            signs.times.insert(bars.end, times);
            say(&mut signs, bars.end - 1, &format!("{times} times"));
        }
        if !form.ending.is_empty() {
            let is_last = bars.end == bar_of(template.length());
            let is_open = !goes_on && !is_last;
            let rounds = form.ending.clone();
            signs.endings.push(Ending { bars: bars.clone(), rounds, is_open });
        }
        let own = if passage.has_signature { passage.home.in_key(key) } else { key };
        if own != in_force && bars.start > 0 {
            signs.keys.insert(bars.start, own);
            in_force = own;
        }
        for (hand, octaves) in form.octaves.with_hands() {
            if octaves != 0 {
                add_octaves(&mut signs.octaves[hand], OctaveShift { span: start..end, octaves });
            }
        }
        start = end;
    }
    // The music ends where it does, and no section begins with the first bar.
    let ends = [0, bar_of(template.length())];
    signs.barlines.retain(|bar, barline| !ends.contains(bar) || *barline != Barline::Double);
    // Where it goes on from its end, the page alone ends there.
    let goes_on = template.passages.last().is_some_and(|last| last.form.way_on.is_some());
    if goes_on {
        lay(&mut signs, ends[1], Barline::Double);
    }
    signs
}

/// What stands where the music goes to the coda.
const TO_CODA: &str = "last time to coda";

/// Says something at the end of a bar, after what is said there already.
fn say(signs: &mut Signs, bar: usize, words: &str) {
    let there = signs.ways.entry(bar).or_default();
    if !there.is_empty() {
        there.push_str(", ");
    }
    there.push_str(words);
}

/// Adds a stretch to those before it, which it goes on from where they meet.
fn add_octaves(shifts: &mut Vec<OctaveShift>, shift: OctaveShift) {
    match shifts.last_mut() {
        Some(last) if (last.span.end, last.octaves) == (shift.span.start, shift.octaves) => {
            last.span.end = shift.span.end;
        }
        _ => shifts.push(shift),
    }
}

/// Lays a barline before a bar, together with what stands there.
fn lay(signs: &mut Signs, bar: usize, barline: Barline) {
    let there = signs.barlines.get(&bar).copied().unwrap_or_default();
    let ends = there.ends_repeat() || barline.ends_repeat();
    let begins = there.begins_repeat() || barline.begins_repeat();
    let both = match (ends, begins) {
        (true, true) => Barline::RepeatBoth,
        (true, false) => Barline::RepeatEnd,
        (false, true) => Barline::RepeatBegin,
        (false, false) => barline,
    };
    signs.barlines.insert(bar, both);
}
