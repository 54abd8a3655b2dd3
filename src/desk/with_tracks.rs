//! Sheets with their tracks beside them: the tracks are made first, so that the sheet can name them,
//! and nothing has its place before everything is made.

use super::Answer;
use super::commission;
use super::errand::Errand;
use super::outlet::{Companion, Outlet};
use super::placed::PlacedFiles;
use super::playalong::{self, Rungs};
use crate::recipe::DocumentForm;
use crate::recipe::fields::{FieldValue, TEXT_LIMIT};
use crate::source::{Complaint, RecipeField as Field};

/// Makes what an errand asks for, and tracks of the same drills in the same keys, for some rungs of
/// the ladder. Nothing is written before all of it is made.
///
/// Errors as [`commission::make`] does, and with what cannot be played.
pub(crate) fn make(
    errand: &Errand<'_>,
    tracks: &[Companion],
    rungs: &[Rungs],
) -> Result<Answer, Complaint> {
    if tracks.is_empty() {
        return commission::make(errand);
    }
    if errand.form == DocumentForm::Review {
        let complaint = Complaint::new("a review has no notes to play");
        return Err(complaint.mend("make a workbook or a handout of its drills"));
    }
    let asked = [errand.companions, tracks].concat();
    let outlets = asked.iter().map(|companion| &companion.outlet).chain(errand.output);
    if outlets.filter(|outlet| **outlet == Outlet::Stdout).count() > 1 {
        let complaint = Complaint::new("standard output takes one file, and two are to go there");
        return Err(complaint.mend("give one of them a name"));
    }
    let (mut waiting, mut names) = (Vec::new(), Vec::new());
    let (mut remarks, mut says_own) = (Vec::new(), false);
    for track in tracks {
        let beside = playalong::beside(errand, track, rungs)?;
        waiting.push(beside.tracks);
        names.extend(beside.name);
        remarks = beside.remarks;
        says_own = beside.names_tracks;
    }
    let has_more =
        errand.output.is_some() || errand.pictures.is_some() || !errand.companions.is_empty();
    let sheet = has_more.then(|| {
        let mut typed = errand.typed.clone();
        let names = names.join(", ");
        // A name that is longer than the foot of a sheet has room for is left out.
        if !says_own && !names.is_empty() && names.chars().count() <= TEXT_LIMIT {
            typed.settings.set(Field::Tracks, FieldValue::Text(names));
        }
        let pictures = errand.pictures.clone();
        let recipe = errand.recipe.clone();
        commission::prepared(&Errand { typed: &typed, recipe, pictures, ..*errand })
    });
    let sheet = sheet.transpose()?;
    let mut all = Answer::default();
    let mut add = |answer: Answer| {
        all.said.extend(answer.said);
        all.sheet = answer.sheet.or(all.sheet.take());
    };
    let mut placed = PlacedFiles::default();
    for tracks in waiting {
        add(tracks.put_among(&mut placed)?);
    }
    match sheet {
        Some(sheet) => add(sheet.put_among(&mut placed)?),
        None => all.said.extend(remarks),
    }
    Ok(all)
}
