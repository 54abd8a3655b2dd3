//! What was chosen of a track to play along to, choice by choice.

use std::collections::BTreeSet;

use serde_json::{Map, Value};

use crate::desk::playalong::{CHORUSES, COUNT_IN, RISE, Rungs, number};
use crate::desk::product::{Product, TRACKS};
use crate::sound::{ChoiceWord, Clicks, Groove, Part, Swing, TrackOptions};
use crate::source::plain::shortened;
use crate::source::{Complaint, Place};

/// What was chosen of a track.
pub(crate) struct ChosenTrack {
    /// Who plays, how and how often.
    pub(crate) options: TrackOptions,
    /// At which tempo of the ladder; without it as usual.
    pub(crate) rungs: Option<Rungs>,
    /// The kind of file.
    pub(crate) kind: Product,
}

/// What was chosen, each named as the option of the command is and given as JSON has it. What says
/// nothing is as usual.
///
/// Errors with all that cannot stand, each at its choice.
pub(crate) fn chosen(choices: &Map<String, Value>) -> Result<ChosenTrack, Vec<Complaint>> {
    let mut chosen = ChosenTrack { options: TrackOptions::default(), rungs: None, kind: TRACKS[0] };
    let mut wrong = Vec::new();
    for (name, value) in choices {
        let words = words(value);
        let taken = match words.as_slice() {
            [] => continue,
            words if name == "with" => take_parts(words, &mut chosen),
            [word] => take(name, word, &mut chosen),
            _ => Err("give it once".to_owned()),
        };
        let at = |words: String| Complaint::new(words).at(Place::Typed(name.clone()));
        wrong.extend(taken.err().map(at));
    }
    if wrong.is_empty() { Ok(chosen) } else { Err(wrong) }
}

/// Every choice that is one of some words, with its words.
pub(crate) fn known() -> [(&'static str, Vec<&'static str>); 6] {
    fn words<T: ChoiceWord>() -> Vec<&'static str> {
        T::all().into_iter().map(|(word, _)| word).collect()
    }
    [
        ("with", words::<Part>()),
        ("groove", words::<Groove>()),
        ("swing", Swing::WORDS.map(|(word, _)| word).to_vec()),
        ("clicks", words::<Clicks>()),
        ("rungs", words::<Rungs>()),
        ("as", words::<Product>()),
    ]
}

/// What a value says, word by word.
fn words(value: &Value) -> Vec<String> {
    match value {
        Value::Array(items) => items.iter().flat_map(words).collect(),
        Value::String(text) if text.trim().is_empty() => Vec::new(),
        Value::String(text) => vec![shortened(text.trim()).into_owned()],
        Value::Number(number) => vec![number.to_string()],
        Value::Null => Vec::new(),
        Value::Bool(_) | Value::Object(_) => vec![shortened(&value.to_string()).into_owned()],
    }
}

fn take_parts(words: &[String], chosen: &mut ChosenTrack) -> Result<(), String> {
    let parts = words.iter().map(|word| Part::of(word).map_err(|error| error.to_string()));
    chosen.options.with = Some(parts.collect::<Result<BTreeSet<Part>, _>>()?);
    Ok(())
}

fn take(name: &str, word: &str, chosen: &mut ChosenTrack) -> Result<(), String> {
    fn of<T: ChoiceWord>(word: &str) -> Result<T, String> {
        T::of(word).map_err(|error| error.to_string())
    }
    let options = &mut chosen.options;
    match name {
        "groove" => options.groove = Some(of(word)?),
        "swing" => options.swing = Some(word.parse::<Swing>().map_err(|it| it.to_string())?),
        "clicks" => options.clicks = of(word)?,
        "count-in" => options.count_in = number(word, name, COUNT_IN)?,
        "choruses" => options.choruses = number(word, name, CHORUSES)?,
        "rise" => options.rise = number(word, name, RISE)? as u16,
        "rungs" => chosen.rungs = Some(of(word)?),
        "as" => chosen.kind = of(word)?,
        _ => return Err(format!("nothing is called `{}` here; leave it out", shortened(name))),
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(json: &Value) -> Result<ChosenTrack, Vec<Complaint>> {
        chosen(json.as_object().unwrap())
    }

    #[test]
    fn every_word_that_is_known_is_understood() {
        for (name, words) in known() {
            assert!(words.len() > 1, "{name}");
            for word in words {
                let mut choices = Map::new();
                choices.insert(name.to_owned(), Value::from(word));
                assert!(chosen(&choices).is_ok(), "{name} {word}");
            }
        }
        let usual = of(&serde_json::json!({ "with": [], "swing": "", "rise": null })).unwrap();
        assert_eq!(usual.options, TrackOptions::default());
        let given =
            serde_json::json!({ "with": ["bass", "click"], "count-in": 2, "choruses": "3" });
        let given = of(&given).unwrap().options;
        assert_eq!((given.count_in, given.choruses), (2, 3));
        assert_eq!(given.with, Some(BTreeSet::from([Part::Bass, Part::Click])));
    }

    #[test]
    fn every_choice_that_cannot_stand_is_told_at_its_place() {
        let choices = serde_json::json!({
            "with": ["bass", "tuba"], "groove": "polka", "swing": "9", "clicks": ["all", "all"],
            "count-in": 3, "choruses": 0, "rise": "-1", "rungs": true, "as": {"a": 1}, "other": 1,
        });
        let wrong = of(&choices).err().unwrap();
        assert_eq!(wrong.len(), choices.as_object().unwrap().len(), "{wrong:?}");
        for one in &wrong {
            assert!(matches!(one.place, Place::Typed(_)), "{one:?}");
        }
    }
}
