//! What is to be said, in the words of a page.

use serde_json::{Value, json};

use crate::desk::show::roll::head_of;
use crate::recipe::fields::{FieldKind, row};
use crate::source::{Advice, AdvicePart, Complaint, Field, Place, RecipeField, plain};

/// What a field is called on the page.
pub(super) fn label(field: RecipeField) -> String {
    let words = field.name().replace(['-', '_'], " ");
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// A complaint with the field that it stands at and the line, if it is about a text with lines.
pub(super) fn fault(complaint: &Complaint) -> Value {
    fault_told(complaint, chosen)
}

/// The same of a list, whose fields are columns.
pub(super) fn fault_of_list(complaint: &Complaint) -> Value {
    fault_told(complaint, |part| match part {
        AdvicePart::Give { field, bare, .. } => {
            Some(format!("{} in the column {}", plain_value(bare), head_of(*field)?))
        }
        other => chosen(other),
    })
}

fn fault_told(complaint: &Complaint, told: impl Fn(&AdvicePart) -> Option<String>) -> Value {
    let field = match complaint.field {
        Some(Field::RecipeField(field)) => Some(field.name()),
        _ => None,
    };
    let place = match &complaint.place {
        Place::Typed(place) => Some(place),
        Place::Untold | Place::Text { .. } => None,
    };
    let words = sentence_told(complaint, told);
    json!({ "field": field, "line": complaint.line(), "place": place, "words": words })
}

/// A complaint in a sentence: what and how to mend it, since it is told where it is.
pub(super) fn sentence(complaint: &Complaint) -> String {
    sentence_told(complaint, chosen)
}

fn sentence_told(complaint: &Complaint, told: impl Fn(&AdvicePart) -> Option<String>) -> String {
    let mend = complaint.mend.as_ref().map(|mend| format!("; {}", mend.told(told)));
    let words = format!("{}{}", complaint.problem, mend.unwrap_or_default());
    let end = if words.ends_with(['?', '.']) { "" } else { "." };
    plain::line(&format!("{words}{end}"))
}

/// What is told of a sheet.
pub(super) fn remark(advice: &Advice) -> String {
    plain::line(&advice.told(chosen))
}

/// A part of an advice as the page has it; nothing for words that are the same everywhere.
fn chosen(part: &AdvicePart) -> Option<String> {
    Some(match part {
        AdvicePart::Give { field, bare, .. } => {
            let bare = plain_value(bare);
            match (row(*field).kind, bare.as_str()) {
                (FieldKind::Flag, "false") => format!("{} off", label(*field)),
                (FieldKind::Flag, _) => format!("{} on", label(*field)),
                _ => format!("{bare} at {}", label(*field)),
            }
        }
        _ => return None,
    })
}

/// A value without the signs of a list.
fn plain_value(bare: &str) -> String {
    bare.trim_matches(['[', ']']).replace('"', "")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mend_is_told_by_the_names_on_the_page() {
        let complaint = Complaint::of(RecipeField::Staff, "it has no room");
        let mend = Advice::words("write ").give(RecipeField::KeysAPage, 2);
        let complaint = complaint.mend(mend);
        let fault = fault(&complaint);
        assert_eq!(fault["field"], "staff");
        assert_eq!(fault["words"], "it has no room; write 2 at Keys a page.");
        assert_eq!(label(RecipeField::LeaveOut), "Leave out");
        let fault = fault_of_list(&complaint);
        assert_eq!(fault["words"], "it has no room; write 2 in the column keys-a-page.");
    }

    #[test]
    fn a_question_ends_with_its_own_mark() {
        let complaint = Complaint::new("unknown drill `pusht`").mend("did you mean `pushed`?");
        assert_eq!(sentence(&complaint), "unknown drill `pusht`; did you mean `pushed`?");
    }
}
