//! Laws that need no data: what may change when a tune is changed, and what may not.

use proptest::prelude::*;
use quintfall::chart::{
    Analysis, CadenceForm, ChordReading, Function, HeldChord, Unfolded, analyse,
};
use quintfall::score::Metre;
use quintfall::theory::{Chord, ChordKind, Interval, Letter, NoteName, Numeral, read_chord};

use crate::tune::{tune, tune_in};
use crate::tunes::{MODAL, TUNES};

/// Twelve ways up, a spelling each.
pub(crate) const UP: [Interval; 12] = [
    Interval::UNISON,
    Interval::MINOR_SECOND,
    Interval::MAJOR_SECOND,
    Interval::MINOR_THIRD,
    Interval::MAJOR_THIRD,
    Interval::FOURTH,
    Interval::DIMINISHED_FIFTH,
    Interval::FIFTH,
    Interval::MINOR_SIXTH,
    Interval::MAJOR_SIXTH,
    Interval::MINOR_SEVENTH,
    Interval::MAJOR_SEVENTH,
];

pub(crate) fn all() -> impl Iterator<Item = Unfolded> {
    TUNES.iter().chain(MODAL.iter().map(|(text, _)| text)).map(|text| tune(text))
}

/// A tune with other names for its notes.
pub(crate) fn renamed(tune: &Unfolded, name: impl Fn(NoteName) -> NoteName) -> Unfolded {
    let mut other = tune.clone();
    for change in &mut other.changes {
        change.chord = change.chord.map(|chord| Chord {
            root: name(chord.root),
            bass: chord.bass.map(&name),
            ..chord
        });
    }
    other
}

/// What a reading says, whatever the names of the notes, seen from a pitch class.
fn said(reading: &ChordReading, from: i32) -> (i32, bool, Numeral, Function, Option<i32>) {
    let above = |note: NoteName| (note.pitch_class() - from).rem_euclid(12);
    let target = reading.target.map(above);
    let key = above(reading.key.tonic());
    (key, reading.key.is_minor(), reading.numeral, reading.function, target)
}

/// What an analysis says, seen from a pitch class.
fn answer(it: &Analysis, from: i32) -> String {
    use std::fmt::Write;
    let above = |note: NoteName| (note.pitch_class() - from).rem_euclid(12);
    let mut text = String::new();
    let second = it.second.map(|near| (above(near.key.tonic()), near.key.is_minor()));
    let home = (above(it.home.tonic()), it.home.is_minor());
    writeln!(text, "{home:?} {second:?} {:.6} {} {}", it.margin, it.is_blues, it.is_modal).unwrap();
    for reading in &it.readings {
        writeln!(text, "{:?} {:.6}", said(reading, from), reading.margin).unwrap();
    }
    for area in &it.areas {
        let key = (above(area.key.tonic()), area.key.is_minor());
        writeln!(text, "{key:?} {} {} {}", area.first_bar, area.last_bar, area.is_stayed).unwrap();
    }
    for one in &it.cadences {
        let target = above(one.target);
        writeln!(
            text,
            "{:?} {:?} {:?} {target} {}",
            one.written, one.kind, one.form, one.is_resolved
        )
        .unwrap();
    }
    text
}

#[test]
fn a_tune_in_another_key_has_the_same_answer() {
    for tune in all() {
        let expected = answer(&analyse(&tune).unwrap(), 0);
        for up in UP {
            let other = analyse(&renamed(&tune, |note| note.up(up))).unwrap();
            assert_eq!(answer(&other, up.semitones), expected, "{up:?}");
        }
    }
}

/// The next letter up or down that can name the same key with no more than two signs.
fn respelled(note: NoteName) -> NoteName {
    let others = Letter::ALL.into_iter().filter(|letter| *letter != note.letter);
    let named = others.flat_map(|letter| (-2..=2).map(move |alter| NoteName::new(letter, alter)));
    named.into_iter().find(|other| other.pitch_class() == note.pitch_class()).unwrap()
}

#[test]
fn other_names_for_the_roots_change_nothing_but_names() {
    for tune in all() {
        let expected = answer(&analyse(&tune).unwrap(), 0);
        let other = analyse(&renamed(&tune, respelled)).unwrap();
        assert_eq!(answer(&other, 0), expected);
    }
}

/// The home key is spelled as the chart spells its tonic, where that key exists.
#[test]
fn home_is_spelled_as_the_chart_spells_it() {
    for (text, home) in [
        ("F#maj7 | G#m7 C#7 | F#6 | %", "F# major"),
        ("Gbmaj7 | Abm7 Db7 | Gb6 | %", "Gb major"),
        ("C#maj7 | D#m7 G#7 | C#6 | %", "C# major"),
        ("G#maj7 | A#m7 D#7 | G#6 | %", "Ab major"),
        ("Ebm7 | Fm7b5 Bb7 | Ebm6 | %", "Eb minor"),
        ("D#m7 | E#m7b5 A#7 | D#m6 | %", "D# minor"),
        ("Dbm7 | Ebm7b5 Ab7 | Dbm6 | %", "C# minor"),
    ] {
        assert_eq!(analyse(&tune(text)).unwrap().home.plain(), home, "{text}");
    }
}

#[test]
fn the_length_of_all_bars_changes_nothing() {
    for text in TUNES {
        let expected = answer(&analyse(&tune(text)).unwrap(), 0);
        for metre in [Metre::ThreeFour, Metre::SixEight, Metre::FiveFour] {
            let other = tune_in(metre, text);
            // Bars that do not divide have chords of other shares.
            if other.changes.iter().map(|change| change.length).sum::<i32>() % metre.bar() != 0 {
                continue;
            }
            assert_eq!(answer(&analyse(&other).unwrap(), 0), expected, "{metre:?} {text}");
        }
    }
}

/// The numeral and function of each written change.
fn labels(analysis: &Analysis) -> Vec<(Numeral, Function)> {
    analysis.readings.iter().map(|reading| (reading.numeral, reading.function)).collect()
}

/// Whether a second reading is told beside the first: such a label may turn to the other.
fn is_near(reading: &ChordReading) -> bool {
    reading.other.is_some_and(|other| other.by < 0.5)
}

fn with_changes(tune: &Unfolded, changes: Vec<HeldChord>) -> Unfolded {
    let numbered = changes.into_iter().enumerate();
    let changes = numbered.map(|(written, change)| HeldChord { written, ..change }).collect();
    Unfolded { changes, ..tune.clone() }
}

/// A ii before a dominant that has none belongs to it, and the chords around stay what they were.
#[test]
fn a_related_ii_before_a_dominant_changes_no_other_label() {
    let mut tried = 0;
    for text in TUNES {
        let tune = tune(text);
        let analysis = analyse(&tune).unwrap();
        let before = labels(&analysis);
        for (place, reading) in analysis.readings.iter().enumerate().skip(1) {
            let own = tune.changes[place];
            let two = reading.chord.root.up(Interval::FIFTH);
            let root = |at: usize| tune.changes[at].chord.unwrap().root.pitch_class();
            let is_five = reading.chord.kind == ChordKind::DOMINANT;
            let is_whole = own.length >= tune.metre.bar() && reading.function == Function::Dominant;
            // On the root of the chord before, it would be one harmony with that, and on the tonic
            // it is the minor tonic.
            let taken = [root(place - 1), reading.key.tonic().pitch_class()];
            // A dominant before it would get a goal that it had not.
            let rise = (two.pitch_class() - root(place - 1)).rem_euclid(12);
            let is_free = !taken.contains(&two.pitch_class()) && rise != 5;
            if !(is_five && is_whole && is_free) {
                continue;
            }
            tried += 1;
            let half = own.length / 2;
            let chord = Chord::new(two, read_chord("Cm7").unwrap().kind);
            let mut changes = tune.changes.clone();
            changes[place] = HeldChord { at: own.at + half, length: own.length - half, ..own };
            changes.insert(place, HeldChord { length: half, chord: Some(chord), ..own });
            let mut after = labels(&analyse(&with_changes(&tune, changes)).unwrap());
            after.remove(place);
            for at in (0..before.len()).filter(|at| !is_near(&analysis.readings[*at])) {
                assert_eq!(after[at], before[at], "ii before {place}, {at} of {text}");
            }
        }
    }
    assert!(tried > 10, "{tried}");
}

/// A dominant that falls a fifth may be replaced by its tritone partner: that changes its label and
/// that of its ii alone.
#[test]
fn a_tritone_partner_changes_its_own_label_and_that_of_its_ii() {
    let mut tried = 0;
    for text in TUNES {
        let tune = tune(text);
        let analysis = analyse(&tune).unwrap();
        let before = labels(&analysis);
        for (place, reading) in analysis.readings.iter().enumerate() {
            let next = (place + 1) % analysis.readings.len();
            let rise =
                analysis.readings[next].chord.root.pitch_class() - reading.chord.root.pitch_class();
            let is_five = reading.chord.kind == ChordKind::DOMINANT
                && reading.function == Function::Dominant
                && rise.rem_euclid(12) == 5;
            if !is_five {
                continue;
            }
            tried += 1;
            let mut changes = tune.changes.clone();
            let root = reading.chord.root.up(Interval::DIMINISHED_FIFTH);
            changes[place].chord = Some(Chord { root, ..reading.chord });
            let after = labels(&analyse(&with_changes(&tune, changes)).unwrap());
            let is_own = |at: usize| at == place || at + 1 == place;
            let is_sure = |at: usize| !is_own(at) && !is_near(&analysis.readings[at]);
            for at in (0..before.len()).filter(|at| is_sure(*at)) {
                assert_eq!(after[at], before[at], "{place} replaced, {at} of {text}");
            }
            assert_eq!(after[place].1, Function::Dominant, "{place} of {text}");
        }
    }
    assert!(tried > 60, "{tried}");
}

/// A tune that goes round has the same keys from whichever section it is begun.
#[test]
fn a_rotation_keeps_the_keys_of_the_chords() {
    for text in TUNES.iter().filter(|text| text.matches('[').count() > 1) {
        let tune = tune(text);
        let analysis = analyse(&tune).unwrap();
        let keys = |it: &Analysis| -> Vec<_> { it.readings.iter().map(|it| it.key).collect() };
        let bar = tune.metre.bar();
        let start = tune.sections[1] as i32 * bar;
        let total = tune.bars as i32 * bar;
        let split = tune.changes.iter().position(|change| change.at >= start).unwrap();
        let mut changes = tune.changes.clone();
        changes.rotate_left(split);
        for change in &mut changes {
            change.at = (change.at - start).rem_euclid(total);
        }
        let sections = tune.sections.iter();
        let mut sections: Vec<usize> =
            sections.map(|at| (at + tune.bars - tune.sections[1]) % tune.bars).collect();
        sections.sort_unstable();
        let rotated = Unfolded { sections, ..with_changes(&tune, changes) };
        let mut expected = keys(&analysis);
        expected.rotate_left(split);
        assert_eq!(keys(&analyse(&rotated).unwrap()), expected, "{text}");
    }
}

/// A turnaround behind the last I leads back and tells nothing of home.
#[test]
fn a_turnaround_at_the_end_does_not_change_home() {
    let turnarounds = ["C6 | Dm7 G7", "C6 A7 | Dm7 G7", "Em7 A7 | Dm7 G7", "C6 Eb7 | Dm7 Db7"];
    let start = "C6 | E7 | Am7 | D7 | Fmaj7 | Fm7 Bb7 | Em7 A7 | Dm7 G7 | C6 | % | A7 | % | Dm7 | \
                 G7 |";
    let rest = analyse(&tune(&format!("{start} C6 | %"))).unwrap();
    for turnaround in turnarounds {
        let round = analyse(&tune(&format!("{start} C6 | {turnaround}"))).unwrap();
        assert_eq!(round.home, rest.home, "{turnaround}");
    }
    let start = "Cm7 | Fm7 | Dm7b5 | G7 | Cm7 | Ab7 | G7 | % | Cm7 | C7 | Fm7 | % | Dm7b5 | G7 |";
    let rest = analyse(&tune(&format!("{start} Cm6 | %"))).unwrap();
    for turnaround in ["Cm6 | Dm7b5 G7", "Cm6 Am7b5 | Dm7b5 G7", "Cm6 Ebmaj7 | Abmaj7 G7"] {
        let round = analyse(&tune(&format!("{start} {turnaround}"))).unwrap();
        assert_eq!(round.home, rest.home, "{turnaround}");
    }
}

#[test]
fn modal_tunes_say_that_there_is_no_cadence() {
    for (text, home) in MODAL {
        let analysis = analyse(&tune(text)).unwrap();
        assert!(analysis.is_modal, "{text}");
        assert_eq!(analysis.home.plain(), *home, "{text}");
        assert!(analysis.margin < 1.0 && analysis.sureness() == 65, "{text}");
        assert!(analysis.readings[0].reason.contains("modal, no cadence"), "{text}");
    }
    for text in TUNES {
        assert!(!analyse(&tune(text)).unwrap().is_modal, "{text}");
    }
}

/// Every answer is whole: a reading for each chord, areas without gaps, margins that are no less
/// than nothing.
fn is_whole(tune: &Unfolded, analysis: &Analysis) {
    let sounding = tune.changes.iter().filter(|change| change.chord.is_some());
    let written: Vec<usize> = sounding.map(|change| change.written).collect();
    let read: Vec<usize> = analysis.readings.iter().map(|reading| reading.written).collect();
    assert_eq!(read, written);
    assert!(analysis.margin >= 0.0);
    for reading in &analysis.readings {
        assert!(reading.margin >= 0.0 && !reading.reason.is_empty());
        assert!(
            !reading.reason.contains("  ") && !reading.reason.ends_with(' '),
            "{}",
            reading.reason
        );
        assert!(reading.other.is_none_or(|other| (other.by - reading.margin).abs() < 1e-9));
        assert_eq!(analysis.reading(reading.written), Some(reading));
    }
    assert!(analysis.areas.windows(2).all(|pair| pair[0].until == pair[1].from));
    assert!(analysis.areas.windows(2).all(|pair| pair[0].key != pair[1].key));
}

#[test]
fn every_answer_is_whole() {
    for tune in all() {
        is_whole(&tune, &analyse(&tune).unwrap());
    }
    let silent = Unfolded { changes: Vec::new(), ..tune("C") };
    assert_eq!(analyse(&silent), None);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(
        std::env::var("QUINTFALL_CASES").ok().and_then(|it| it.parse().ok()).unwrap_or(200)
    ))]

    /// Any chords in any order have a whole answer, the same in another key.
    #[test]
    fn any_tune_has_an_answer(
        chords in prop::collection::vec((0_usize..12, 0_usize..16, 1_i32..9), 1..40),
        up in 0_usize..12,
    ) {
        let roots = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];
        let kinds = [
            "", "6", "maj7", "7", "7sus4", "7alt", "m", "m7", "m6", "m(maj7)", "m7b5", "dim",
            "dim7", "aug", "maj7#5", "9",
        ];
        let mut at = 0;
        let mut changes = Vec::new();
        for (written, (root, kind, length)) in chords.into_iter().enumerate() {
            let chord = read_chord(&format!("{}{}", roots[root], kinds[kind])).unwrap();
            let length = 48 * length;
            changes.push(HeldChord { written, at, length, chord: Some(chord) });
            at += length;
        }
        let bars = (at as usize).div_ceil(192);
        let tune = Unfolded { metre: Metre::FourFour, bars, sections: vec![0], changes, before_another: None };
        let analysis = analyse(&tune).unwrap();
        is_whole(&tune, &analysis);
        let other = analyse(&renamed(&tune, |note| note.up(UP[up]))).unwrap();
        prop_assert_eq!(answer(&other, UP[up].semitones), answer(&analysis, 0));
    }
}

/// The tunes of the laws, and one where the partner of a goal comes after the goal's own ii.
pub(crate) fn with_partners() -> impl Iterator<Item = Unfolded> {
    all().chain([tune("Abmaj7 | Fm7 Bb7 | Bbm7 A7 | Ab6 | Fm7 Bb7 | A7 | Abmaj7 | Ab6")])
}

/// A dominant may be answered by what stands in for its goal; its goal is what it was.
#[test]
fn a_cadence_names_the_goal_of_its_dominant() {
    let mut asked = 0;
    for tune in with_partners() {
        for cadence in analyse(&tune).expect("a tune with chords").cadences {
            let of_change = |change: &&HeldChord| change.at == cadence.dominant_at;
            let change = tune.changes.iter().find(of_change).expect("its dominant is a change");
            let chord = change.chord.expect("a dominant is a chord");
            // Over a bass of its own the root that is heard is another.
            let Chord { root, bass: None, .. } = chord else { continue };
            let up = match cadence.form {
                CadenceForm::Fifth => 5,
                CadenceForm::Tritone => 11,
                CadenceForm::Backdoor => 2,
            };
            let goal = (root.pitch_class() + up).rem_euclid(12);
            assert_eq!(cadence.target.pitch_class(), goal, "{root} to {}", cadence.target);
            asked += 1;
        }
    }
    assert!(asked > 80, "only {asked} cadences");
}

/// What a reason says to stay is in both chords.
#[test]
fn notes_that_stay_are_in_both_chords() {
    let sharing = ["C | Ebdim7 | Dm7 G7 | C", "C6 | C#dim7 | Am7b5 D7 | G", "F | Bbdim7 | C7 | F"];
    let mut asked = 0;
    for tune in with_partners().chain(sharing.map(tune)) {
        let chords: Vec<Chord> = tune.changes.iter().filter_map(|change| change.chord).collect();
        let analysis = analyse(&tune).expect("a tune with chords");
        for reading in &analysis.readings {
            let Some(before) = reading.reason.strip_suffix(" staying") else { continue };
            let (_, notes) = before.split_once(", ").expect("notes after a comma");
            let place = tune.changes.iter().position(|change| change.written == reading.written);
            let at =
                tune.changes[..place.expect("a change")].iter().filter_map(|it| it.chord).count();
            for note in notes.split([',', ' ']).filter(|word| !["", "and"].contains(word)) {
                for chord in [chords[at], chords[(at + 1) % chords.len()]] {
                    let has = chord.notes().any(|own| {
                        let note = read_chord(note).expect("a note reads as its triad").root;
                        own.pitch_class() == note.pitch_class()
                    });
                    assert!(has, "{note} is not in {chord:?}: {}", reading.reason);
                }
                asked += 1;
            }
        }
    }
    assert!(asked > 0, "nothing stays");
}
