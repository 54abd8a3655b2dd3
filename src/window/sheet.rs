//! The sheet: a page of it, its file, its notes, its recipe, and what is handed in to be opened again.

use std::path::Path;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use hyper::header::{self, HeaderValue};
use hyper::{Response, StatusCode};
use serde_json::{Map, Value, json};

use super::reply::{MadeReply, ReplyContent, good, reply};
use super::state::WindowState;
use super::words;
use crate::desk::errand::Typed;
use crate::desk::product::Product;
use crate::desk::show::roll::Roll;
use crate::desk::show::view::{SheetView, Shown};
use crate::desk::show::{chart, chosen, packet, roll};
use crate::desk::source::{Source, is_recipe};
use crate::desk::spool::Spool;
use crate::recipe::{LARGEST_TEMPLATE, Recipe, Settings};
use crate::source::{Complaint, RecipeField as Field};

/// Looks at the sheet of what was chosen.
fn with_view<T>(
    asked: &Map<String, Value>,
    look: impl FnOnce(&SheetView<'_>) -> Result<T, Complaint>,
) -> Result<T, Vec<Complaint>> {
    let typed = typed(asked)?;
    let source = Source::chosen(Settings::default());
    SheetView::of(&source, &typed).and_then(|view| look(&view)).map_err(|complaint| vec![complaint])
}

/// What was chosen.
pub(super) fn typed(asked: &Map<String, Value>) -> Result<Typed, Vec<Complaint>> {
    match asked.get("choices") {
        Some(Value::Object(choices)) => chosen::typed(choices),
        _ => Ok(Typed::default()),
    }
}

/// A whole number that was asked for; 0 without one.
pub(super) fn number(asked: &Map<String, Value>, name: &str) -> usize {
    let number = asked.get(name).and_then(Value::as_u64).unwrap_or(0);
    usize::try_from(number).unwrap_or(usize::MAX)
}

/// An object that was asked for; empty without one.
pub(super) fn object(asked: &Map<String, Value>, name: &str) -> Map<String, Value> {
    asked.get(name).and_then(Value::as_object).cloned().unwrap_or_default()
}

/// A text that was asked for; empty without one.
pub(super) fn text<'a>(asked: &'a Map<String, Value>, name: &str) -> &'a str {
    asked.get(name).and_then(Value::as_str).unwrap_or_default()
}

/// A page that is shown as it is sent, with what its file is called and how much it is.
pub(super) fn sent(shown: Shown, name: &Path, about: &str) -> Map<String, Value> {
    let Shown { drawing, page, pages, label, words, remarks } = shown;
    let remarks: Vec<String> = remarks.iter().map(words::remark).collect();
    let parts = [
        ("drawing", json!(drawing)),
        ("page", json!(page)),
        ("pages", json!(pages)),
        ("label", json!(label)),
        ("words", json!(words)),
        ("remarks", json!(remarks)),
        ("name", json!(name.display().to_string())),
        ("about", json!(about)),
    ];
    parts.into_iter().map(|(name, part)| (name.to_owned(), part)).collect()
}

/// What was made of a text that is typed; or all that is wrong with it.
pub(super) fn judged(made: Result<Map<String, Value>, Vec<Complaint>>) -> MadeReply {
    let (mut answer, wrong) =
        made.map_or_else(|wrong| (Map::new(), wrong), |made| (made, Vec::new()));
    answer.insert("faults".to_owned(), wrong.iter().map(words::fault).collect());
    Ok(good(&Value::Object(answer)))
}

/// A page of a sheet as it is sent.
pub(super) fn page_of(view: &SheetView<'_>, page: usize) -> Result<Value, Complaint> {
    let shown = view.shown(page)?;
    let about = view.about(shown.pages);
    let mut sent = sent(shown, &view.name(), &about);
    // What is large in it the page knows already.
    let mut made = chosen::of(view.recipe());
    for field in [Field::Template, Field::Course, Field::LogoData] {
        made.remove(field.name());
    }
    sent.insert("made".to_owned(), json!(made));
    sent.insert("rungs".to_owned(), json!(view.rungs()));
    Ok(Value::Object(sent))
}

/// A page of the sheet.
pub(super) fn page(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    with_view(asked, |view| page_of(view, number(asked, "page"))).map(|page| good(&page))
}

/// The first line of music of a drill, in the first key of the round that it has.
pub(super) fn line(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    with_view(asked, |view| view.line()).map(|drawing| good(&json!({ "drawing": drawing })))
}

/// The file, as a command makes it.
pub(super) fn pdf(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    with_view(asked, |view| Ok(file("application/pdf", view.printed()?)))
}

/// The notes as a file, as a command makes it.
pub(super) fn notes(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    let (product, kind) = match text(asked, "as") {
        "mxl" => (Product::Mxl, "application/vnd.recordare.musicxml"),
        _ => (Product::MusicXml, "application/vnd.recordare.musicxml+xml"),
    };
    with_view(asked, |view| Ok(file(kind, view.notes(product)?)))
}

/// The recipe as a text.
pub(super) fn recipe(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    let toml = |view: &SheetView<'_>| {
        Ok(good(&json!({ "text": without_library(view.recipe()).to_toml() })))
    };
    with_view(asked, toml)
}

/// A recipe without the text of a drill that is that of the library anyway.
fn without_library(recipe: &Recipe) -> Recipe {
    let mut recipe = recipe.clone();
    let is_ours = |name: &str, text: &Option<String>| {
        crate::drill::library::find(name).is_some_and(|own| text.as_deref() == Some(own))
    };
    if is_ours(&recipe.drill, &recipe.template) {
        recipe.template = None;
    }
    for part in &mut recipe.course {
        if is_ours(&part.drill, &part.template) {
            part.template = None;
        }
    }
    recipe
}

/// A file.
pub(super) fn file(kind: &'static str, bytes: impl Into<ReplyContent>) -> Response<ReplyContent> {
    let mut response = reply(StatusCode::OK, kind, bytes);
    let attached = HeaderValue::from_static("attachment");
    response.headers_mut().insert(header::CONTENT_DISPOSITION, attached);
    response
}

/// A file without a name, to be sent.
pub(super) fn waiting(spool: Spool) -> Result<ReplyContent, Vec<Complaint>> {
    let (file, length) = spool.into_file().map_err(|error| {
        let complaint = Complaint::new(format!("what was made cannot be read again: {error}"));
        vec![complaint.mend("try again")]
    })?;
    Ok(ReplyContent::File(file, length))
}

/// What is handed in, told for what it is: an earlier sheet or a recipe becomes choices again; a
/// chart, a drill and a class list are texts.
pub(super) fn open(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    let one = |complaint: Complaint| vec![complaint];
    let name = text(asked, "name");
    let bytes = STANDARD.decode(text(asked, "data")).map_err(|_| {
        one(Complaint::new(format!("{name} did not arrive whole")).mend("hand it in again"))
    })?;
    if bytes.is_empty() {
        return Err(one(Complaint::new(format!("{name} is empty")).mend("hand in another file")));
    }
    if bytes.starts_with(b"%PDF") {
        if let Some((text, look)) = chart::carried(&bytes) {
            return Ok(good(&json!({ "kind": "tune", "text": text, "look": look })));
        }
        if let Some((texts, asked)) = packet::carried(&bytes) {
            return Ok(good(&json!({ "kind": "packet", "texts": texts, "asked": asked })));
        }
        let source = Source::handed_in(name, bytes).map_err(one)?;
        return Ok(good(&opened(&source.recipe)));
    }
    let is_toml = name.to_lowercase().ends_with(".toml");
    if is_toml {
        let written = str::from_utf8(&bytes).unwrap_or_default();
        let has = |table: &str| written.lines().any(|line| line.trim().starts_with(table));
        if has("[[student]]") {
            return Ok(good(&json!({ "kind": "class", "name": name, "text": written })));
        }
        if has("[[section]]") && written.len() <= LARGEST_TEMPLATE {
            return Ok(good(&json!({ "kind": "tune", "text": written, "look": {} })));
        }
        let is_drill = has("[[passage]]") && !is_recipe(written) && !has("template");
        if is_drill && written.len() <= LARGEST_TEMPLATE {
            return Ok(good(&json!({ "kind": "drill", "name": name, "text": written })));
        }
        let source = Source::handed_in(name, bytes).map_err(one)?;
        let recipe = source.recipe.checked().map_err(one)?;
        return Ok(good(&opened(&recipe)));
    }
    let other = || {
        let problem =
            format!("{name} is no sheet, no recipe, no chart, no drill and no class list");
        let mend = "open a PDF or a text that was saved here, or a list whose first row names its \
             columns, such as name,drill,keys";
        one(Complaint::new(problem).mend(mend))
    };
    let text = roll::text_of(name, &bytes).map_err(|_| other())?;
    if !Roll::of(name, &text, Source::chosen(Settings::default()), (None, Vec::new())).is_one() {
        return Err(other());
    }
    Ok(good(&json!({ "kind": "class", "name": name, "text": text })))
}

fn opened(recipe: &Recipe) -> Value {
    json!({ "kind": "sheet", "choices": chosen::of(&without_library(recipe)) })
}
