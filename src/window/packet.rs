//! A study packet of the tune that is typed, and of others that go with it.

use serde_json::{Map, Value};

use super::reply::MadeReply;
use super::sheet::{file, judged, number, object, sent};
use super::state::WindowState;
use crate::desk::show::packet::PacketView;
use crate::source::Complaint;

fn view(asked: &Map<String, Value>) -> Result<PacketView, Vec<Complaint>> {
    let texts = asked.get("texts").and_then(Value::as_array).map_or(&[][..], Vec::as_slice);
    let texts: Vec<String> = texts.iter().filter_map(Value::as_str).map(str::to_owned).collect();
    if texts.is_empty() {
        let complaint = Complaint::new("there is no tune to study");
        return Err(vec![complaint.mend("write its changes, or begin with one of ours")]);
    }
    PacketView::of(texts, &object(asked, "asked"))
}

/// All that is wrong with a tune; or, where nothing is, a page of its packet.
pub(super) fn page(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    judged(view(asked).and_then(|view| {
        let shown = view.shown(number(asked, "page")).map_err(|complaint| vec![complaint])?;
        let about = view.about(shown.pages);
        Ok(sent(shown, view.name(), &about))
    }))
}

/// The packet as a file.
pub(super) fn pdf(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    let printed = view(asked)?.printed().map_err(|complaint| vec![complaint])?;
    Ok(file("application/pdf", printed))
}
