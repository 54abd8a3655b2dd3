//! A tune: its chart as it is typed, what its changes say of keys, and its file.

use serde_json::{Map, Value, json};

use super::reply::{MadeReply, good};
use super::sheet::{file, judged, number, object, sent, text};
use super::state::WindowState;
use crate::desk::show::chart::{ChartView, library as charts};
use crate::source::Complaint;

fn view(asked: &Map<String, Value>) -> Result<ChartView, Vec<Complaint>> {
    ChartView::of(text(asked, "text"), &object(asked, "look"))
}

/// The charts that come along, to start from.
pub(super) fn library(_: &WindowState, _: &Map<String, Value>) -> MadeReply {
    let chart =
        |[name, title, text]: [String; 3]| json!({ "name": name, "title": title, "text": text });
    Ok(good(&json!({ "charts": charts().into_iter().map(chart).collect::<Vec<_>>() })))
}

/// All that is wrong with a text; or, where nothing is, a page of its chart with what the changes
/// say of keys.
pub(super) fn page(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    judged(view(asked).and_then(|view| {
        let shown = view.shown(number(asked, "page")).map_err(|complaint| vec![complaint])?;
        let about = view.about(shown.pages);
        let mut page = sent(shown, view.name(), &about);
        let told = view
            .told()
            .map(|told| json!({ "home": told.home, "areas": told.areas, "chords": told.chords }));
        page.insert("title".to_owned(), json!(view.title()));
        page.insert("told".to_owned(), json!(told));
        Ok(page)
    }))
}

/// The chart as a file.
pub(super) fn pdf(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    let printed = view(asked)?.printed().map_err(|complaint| vec![complaint])?;
    Ok(file("application/pdf", printed))
}
