//! What a passage says of the form, and whether the passages agree on it: sections, titles,
//! repeats, endings, octaves.

use std::ops::{Range, RangeInclusive};

use toml::Spanned;
use toml::de::DeValue;

use super::words::{of_turns, word};
use crate::drill::form::{PassageForm, Repeat};
use crate::drill::template::Template;
use crate::score::ByHand;
use crate::source::DrillField as Field;
use crate::source::fields::{Fields, Mistakes, as_whole};

/// Characters of a section's letter.
const LONGEST_SECTION: usize = 3;
/// Characters of a passage's title, which stands over one bar or a few.
const LONGEST_TITLE: usize = 32;
/// Characters of the words at the end of a passage.
const LONGEST_WAY: usize = 40;
/// Bars of a passage.
const MOST_BARS: i64 = 64;
/// Rounds of a repeat with endings.
const MOST_ROUNDS: i64 = 4;
/// How often a repeat without any may be played.
const TIMES: RangeInclusive<i64> = 2..=9;

const REPEATS: [(&str, Repeat); 3] =
    [("begin", Repeat::Begin), ("end", Repeat::End), ("whole", Repeat::Whole)];
const RIGHT_OCTAVES: [(&str, i32); 1] = [("8va", 1)];
const LEFT_OCTAVES: [(&str, i32); 1] = [("8vb", -1)];

/// Reads what a passage says of the form, and where it stands.
pub(super) fn form(
    fields: &mut Fields<'_>,
    mistakes: &mut Mistakes<'_>,
) -> (PassageForm, FormPlaces) {
    let section = short(fields, Field::Section, LONGEST_SECTION, mistakes);
    let title = short(fields, Field::Title, LONGEST_TITLE, mistakes);
    let repeat_at = fields.value(Field::Repeat).map(Spanned::span);
    let repeat = word(fields, Field::Repeat, &REPEATS, mistakes);
    let times = fields.value(Field::Times).and_then(|value| times(value, repeat, mistakes));
    let ending = fields.value(Field::Ending);
    let rounds = ending.map(|value| of_turns(value, Field::Ending, "1", mistakes, round));
    let ends_section = fields.flag(Field::DoubleBar, mistakes).is_some_and(Spanned::into_inner);
    let to_coda = fields.value(Field::ToCoda).and_then(|value| bars(value, mistakes));
    let way_on = short(fields, Field::WayOn, LONGEST_WAY, mistakes);
    let right = word(fields, Field::RightOctave, &RIGHT_OCTAVES, mistakes).unwrap_or(0);
    let left = word(fields, Field::LeftOctave, &LEFT_OCTAVES, mistakes).unwrap_or(0);
    let ending_at = ending.map(Spanned::span);
    let octaves = ByHand { right, left };
    let ending = rounds.flatten().unwrap_or_default();
    let form = PassageForm {
        section,
        title,
        repeat,
        times,
        ending,
        ends_section,
        to_coda,
        way_on,
        octaves,
    };
    (form, FormPlaces { repeat: repeat_at, ending: ending_at })
}

/// Where the signs of form of a passage stand in the text.
pub(super) struct FormPlaces {
    repeat: Option<Range<usize>>,
    ending: Option<Range<usize>>,
}

/// A few words that stand over a bar.
fn short(
    fields: &mut Fields<'_>,
    name: Field,
    most: usize,
    mistakes: &mut Mistakes<'_>,
) -> Option<String> {
    let text = fields.text(name, mistakes)?;
    let words = text.get_ref().trim();
    if !(1..=most).contains(&words.chars().count()) {
        let problem = format!("field `{}` has {} characters", name.name(), words.chars().count());
        mistakes.add(text.span(), problem, format!("write 1 to {most} of them"));
        return None;
    }
    Some(words.to_owned())
}

/// How many bars of a passage come before the way to the coda.
fn bars(value: &Spanned<DeValue<'_>>, mistakes: &mut Mistakes<'_>) -> Option<usize> {
    let bars = as_whole(value.get_ref()).filter(|bars| (1..=MOST_BARS).contains(bars));
    if bars.is_none() {
        let mend =
            "write after how many bars of the passage one goes to the coda, as in to-coda = 4";
        mistakes.add(value.span(), "field `to-coda` is no number of bars", mend);
    }
    bars.and_then(|bars| usize::try_from(bars).ok())
}

/// How often a repeat is played that ends with the passage.
fn times(
    value: &Spanned<DeValue<'_>>,
    repeat: Option<Repeat>,
    mistakes: &mut Mistakes<'_>,
) -> Option<u8> {
    let times = as_whole(value.get_ref()).filter(|times| TIMES.contains(times));
    if times.is_none() {
        let mend = format!("write a number from {} to {}", TIMES.start(), TIMES.end());
        mistakes.add(value.span(), "field `times` is no number of rounds", mend);
    } else if !matches!(repeat, Some(Repeat::End | Repeat::Whole)) {
        let mend =
            "write it where repeat is \"end\" or \"whole\"; endings say their rounds themselves";
        mistakes.add(value.span(), "field `times` without a repeat that ends", mend);
        return None;
    }
    times.and_then(|times| u8::try_from(times).ok())
}

/// A round of a repeat.
fn round(value: &Spanned<DeValue<'_>>, mistakes: &mut Mistakes<'_>) -> Option<u8> {
    let round = as_whole(value.get_ref()).filter(|round| (1..=MOST_ROUNDS).contains(round));
    if round.is_none() {
        let mend = "write ending = 1 under the passage that is played the first time, and \
                    ending = 2 under the one that takes its place the second time";
        mistakes.add(value.span(), "field `ending` is no round of a repeat", mend);
    }
    round.and_then(|round| u8::try_from(round).ok())
}

/// Whether repeats and endings of the passages go together.
pub(super) fn together(template: &Template, places: &[&FormPlaces], mistakes: &mut Mistakes<'_>) {
    // Where the repeat begins that goes on, and the rounds that have had their ending.
    let mut begun: Option<Range<usize>> = None;
    let mut rounds: Vec<u8> = Vec::new();
    for (index, (passage, places)) in template.passages.iter().zip(places).enumerate() {
        let form = &passage.form;
        if let (true, Some(at)) = (form.begins_repeat(), &places.repeat) {
            if begun.is_some() && rounds.is_empty() {
                let problem = "a repeat begins inside another one";
                mistakes.add(at.clone(), problem, "end the first one with repeat = \"end\"");
            }
            begun = Some(at.clone());
            rounds.clear();
        }
        if let (Some(_), Some(ends)) = (&places.ending, &places.repeat)
            && form.ends_repeat()
        {
            let problem = "an ending ends its repeat by itself";
            mistakes.add(ends.clone(), problem, "leave `repeat` out of this passage");
            return;
        }
        if let Some(at) = &places.ending {
            let expected = rounds.iter().max().map_or(1, |last| last + 1);
            if begun.is_none() {
                let mend = "write repeat = \"begin\" under the passage that the repeat begins with";
                mistakes.add(at.clone(), "an ending without a repeat that it ends", mend);
            } else if !form.ending.iter().copied().eq(expected..expected + form.ending.len() as u8)
            {
                let problem = format!("the ending of round {expected} is expected here");
                mistakes.add(at.clone(), problem, format!("write ending = {expected}"));
            }
            rounds.extend(&form.ending);
            let is_followed =
                template.passages.get(index + 1).is_some_and(|next| !next.form.ending.is_empty());
            if !is_followed {
                if rounds.len() < 2 && begun.is_some() {
                    let problem = "a first ending without a second one after it";
                    let mend = "write ending = 2 under the next passage";
                    mistakes.add(at.clone(), problem, mend);
                }
                begun = None;
                rounds.clear();
            }
        }
        if form.ends_repeat() {
            begun = None;
        }
    }
    if let Some(at) = begun {
        let problem = "a repeat that never ends";
        let mend = "write repeat = \"end\" under its last passage, or \"whole\" if it is this one";
        mistakes.add(at, problem, mend);
    }
}
