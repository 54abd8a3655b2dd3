//! What a sheet has otherwise than it was written, and why: told with the sheet, so that nothing
//! is changed in silence.

use super::errand::Origin;
use super::keys;
use crate::recipe::{AskedKey, Level, Recipe};
use crate::source::{Advice, RecipeField as Field};
use crate::theory::Mode;

/// What is to be said of a `made` recipe and of the keys that were `asked` for, a line each.
pub(crate) fn remarks(
    origin: Origin<'_>,
    asked: &[AskedKey],
    made: &Recipe,
    drills: &[(String, Mode)],
) -> Vec<Advice> {
    let keys = || keys::written_otherwise(asked, drills);
    let keys = origin.is_written(Field::Keys).then(keys).flatten();
    let said = [keys, of_level(origin, made), of_goal(origin, made)];
    said.into_iter().flatten().map(Advice::words).collect()
}

/// A level that was typed sets fields that the recipe file gives.
fn of_level(origin: Origin<'_>, made: &Recipe) -> Option<String> {
    let (source, level) = (origin.source, made.shown(Field::Level)?);
    if !origin.is_typed(Field::Level) || source.is_sheet() {
        return None;
    }
    let is_covered = |field: &&Field| source.gives(**field) && !origin.is_typed(**field);
    let change = |field: &Field| {
        let (old, new) = (source.recipe.shown(*field)?, made.shown(*field)?);
        (old != new).then(|| format!("{field} {new} in place of {old}"))
    };
    let changes: Vec<String> = Level::FIELDS.iter().filter(is_covered).filter_map(change).collect();
    let recipe = source.name();
    (!changes.is_empty()).then(|| {
        format!("the level {level}, which was typed, wins over {recipe}: {}", changes.join(", "))
    })
}

/// A goal that the tempo has passed moves up with it.
fn of_goal(origin: Origin<'_>, made: &Recipe) -> Option<String> {
    let (old, new) = (origin.source.recipe.goal?, made.goal?);
    let is_moved = old != new && !origin.is_typed(Field::Goal);
    let tempo = made.tempo;
    is_moved.then(|| format!("the goal of {old} moves up to {new}, since the tempo is {tempo}"))
}
