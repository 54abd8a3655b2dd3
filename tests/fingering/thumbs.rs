//! The thumb and black keys, and figures that come again, in every drill, key and hand.

use std::collections::{BTreeMap, BTreeSet};

use quintfall::fingering::HandSize;
use quintfall::score::{Hand, Ticks};

use crate::joins::crosses;
use crate::library::{Found, Struck, add, is_black, lines, lines_of, told};
use crate::running;

/// Semitones of the widest scale step, that of the harmonic minor scale.
const WIDEST_STEP: i32 = 3;
/// Semitones of a step.
const STEP: i32 = 2;
/// Keys of a run that are more than a position has.
const RUN: usize = 6;

/// The single notes of a figure that go one way, each a touch of a key by a finger.
fn runs(figure: &[Struck]) -> Vec<Vec<(i32, u8)>> {
    let mut runs: Vec<Vec<(i32, u8)>> = Vec::new();
    for joined in figure.chunk_by(|a, b| a.end == b.at && a.notes.len() == 1 && b.notes.len() == 1)
    {
        let notes: Vec<(i32, u8)> = joined.iter().filter_map(Struck::alone).collect();
        let mut run: Vec<(i32, u8)> = Vec::new();
        for note in notes {
            if let [.., before, last] = *run
                && (last.0 - before.0).signum() != (note.0 - last.0).signum()
            {
                runs.push(std::mem::replace(&mut run, vec![last]));
            }
            run.push(note);
        }
        runs.push(run);
    }
    runs
}

#[test]
fn the_thumb_stands_on_no_black_key_of_a_scale() {
    for size in HandSize::ALL {
        let mut found = Found::new();
        let mut count = 0;
        for line in lines_of(size) {
            for figure in line.figures() {
                for run in runs(figure) {
                    let is_scale =
                        run.windows(2).all(|pair| (pair[1].0 - pair[0].0).abs() <= WIDEST_STEP);
                    // Before the first white key no more than three are played without it.
                    let from_thumb =
                        |(key, _): &(i32, u8)| if line.hand == Hand::Right { *key } else { -key };
                    let mut keys: Vec<(i32, u8)> = run.clone();
                    keys.sort_by_key(from_thumb);
                    let begins_black = keys.iter().take(4).all(|(key, _)| is_black(*key));
                    if begins_black
                        || run.len() < RUN
                        || !is_scale
                        || run.iter().all(|(key, _)| is_black(*key))
                    {
                        continue;
                    }
                    count += 1;
                    if run.iter().any(|(key, finger)| *finger == 1 && is_black(*key)) {
                        add(&mut found, &line, figure[0].at, &format!("{run:?}"));
                    }
                }
            }
        }
        println!("{count} runs, {size:?}");
        assert!(count > 0);
        assert_eq!(told("with the thumb on a black key", &found), 0);
    }
}

/// Neither does a finger pass over it there.
#[test]
fn the_thumb_passes_onto_no_black_key_where_a_white_one_can_take_it() {
    let mut found = Found::new();
    let mut count = 0;
    for line in HandSize::ALL.into_iter().flat_map(lines_of) {
        for figure in line.figures() {
            for run in runs(figure) {
                for pair in run.windows(2) {
                    let [(a, f), (b, g)] = [pair[0], pair[1]];
                    let outward = if line.hand == Hand::Right { b - a } else { a - b };
                    if (outward > 0) == (g > f) || f > 1 && g > 1 {
                        continue;
                    }
                    count += 1;
                    let thumb = if f == 1 { a } else { b };
                    if is_black(thumb) && !run.iter().all(|(key, _)| is_black(*key)) {
                        add(&mut found, &line, figure[0].at, &format!("{run:?}"));
                    }
                }
            }
        }
    }
    println!("{count} passes");
    assert_eq!(told("with the thumb on a black key", &found), 0);
}

/// Whether two single notes that follow at once meet in one finger on two keys, or crossed over a step.
fn meets_badly(hand: Hand, from: &Struck, to: &Struck, [f, g]: [u8; 2]) -> bool {
    let (Some((one, _)), Some((other, _))) = (from.alone(), to.alone()) else { return false };
    let is_near = from.end == to.at && one != other;
    let crosses = (one - other).abs() <= STEP && crosses(hand, (one, f), (other, g));
    is_near && (crosses || f == g && (one - other).abs() < 12)
}

/// Five chord tones in thirds, up to a ninth: each finger has its tone, unless it would then meet what
/// stands beside it in one finger, or crossed over a step.
#[test]
fn a_ninth_chord_lies_under_five_fingers() {
    let (mut found, mut for_neighbours) = (Found::new(), Found::new());
    let mut count = 0;
    for line in lines() {
        let figures = line.figures();
        let under_five: Vec<Option<Vec<u8>>> =
            figures.iter().map(|figure| under_five(line.hand, figure)).collect();
        // By any of its notes: its own fingers, or those of a ninth.
        let fingers = |place: usize, at: usize| {
            let own = figures[place][at].notes[0].1;
            [own, under_five[place].as_ref().map_or(own, |fingers| fingers[at])]
        };
        for (place, figure) in figures.iter().enumerate() {
            let Some(usual) = &under_five[place] else { continue };
            count += 1;
            let own: Vec<u8> = figure.iter().flat_map(Struck::fingers).collect();
            if own == *usual {
                continue;
            }
            let last = figure.len() - 1;
            let after = figures.get(place + 1).is_some_and(|next| {
                let fingers = fingers(place + 1, 0);
                let meets = |g| meets_badly(line.hand, &figure[last], &next[0], [usual[last], g]);
                fingers.into_iter().any(meets)
            });
            let before = place.checked_sub(1).is_some_and(|before| {
                let end = figures[before].len() - 1;
                let from = &figures[before][end];
                let meets = |f| meets_badly(line.hand, from, &figure[0], [f, usual[0]]);
                fingers(before, end).into_iter().any(meets)
            });
            let found = if before || after { &mut for_neighbours } else { &mut found };
            add(found, &line, figure[0].at, &format!("{own:?}"));
        }
    }
    println!("{count} ninths");
    assert!(count > 0);
    told("in more than one position for their neighbours", &for_neighbours);
    assert_eq!(told("in more than one position", &found), 0);
}

/// The fingers of five single chord tones in thirds, one for each.
fn under_five(hand: Hand, figure: &[Struck]) -> Option<Vec<u8>> {
    let touched: Vec<i32> = figure.iter().flat_map(Struck::keys).collect();
    let keys: Vec<i32> = touched.iter().copied().collect::<BTreeSet<_>>().into_iter().collect();
    let is_single = figure.iter().all(|struck| struck.notes.len() == 1);
    let in_thirds = keys.windows(2).all(|pair| matches!(pair[1] - pair[0], 3 | 4));
    if !is_single || keys.len() != 5 || !in_thirds || keys[4] - keys[0] > 14 {
        return None;
    }
    let finger = |key: &i32| {
        let place = keys.iter().take_while(|other| *other < key).count() as u8;
        if hand == Hand::Left { 5 - place } else { place + 1 }
    };
    Some(touched.iter().map(finger).collect())
}

/// Keys and rhythm of a figure.
type Notes = Vec<(Ticks, Ticks, Vec<i32>)>;
type Fingers = Vec<Vec<u8>>;

fn notes(figure: &[Struck]) -> Notes {
    let first = figure[0].at;
    figure.iter().map(|s| (s.at - first, s.end - s.at, s.keys())).collect()
}

/// How often figures with some fingers meet badly.
fn bad_meetings(hand: Hand, figures: &[&[Struck]], fingers: &[Fingers]) -> usize {
    let meets_badly = |first: &usize| {
        let [before, after] = [first, &(first + 1)].map(|at| (figures[*at], &fingers[*at]));
        let (Some(last), Some(next)) = (before.0.last(), after.0.first()) else { return false };
        if last.notes.len() > 1 || next.notes.len() > 1 || last.end != next.at {
            return false;
        }
        let [f, g] = [before.1[before.1.len() - 1][0], after.1[0][0]];
        running::meets_badly(hand, (last.notes[0].0, f), (next.notes[0].0, g))
    };
    (0..figures.len().saturating_sub(1)).filter(meets_badly).count()
}

/// The same notes in the same rhythm have the same fingers throughout a key, unless figures would
/// then meet badly where now they do not.
#[test]
fn a_figure_has_the_same_fingers_throughout_a_key() {
    let mut found = Found::new();
    let mut for_neighbours = Found::new();
    let mut again = 0;
    for line in lines() {
        let figures = line.figures();
        let own: Vec<Fingers> =
            figures.iter().map(|f| f.iter().map(Struck::fingers).collect()).collect();
        let mut first: BTreeMap<Notes, &Fingers> = BTreeMap::new();
        let usual: Vec<Fingers> = figures
            .iter()
            .zip(&own)
            .map(|(figure, own)| (*first.entry(notes(figure)).or_insert(own)).clone())
            .collect();
        again += figures.len() - first.len();
        let needs_other =
            bad_meetings(line.hand, &figures, &usual) > bad_meetings(line.hand, &figures, &own);
        for ((figure, own), usual) in figures.iter().zip(&own).zip(&usual) {
            // A note by itself is no figure.
            if own != usual && own.len() > 1 {
                let found = if needs_other { &mut for_neighbours } else { &mut found };
                add(found, &line, figure[0].at, &format!("{own:?}, {usual:?}"));
            }
        }
    }
    println!("{again} figures come again");
    told("of them have other fingers for the sake of their neighbours", &for_neighbours);
    assert!(again > 0);
    assert_eq!(told("of them have other fingers for no reason", &found), 0);
}
