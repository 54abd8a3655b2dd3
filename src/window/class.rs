//! A class: its list as a table, the sheet of each student, all of them at once, next week's list.

use serde_json::{Map, Value, json};

use super::reply::{MadeReply, good};
use super::sheet::{file, number, page_of, text, typed, waiting};
use super::state::WindowState;
use super::words;
use crate::desk::class::row::{RowDay, checked_date};
use crate::desk::show::roll::{Roll, RollChange, RollRow, RollTable, Wrong};
use crate::desk::source::Source;
use crate::source::Complaint;

/// What the day for all rows stands at.
const DATE: &str = "date";

/// The list that was handed in, over what was chosen for all.
fn roll<'a>(asked: &'a Map<String, Value>) -> Result<Roll<'a>, Vec<Complaint>> {
    roll_of(asked, text(asked, "text"))
}

fn roll_of<'a>(asked: &'a Map<String, Value>, list: &str) -> Result<Roll<'a>, Vec<Complaint>> {
    let base = Source::chosen(typed(asked)?.settings);
    let day = text(asked, DATE);
    if !day.trim().is_empty() {
        checked_date(day).map_err(|complaint| vec![complaint])?;
    }
    let day = (!day.trim().is_empty()).then_some(RowDay { text: day.trim(), option: DATE });
    let own = asked.get("own").and_then(Value::as_array).map_or(&[][..], Vec::as_slice);
    let own = own.iter().filter_map(Value::as_str).map(str::to_owned).collect();
    Ok(Roll::of(text(asked, "name"), list, base, (day, own)))
}

/// The list as a table, after a change where one was asked for.
pub(super) fn table(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    let one = |complaint: Complaint| vec![complaint];
    let first = roll(asked)?;
    let change = asked.get("change").and_then(Value::as_object);
    let changed = match change {
        None => text(asked, "text").to_owned(),
        Some(change) if change.contains_key("student") => {
            let name = text(change, "student");
            first.changed(&RollChange::Student { name }).map_err(one)?
        }
        Some(change) if change.contains_key("without") => {
            let row = number(change, "without");
            first.changed(&RollChange::Without { row }).map_err(one)?
        }
        Some(change) => {
            let cell = RollChange::Cell {
                row: number(change, "row"),
                head: text(change, "head"),
                words: text(change, "words"),
            };
            first.changed(&cell).map_err(one)?
        }
    };
    let RollTable { heads, rows, wrong } = roll_of(asked, &changed)?.table();
    let row = |RollRow { place, cells, sheet }: RollRow| {
        let sheet = sheet.map(|[name, drill, keys, tempo]| {
            json!({ "name": name, "drill": drill, "keys": keys, "tempo": tempo })
        });
        json!({ "place": place, "cells": cells, "sheet": sheet })
    };
    let wrong = wrong.iter().map(fault);
    Ok(good(&json!({
        "text": changed,
        "heads": heads,
        "rows": rows.into_iter().map(row).collect::<Vec<_>>(),
        "faults": wrong.collect::<Vec<_>>(),
    })))
}

/// What is wrong with a list, with the cell that it is about.
fn fault(Wrong { cell: (row, head), complaint }: &Wrong) -> Value {
    let mut fault = words::fault_of_list(complaint);
    fault["row"] = json!(row);
    fault["head"] = json!(head);
    fault
}

/// What keeps something from being made of a list, told of the students whom it concerns.
fn refused(asked: &Map<String, Value>, wrong: Vec<Complaint>) -> MadeReply {
    let roll = roll(asked)?;
    let faults = wrong.into_iter().map(|complaint| fault(&roll.located(complaint)));
    Ok(good(&json!({ "refused": faults.collect::<Vec<_>>() })))
}

/// A page of a student's sheet.
pub(super) fn sheet(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    let roll = roll(asked)?;
    let page = number(asked, "page");
    let shown = roll.with_sheet(number(asked, "row"), |view| page_of(view, page));
    shown.map(|page| good(&page)).map_err(|complaint| vec![complaint])
}

/// A student's sheet as a file.
pub(super) fn pdf(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    let roll = roll(asked)?;
    let made = roll.with_sheet(number(asked, "row"), |view| view.printed());
    made.map(|bytes| file("application/pdf", bytes)).map_err(|complaint| vec![complaint])
}

/// Everybody's sheets in one file.
pub(super) fn all(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    let the_rest = asked.get("rest").and_then(Value::as_bool).unwrap_or(false);
    match roll(asked)?.made(the_rest) {
        Ok((all, _)) => Ok(file("application/zip", waiting(all)?)),
        Err(wrong) => refused(asked, wrong),
    }
}

/// The list of next week.
pub(super) fn next(_: &WindowState, asked: &Map<String, Value>) -> MadeReply {
    /// More beats would be no step from week to week.
    const MOST: usize = 100;
    let faster = number(asked, "faster");
    let Some(faster) = u16::try_from(faster).ok().filter(|_| (1..=MOST).contains(&faster)) else {
        let complaint = Complaint::new(format!("they cannot be {faster} beats faster"));
        return Err(vec![complaint.mend(format!("write a whole number from 1 to {MOST}"))]);
    };
    let (text, said) = match roll(asked)?.next(faster) {
        Ok(made) => made,
        Err(wrong) => return refused(asked, wrong),
    };
    let said: Vec<String> = said.iter().map(words::remark).collect();
    Ok(good(&json!({ "text": text, "said": said })))
}
