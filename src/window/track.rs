//! What is played along to: a track of the drill that was chosen or of a chart, as notes in time or
//! as sound.

use serde_json::{Map, Value, json};

use super::reply::{Made, good};
use super::sheet::{file, object, text, typed};
use super::state::State;
use super::words;
use crate::desk::playalong::{Heard, heard};
use crate::desk::product::Product;
use crate::desk::show::track::chosen;
use crate::source::Complaint;

fn made(asked: &Map<String, Value>) -> Result<(Heard, Product), Vec<Complaint>> {
    let track = chosen(&object(asked, "track"))?;
    let chart = text(asked, "text");
    let chart = (!chart.trim().is_empty()).then_some(chart);
    let heard = heard(chart, &typed(asked)?, track.options, (track.rungs, track.kind))?;
    Ok((heard, track.kind))
}

/// What a track is called and what it is, without its bytes: notes in time are made for that, which
/// takes no time to speak of.
pub(super) fn about(_: &State, asked: &Map<String, Value>) -> Made {
    let track = chosen(&object(asked, "track"))?;
    let mut as_notes = asked.clone();
    let mut choices = object(asked, "track");
    choices.insert("as".to_owned(), Product::Midi.row().ending.into());
    as_notes.insert("track".to_owned(), Value::Object(choices));
    let (heard, _) = made(&as_notes)?;
    let name = heard.name.with_extension(track.kind.row().ending);
    let remarks: Vec<String> = heard.remarks.iter().map(words::remark).collect();
    Ok(good(&json!({
        "name": name.display().to_string(),
        "about": heard.about,
        "remarks": remarks,
    })))
}

/// The track as a file.
pub(super) fn track(_: &State, asked: &Map<String, Value>) -> Made {
    let (heard, kind) = made(asked)?;
    let kind = match kind {
        Product::Wav => "audio/wav",
        Product::Flac => "audio/flac",
        _ => "audio/midi",
    };
    Ok(file(kind, heard.bytes))
}
