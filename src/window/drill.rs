//! A drill of the teacher's own: what the judge says of its text, and how it looks.

use serde_json::{Map, Value, json};

use super::reply::{MadeReply, good};
use super::sheet::{page_of, text};
use super::state::WindowState;
use super::words;
use crate::desk::errand::Typed;
use crate::desk::show::view::SheetView;
use crate::desk::source::Source;
use crate::desk::{Judged, judge_text};
use crate::drill::library;
use crate::recipe::fields::FieldValue;
use crate::recipe::{AskedKey, DocumentForm, Settings, Spelling};
use crate::source::word::known;
use crate::source::{Complaint, RecipeField as Field};

/// What the text is called in complaints.
const NAME: &str = "the drill";

/// The text of a drill of the library, to start from.
pub(super) fn library(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    match library::find(text(asked, "name")) {
        Some(text) => Ok(good(&json!({ "text": text }))),
        None => {
            let complaint = Complaint::new("the library has no drill of that name");
            Err(vec![complaint.mend("choose one of the list")])
        }
    }
}

/// All that is wrong with a text; or, where nothing is, what the drill is, how its page looks in
/// the first key of the round, and in the one that has most signs before its notes.
pub(super) fn judged(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    let text = text(asked, "text");
    let Judged { template, is_namesake } = match judge_text(text, NAME) {
        Ok(judged) => judged,
        Err(wrong) => {
            let faults: Vec<Value> = wrong.iter().map(words::fault).collect();
            return Ok(good(&json!({ "faults": faults })));
        }
    };
    let bars = template.bars();
    let mut said = vec![format!(
        "{} is a drill: {bars} bars of {}, {}.",
        template.title,
        template.metre,
        template.mode.words()
    )];
    if is_namesake {
        let words = "The library has another drill of that name; give yours a name of its own.";
        said.push(words.to_owned());
    }
    let one = |complaint: Complaint| vec![complaint];
    let source = Source::chosen(Settings::default());
    let mut hardest: Option<(usize, AskedKey)> = None;
    let keys = AskedKey::round(Spelling::Customary);
    for key in keys {
        let typed = in_key(&template.name, text, key);
        let signs = SheetView::of(&source, &typed).and_then(|view| view.signs()).map_err(one)?;
        if hardest.is_none_or(|(most, _)| signs > most) {
            hardest = Some((signs, key));
        }
    }
    let hardest = hardest.map_or(keys[0], |(_, key)| key);
    let mut pages = Vec::new();
    for key in [keys[0], hardest] {
        let typed = in_key(&template.name, text, key);
        let view = SheetView::of(&source, &typed).map_err(one)?;
        pages.push(page_of(&view, 0).map_err(one)?);
    }
    Ok(good(&json!({
        "faults": [],
        "said": said,
        "name": template.name,
        "title": template.title,
        "pages": pages,
        "keys": [keys[0].tonic().to_string(), hardest.tonic().to_string()],
    })))
}

/// A handout of a drill in a key.
fn in_key(name: &str, text: &str, key: AskedKey) -> Typed {
    let mut typed = Typed::default();
    let handout =
        known::<DocumentForm>().iter().copied().find(|word| *word == DocumentForm::Handout.word());
    for (field, value) in [
        (Field::Form, handout.map(FieldValue::Word)),
        (Field::Drill, Some(FieldValue::Text(name.to_owned()))),
        (Field::Template, Some(FieldValue::Text(text.to_owned()))),
        (Field::Keys, Some(FieldValue::Keys(vec![key]))),
    ] {
        if let Some(value) = value {
            typed.settings.set(field, value);
        }
    }
    typed
}
