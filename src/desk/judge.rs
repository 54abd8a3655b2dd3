//! Judging a drill file: everything that is wrong with it, or what it is.

use std::path::Path;

use super::source::is_recipe;
use super::{files, over, trial};
use crate::drill::{Template, library};
use crate::recipe::LARGEST_TEMPLATE;
use crate::source::{Advice, AdvicePart, Complaint, RecipeField};

/// A file that is a drill.
pub(crate) struct Judged {
    /// The drill.
    pub(crate) template: Template,
    /// Whether the library has another drill of its name.
    pub(crate) is_namesake: bool,
}

/// Judges the drill file at a path.
pub(crate) fn judge(file: &Path) -> Result<Judged, Vec<Complaint>> {
    let text = read(file).map_err(|complaint| vec![complaint])?;
    let over = over::with_tunes(&text, file).map_err(|complaint| vec![complaint])?;
    match over {
        Some(text) => judge_text(&text, &over::named(file)),
        None => judge_text(&text, &file.display().to_string()),
    }
}

/// Judges the text of a drill, which is called `name`.
pub(crate) fn judge_text(text: &str, name: &str) -> Result<Judged, Vec<Complaint>> {
    if is_recipe(text) {
        let complaint = Complaint::new(format!("{name} is a recipe and no drill file"));
        let mend = Advice::words("to print it write ").part(AdvicePart::Workbook(name.to_owned()));
        return Err(vec![complaint.mend(mend)]);
    }
    let template = Template::judge(text, name)?;
    let refusals = trial::refusals(text, &template, name);
    if !refusals.is_empty() {
        return Err(refusals);
    }
    let is_namesake = library::find(&template.name).is_some_and(|own| own != text);
    Ok(Judged { template, is_namesake })
}

/// The text of a drill file. What is plainly something else is told so before it is weighed.
fn read(file: &Path) -> Result<String, Complaint> {
    let head = files::head(file)?;
    let other = if head.starts_with(b"%PDF") {
        Some(("a PDF", Advice::words("name the text in TOML that describes the drill")))
    } else if head.starts_with(b"\x89PNG") || head.starts_with(b"\xff\xd8") {
        let mend = Advice::words("to print it on sheets write ");
        Some(("a picture", mend.give(RecipeField::Logo, file.display().to_string())))
    } else {
        None
    };
    if let Some((what, mend)) = other {
        let problem = format!("{} is {what} and no drill file", file.display());
        return Err(Complaint::new(problem).mend(mend));
    }
    let bytes = files::read(file, LARGEST_TEMPLATE as u64)?;
    files::text(file, bytes)
}
