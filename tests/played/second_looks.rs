//! What a bass player hears at once in a bass over chords that stay, fall or share a bar.

use quintfall::chart::{Chart, Unfolded, demos};
use quintfall::score::{Feel, Metre, Stay, Ticks};
use quintfall::sound::{Groove, Part, TrackOptions, play_tune};
use quintfall::theory::{Key, Mode, SymbolStyle, chord_symbol, plain_text};

use crate::accompanied::{about, line, stays};
use crate::charts::Walked;
use crate::with;

/// Tunes for what ours have seldom: basses that fall by semitones, two chords to the bar with altered
/// fifths, chords and basses that stay.
const OTHERS: [(&str, &str, &str); 4] = [
    (
        "falling basses",
        "C",
        "| Am Am(maj7)/G# | Am7/G F#m7b5 | Fmaj7 E7alt | Am7 Ab7 | Gm7 C7#5 | Fmaj7 Bb7#11 | \
         Bm7b5 E7b13 | Dm Dm(maj7)/C# | Dm7/C Bm7b5 | Em7b5 A7#5 | Dm7 Db7 | Cmaj7 B7 | \
         Bb7b5 A7alt | D7b9b13 G7alt | C6 | % |",
    ),
    (
        "long chords",
        "G",
        "| Gmaj7 | % | D7sus4 | % | C/G | % | Gmaj7 | F#m7b5 | Fmaj7 | % | Em7 | % | A7/E | % | D7 | \
         Am7 | D7 | % | Gmaj7 | % | Cmaj7 | % | F7 | % | Dm7/G | % | % | G7b13 | C6 | % | G6 | % |",
    ),
    (
        "thirds and steps",
        "Eb",
        "| Ebmaj7 | Dm7b5 G7b13 | Cm9 | Bmaj7 | Bb7sus4 | A7b5 | Abmaj7 | Gm7 Gb7 | Fm7 | E7#11 | \
         Ebmaj7 Dm7 | Dbmaj7 | Cm7 | B7 | Bb7 | Eb6 |",
    ),
    (
        "diminished",
        "C",
        "| C6 | C#dim7 | Dm7 | D#dim7 | C6/E | Ebdim7 | Dm7 | G7 | Am7 | Abdim7 | C6/G | F#dim7 | \
         Fm6 | Bdim7 | % | Cm6 | F7 | F#dim7 | C6 | A7b9 | Dm7b5 | Bdim7 G7b9 | Cm6 | Bdim7 | C6 | % |",
    ),
];

fn class(pitch: u8) -> i32 {
    i32::from(pitch) % 12
}

fn foot(stay: &Stay) -> i32 {
    stay.chord.bass.unwrap_or(stay.chord.root).pitch_class().rem_euclid(12)
}

fn above(stay: &Stay, pitch: u8) -> i32 {
    (i32::from(pitch) - stay.chord.root.pitch_class()).rem_euclid(12)
}

fn tone(stay: &Stay, steps: i32) -> Option<i32> {
    let frame = stay.chord.kind.frame();
    frame.into_iter().flatten().find(|it| it.steps == steps).map(|it| it.semitones)
}

/// A bass over a tune: chords that are alike joined, and the notes that it has on beats.
struct Heard {
    name: String,
    metre: Metre,
    groove: Groove,
    stays: Vec<Stay>,
    line: Walked,
}

impl Heard {
    fn of(
        name: &str,
        (tune, key): (&Unfolded, Key),
        feel: Feel,
        (groove, seed): (Groove, u64),
    ) -> Self {
        let options =
            TrackOptions { groove: Some(groove), seed, count_in: 0, ..with(&[Part::Bass]) };
        let played = play_tune(&[(tune.clone(), Some(key))], &about(feel), 120, &options).unwrap();
        let lead = (-tune.changes[0].at).max(0);
        let line = line(&played, 0).into_iter().map(|(at, stroke)| (at - lead, stroke.pitch));
        let line: Walked = line.filter(|it| it.0 >= 0).collect();
        let end = line.last().map_or(0, |it| it.0);
        let mut joined: Vec<Stay> = Vec::new();
        for stay in stays(tune, 1) {
            match joined.last_mut().filter(|it| it.end == stay.at && it.chord == stay.chord) {
                Some(before) => before.end = stay.end,
                None => joined.push(stay),
            }
        }
        // The end is held.
        joined.retain(|stay| stay.at < end);
        let name = format!("{name} in {key}, {}", groove.word());
        Self { name, metre: tune.metre, groove, stays: joined, line }
    }

    /// The notes on beats within two moments.
    fn notes(&self, from: Ticks, to: Ticks) -> Vec<(Ticks, u8)> {
        let beat = self.metre.felt_beat();
        let is_own = |it: &&(Ticks, u8)| (from..to).contains(&it.0) && it.0 % beat == 0;
        self.line.iter().filter(is_own).copied().collect()
    }

    fn told(&self, stay: &Stay, at: Ticks) -> String {
        let chord = plain_text(&chord_symbol(stay.chord, SymbolStyle::Mixed));
        let notes: Vec<u8> = self.notes(stay.at, stay.end + 1).iter().map(|it| it.1).collect();
        format!("{}, bar {}: {chord} {notes:?}", self.name, at / self.metre.bar() + 1)
    }
}

/// Every tune of ours and of this file in all keys, in some grooves.
fn each(grooves: &[Groove], mut check: impl FnMut(&Heard)) {
    let own = OTHERS.map(|(name, key, bars)| {
        let text = format!(
            "title = \"Own\"\nmetre = \"4/4\"\nkey = \"{key}\"\n[[section]]\nname = \"A\"\n\
             bars = \"{bars}\"\n"
        );
        (name.to_owned(), Chart::parse(&text, "own").unwrap())
    });
    let ours = demos().map(|(name, text)| (name.to_owned(), Chart::parse(text, name).unwrap()));
    for (name, chart) in ours.chain(own) {
        let mode = chart.key.map_or(Mode::Major, Key::mode);
        let home = chart.key.unwrap_or_else(|| Key::ring(mode)[0]);
        for (seed, key) in (0..).zip(Key::ring(mode)) {
            let tune = chart.transposed(home, key).unfolded();
            for groove in grooves.iter().filter(|it| it.fits(tune.metre)) {
                check(&Heard::of(&name, (&tune, key), chart.feel, (*groove, seed)));
            }
        }
    }
}

const ALL: [Groove; 5] =
    [Groove::Walking, Groove::TwoFeel, Groove::Bossa, Groove::Waltz, Groove::Ballad];

/// No fault in so many places.
fn none(met: usize, least: usize, faults: &[String]) {
    println!("{} of {met}", faults.len());
    let some = &faults[..faults.len().min(20)];
    assert!(met > least && faults.is_empty(), "{} of {met}: {some:#?}", faults.len());
}

/// Where the bass falls by a semitone from chord to chord the note before comes from above it, is the
/// root itself or another tone of the chord, and what the fall goes on to is not heard before its time
/// (common practice, no source).
#[test]
fn a_bass_that_falls_by_a_semitone_is_not_met_from_below() {
    let (mut met, mut faults) = (0, Vec::new());
    each(&[Groove::Walking], |heard| {
        for (place, pair) in heard.stays.windows(2).enumerate() {
            if pair[0].end != pair[1].at || (foot(&pair[0]) - foot(&pair[1])).rem_euclid(12) != 1 {
                continue;
            }
            let own = heard.notes(pair[0].at, pair[0].end);
            let next = heard.notes(pair[1].at, pair[1].end);
            if own.len() < 2 || next.is_empty() {
                continue;
            }
            met += 1;
            let step = i32::from(next[0].1) - i32::from(own[own.len() - 1].1);
            let goal = heard.stays.get(place + 2).map(foot);
            let falls_on = goal.is_some_and(|goal| (foot(&pair[1]) - goal).rem_euclid(12) == 1);
            let is_early = falls_on && own.len() == 2 && goal == Some(class(own[1].1));
            if matches!(step, 1 | 2) || is_early {
                faults.push(heard.told(&pair[0], pair[0].at));
            }
        }
    });
    none(met, 300, &faults);
}

/// A perfect fifth never sounds under a chord whose fifth is altered, but as what leads by a semitone
/// into the next root from a chord of more than two beats (common practice, no source).
#[test]
fn no_perfect_fifth_lies_under_an_altered_one() {
    let (mut met, mut faults) = (0, Vec::new());
    each(&ALL, |heard| {
        for (place, stay) in heard.stays.iter().enumerate() {
            let names = |steps: i32, semitones: i32| {
                stay.chord.kind.tones().any(|it| it.steps == steps && it.semitones == semitones)
            };
            let is_altered = tone(stay, 4).is_some_and(|it| it != 7) || names(12, 20);
            if !is_altered
                || names(4, 7) && !names(12, 20)
                || (foot(stay) - stay.chord.root.pitch_class()).rem_euclid(12) == 7
            {
                continue;
            }
            let own = heard.notes(stay.at, stay.end);
            for (index, (at, pitch)) in own.iter().enumerate() {
                met += 1;
                let leads = own.len() > 2
                    && index + 1 == own.len()
                    && heard.stays.get(place + 1).is_some_and(|next| {
                        matches!((class(*pitch) - foot(next)).rem_euclid(12), 1 | 11)
                    });
                if above(stay, *pitch) == 7 && !leads {
                    faults.push(heard.told(stay, *at));
                }
            }
        }
    });
    none(met, 2_000, &faults);
}

/// No step of a semitone is broken by an octave, in any groove.
#[test]
fn no_semitone_is_a_seventh() {
    let (mut met, mut faults) = (0, Vec::new());
    each(&ALL, |heard| {
        for pair in heard.line.windows(2) {
            met += 1;
            if pair[0].1.abs_diff(pair[1].1) == 11 {
                let bar = pair[1].0 / heard.metre.bar() + 1;
                faults.push(format!("{}, bar {bar}: {pair:?}", heard.name));
            }
        }
    });
    none(met, 10_000, &faults);
}

/// A later bar of a chord begins with its root, its third or its fifth, and the last one not with what the
/// next chord rests on (common practice, no source).
#[test]
fn later_bars_begin_firmly_and_give_nothing_away() {
    let (mut met, mut faults) = (0, Vec::new());
    each(&ALL, |heard| {
        let bar = heard.metre.bar();
        for (place, stay) in heard.stays.iter().enumerate() {
            let next = heard.stays.get(place + 1).filter(|next| next.at == stay.end).map(foot);
            let ones = (stay.at / bar + 1..).map(|it| it * bar).take_while(|at| *at < stay.end);
            for at in ones {
                let Some((_, pitch)) = heard.line.iter().find(|it| it.0 == at) else { continue };
                met += 1;
                let own = above(stay, *pitch);
                let is_foot = class(*pitch) == foot(stay);
                let is_firm =
                    is_foot || [0, 1, 2, 3, 4].iter().any(|it| tone(stay, *it) == Some(own));
                let is_given_away = !is_foot && stay.end - at <= bar && next == Some(class(*pitch));
                if !is_firm || is_given_away {
                    faults.push(heard.told(stay, at));
                }
            }
        }
    });
    none(met, 1_000, &faults);
}

/// A bass after a slash that stays for two bars or more is a pedal: wherever the line rests there is that
/// bass or its fifth (common practice, no source).
#[test]
fn a_bass_after_a_slash_that_stays_is_a_pedal() {
    let (mut met, mut faults) = (0, Vec::new());
    each(&ALL, |heard| {
        let (bar, beat) = (heard.metre.bar(), heard.metre.felt_beat());
        for stay in heard.stays.iter().filter(|it| it.chord.bass.is_some()) {
            if stay.end - stay.at < 2 * bar {
                continue;
            }
            for (at, pitch) in heard.notes(stay.at, stay.end) {
                let (group, _) = heard.metre.group_of(at.rem_euclid(bar));
                let moment = at.rem_euclid(bar);
                let rests = match heard.groove {
                    Groove::Walking => (moment - group) % (2 * beat) == 0,
                    _ => moment == group,
                };
                // The last note leads on.
                if !rests || at + beat >= stay.end {
                    continue;
                }
                met += 1;
                if !matches!((class(pitch) - foot(stay)).rem_euclid(12), 0 | 7) {
                    faults.push(heard.told(stay, at));
                }
            }
        }
    });
    none(met, 200, &faults);
}

/// A bar has one leap of a tritone to the semitone above what comes next at the most (common practice, no
/// source), but for one in a thousand bars, whose roots leave no other way.
#[test]
fn a_bar_has_one_tritone_to_an_upper_leading_note() {
    let (mut bars, mut faults) = (0, Vec::new());
    each(&[Groove::Walking], |heard| {
        let bar = heard.metre.bar();
        let mut before = None;
        for three in heard.line.windows(3) {
            let steps = [0, 1].map(|it| i32::from(three[it + 1].1) - i32::from(three[it].1));
            let own = three[1].0 / bar;
            bars += usize::from(three[1].0 % bar == 0);
            if steps[0].abs() == 6 && steps[1] == -1 && three[0].0 / bar == own {
                if before == Some(own) {
                    faults.push(format!("{}, bar {}: {three:?}", heard.name, own + 1));
                }
                before = Some(own);
            }
        }
    });
    println!("{} of {bars}", faults.len());
    assert!(
        bars > 2_000 && 1_000 * faults.len() <= bars,
        "{} of {bars}: {faults:#?}",
        faults.len()
    );
}

/// Right after the root of a chord with a major seventh nobody plays a minor one.
#[test]
fn no_minor_seventh_lies_under_a_major_one() {
    let (mut met, mut faults) = (0, Vec::new());
    each(&ALL, |heard| {
        for stay in heard.stays.iter().filter(|stay| tone(stay, 6) == Some(11)) {
            for pair in heard.notes(stay.at, stay.end).windows(2) {
                met += 1;
                if above(stay, pair[0].1) == 0 && above(stay, pair[1].1) == 10 {
                    faults.push(heard.told(stay, pair[0].0));
                }
            }
        }
    });
    none(met, 2_000, &faults);
}

/// In a ballad the second half of a bar over one chord has no octave where the chord has its fifth,
/// and lies below C3, but for one in twenty (common practice, no source).
#[test]
fn ballads_keep_low_and_move() {
    const C3: u8 = 48;
    let (mut met, mut octaves, mut high) = (0, Vec::new(), Vec::new());
    each(&[Groove::Ballad], |heard| {
        let bar = heard.metre.bar();
        for stay in
            heard.stays.iter().filter(|it| it.chord.bass.is_none() && tone(it, 4) == Some(7))
        {
            let ones = ((stay.at + bar - 1) / bar..).map(|it| it * bar);
            for at in ones.take_while(|at| at + bar <= stay.end) {
                let own = heard.notes(at, at + bar);
                let [first, second, ..] = own[..] else { continue };
                if second.0 + heard.metre.felt_beat() >= at + bar {
                    continue;
                }
                met += 1;
                if first.1.abs_diff(second.1) == 12 {
                    octaves.push(heard.told(stay, at));
                }
                if second.1 >= C3 {
                    high.push(heard.told(stay, at));
                }
            }
        }
    });
    println!("{} octaves, {} high of {met}", octaves.len(), high.len());
    assert!(met > 500 && octaves.len() * 20 <= met, "{octaves:#?}");
    assert!(high.len() * 20 <= met, "{} of {met}: {high:#?}", high.len());
}

/// Within a diminished chord no leap goes to a note that it has not: G under Bdim7 makes a dominant of it
/// (common practice, no source).
#[test]
fn no_leap_goes_out_of_a_diminished_chord() {
    let (mut met, mut faults) = (0, Vec::new());
    each(&ALL, |heard| {
        let is_diminished = |stay: &&Stay| tone(stay, 4) == Some(6) && tone(stay, 6) == Some(9);
        for (place, stay) in heard.stays.iter().enumerate().filter(|it| is_diminished(&it.1)) {
            let own = heard.notes(stay.at, stay.end);
            for (index, pair) in own.windows(2).enumerate() {
                met += 1;
                let is_tone = stay
                    .chord
                    .notes()
                    .any(|it| (i32::from(pair[1].1) - it.pitch_class()).rem_euclid(12) == 0);
                // The last one may lead on.
                let next = heard.stays.get(place + 1).map(foot);
                let leads = index + 2 == own.len()
                    && next.is_some_and(|it| {
                        matches!((class(pair[1].1) - it).rem_euclid(12), 1 | 2 | 10 | 11)
                    });
                if !is_tone && !leads && pair[0].1.abs_diff(pair[1].1) > 2 {
                    faults.push(heard.told(stay, pair[1].0));
                }
            }
        }
    });
    none(met, 500, &faults);
}

/// A note that is longer than a beat is not the third of another kind of chord.
#[test]
fn no_long_note_is_another_third() {
    let (mut met, mut faults) = (0, Vec::new());
    each(&ALL, |heard| {
        let beat = heard.metre.felt_beat();
        for stay in &heard.stays {
            let Some(third) = tone(stay, 2).filter(|it| matches!(it, 3 | 4)) else { continue };
            let own = heard.notes(stay.at, stay.end);
            let ends = own.iter().skip(1).map(|it| it.0).chain([stay.end]);
            for ((at, pitch), end) in own.iter().zip(ends) {
                let is_long = end - at > beat || end - at > 48 && end < stay.end;
                if !is_long {
                    continue;
                }
                met += 1;
                let is_tone = stay
                    .chord
                    .notes()
                    .chain(stay.chord.bass)
                    .any(|it| (i32::from(*pitch) - it.pitch_class()).rem_euclid(12) == 0);
                if above(stay, *pitch) == 7 - third && !is_tone {
                    faults.push(heard.told(stay, *at));
                }
            }
        }
    });
    none(met, 1_000, &faults);
}
