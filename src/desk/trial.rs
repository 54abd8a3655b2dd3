//! Laying a drill out on trial, so that what no page can hold is found when it is judged and not
//! when it is printed.

use crate::book::PageError;
use crate::desk::pipeline::{self, KnownDrill, PipelineError};
use crate::drill::{Template, library};
use crate::recipe::{CourseDrill, OwnSettings, Paper, Recipe, line_of_field};
use crate::source::{Complaint, Field, Place};

/// What pages refuse of a drill whose text has been judged: by itself in every key of a workbook,
/// and in a course, whose pages have other places for its words; on the papers of usual size.
pub(crate) fn refusals(text: &str, template: &Template, origin: &str) -> Vec<Complaint> {
    let mut found: Vec<Complaint> = Vec::new();
    let name = template.name.clone();
    let (own, template) = (OwnSettings::default(), template.clone());
    let own = KnownDrill { name, text: text.to_owned(), template, own };
    let pair = match in_course(&own) {
        Ok(pair) => pair,
        Err(error) => return vec![located(error, text, origin)],
    };
    for paper in [Paper::A4, Paper::Letter] {
        for (recipe, drills) in [alone(&own), pair.clone()] {
            let recipe = Recipe { paper, ..recipe };
            let document = pipeline::commission_of(&recipe, drills)
                .and_then(|commission| commission.document());
            let Err(error) = document else { continue };
            let refusal = located(error, text, origin);
            if !found.contains(&refusal) {
                found.push(refusal);
            }
        }
    }
    found.sort_by_key(Complaint::line);
    found
}

/// A recipe and its drills.
type RecipeTrial = (Recipe, Vec<KnownDrill>);

fn alone(own: &KnownDrill) -> RecipeTrial {
    let recipe = Recipe { drill: own.name.clone(), ..Recipe::default() };
    (recipe, vec![own.clone()])
}

/// A course in one key of the drill and another one, since only among several does a drill have
/// a page that opens it.
fn in_course(own: &KnownDrill) -> Result<RecipeTrial, PipelineError> {
    let other = library::all().find(|(name, _)| *name != own.name);
    let other = other.map(|(name, text)| KnownDrill::read(name, text, name)).transpose()?;
    let drills: Vec<KnownDrill> = [own.clone()].into_iter().chain(other).collect();
    let course = drills.iter().map(|drill| CourseDrill::named(&drill.name)).collect();
    let keys = Recipe::default().keys.into_iter().take(1).collect();
    Ok((Recipe { drill: String::new(), course, keys, ..Recipe::default() }, drills))
}

/// The error with the line of the field that it is about, if it is about one.
pub(crate) fn located(error: PipelineError, text: &str, origin: &str) -> Complaint {
    let complaint = Complaint::from(match error {
        // The text is that of the drill.
        PipelineError::Page(PageError::InDrill { error, .. }) => PipelineError::Page(*error),
        other => other,
    });
    // What the recipe says in place of the drill's own words is not in this text.
    let field = complaint.field.filter(|field| matches!(field, Field::DrillField(_)));
    let line = field.and_then(|field| line_of_field(text, field));
    complaint.at(Place::line(origin, line))
}
