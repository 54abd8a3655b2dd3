//! Stands in for the engraving of whole documents until the pipeline has it: blank pages, one
//! for each key, that carry the recipe.

use kurbo::Size;

use crate::page::canvas::{Document, Page};
use crate::pipeline::{PipelineError, template};
use crate::recipe::Recipe;

pub(super) fn document(recipe: &Recipe) -> Result<Document, PipelineError> {
    let page = Page {
        size: Size::new(595.0, 842.0),
        marks: Vec::new(),
        links: Vec::new(),
        label: "1".to_owned(),
    };
    Ok(Document {
        title: template(recipe)?.title,
        author: None,
        language: "en".to_owned(),
        pages: vec![page; recipe.keys.len()],
        outline: Vec::new(),
        pictures: Vec::new(),
        recipe: recipe.to_json(),
    })
}
