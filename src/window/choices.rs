//! What can be chosen, for a page that knows none of it by itself: the fields from their table, the
//! drills from the library, the keys from the round.

use std::collections::BTreeMap;

use hyper::StatusCode;
use serde_json::{Map, Value, json};

use super::reply::{MadeReply, good, refusal};
use super::sheet::text;
use super::state::WindowState;
use super::words;
use crate::chart::Horn;
use crate::desk::show::chosen;
use crate::desk::show::memory::KeptChange;
use crate::desk::show::{packet, track};
use crate::drill::{Template, library};
use crate::recipe::fields::{FIELDS, FieldKind, FieldRow};
use crate::recipe::{AskedKey, Level, NumeralStyle, Recipe, Spelling, TEMPI};
use crate::source::RecipeField as Field;
use crate::source::word::known;

/// Everything that can be chosen, and what was chosen last.
pub(super) fn all(state: &WindowState, _: &Map<String, Value>) -> MadeReply {
    let recalled = state.memory.recalled();
    let (remembered, lost) = match recalled {
        KeptChange::Nothing => (Value::Null, None),
        KeptChange::Choices(choices) => (choices, None),
        KeptChange::Spoilt(complaint) => (Value::Null, Some(words::sentence(&complaint))),
    };
    let fields: Vec<Value> = FIELDS.iter().map(field).collect();
    let level: Vec<&str> = Level::FIELDS.iter().map(|field| field.name()).collect();
    Ok(good(&json!({
        "version": env!("CARGO_PKG_VERSION"),
        "fields": fields,
        "drills": drills()?,
        "round": {
            "customary": round(Spelling::Customary),
            "sharps": round(Spelling::Sharps),
            "flats": round(Spelling::Flats),
        },
        "level": level,
        "track": track::known().into_iter().collect::<BTreeMap<_, _>>(),
        "looks": looks(),
        "packet": packet_fields(),
        "usual": chosen::of(&Recipe::default()),
        "remembered": remembered,
        "lost": lost,
    })))
}

/// The token, for the code that stands in the address that the browser was started with.
pub(super) fn begin(state: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    match state.door.exchange(text(asked, "code")) {
        Some(token) => Ok(good(&json!({ "token": token }))),
        None => Ok(refusal(
            StatusCode::UNAUTHORIZED,
            "this address has been opened before, which closes the page to everybody; start the \
             program again",
        )),
    }
}

/// Keeps what was chosen for the next time.
pub(super) fn keep(state: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    let kept = asked.get("state").cloned().unwrap_or(Value::Null);
    if kept.is_object() {
        state.memory.keep(&kept).map_err(|complaint| vec![complaint])?;
    }
    Ok(good(&json!({})))
}

/// What can be chosen of how a chart is printed, each with its words; those of instruments too.
fn looks() -> Value {
    let words = |field: Field| {
        let row = FIELDS.iter().find(|row| row.field == field);
        json!({ "label": words::label(field), "words": row.map(FieldRow::choices) })
    };
    json!({
        "for": { "label": "For an instrument in", "words": Horn::ALL.map(Horn::word) },
        "paper": words(Field::Paper),
        "symbols": words(Field::Symbols),
        "numerals": { "label": "Numerals", "words": known::<NumeralStyle>() },
    })
}

/// What can be chosen of a study packet beside how its charts are printed.
fn packet_fields() -> Value {
    let lines = [Field::Student, Field::Studio, Field::Date];
    let lines = lines.map(|field| json!({ "name": field.name(), "label": words::label(field) }));
    let ways = packet::ways().map(|(word, usual)| json!({ "word": word, "usual": usual }));
    json!({ "lines": lines, "ways": ways })
}

/// A field, as a form needs to know it.
fn field(row: &FieldRow) -> Value {
    let (kind, least, most) = match row.kind {
        FieldKind::Version => ("version", 0, 0),
        FieldKind::Line(most) => ("line", 0, most as u64),
        FieldKind::Lines(_, most) => ("lines", 0, most as u64),
        FieldKind::Block(_) => ("block", 0, 0),
        FieldKind::Word(_) | FieldKind::Staff => ("word", 0, 0),
        FieldKind::Words(_) => ("words", 0, 0),
        FieldKind::Beats => ("number", u64::from(*TEMPI.start()), u64::from(*TEMPI.end())),
        FieldKind::Seed => ("number", 0, u64::from(u32::MAX)),
        FieldKind::Number(least, most) => ("number", u64::from(least), u64::from(most)),
        FieldKind::Numbers(least, most) => ("numbers", u64::from(least), u64::from(most)),
        FieldKind::Flag => ("flag", 0, 0),
        FieldKind::Keys => ("keys", 0, 0),
        FieldKind::Drills => ("drills", 0, 0),
    };
    // What has no help is no matter of its own, but for the form, which every sheet has.
    let is_asked = !row.help.is_empty() || row.field == Field::Form;
    json!({
        "name": row.field.name(),
        "label": words::label(row.field),
        "help": match row.kind {
            FieldKind::Lines(..) => format!("{}; Enter begins another", row.help),
            _ => row.help.to_owned(),
        },
        "kind": kind,
        "least": least,
        "most": most,
        "words": row.choices(),
        "asked": is_asked,
    })
}

/// The library, from first lesson to last.
fn drills() -> Result<Vec<Value>, Vec<crate::source::Complaint>> {
    let drill = |(name, text): (&str, &str)| {
        let template = Template::parse(text, name).map_err(|complaint| vec![complaint])?;
        Ok(json!({
            "name": name,
            "title": template.title,
            "about": template.about,
            "minor": template.mode.is_minor(),
            "metre": template.metre.to_string(),
            "stage": library::stage(name),
        }))
    };
    library::all().map(drill).collect()
}

/// The twelve keys in falling fifths, as they are asked for and as they are shown.
fn round(spelling: Spelling) -> Vec<Value> {
    let key =
        |key: AskedKey| json!({ "key": key.tonic().plain(), "shown": key.tonic().to_string() });
    AskedKey::round(spelling).into_iter().map(key).collect()
}
