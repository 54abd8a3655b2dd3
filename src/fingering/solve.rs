//! The choice of fingers for a whole line: of each figure by itself, and then of what is left.

use super::chain::choose_figures;
use super::costs::{own, prefer};
use super::grips::{Grip, NO_GRIP, beyond};
use super::hand::{HandSize, Measure};
use super::line::{FingeringError, HandStruck, Moment, NONE, moments};
use super::passage::write_runs;
use super::programme::{Joints, Programme};
use super::rules::{Cost, Lever, PER_POINT, Rules};
use super::stretch::in_place;
use crate::score::Hand;

/// Ours: a finger of a run that is not the handbook's, which only given fingers bring about.
const NOT_THE_HANDBOOKS: Cost = 50 * PER_POINT;

/// How a line is fingered.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct HandSpans {
    /// The size of the hand.
    pub size: HandSize,
    /// How distances are judged.
    pub measure: Measure,
}

/// The fingers of a line.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fingering {
    /// For each struck note or chord, a finger for each of its notes, 1 to 5.
    pub fingers: Vec<Vec<u8>>,
    /// The struck notes and chords, by index, that the hand cannot hold together with what else
    /// is down: to be rolled, revoiced, or marked with a caution.
    pub beyond: Vec<usize>,
}

/// Fingers for every note of one hand's line, the least costly over the whole line.
///
/// The line is in order of time; notes that are struck at one moment may stand in one
/// [`HandStruck`] or in several. `figures` says of each whether a figure begins with it, and may be
/// empty, or shorter than the line, where none does. The hand moves to where a figure begins and
/// has the same fingers for it whatever stands beside it, unless one finger would strike two
/// neighbouring keys where figures meet; a dyad that is a figure has one fingering a size. A held
/// note keeps its finger, a repeated one too. Given fingers are kept. What the hand cannot hold gets
/// fingers all the same, and is listed.
///
/// # Errors
///
/// See [`FingeringError`]: its index names the note or chord at fault.
pub fn fingers(
    hand: Hand,
    line: &[HandStruck<'_>],
    figures: &[bool],
    settings: HandSpans,
) -> Result<Fingering, FingeringError> {
    let moments = moments(hand, line)?;
    let rules = Rules::of(settings.size, settings.measure);
    let grips = solve(rules, &moments, figures)?;
    let mut fingering = Fingering { fingers: Vec::with_capacity(line.len()), beyond: Vec::new() };
    let mut at = 0;
    let mut last = None;
    for (index, struck) in line.iter().enumerate() {
        if struck.pitches.is_empty() {
            fingering.fingers.push(Vec::new());
            continue;
        }
        if last.is_some_and(|last| last != struck.at) {
            at += 1;
        }
        last = Some(struck.at);
        let (moment, grip) = (&moments[at], grips[at]);
        let finger = |lever: Lever| moment.place(lever).map_or(0, |place| grip[place] + 1);
        let digits = struck.pitches.iter().map(|pitch| finger(Lever::of(hand, *pitch)));
        fingering.fingers.push(digits.collect());
        if beyond(rules.size, moment.levers(), &grip) > 0 {
            fingering.beyond.push(index);
        }
    }
    Ok(fingering)
}

/// The least costly way of every moment.
fn solve(rules: &Rules, moments: &[Moment], figures: &[bool]) -> Result<Vec<Grip>, FingeringError> {
    if moments.is_empty() {
        return Ok(Vec::new());
    }
    let (wanted, moves) = choose_figures(rules, moments, figures);
    if is_complete(moments, &wanted) {
        return Ok(wanted);
    }
    let nothing = vec![NO_GRIP; moments.len()];
    let mut runs = nothing.clone();
    write_runs(moments, &moves, &mut runs);
    let in_place = in_place(rules.size, moments, &moves);
    let joints = Joints { moves: &moves, in_place: &in_place };
    let run = |wanted: &[Grip]| {
        Programme::run(rules, moments, joints, |at| {
            let mut costs = own(rules, moments, at, &wanted[at]);
            prefer(&mut costs, &runs[at], NOT_THE_HANDBOOKS);
            costs
        })
    };
    // What is held from figure to figure may leave a figure without its own fingers.
    let programme = run(&wanted).or_else(|_| run(&nothing))?;
    Ok(programme.best().0)
}

/// Whether every key has its finger, and keeps it while it is held.
fn is_complete(moments: &[Moment], wanted: &[Grip]) -> bool {
    let has_fingers = |(at, moment): (usize, &Moment)| {
        let keeps = |place: usize| {
            let finger = wanted[at][place];
            let held = usize::from(moment.held[place]);
            let is_given = moment.fixed[place] == NONE || moment.fixed[place] == finger;
            finger != NONE
                && is_given
                && (moment.held[place] == NONE || wanted[at - 1][held] == finger)
        };
        (0..moment.count).all(keeps)
    };
    moments.iter().enumerate().all(has_fingers)
}
