//! Laws for every line.

use std::collections::{BTreeMap, BTreeSet};

use proptest::bool::weighted;
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use quintfall::fingering::{
    FingeringError, HandSize, HandSpans, HandStruck, Measure, Reach, reach,
};
use quintfall::score::Hand;
use quintfall::theory::Pitch;

use crate::lines::{Line, pitch};

/// Least and greatest practicable spans on the row of alternating keys, by size and by pair of
/// fingers: 1-2 1-3 1-4 1-5 2-3 2-4 2-5 3-4 3-5 4-5.
///
/// Source: Balliauw et al. 2017, at second hand.
const PRACTICABLE: [[(i32, i32); 10]; 3] = [
    [(-7, 10), (-6, 12), (-4, 13), (-2, 14), (1, 6), (1, 8), (2, 10), (1, 4), (1, 8), (1, 6)],
    [(-8, 10), (-7, 14), (-5, 15), (-2, 16), (1, 7), (1, 8), (2, 12), (1, 4), (1, 8), (1, 6)],
    [(-10, 11), (-8, 15), (-6, 16), (-2, 18), (1, 7), (1, 8), (2, 12), (1, 4), (1, 8), (1, 6)],
];

const PAIRS: [(u8, u8); 10] =
    [(1, 2), (1, 3), (1, 4), (1, 5), (2, 3), (2, 4), (2, 5), (3, 4), (3, 5), (4, 5)];

/// The place of a key on the row: every octave has fourteen, two of them imagined.
fn on_row(midi: i32) -> i32 {
    14 * midi.div_euclid(12) + midi.rem_euclid(12) + i32::from(midi.rem_euclid(12) >= 5)
}

/// Whether two fingers span two keys of the right hand.
fn practicable(size: HandSize, (key, finger): (i32, u8), (other, beside): (i32, u8)) -> bool {
    let (low, high, from, to) =
        if finger < beside { (finger, beside, key, other) } else { (beside, finger, other, key) };
    let row = PAIRS.iter().position(|pair| *pair == (low, high)).expect("two fingers");
    let (least, most) = PRACTICABLE[size as usize][row];
    (least..=most).contains(&(on_row(to) - on_row(from)))
}

/// Whether the second of two notes of the right hand may follow the first without a hop. A
/// handbook's major third between the third finger and the fourth is allowed wherever it lies.
fn follows(size: HandSize, first: (i32, u8), second: (i32, u8)) -> bool {
    if first.0 == second.0 || first.1 == second.1 {
        return first == second;
    }
    let third = [first.1, second.1] == [3, 4] && second.0 - first.0 == 4
        || [first.1, second.1] == [4, 3] && first.0 - second.0 == 4;
    third || practicable(size, first, second)
}

/// Whether some fingers of the right hand play the keys one after another, without a hop and
/// without passing the thumb.
fn playable_without_passing(size: HandSize, keys: &[i32]) -> bool {
    let mut possible = [true; 5];
    for pair in keys.windows(2) {
        let reached = |to: u8| {
            (0..5_u8).any(|from| {
                let in_order =
                    (pair[1] - pair[0]).signum() == (i32::from(to) - i32::from(from)).signum();
                possible[usize::from(from)]
                    && in_order
                    && follows(size, (pair[0], from + 1), (pair[1], to + 1))
            })
        };
        possible = [0, 1, 2, 3, 4].map(reached);
    }
    possible.contains(&true)
}

/// A key as the right hand would have it.
fn as_right(hand: Hand, midi: i32) -> i32 {
    if hand == Hand::Right { midi } else { 124 - midi }
}

fn hands() -> impl Strategy<Value = Hand> {
    prop_oneof![Just(Hand::Right), Just(Hand::Left)]
}

fn settings() -> impl Strategy<Value = HandSpans> {
    (0..3_usize, 0..3_usize).prop_map(|(size, measure)| HandSpans {
        size: HandSize::ALL[size],
        measure: Measure::ALL[measure],
    })
}

/// Chords and single notes, some held over others, some after rests, some at the beginning of a
/// figure.
fn lines() -> impl Strategy<Value = Line> {
    let chord = prop_oneof![3 => vec(48..84_i32, 1), 1 => vec(55..68_i32, 2..5)];
    let struck =
        (0..3_i32, 1..4_i32, chord, vec(option::weighted(0.1, 1..=5_u8), 0..3), weighted(0.2));
    vec(struck, 1..40).prop_map(|all| {
        let mut at = 0;
        let mut line = Line::default();
        for (wait, length, mut keys, fixed, begins) in all {
            at += wait * 12;
            keys.sort_unstable();
            keys.dedup();
            let pitches = keys.into_iter().map(pitch).collect();
            line.struck.push((at, at + length * 12, pitches, fixed));
            line.figures.push(begins);
        }
        line
    })
}

/// Single notes in eighths, none further from the one before than a fifth.
fn melodies() -> impl Strategy<Value = Vec<i32>> {
    (60..72_i32, vec(-7..=7_i32, 0..12)).prop_map(|(first, steps)| {
        let mut keys = vec![first];
        for step in steps {
            let last = keys[keys.len() - 1];
            let step = if (36..=96).contains(&(last + step)) { step } else { -step };
            keys.push(last + step);
        }
        keys
    })
}

fn melody(keys: &[i32]) -> Line {
    Line::eighths(keys.iter().map(|key| vec![pitch(*key)]))
}

/// A key and its finger.
type Touch = (i32, u8);

/// Every two of the notes that sound at the moment of each struck chord, as keys and fingers of
/// the right hand, with the index of the chord.
fn sounding_pairs(
    hand: Hand,
    line: &[HandStruck<'_>],
    fingers: &[Vec<u8>],
) -> Vec<(usize, Touch, Touch)> {
    let mut pairs = Vec::new();
    for (index, now) in line.iter().enumerate() {
        let mut down: Vec<(i32, u8)> = Vec::new();
        for (struck, fingers) in line.iter().zip(fingers) {
            let is_down = struck.at == now.at || struck.at < now.at && struck.end > now.at;
            for (pitch, finger) in struck.pitches.iter().zip(fingers) {
                let key = as_right(hand, pitch.midi());
                // A key that is struck again is let go first.
                if struck.at <= now.at {
                    down.retain(|(other, _)| *other != key);
                }
                if is_down {
                    down.push((key, *finger));
                }
            }
        }
        for (place, first) in down.iter().enumerate() {
            pairs.extend(down[place + 1..].iter().map(|second| (index, *first, *second)));
        }
    }
    pairs
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn any_line_has_fingers_or_an_error_that_names_a_note(
        line in lines(), hand in hands(), settings in settings(),
    ) {
        match line.solved(hand, settings) {
            Ok(solved) => {
                prop_assert_eq!(solved.fingers.len(), line.struck.len());
                for ((_, _, pitches, fixed), fingers) in line.struck.iter().zip(&solved.fingers) {
                    prop_assert_eq!(pitches.len(), fingers.len());
                    for (given, finger) in fixed.iter().zip(fingers) {
                        prop_assert!(given.is_none_or(|given| given == *finger));
                    }
                }
            }
            Err(
                FingeringError::CannotBeFixed { index }
                | FingeringError::CannotBeHeld { index }
                | FingeringError::TooManyNotes { index, .. },
            ) => prop_assert!(index < line.struck.len()),
            Err(other) => prop_assert!(false, "{other}"),
        }
    }

    #[test]
    fn what_is_down_together_lies_in_the_order_of_the_fingers_and_within_the_hand(
        line in lines(), hand in hands(), settings in settings(),
    ) {
        let struck = line.struck();
        if let Ok(solved) = line.solved(hand, settings) {
            for (index, first, second) in sounding_pairs(hand, &struck, &solved.fingers) {
                prop_assert_eq!(first.0 < second.0, first.1 < second.1, "{} {:?}", index, &solved);
                prop_assert_ne!(first.1, second.1);
                let marked = solved.beyond.contains(&index);
                prop_assert!(marked || practicable(settings.size, first, second), "{}", index);
            }
        }
    }

    #[test]
    fn a_chord_that_the_hand_can_hold_is_held(
        keys in vec(55..75_i32, 1..6), hand in hands(), settings in settings(),
    ) {
        let mut keys = keys;
        keys.sort_unstable();
        keys.dedup();
        let line = Line::eighths([keys.iter().map(|key| pitch(*key)).collect()]);
        let solved = line.solve(hand, settings);
        let reach = reach(hand, &line.struck[0].2, settings.size);
        prop_assert_eq!(solved.beyond.is_empty(), reach != Reach::Beyond);
    }

    #[test]
    fn no_span_between_neighbours_is_beyond_the_hand(
        keys in melodies(), figures in vec(weighted(0.2), 0..12), hand in hands(),
        settings in settings(),
    ) {
        let keys_of_right: Vec<i32> = keys.iter().map(|key| as_right(hand, *key)).collect();
        prop_assume!(playable_without_passing(settings.size, &keys_of_right));
        let line = Line { figures: figures.clone(), ..melody(&keys) };
        let solved = line.solve(hand, settings).fingers.concat();
        for (at, (pair, fingers)) in keys_of_right.windows(2).zip(solved.windows(2)).enumerate() {
            let within = follows(settings.size, (pair[0], fingers[0]), (pair[1], fingers[1]));
            // To where a figure begins the hand moves freely.
            let begins = figures.get(at + 1).copied().unwrap_or(false);
            prop_assert!(within || begins, "{:?} {:?}", &keys_of_right, &solved);
        }
    }

    #[test]
    fn the_thumb_passes_nothing_inside_one_position(
        lowest in 48..60_i32,
        above in vec(1..=10_i32, 4),
        order in vec(0..5_usize, 2..24),
        hand in hands(), settings in settings(),
    ) {
        let key = |place: &usize| lowest + place.checked_sub(1).map_or(0, |above_it| above[above_it]);
        let keys: Vec<i32> = order.iter().map(key).collect();
        let keys_of_right: Vec<i32> = keys.iter().map(|key| as_right(hand, *key)).collect();
        let is_white = |key: i32| ![1, 3, 6, 8, 10].contains(&key.rem_euclid(12));
        // From a black key the thumb slips to the white one beside it.
        let slips = |key: &i32| !is_white(*key) && is_white(key + 1) && keys_of_right.contains(&(key + 1));
        prop_assume!(!keys_of_right.iter().any(slips));
        let playable = playable_without_passing(settings.size, &keys_of_right);
        let solved = melody(&keys).solve(hand, settings).fingers.concat();
        for (keys, fingers) in keys_of_right.windows(2).zip(solved.windows(2)) {
            let rise = (keys[1] - keys[0]).signum();
            let turn = (i32::from(fingers[1]) - i32::from(fingers[0])).signum();
            prop_assert!(rise * turn >= 0, "{:?} {:?}", &keys_of_right, &solved);
            prop_assert!(!playable || rise == turn, "{:?} {:?}", &keys_of_right, &solved);
        }
    }

    /// Neither where figures meet, nor where given fingers stand beside found ones.
    #[test]
    fn no_finger_is_repeated_on_the_next_key(
        keys in melodies(),
        figures in vec(weighted(0.25), 0..12),
        fixed in vec(option::weighted(0.2, 1..=5_u8), 12),
        hand in hands(), settings in settings(),
    ) {
        let mut line = Line { figures, ..melody(&keys) };
        for ((.., given), fixed) in line.struck.iter_mut().zip(&fixed) {
            given.push(*fixed);
        }
        let solved = line.solve(hand, settings).fingers.concat();
        for (at, (pair, fingers)) in keys.windows(2).zip(solved.windows(2)).enumerate() {
            // Between two given fingers there may be no other way.
            let near = fixed.iter().take(at + 3).skip(at.saturating_sub(1));
            let is_given = near.flatten().count() >= 2;
            let repeats = pair[0] != pair[1] && fingers[0] == fingers[1];
            prop_assert!(!repeats || is_given, "{:?} {:?} {:?}", &keys, &fixed, &solved);
        }
    }

    /// Whatever their keys are, and whatever chords stand between.
    #[test]
    fn dyads_of_one_size_have_one_fingering(
        chords in vec((48..72_i32, vec(1..=10_i32, 1..3)), 1..20), hand in hands(),
        settings in settings(),
    ) {
        let chords = chords.into_iter().map(|(lowest, above)| {
            let mut keys: Vec<i32> = above.into_iter().map(|above| lowest + above).collect();
            keys.push(lowest);
            keys.sort_unstable();
            keys.dedup();
            keys
        });
        let chords: Vec<Vec<i32>> = chords.collect();
        let line = Line::eighths(chords.iter().map(|keys| keys.iter().map(|k| pitch(*k)).collect()));
        let line = Line { figures: vec![true; chords.len()], ..line };
        let solved = line.solve(hand, settings).fingers;
        let mut sizes: BTreeMap<i32, &Vec<u8>> = BTreeMap::new();
        for (keys, fingers) in chords.iter().zip(&solved).filter(|(keys, _)| keys.len() == 2) {
            let other = *sizes.entry(keys[1] - keys[0]).or_insert(fingers);
            prop_assert_eq!(other, fingers);
        }
    }

    /// A figure of more keys than a hand has fingers takes the same ones when it comes again, unless
    /// they would meet badly with those of its neighbours.
    #[test]
    fn a_figure_that_comes_again_has_its_fingers_again(
        keys in melodies(), between in melodies(), hand in hands(), settings in settings(),
    ) {
        let distinct: BTreeSet<i32> = keys.iter().copied().collect();
        if distinct.len() <= 5 {
            return Ok(());
        }
        let [again, between] =
            [&keys, &between].map(|keys| keys.iter().map(|key| pitch(*key)).collect::<Vec<_>>());
        let alone = Line::figures(std::slice::from_ref(&again));
        let alone = alone.solve(hand, settings).fingers.concat();
        let line = Line::figures(&[again.clone(), between.clone(), again.clone()]);
        let solved = line.solve(hand, settings).fingers.concat();
        let (first, last) = (&solved[..keys.len()], &solved[solved.len() - keys.len()..]);
        if first != last {
            let own = Line::figures(std::slice::from_ref(&between)).solve(hand, settings).fingers.concat();
            let meets = |from: u8, to: u8, rise: i32| from == to && rise != 0
                || (from.min(to) > 1 || from.max(to) == 5) && rise.abs() <= 4 && rise != 0
                // Over a leap, too, fingers go with the line, and none stretches; no thumb passes
                // onto a black key, or gathers the hand.
                || from.max(to) > 1 && (1..12).contains(&rise.abs());
            let midi = |pitches: &[Pitch], place: usize| pitches[place].midi();
            let rises = [
                midi(&between, 0) - midi(&again, keys.len() - 1),
                midi(&again, 0) - midi(&between, between.len() - 1),
            ];
            let badly = meets(alone[keys.len() - 1], own[0], rises[0])
                || meets(own[own.len() - 1], alone[0], rises[1]);
            prop_assert!(badly, "{:?} {:?}", first, last);
        }
    }

    #[test]
    fn mirrored_hands_agree(line in lines(), settings in settings(), about_d in any::<bool>()) {
        let axis = if about_d { 124 } else { 136 };
        let mirrored = line.struck.iter().map(|(at, end, pitches, fixed)| {
            let mut fixed = fixed.clone();
            fixed.resize(pitches.len(), None);
            fixed.reverse();
            let pitches = pitches.iter().rev().map(|p| pitch(axis - p.midi())).collect();
            (*at, *end, pitches, fixed)
        });
        let mirrored = Line { struck: mirrored.collect(), figures: line.figures.clone() };
        let right = line.solved(Hand::Right, settings);
        let left = mirrored.solved(Hand::Left, settings).map(|mut solved| {
            solved.fingers.iter_mut().for_each(|chord| chord.reverse());
            solved
        });
        // Where a chord has two faults, either hand may meet the other one first.
        let index = |error: FingeringError| error.index();
        prop_assert_eq!(right.map_err(index), left.map_err(index));
    }

    /// What a thread remembers of figures changes nothing.
    #[test]
    fn what_was_fingered_before_changes_no_fingers(
        keys in melodies(), begins in vec(weighted(0.3), 0..12), up in 1..12_i32,
        hand in hands(), settings in settings(),
    ) {
        let at = |up: i32| {
            let keys: Vec<i32> = keys.iter().map(|key| key + up).collect();
            Line { figures: begins.clone(), ..melody(&keys) }
        };
        for up in 0..up {
            at(up).solve(hand, settings);
        }
        let line = at(up);
        let afresh = std::thread::scope(|scope| {
            scope.spawn(|| line.solve(hand, settings)).join().expect("it finds fingers")
        });
        prop_assert_eq!(line.solve(hand, settings), afresh);
    }

    #[test]
    fn an_octave_higher_the_fingers_are_the_same(line in lines(), hand in hands()) {
        let mut higher = line.clone();
        for (_, _, pitches, _) in &mut higher.struck {
            pitches.iter_mut().for_each(|pitch| pitch.octave += 1);
        }
        let solve = |line: &Line| line.solved(hand, HandSpans::default());
        prop_assert_eq!(solve(&line), solve(&higher));
    }
}

#[test]
fn given_fingers_are_kept_and_the_rest_follows() {
    // C D E F G with the second finger on C.
    let mut line = melody(&[60, 62, 64, 65, 67]);
    line.struck[0].3 = vec![Some(2)];
    assert_eq!(line.digits(Hand::Right)[..1], *"2");
    // A scale whose thumb is moved takes it up again as the handbook has it.
    let mut line = melody(&[60, 62, 64, 65, 67, 69, 71, 72, 74, 76, 77, 79, 81, 83, 84]);
    line.struck[2].3 = vec![Some(1)];
    let digits = line.digits(Hand::Right);
    assert_eq!(&digits[2..3], "1");
    assert_eq!(&digits[7..], "12312345");
}

#[test]
fn fingers_that_cannot_be_given_are_refused_by_name() {
    let mut line = Line::eighths([vec![pitch(60)], vec![pitch(60), pitch(64)]]);
    line.struck[1].3 = vec![Some(3), Some(2)];
    let solve = |line: &Line, hand| line.solved(hand, HandSpans::default());
    let refused = solve(&line, Hand::Right).unwrap_err();
    assert_eq!(refused, FingeringError::CannotBeFixed { index: 1 });
    assert_eq!(
        refused.to_string(),
        "note 2: the fingers given here cannot be used together; within a chord they rise in the \
         right hand and fall in the left, and a held note keeps its finger"
    );
    assert_eq!(solve(&line, Hand::Left).map(|solved| solved.fingers[1].clone()), Ok(vec![3, 2]));
    line.struck[1].3 = vec![Some(6)];
    let refused = solve(&line, Hand::Right).unwrap_err();
    assert_eq!(refused, FingeringError::NoSuchFinger { index: 1, finger: 6 });
    line.struck.swap(0, 1);
    let refused = solve(&line, Hand::Right).unwrap_err();
    assert_eq!(refused, FingeringError::NoSuchFinger { index: 0, finger: 6 });
    line.struck[0].3.clear();
    assert_eq!(solve(&line, Hand::Right), Err(FingeringError::OutOfOrder { index: 1 }));
    let six = Line::eighths([(60..66).map(pitch).collect()]);
    let refused = solve(&six, Hand::Right).unwrap_err();
    assert_eq!(refused, FingeringError::TooManyNotes { index: 0, count: 6 });
}

#[test]
fn a_held_note_keeps_its_finger_and_its_place() {
    // C held below E F G F E: the thumb stays on it, so the others have four fingers.
    let mut line = melody(&[60, 64, 65, 67, 65, 64]);
    line.struck[0].1 = 1000;
    let digits = line.digits(Hand::Right);
    assert_eq!(&digits[..1], "1");
    assert!(digits[1..].chars().all(|digit| digit > '1'), "{digits}");
}

#[test]
fn sizes_reach_an_octave_a_ninth_and_a_tenth() {
    let spans = [
        (71, HandSize::Small),
        (72, HandSize::Small),
        (74, HandSize::Medium),
        (76, HandSize::Large),
    ];
    let reaches = spans.map(|(top, size)| reach(Hand::Right, &[pitch(60), pitch(top)], size));
    assert_eq!(reaches, [Reach::Comfortable, Reach::Stretched, Reach::Stretched, Reach::Stretched]);
    assert_eq!(reach(Hand::Left, &[pitch(60), pitch(74)], HandSize::Small), Reach::Beyond);
    assert_eq!(reach(Hand::Left, &[pitch(60), pitch(76)], HandSize::Medium), Reach::Beyond);
    assert_eq!(reach(Hand::Left, &[pitch(60), pitch(77)], HandSize::Large), Reach::Beyond);
}
