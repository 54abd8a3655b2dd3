//! What a sheet has otherwise than it was written, and why: told with the sheet, so that nothing
//! is changed in silence.

use super::errand::Origin;
use super::keys;
use super::pipeline::{Commission, OwnKeys};
use crate::book::Book;
use crate::recipe::{CourseDrill, DocumentForm, Level, Recipe};
use crate::source::{Advice, RecipeField as Field};
use crate::theory::Mode;

/// Most drills that are told one by one.
const MOST_TOLD: usize = 4;

/// What is to be said of what an `asked` recipe has become, a line each. Drills are those that share
/// the keys of the recipe, and the keys of those that have their own.
pub(crate) fn remarks(
    origin: Origin<'_>,
    asked: &Recipe,
    (sharing, own): (&[(String, Mode)], &[OwnKeys]),
    commission: &Commission,
) -> Vec<Advice> {
    let made = &commission.recipe;
    let shared = || keys::written_otherwise(&asked.keys, sharing);
    let mut said: Vec<String> =
        origin.is_written(Field::Keys).then(shared).flatten().into_iter().collect();
    if !origin.source.is_sheet() {
        for (keys, drill) in own {
            let told = keys::written_otherwise(keys, drill);
            said.extend(told.filter(|told| !said.contains(told)));
        }
    }
    said.extend(of_level(origin, made));
    said.extend(of_goal(origin, made));
    said.extend(of_own_tempi(origin, asked));
    said.extend(of_boxes(commission));
    said.extend(of_order(origin, commission, !sharing.is_empty()));
    said.into_iter().map(Advice::words).collect()
}

/// A tempo that was typed moves those that drills have of their own.
fn of_own_tempi(origin: Origin<'_>, asked: &Recipe) -> Option<String> {
    let old = &origin.source.recipe;
    let by = i32::from(asked.tempo) - i32::from(old.tempo);
    if by == 0 || !origin.is_typed(Field::Tempo) {
        return None;
    }
    let moved = |(before, after): (&CourseDrill, &CourseDrill)| {
        let (from, to) = (before.own.tempo_in(old), after.own.tempo_in(asked));
        after.own.has_tempo().then(|| format!("{} from {from} to {to}", after.drill))
    };
    let each: Vec<String> = old.course.iter().zip(&asked.course).filter_map(moved).collect();
    let (shown, rest) = each.split_at(each.len().min(MOST_TOLD));
    let more = if rest.is_empty() { String::new() } else { format!(" and {} more", rest.len()) };
    let way = if by > 0 { "up" } else { "down" };
    (!each.is_empty()).then(|| {
        let (by, shown) = (by.abs(), shown.join(", "));
        format!("drills with a tempo of their own go {way} by {by} too: {shown}{more}")
    })
}

/// A review with more boxes than there is to ask.
fn of_boxes(commission: &Commission) -> Option<String> {
    let boxes = commission.book.boxes.filter(|_| commission.book.form == DocumentForm::Review)?;
    let pairs: usize = commission.course.exercises.iter().map(|exercise| exercise.keys.len()).sum();
    (boxes > pairs).then(|| match pairs {
        1 => {
            format!("there is only one drill in one key to ask for, so all {boxes} boxes are alike")
        }
        _ => format!(
            "there are only {pairs} different boxes, a drill in a key each, so some of the {boxes} \
             are alike"
        ),
    })
}

/// An order of keys that was typed where there is nothing to put in order.
fn of_order(origin: Origin<'_>, commission: &Commission, is_shared: bool) -> Option<String> {
    if !origin.is_typed(Field::Order) {
        return None;
    }
    match (is_shared, commission.recipe.keys.len()) {
        (true, 0 | 1) => Some("the order changes nothing, since there is one key".to_owned()),
        (true, _) => None,
        (false, _) => Some(
            "the order changes nothing, since each drill has keys of its own, in their own order"
                .to_owned(),
        ),
    }
}

/// A practice log that was typed for every so many sheets, of which a book has too few.
pub(crate) fn of_log(
    origin: Origin<'_>,
    commission: &Commission,
    book: &Book<'_>,
) -> Option<Advice> {
    let every = commission.book.log_every.filter(|_| origin.is_typed(Field::LogEvery))?;
    let there = match book.sheets() {
        1 => "there is one sheet".to_owned(),
        sheets => format!("there are {sheets} sheets"),
    };
    (!book.has_log()).then(|| {
        Advice::words(format!("{there}, so no page of the practice log comes after every {every}"))
    })
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
