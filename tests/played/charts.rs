//! Walking lines over the tunes that come with the program, in every key.

use quintfall::chart::{Chart, demos};
use quintfall::score::{Feel, Metre, Stay, Ticks};
use quintfall::sound::{
    Groove, MarkKind, Part, Performance, PlayedStroke, PlayerMark, TrackOptions, play_tune,
};
use quintfall::theory::{Key, Mode};

use crate::accompanied::{about, is_a_bass, line, stays, walks};
use crate::{strokes, with};

/// How often each tune is played.
const CHORUSES: usize = 2;

/// A line over a tune in a key: strokes by tick.
pub(crate) type Walked = Vec<(Ticks, u8)>;

/// How long a chorus is that another one follows.
fn chorus_of(chart: &Chart) -> Ticks {
    let tune = chart.unfolded();
    let bars = tune.before_another.as_ref().map_or(tune.bars, |again| again.bars);
    tune.metre.bar() * bars as Ticks
}

/// Every tune of ours in all keys of its mode, with the line that walks over it.
pub(crate) fn each_line(mut check: impl FnMut(&str, &Chart, &[Stay], &Walked)) {
    for (name, text) in demos() {
        let chart = Chart::parse(text, name).unwrap();
        let mode = chart.key.map_or(Mode::Major, Key::mode);
        let home = chart.key.unwrap_or_else(|| Key::ring(mode)[0]);
        for (turn, key) in Key::ring(mode).into_iter().enumerate() {
            let moved = chart.transposed(home, key);
            let tune = moved.unfolded();
            let options = TrackOptions {
                groove: Some(Groove::Walking),
                choruses: CHORUSES,
                seed: turn as u64,
                count_in: 0,
                ..with(&[Part::Bass])
            };
            let played =
                play_tune(&[(tune.clone(), Some(key))], &about(chart.feel), 120, &options).unwrap();
            let name = format!("{name} in {key}");
            let lead = (-tune.changes[0].at).max(0);
            let mut line = line(&played, 0);
            line.iter_mut().for_each(|(at, _)| *at -= lead);
            line.retain(|(at, _)| *at >= 0);
            // The last note of all is the end, and held.
            let (end, last) = line.pop().unwrap();
            ends(&name, (key, tune.metre), (end, last), &played);
            let cut = |stay: Stay| Stay { end: stay.end.min(end), ..stay };
            let stays: Vec<Stay> =
                stays(&tune, CHORUSES).into_iter().map(cut).filter(|it| it.at < it.end).collect();
            is_a_bass(&name, tune.metre, &stays, &line);
            walks(&name, tune.metre, &stays, &line);
            let line: Walked = line.iter().map(|(at, stroke)| (*at, stroke.pitch)).collect();
            check(&name, &moved, &stays, &line);
        }
    }
}

/// A tune ends on the root of its tonic, on a beat that begins a bar or a chord, held for a bar at the
/// least, with nothing after it.
fn ends(
    name: &str,
    (key, metre): (Key, Metre),
    (at, last): (Ticks, &PlayedStroke),
    played: &Performance,
) {
    let above = i32::from(last.pitch) - key.tonic().pitch_class();
    assert_eq!(above.rem_euclid(12), 0, "{name} ends on {}", last.pitch);
    assert!(last.length >= 10 * metre.bar() as u32, "{name}: the end is not held");
    assert_eq!(last.at + last.length, played.length, "{name}");
    let is_landing = |mark: &&PlayerMark| mark.kind == MarkKind::Place("ending".to_owned());
    if let Some(landing) = played.marks.iter().find(is_landing) {
        assert_eq!((landing.at, at % metre.bar()), (last.at, 0), "{name}");
    }
}

/// What stands before the first bar is played after the count, in a bar that is counted too, or, where
/// nothing is counted, at once: by the bass and by soft chords, each chord where the chart has it.
#[test]
fn pick_ups_are_played() {
    let chart = |metre: &str, pick_up: &str, bars: &str| {
        let text = format!(
            "title = \"Own\"\nmetre = \"{metre}\"\nkey = \"C\"\npick-up = \"{pick_up}\"\n\
             [[section]]\nname = \"A\"\nbars = \"{bars}\"\n"
        );
        Chart::parse(&text, "own").unwrap()
    };
    let mut met = 0;
    for (metre, pick_up) in [
        ("4/4", "G7"),
        ("4/4", "Dm7 / G7"),
        ("3/4", "Dm7 Db7"),
        ("5/4", "G7alt /"),
        ("6/8", "G7 /"),
    ] {
        let tune = chart(metre, pick_up, "| C6 | G7 | C6 | G7 |").unfolded();
        for (count_in, groove) in [(0, None), (1, Some(Groove::Walking)), (2, Some(Groove::Ballad))]
        {
            let parts = [Part::Bass, Part::Comping];
            let options = TrackOptions { count_in, groove, ..with(&parts) };
            let key = "C".parse().unwrap();
            let played =
                play_tune(&[(tune.clone(), Some(key))], &about(Feel::Even), 120, &options).unwrap();
            let first = match count_in {
                0 => -tune.changes[0].at,
                bars => (bars as Ticks + 1) * tune.metre.bar(),
            };
            for change in tune.changes.iter().filter(|change| change.at < 0) {
                let at = (first + change.at) as u32 * 10;
                for part in parts {
                    let own = strokes(&played, part).iter().filter(|it| it.at == at);
                    let own: Vec<i32> = own.map(|it| i32::from(it.pitch) % 12).collect();
                    let notes: Vec<i32> = change
                        .chord
                        .unwrap()
                        .notes()
                        .map(|it| it.pitch_class().rem_euclid(12))
                        .collect();
                    let name = format!("{metre}, {pick_up}, {count_in}, {}", part.word());
                    assert!(!own.is_empty(), "{name}: silent at {at}");
                    assert!(part != Part::Bass || own == [notes[0]], "{name}: {own:?}");
                    met += 1;
                }
            }
            assert!(count_in > 0 || strokes(&played, Part::Bass)[0].at == 0, "{metre}, {pick_up}");
            // All before the first bar is counted or none.
            let chorus = strokes(&played, Part::Bass).iter().find(|it| it.at == first as u32 * 10);
            assert_eq!(chorus.map(|it| it.pitch % 12), Some(0), "{metre}, {pick_up}");
            let counted = strokes(&played, Part::Click).iter();
            let last = counted.filter(|it| it.at < first as u32 * 10).map(|it| it.at).max();
            let beat = tune.metre.felt_beat() as u32 * 10;
            // What is not counted may be shorter than a beat.
            let expected = (count_in > 0).then(|| first as u32 * 10 - beat);
            assert_eq!(last, expected, "{metre}, {pick_up}");
        }
    }
    assert!(met > 30, "{met}");
    // From key to key the bass ends one before it begins the next.
    let keys = ["C", "F", "Bb"].map(|key| key.parse::<Key>().unwrap());
    let long = chart("4/4", "Dm7 / G7", "| C6 | G7 |");
    let in_key = |key: Key| (long.transposed(keys[0], key).unfolded(), Some(key));
    let tunes = keys.map(in_key);
    let played = play_tune(&tunes, &about(Feel::Swing), 120, &with(&[Part::Bass])).unwrap();
    for pair in strokes(&played, Part::Bass).windows(2) {
        assert!(pair[0].at + pair[0].length <= pair[1].at, "{pair:?}");
    }
    let told = |mark: &&PlayerMark| mark.kind == MarkKind::Place("pick-up".to_owned());
    assert_eq!(played.marks.iter().filter(told).count(), keys.len());
}

/// A chord that comes again and goes on to the same chord has not always the same figure, and no
/// chorus is the one before it.
#[test]
fn what_comes_again_is_played_otherwise() {
    let mut groups = 0;
    each_line(|name, chart, stays, line| {
        let chorus = chorus_of(chart);
        let of = |index: Ticks| -> Vec<(Ticks, u8)> {
            let own = line.iter().filter(|(at, _)| at / chorus == index);
            own.map(|(at, pitch)| (at % chorus, *pitch)).collect()
        };
        let (one, other) = (of(0), of(1));
        let same = one.iter().filter(|it| other.contains(it)).count();
        assert!(4 * same < 3 * one.len(), "{name}: {same} of {} come again", one.len());
        let mut known: Vec<(String, Vec<Vec<i32>>)> = Vec::new();
        for pair in stays.windows(2) {
            let own = line.iter().filter(|(at, _)| (pair[0].at..pair[0].end).contains(at));
            let figure: Vec<i32> = own.map(|(_, pitch)| i32::from(*pitch) % 12).collect();
            if figure.len() < 3 {
                continue;
            }
            let foot = |stay: &Stay| stay.chord.bass.unwrap_or(stay.chord.root);
            let word = format!("{:?} {} {}", pair[0].chord, figure.len(), foot(&pair[1]));
            match known.iter_mut().find(|(known, _)| *known == word) {
                Some((_, all)) => all.push(figure),
                None => known.push((word, vec![figure])),
            }
        }
        for (word, all) in known.iter().filter(|(_, all)| all.len() > 2) {
            let most = all.iter().map(|it| all.iter().filter(|own| *own == it).count()).max();
            groups += 1;
            assert!(3 * most.unwrap_or(0) <= 2 * all.len(), "{name}: {word} {all:?}");
        }
    });
    assert!(groups > 300, "{groups}");
}

/// How many notes there are at the least for one where a line does not turn back (ours): where the
/// roots of its chords leave no other way.
const A_FAULT: usize = 1_000;

/// A line turns back, but for few places: no way in one direction is longer than an octave and a half,
/// nor one of leaps alone longer than an octave, and after a leap of more than a fifth a step back
/// comes within two notes; chords of two beats have not one figure three times running (common
/// practice, no source).
#[test]
fn lines_turn_back() {
    let (mut notes, mut faults) = (0, Vec::new());
    each_line(|name, chart, stays, line| {
        let beat = chart.metre.felt_beat();
        // Where nobody plays a line ends.
        for line in line.chunk_by(|a, b| b.0 - a.0 == beat) {
            let steps: Vec<i32> =
                line.windows(2).map(|two| i32::from(two[1].1) - i32::from(two[0].1)).collect();
            let told =
                |place: usize| format!("{name}, bar {}", line[place].0 / chart.metre.bar() + 1);
            for (least, most) in [(1, 18), (3, 12)] {
                let goes_on = |a: &i32, b: &i32| a * b > 0 && a.abs().min(b.abs()) >= least;
                let mut from = 0;
                for run in steps.chunk_by(goes_on) {
                    if run.len() > 1 && run.iter().sum::<i32>().abs() > most {
                        faults.push(format!("{}: {run:?} in one direction", told(from)));
                    }
                    from += run.len();
                }
            }
            for (place, three) in steps.windows(3).enumerate() {
                let is_back = |step: &i32| step * three[0] < 0 && step.abs() <= 2;
                if three[0].abs() > 7 && !three[1..].iter().any(is_back) {
                    faults.push(format!("{}: {three:?} does not come back", told(place)));
                }
            }
            notes += line.len();
        }
        let figure = |stay: &Stay| -> Vec<i32> {
            let own = line.iter().filter(|(at, _)| (stay.at..stay.end).contains(at));
            let own: Vec<i32> = own.map(|(_, pitch)| i32::from(*pitch)).collect();
            own.iter().map(|pitch| pitch - own[0]).collect()
        };
        for three in stays.windows(3) {
            let all: Vec<Vec<i32>> = three.iter().map(figure).collect();
            if all[0].len() == 2 && all[0] == all[1] && all[1] == all[2] {
                let bar = three[0].at / chart.metre.bar() + 1;
                faults.push(format!("{name}, bar {bar}: three times {:?}", all[0]));
            }
        }
    });
    assert!(A_FAULT * faults.len() <= notes, "{} in {notes}: {faults:#?}", faults.len());
}

/// Where a fourth stands for the third there is no third, and the third of another kind is no more
/// than a short way to somewhere else: never on a beat that the ear rests on.
#[test]
fn thirds_are_those_of_their_chords() {
    let mut met = 0;
    each_line(|name, chart, stays, line| {
        let metre = chart.metre;
        for (at, pitch) in line {
            let Some(stay) = stays.iter().find(|it| (it.at..it.end).contains(at)) else { continue };
            let class = i32::from(*pitch) % 12;
            let is_own = stay
                .chord
                .notes()
                .chain(stay.chord.bass)
                .any(|it| it.pitch_class().rem_euclid(12) == class);
            let above = (class - stay.chord.root.pitch_class()).rem_euclid(12);
            let has =
                |steps: i32| stay.chord.kind.frame().iter().flatten().any(|it| it.steps == steps);
            let third = stay.chord.kind.frame()[1].filter(|third| third.steps == 2);
            met += 1;
            if is_own || !matches!(above, 3 | 4) {
                continue;
            }
            assert!(!has(1) && !has(3), "{name}: a third over {:?} at {at}", stay.chord);
            let (group, _) = metre.group_of(at.rem_euclid(metre.bar()));
            let is_strong = (at.rem_euclid(metre.bar()) - group) % (2 * metre.felt_beat()) == 0;
            let is_other = third.is_some_and(|third| third.semitones != above);
            assert!(!is_other || !is_strong, "{name}: {above} over {:?} at {at}", stay.chord);
        }
    });
    assert!(met > 10_000, "{met}");
}

#[test]
fn the_bass_keeps_its_laws_over_all_tunes_in_all_keys() {
    let mut notes = 0;
    each_line(|_, _, _, line| notes += line.len());
    assert!(notes > 10_000, "{notes}");
}

/// Each chorus begins with the root, or the bass in its place, and no chord has the third of another
/// kind right after its root.
#[test]
fn choruses_begin_at_the_root_and_no_chord_is_made_another() {
    let mut thirds = 0;
    each_line(|name, chart, stays, line| {
        let chorus = chorus_of(chart);
        for (at, pitch) in
            line.iter().filter(|(at, _)| at % chorus == 0 && at / chorus < CHORUSES as Ticks)
        {
            let stay = stays.iter().find(|stay| stay.at == *at).unwrap();
            let foot = stay.chord.bass.unwrap_or(stay.chord.root).pitch_class();
            assert_eq!((i32::from(*pitch) - foot).rem_euclid(12), 0, "{name}: the top at {at}");
        }
        for stay in stays {
            let mut own = line.iter().filter(|(at, _)| (stay.at..stay.end).contains(at));
            let (Some((_, first)), Some((at, second))) = (own.next(), own.next()) else { continue };
            let foot = stay.chord.bass.unwrap_or(stay.chord.root).pitch_class();
            if (i32::from(*first) - foot).rem_euclid(12) != 0 {
                continue;
            }
            let above = (i32::from(*second) - stay.chord.root.pitch_class()).rem_euclid(12);
            let Some(third) = stay.chord.kind.frame()[1] else { continue };
            thirds += 1;
            let is_tone = stay
                .chord
                .notes()
                .any(|it| (i32::from(*second) - it.pitch_class()).rem_euclid(12) == 0);
            let other = if third.semitones == 4 { 3 } else { 4 };
            let is_other = above == other && !is_tone;
            assert!(!is_other, "{name}: {above} over the root of {:?} at {at}", stay.chord);
        }
    });
    assert!(thirds > 2000, "{thirds}");
}

/// Two bars that come at once again are played otherwise, and a tune does not begin each chorus
/// alike: of all bars of a tune few have the very notes of the bar two before them.
#[test]
fn lines_over_tunes_are_seldom_the_same_again() {
    let (mut pairs, mut same) = (0, 0);
    each_line(|_, chart, _, line| {
        let bar = chart.metre.bar();
        let last = line.last().map_or(0, |(at, _)| at / bar);
        let bars: Vec<Vec<u8>> = (0..=last)
            .map(|index| {
                let own = line.iter().filter(|(at, _)| at / bar == index);
                own.map(|(_, pitch)| *pitch).collect()
            })
            .collect();
        for four in bars.windows(4).filter(|four| four.iter().all(|bar| bar.len() > 2)) {
            pairs += 1;
            same += usize::from(four[..2] == four[2..]);
        }
    });
    println!("{same} of {pairs} pairs of bars are those before them");
    assert!(pairs > 2000 && same * 100 <= pairs, "{same} of {pairs}");
}

/// Between the notes of a bar a line goes by step, or from one tone of the chord to another: what
/// is not of the chord is leapt to seldom.
#[test]
fn leaps_are_between_tones_of_the_chord() {
    let (mut leaps, mut beside) = (0, 0);
    each_line(|_, _, stays, line| {
        for pair in line.windows(2) {
            let chord = |at: Ticks| stays.iter().position(|it| (it.at..it.end).contains(&at));
            let (Some(one), Some(other)) = (chord(pair[0].0), chord(pair[1].0)) else { continue };
            if one != other || pair[0].1.abs_diff(pair[1].1) < 3 {
                continue;
            }
            let chord = stays[one].chord;
            let tones: Vec<i32> =
                chord.notes().chain(chord.bass).map(|it| it.pitch_class()).collect();
            leaps += 1;
            let is_tone =
                |pitch: u8| tones.iter().any(|it| (i32::from(pitch) - it).rem_euclid(12) == 0);
            // The note that leads into the next chord may be leapt to.
            let leads = stays[one].end - pair[1].0 <= pair[1].0 - pair[0].0;
            beside += usize::from(!(leads || is_tone(pair[0].1) && is_tone(pair[1].1)));
        }
    });
    println!("{beside} of {leaps} leaps are to or from other notes");
    assert!(leaps > 1000 && beside * 100 <= 3 * leaps, "{beside} of {leaps}");
}

/// A perfect fifth over a chord whose fifth is altered, and whose symbol has no other, is a step on
/// the way: nobody leaps to it.
#[test]
fn a_fifth_that_the_chord_has_not_is_reached_by_step() {
    let mut met = 0;
    each_line(|name, _, stays, line| {
        for pair in line.windows(2) {
            let Some(stay) = stays.iter().find(|it| (it.at..it.end).contains(&pair[1].0)) else {
                continue;
            };
            let fifth = stay.chord.kind.frame().into_iter().flatten().find(|it| it.steps == 4);
            if fifth.is_none_or(|fifth| fifth.semitones == 7) {
                continue;
            }
            met += 1;
            let class = i32::from(pair[1].1);
            let is_perfect = (class - stay.chord.root.pitch_class() - 7).rem_euclid(12) == 0;
            let mut tones = stay.chord.notes().chain(stay.chord.bass);
            let is_own = tones.any(|it| (class - it.pitch_class()).rem_euclid(12) == 0);
            let is_leap = pair[0].1.abs_diff(pair[1].1) > 2;
            assert!(!is_perfect || is_own || !is_leap, "{name}: {pair:?} over {:?}", stay.chord);
        }
    });
    assert!(met > 100, "{met}");
}
