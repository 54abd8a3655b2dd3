//! What is played along to: tracks of the drills that were chosen or of a chart, as notes in time
//! or as sound.

use serde_json::{Map, Value, json};

use super::reply::{MadeReply, good};
use super::sheet::{file, object, text, typed, waiting};
use super::state::WindowState;
use super::words;
use crate::desk::errand::Typed;
use crate::desk::playalong::{FileBody, HeardTracks, ToldTracks, WantedTracks, heard, told};
use crate::desk::product::Product;
use crate::desk::show::track::chosen;
use crate::source::Complaint;

/// What is asked for of tracks, apart from what was chosen of the sheet.
fn wanted<'a>(
    asked: &'a Map<String, Value>,
    typed: &'a Typed,
) -> Result<WantedTracks<'a>, Vec<Complaint>> {
    let track = chosen(&object(asked, "track"))?;
    let chart = text(asked, "text");
    let one = asked.get("one").and_then(Value::as_u64);
    Ok(WantedTracks {
        chart: (!chart.trim().is_empty()).then_some(chart),
        typed,
        options: track.options,
        rungs: track.rungs,
        kind: track.kind,
        one: one.map(|one| usize::try_from(one).unwrap_or(usize::MAX)),
    })
}

/// What the tracks are called and what they are, without their bytes.
pub(super) fn about(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    let typed = typed(asked)?;
    let ToldTracks { name, about, tracks, remarks } = told(&wanted(asked, &typed)?)?;
    let remarks: Vec<String> = remarks.iter().map(words::remark).collect();
    let track = |(name, about): &(std::path::PathBuf, String)| json!({ "name": name.display().to_string(), "about": about });
    Ok(good(&json!({
        "name": name.display().to_string(),
        "about": about,
        "tracks": tracks.iter().map(track).collect::<Vec<_>>(),
        "remarks": remarks,
    })))
}

/// The track as a file, or several in one.
pub(super) fn track(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    let typed = typed(asked)?;
    let wanted = wanted(asked, &typed)?;
    let kind = match wanted.kind {
        Product::Wav => "audio/wav",
        Product::Flac => "audio/flac",
        _ => "audio/midi",
    };
    Ok(match heard(&wanted)? {
        HeardTracks::One(FileBody::Bytes(bytes)) => file(kind, bytes),
        HeardTracks::One(FileBody::Spool(sound)) => file(kind, waiting(sound)?),
        HeardTracks::Several(all) => file("application/zip", waiting(all)?),
    })
}
