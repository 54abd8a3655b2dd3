//! A drill of the library in the time of a tune: its metre and its feel. A chord that lasts a bar of
//! four, or half of one, lasts a bar of three, and what the hands do is cut to that.

use toml::{Table, Value};

use super::expand::{cut, cut_steps};
use crate::drill::Template;
use crate::score::{Feel, Metre, QUARTER, Ticks};
use crate::source::DrillField as Field;

/// Beats of a bar of the drills that can be cut, and of one that they are cut to.
const FOUR: i64 = 4;
const THREE: i64 = 3;

/// What a hand strikes over three beats in place of a rhythm over four.
const STRUCK: &str = "jazz-waltz";

/// What the drill says of itself then: whatever it said of bars and beats is so no more.
const ABOUT: &str = "The drill of that name in the time of the tune: three beats to a bar, and a chord \
     in each; count one, two, three.";

/// The text of a drill in a metre and a feel; none where it cannot be put into them, and is played
/// as it stands.
pub fn in_time(text: &str, metre: Metre, feel: Feel) -> Option<String> {
    let mut drill = text.parse::<Table>().ok()?;
    let own = drill.get(Field::Metre.name()).and_then(Value::as_str)?.trim().to_owned();
    let word = match feel {
        Feel::Swing => "swing",
        Feel::Even => "even",
    };
    drill.insert(Field::Feel.name().to_owned(), Value::String(word.to_owned()));
    let is_cut = metre == Metre::ThreeFour && own == Metre::FourFour.to_string();
    if is_cut {
        drill.insert(Field::Metre.name().to_owned(), Value::String(metre.to_string()));
        in_three(&mut drill)?;
    } else if own != metre.to_string() && metre != Metre::FourFour {
        return None;
    }
    let text = drill.to_string();
    Template::parse(&text, "own").is_ok().then_some(text)
}

/// A drill over four beats as one over three; none where it is named after a rhythm that it loses.
fn in_three(drill: &mut Table) -> Option<()> {
    unclaimed(drill)?;
    for (field, more) in [(Field::Name, "-in-three"), (Field::Title, ", in three")] {
        let word = drill.get(field.name())?.as_str()?;
        let word = format!("{word}{more}");
        drill.insert(field.name().to_owned(), Value::String(word));
    }
    drill.insert(Field::About.name().to_owned(), Value::String(ABOUT.to_owned()));
    let Some(Value::Array(passages)) = drill.get_mut(Field::Passage.name()) else { return None };
    passages.iter_mut().filter_map(Value::as_table_mut).try_for_each(passage_in_three)
}

/// Takes out of the title what it says of rhythms that three beats have not: `pushed` after a comma.
fn unclaimed(drill: &mut Table) -> Option<()> {
    let title = drill.get(Field::Title.name())?.as_str()?.to_owned();
    let passages = drill.get(Field::Passage.name())?.as_array()?;
    let word = |passage: &Value, field: Field| {
        passage.get(field.name()).and_then(Value::as_str).map(str::to_owned)
    };
    let lost = passages.iter().filter(|it| is_lost(it.get(Field::Comping.name())));
    let lost = lost.flat_map(|it| [Field::Comping, Field::Entry].map(|field| word(it, field)));
    let plain = |words: &str| words.to_lowercase().replace('-', " ");
    let is_name = |word: &String| word.starts_with(|c: char| c.is_ascii_alphabetic());
    let lost: Vec<String> = lost.flatten().filter(is_name).map(|word| plain(&word)).collect();
    let claims = |part: &str| lost.iter().any(|word| plain(part).contains(word.as_str()));
    let mut parts = title.split(", ");
    let head = parts.next().filter(|head| !claims(head))?;
    let kept = std::iter::once(head).chain(parts.filter(|part| !claims(part)));
    let kept = kept.collect::<Vec<_>>().join(", ");
    drill.insert(Field::Title.name().to_owned(), Value::String(kept));
    Some(())
}

/// Whether chords that are struck so are struck otherwise over three beats.
fn is_lost(comping: Option<&Value>) -> bool {
    comping.and_then(Value::as_str).is_some_and(|word| !["on-beat", "silent"].contains(&word))
}

fn passage_in_three(passage: &mut Table) -> Option<()> {
    let beats = passage.get(Field::Beats.name())?;
    let old: Vec<i64> = each(beats).into_iter().map(Value::as_integer).collect::<Option<_>>()?;
    let new: Vec<i64> = old.iter().map(|beats| (beats * THREE / FOUR).max(THREE)).collect();
    let lengths: Vec<Ticks> = new
        .iter()
        .map(|beats| Ticks::try_from(*beats).map(|it| it * QUARTER))
        .collect::<Result<_, _>>()
        .ok()?;
    let is_list = matches!(beats, Value::Array(_));
    let list = new.into_iter().map(Value::Integer).collect();
    let beats = if is_list { Value::Array(list) } else { list.into_iter().next()? };
    passage.insert(Field::Beats.name().to_owned(), beats);
    for (field, note, usual) in
        [(Field::Figure, Field::Note, "eighth"), (Field::Left, Field::LeftNote, "quarter")]
    {
        let note = passage.get(note.name()).and_then(Value::as_str).unwrap_or(usual).to_owned();
        let Some(value) = passage.get(field.name()) else { continue };
        let words: Vec<&str> = each(value).into_iter().map(Value::as_str).collect::<Option<_>>()?;
        // One figure goes over chords of several lengths, and one length under several figures.
        let count = if lengths.len() == 1 { words.len() } else { lengths.len().max(words.len()) };
        let turns = words.iter().cycle().zip(lengths.iter().cycle()).take(count);
        let own = turns.map(|(figure, length)| cut(&up_and_down(figure, &note)?, &note, *length));
        let own: Vec<Value> = own.map(|it| it.map(Value::String)).collect::<Option<_>>()?;
        passage.insert(field.name().to_owned(), Value::Array(own));
    }
    let is_held = passage.get(Field::Fermata.name()).and_then(Value::as_bool) == Some(true);
    let is_lost = is_lost(passage.get(Field::Comping.name()));
    let struck = is_lost.then_some(if is_held { "on-beat" } else { STRUCK });
    if let Some(struck) = struck {
        passage.remove(Field::Entry.name());
        passage.insert(Field::Comping.name().to_owned(), Value::String(struck.to_owned()));
    }
    let is_of_beats = |title: &Value| title.as_str().is_some_and(|words| words.contains("beat"));
    if passage.get(Field::Title.name()).is_some_and(is_of_beats) {
        passage.remove(Field::Title.name());
    }
    Some(())
}

/// One value, or those of a list.
fn each(value: &Value) -> Vec<&Value> {
    match value {
        Value::Array(all) => all.iter().collect(),
        one => vec![one],
    }
}

/// A figure that is too short for its chord comes back the way it went; one that rests does not.
fn up_and_down(figure: &str, note: &str) -> Option<String> {
    let steps = cut_steps(figure, note)?;
    let words: Vec<&str> = figure.split_whitespace().collect();
    let is_still = |(what, _): &(&str, Ticks)| ["rest", "tied"].contains(what);
    let inner = words.get(1..words.len().saturating_sub(1)).unwrap_or_default();
    let back = inner.iter().rev().filter(|_| !steps.iter().any(is_still));
    Some(words.iter().chain(back).copied().collect::<Vec<_>>().join(" "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::library;

    /// Every drill of the library that goes by four beats and has figures of its own goes by three,
    /// a chord a bar or longer, and in either feel; what cannot is left alone.
    #[test]
    fn drills_go_in_the_time_of_a_tune() {
        let mut met = 0;
        for (name, text) in library::all() {
            for feel in [Feel::Swing, Feel::Even] {
                for metre in [Metre::FourFour, Metre::ThreeFour] {
                    let own = Template::parse(text, name).unwrap();
                    let Some(put) = in_time(text, metre, feel) else { continue };
                    let put = Template::parse(&put, name).unwrap();
                    assert_eq!(put.feel, feel, "{name}");
                    assert!(put.metre == metre || put.metre == own.metre, "{name}");
                    met += usize::from(put.metre == metre);
                }
            }
        }
        assert!(met > 100, "{met}");
        // Those that a plan asks for do.
        for name in ["two-five-one", "two-five-one-minor", "natural-minor", "turnaround"] {
            let text = library::find(name).unwrap();
            let put = in_time(text, Metre::ThreeFour, Feel::Even).expect(name);
            let put = Template::parse(&put, name).unwrap();
            assert_eq!((put.metre, put.feel), (Metre::ThreeFour, Feel::Even), "{name}");
        }
    }

    /// A title says of rhythm what the sheet has, and no more.
    #[test]
    fn no_title_names_a_rhythm_that_is_lost() {
        const DORIAN: &str = include_str!("../../../templates/study/dorian-sevenths.toml");
        let mut lost = 0;
        for (name, text) in library::all().chain([("dorian-sevenths", DORIAN)]) {
            let Some(put) = in_time(text, Metre::ThreeFour, Feel::Swing) else { continue };
            let (own, put) = (text.parse::<Table>().unwrap(), put.parse::<Table>().unwrap());
            let title = |it: &Table| it["title"].as_str().unwrap().to_lowercase();
            for (word, field) in [("pushed", "push"), ("two-feel", "two-feel"), ("bossa", "bossa")]
            {
                let has = put["passage"].as_array().unwrap().iter().any(|passage| {
                    ["comping", "entry"].iter().any(|it| {
                        passage.get(it).and_then(Value::as_str).is_some_and(|it| it == field)
                    })
                });
                assert!(has || !title(&put).contains(word), "{name}: {}", title(&put));
                lost += usize::from(title(&own).contains(word) && !title(&put).contains(word));
            }
        }
        assert!(lost > 3, "{lost}");
    }

    #[test]
    fn a_short_figure_comes_back() {
        assert_eq!(up_and_down("1 3 5 7", "eighth").unwrap(), "1 3 5 7 5 3");
        assert_eq!(up_and_down("1:half rest:half", "eighth").unwrap(), "1:half rest:half");
    }
}
