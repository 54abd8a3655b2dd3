//! What the analysis says to other programs.

use quintfall::chart::{ANALYSIS_SCHEMA, AnalysisJson, Unfolded, analyse};
use serde_json::Value;

use crate::tune::tune;

fn json(tune: &Unfolded) -> Value {
    let analysis = analyse(tune).unwrap();
    serde_json::from_str(&AnalysisJson::new(tune, &analysis).text()).unwrap()
}

#[test]
fn every_field_that_is_promised_is_there() {
    let said = json(&tune("C6 A7 | Dm7 G7 | Em7b5 A7 | Dm7 Db7 | C6 | %"));
    assert_eq!(said["schema"], ANALYSIS_SCHEMA);
    assert_eq!(said["main_key"], "C major");
    let chords = said["chords"].as_array().unwrap();
    assert_eq!(chords.len(), 9);
    let five = &chords[1];
    assert_eq!((&five["bar"], &five["beat"]), (&1.into(), &3.0.into()));
    assert_eq!(five["symbol"], "A7");
    assert_eq!(five["key"], "C major");
    assert_eq!(five["numeral"], "V7/ii");
    assert_eq!(five["function"], "dominant");
    assert_eq!(five["target"], "D");
    assert_eq!(five["goal"], "ii");
    assert_eq!(five["reason"], "V of ii: it wants Dm7 and gets it");
    assert!(five["margin"].as_f64().unwrap() > 0.0);
    assert_eq!(chords[0]["target"], Value::Null);
    assert_eq!(chords[0]["goal"], Value::Null);
    let areas = said["areas"].as_array().unwrap();
    assert_eq!(areas.len(), 1);
    assert_eq!((&areas[0]["first_bar"], &areas[0]["last_bar"]), (&1.into(), &6.into()));
    let cadences = said["cadences"].as_array().unwrap();
    let told: Vec<(i64, f64, &str, &str)> = cadences
        .iter()
        .map(|it| {
            let (kind, target) = (it["type"].as_str().unwrap(), it["target"].as_str().unwrap());
            (it["bar"].as_i64().unwrap(), it["beat"].as_f64().unwrap(), kind, target)
        })
        .collect();
    let expected = [(2, 1.0, "ii-V", "C"), (3, 1.0, "ii-V", "D"), (4, 1.0, "ii-V-I", "C")];
    assert_eq!(told, expected);
}

/// A chord that is heard again is listed once, with all the places where it is heard.
#[test]
fn a_chord_that_is_heard_again_is_listed_once() {
    let mut twice = tune("C6 | Dm7 G7 | C6 | Dm7 G7");
    for place in 3..6 {
        twice.changes[place].written = place - 3;
    }
    let said = json(&twice);
    let chords = said["chords"].as_array().unwrap();
    assert_eq!(chords.len(), 3);
    let heard: Vec<_> =
        chords[1]["heard"].as_array().unwrap().iter().map(|it| &it["bar"]).collect();
    assert_eq!(heard, [&Value::from(2), &Value::from(4)]);
}

/// A pick-up lies in bar 0.
#[test]
fn a_pick_up_lies_before_the_first_bar() {
    let mut early = tune("G7 | C6 | Dm7 G7 | C6");
    for change in &mut early.changes {
        change.at -= 192;
    }
    early.bars -= 1;
    let said = json(&early);
    assert_eq!(said["chords"][0]["bar"], 0);
    assert_eq!(said["chords"][1]["bar"], 1);
    assert_eq!(said["main_key"], "C major");
}
