//! Sheets with their tracks beside them: the tracks are made first, so that the sheet can name them.

use super::Answer;
use super::commission;
use super::errand::Errand;
use super::outlet::{Companion, Outlet};
use super::playalong::{self, Beside};
use crate::recipe::Form;
use crate::recipe::fields::{FieldValue, TEXT_LIMIT};
use crate::source::{Complaint, RecipeField as Field};

/// Makes what an errand asks for, and tracks of the same drills in the same keys.
///
/// Errors as [`commission::make`] does, and with what cannot be played.
pub(crate) fn make(errand: &Errand<'_>, tracks: &[Companion]) -> Result<Answer, Complaint> {
    if tracks.is_empty() {
        return commission::make(errand);
    }
    if errand.form == Form::Review {
        let complaint = Complaint::new("a review has no notes to play");
        return Err(complaint.mend("make a workbook or a handout of its drills"));
    }
    let asked = [errand.companions, tracks].concat();
    let outlets = asked.iter().map(|companion| &companion.outlet).chain(errand.output);
    if outlets.filter(|outlet| **outlet == Outlet::Stdout).count() > 1 {
        let complaint = Complaint::new("standard output takes one file, and two are to go there");
        return Err(complaint.mend("give one of them a name"));
    }
    let mut all = Answer::default();
    let (mut names, mut remarks, mut says_own) = (Vec::new(), Vec::new(), false);
    for track in tracks {
        let Beside { answer, name, remarks: own, names_tracks } = playalong::beside(errand, track)?;
        all.said.extend(answer.said);
        all.sheet = answer.sheet.or(all.sheet.take());
        names.extend(name);
        remarks = own;
        says_own = names_tracks;
    }
    let has_more =
        errand.output.is_some() || errand.pictures.is_some() || !errand.companions.is_empty();
    if !has_more {
        all.said.extend(remarks);
        return Ok(all);
    }
    let mut typed = errand.typed.clone();
    let names = names.join(", ");
    // A name that is longer than the foot of a sheet has room for is left out.
    if !says_own && !names.is_empty() && names.chars().count() <= TEXT_LIMIT {
        typed.settings.set(Field::Tracks, FieldValue::Text(names));
    }
    let pictures = errand.pictures.clone();
    let made = commission::make(&Errand {
        typed: &typed,
        recipe: errand.recipe.clone(),
        pictures,
        ..*errand
    })?;
    all.said.extend(made.said);
    all.sheet = made.sheet.or(all.sheet.take());
    Ok(all)
}
