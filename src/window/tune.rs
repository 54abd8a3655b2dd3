//! A tune: its chart as it is typed, what its changes say of keys, and its file.

use serde_json::{Map, Value, json};

use super::reply::{Made, good};
use super::sheet::{file, number, object, text};
use super::state::State;
use super::words;
use crate::desk::show::chart::{ChartView, library as charts};
use crate::desk::show::view::Shown;
use crate::source::Complaint;

fn view(asked: &Map<String, Value>) -> Result<ChartView, Vec<Complaint>> {
    ChartView::of(text(asked, "text"), &object(asked, "look"))
}

/// The charts that come along, to start from.
pub(super) fn library(_: &State, _: &Map<String, Value>) -> Made {
    let chart =
        |[name, title, text]: [String; 3]| json!({ "name": name, "title": title, "text": text });
    Ok(good(&json!({ "charts": charts().into_iter().map(chart).collect::<Vec<_>>() })))
}

/// All that is wrong with a text; or, where nothing is, a page of its chart with what the changes
/// say of keys.
pub(super) fn page(_: &State, asked: &Map<String, Value>) -> Made {
    let one = |complaint: Complaint| vec![complaint];
    let made = view(asked).and_then(|view| {
        let shown = view.shown(number(asked, "page")).map_err(one)?;
        Ok((view, shown))
    });
    let (view, Shown { drawing, page, pages, label, words, .. }) = match made {
        Ok(made) => made,
        Err(wrong) => {
            let faults: Vec<Value> = wrong.iter().map(words::fault).collect();
            return Ok(good(&json!({ "faults": faults })));
        }
    };
    let told = view
        .told()
        .map(|told| json!({ "home": told.home, "areas": told.areas, "chords": told.chords }));
    Ok(good(&json!({
        "faults": [],
        "title": view.title(),
        "drawing": drawing,
        "page": page,
        "pages": pages,
        "label": label,
        "words": words,
        "remarks": [],
        "name": view.name().display().to_string(),
        "about": view.about(pages),
        "told": told,
    })))
}

/// The chart as a file.
pub(super) fn pdf(_: &State, asked: &Map<String, Value>) -> Made {
    let printed = view(asked)?.printed().map_err(|complaint| vec![complaint])?;
    Ok(file("application/pdf", printed))
}
