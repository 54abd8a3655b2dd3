//! Laying a drill out on trial, so that what no page can hold is found when it is judged and not
//! when it is printed.

use crate::book::PageError;
use crate::desk::pipeline::{self, PipelineError};
use crate::drill::{Template, library};
use crate::recipe::{CourseDrill, Paper, Recipe, line_of_field};
use crate::source::{Complaint, Field, Place};

/// What pages refuse of a drill whose text has been judged: by itself in every key of a workbook,
/// and in a course, whose pages have other places for its words; on the papers of usual size.
pub(crate) fn refusals(text: &str, template: &Template, origin: &str) -> Vec<Complaint> {
    let mut found: Vec<Complaint> = Vec::new();
    for paper in [Paper::A4, Paper::Letter] {
        for recipe in [alone(text, template, paper), in_course(text, template, paper)] {
            let Err(error) = pipeline::document(&recipe) else { continue };
            let refusal = located(error, text, origin);
            if !found.contains(&refusal) {
                found.push(refusal);
            }
        }
    }
    found.sort_by_key(Complaint::line);
    found
}

fn alone(text: &str, template: &Template, paper: Paper) -> Recipe {
    Recipe {
        drill: template.name.clone(),
        template: Some(text.to_owned()),
        paper,
        ..Recipe::default()
    }
}

/// A course in one key of the drill and another one, since only among several does a drill have
/// a page that opens it.
fn in_course(text: &str, template: &Template, paper: Paper) -> Recipe {
    let own = CourseDrill { drill: template.name.clone(), template: Some(text.to_owned()) };
    let other = library::all().map(|(name, _)| name).find(|name| *name != template.name);
    let course = [own].into_iter().chain(other.map(CourseDrill::named)).collect();
    let keys = Recipe::default().keys.into_iter().take(1).collect();
    Recipe { drill: String::new(), course, keys, paper, ..Recipe::default() }
}

/// The error with the line of the field that it is about, if it is about one.
pub(crate) fn located(error: PipelineError, text: &str, origin: &str) -> Complaint {
    let error = match error {
        PipelineError::Page(PageError::InDrill { error, .. }) => PipelineError::Page(*error),
        other => other,
    };
    let field = match &error {
        PipelineError::Page(error) => error.field(),
        _ => None,
    };
    // What the recipe says in place of the drill's own words is not in this text.
    let field = field.filter(|field| matches!(field, Field::DrillField(_)));
    let line = field.and_then(|field| line_of_field(text, field));
    Complaint::new(error.to_string()).at(Place::line(origin, line))
}
