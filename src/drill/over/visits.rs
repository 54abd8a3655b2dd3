//! What becomes of the keys of a mode that a tune visits.

use super::*;
use crate::chart::{analyse, analyse_in, demos};
use crate::drill::{Choices, Drill, Template};
use crate::score::Stay;
use crate::theory::{Chord, Interval};

/// Tunes that visit keys of a mode.
const OF_A_MODE: [&str; 3] = [
    "key = \"C\"\nform = \"A B A\"\n[[section]]\nname = \"A\"\nbars = \"| Cmaj7 | Am7 | Dm7 | G7 | Cmaj7 | Am7 | Dm7 G7 | C6 |\"\n\
     [[section]]\nname = \"B\"\nbars = \"| Dm9 | G13 | Dm9 | G13 | Dm9 | G13 | Dm9 | G13 |\"\n",
    "key = \"C\"\nform = \"A B A\"\n[[section]]\nname = \"A\"\nbars = \"| Cmaj7 | Am7 | Dm7 | G7 | Cmaj7 | Am7 | Dm7 G7 | C6 |\"\n\
     [[section]]\nname = \"B\"\nbars = \"| Fm9 | Bb13 | Fm9 | Bb13 | Fm9 | Bb13 | Fm9 | Bb13 |\"\n",
    "key = \"G\"\nform = \"A B A\"\n[[section]]\nname = \"A\"\nbars = \"| Gmaj7 | Em7 | Am7 | D7 | Gmaj7 | Em7 | Am7 D7 | G6 |\"\n\
     [[section]]\nname = \"B\"\nbars = \"| Ebm7 | Fm7 | Ebm7 | Fm7 | Ebm7 | Ab7 | Ebm7 | Ab7 |\"\n",
];

/// Further ones: over a bass of its own, in the middle of a section, lydian and mixolydian.
const MORE_OF_A_MODE: [&str; 3] = [
    "key = \"D minor\"\nform = \"A B A\"\n[[section]]\nname = \"A\"\nbars = \"| Dm9 | Em7b5 A7b9 | Dm9 | Am7b5 D7b9 | Gm7 C13 | Fmaj7 | Em7b5 A7alt | Dm6 |\"\n\
     [[section]]\nname = \"B\"\nbars = \"| Fm9 | Gm7/F | Fm9 | Bb9/F | Fm9 | Gm7/F | Fm9 | Gm7/F |\"\n",
    "key = \"Bb\"\nform = \"A B A\"\n[[section]]\nname = \"A\"\nbars = \"| Bbmaj7 | Gm7 | Cm7 | F7 | Bbmaj7 | Gm7 | Cm7 F7 | Bb6 |\"\n\
     [[section]]\nname = \"B\"\nbars = \"| Dbmaj7#11 | Eb/Db | Dbmaj7#11 | Eb/Db | Dbmaj7#11 | Eb/Db | Dbmaj7#11 | Eb/Db |\"\n",
    "key = \"C\"\nform = \"A B A\"\n[[section]]\nname = \"A\"\nbars = \"| Cmaj7 | Am7 | Dm7 | G7 | Cmaj7 | Am7 | Dm7 G7 | C6 |\"\n\
     [[section]]\nname = \"B\"\nbars = \"| Ebm9 | Fm7 | Ebm9 | Ab13 | Ebm9 | Fm7 | Ebm9 | Ab13 | Dm7 | G7 | Cmaj7 | Dm7 G7 |\"\n",
];

/// A drill over a tune with what is known of both.
struct Visiting<'a> {
    analysis: &'a Analysis,
    home: Key,
    drill: &'a Text,
    template: &'a Template,
}

impl Visiting<'_> {
    /// The notes of the key of a mode that a chord is always read in, as classes; none where it is read
    /// in another key too, or leads elsewhere.
    fn mode_of(&self, chord: Chord) -> Option<Vec<i32>> {
        let class = chord.root.pitch_class();
        let mut own = self
            .analysis
            .readings
            .iter()
            .filter(|it| it.chord.root.pitch_class() == class && it.chord.kind == chord.kind);
        let first = own.next()?;
        let key = first.key;
        let is_visit = key.is_of_church_mode() && key != self.home && first.goal.is_none();
        let scale = key.scale();
        (is_visit && own.all(|it| it.key == key && it.goal.is_none()))
            .then(|| (1..=7).map(|it| scale.note(it).pitch_class()).collect())
    }
}

/// Tunes that visit modes, in every key, with the drills that are composed over them.
fn each_visit(mut check: impl FnMut(OverWay, &Visiting<'_>)) {
    for text in OF_A_MODE.iter().chain(&MORE_OF_A_MODE) {
        let text = format!("title = \"x\"\nmetre = \"4/4\"\n{text}");
        let written = Chart::parse(&text, "x").unwrap_or_else(|error| panic!("{error}"));
        let from = written.key.unwrap();
        for to in Key::majors().map(|key| Key::on(key.tonic(), from.mode()).customary()) {
            let chart = written.transposed(from, to);
            let analysis = &analyse_in(&chart.unfolded(), chart.key).unwrap();
            let over = OverTune { chart: &chart, analysis };
            for way in [OverWay::Lines, OverWay::Walking] {
                for drill in &over.drills(way) {
                    let template = &Template::parse(&drill.text, &drill.name)
                        .unwrap_or_else(|error| panic!("{error}\n{}", drill.text));
                    check(way, &Visiting { analysis, home: over.home(), drill, template });
                }
            }
        }
    }
}

/// Where a tune visits a key of a mode, what goes with its chords is of the mode, in every key: the
/// scale over ii of G dorian has B♭ and F, wherever home is. What a chord itself has stays, and what
/// leads to a degree has the notes of that.
#[test]
fn a_visit_to_a_mode_has_the_notes_of_the_mode() {
    let mut met = 0;
    each_visit(|_, visit| {
        let Visiting { home, drill, template, .. } = visit;
        let plans = template.passages.iter().flat_map(|passage| {
            passage.degrees.iter().filter_map(|degree| degree.chord(passage.home))
        });
        for plan in plans {
            let chord = plan.in_key(*home, Interval::UNISON);
            let Some(own) = visit.mode_of(chord) else { continue };
            let tones: Vec<i32> =
                plan.kind.tones().map(|it| chord.root.up(it).pitch_class()).collect();
            for number in 1..=7 {
                let note = home.tonic().up(plan.tone(number));
                let class = note.pitch_class();
                let is_told = own.contains(&class) || tones.contains(&class);
                assert!(is_told, "{note} over {chord:?}\n{}", drill.text);
                met += 1;
            }
        }
    });
    assert!(met > 2000, "{met}");
}

/// The notes of a composed line over a key of a mode are of the mode, but for tones of the chord and for
/// what leads by a semitone into the next note.
#[test]
fn a_line_over_a_mode_is_of_the_mode() {
    let mut met = [0; 2];
    each_visit(|way, visit| {
        let Visiting { home, drill, template, .. } = visit;
        let drill_in = Drill::of(template);
        let score = drill_in.realise(*home, Choices::default());
        let stays: Vec<Stay> = drill_in.stays(*home).collect();
        let is_walking = way == OverWay::Walking;
        let staves = score.bars.iter().map(|bar| match is_walking {
            true => &bar.staves.left,
            false => &bar.staves.right,
        });
        let events = staves.flat_map(|staff| &staff.events).filter(|it| it.notes.len() == 1);
        let line: Vec<(Ticks, i32)> =
            events.map(|event| (event.at, event.notes[0].pitch.midi())).collect();
        for (place, (at, pitch)) in line.iter().enumerate() {
            let Some(stay) = stays.iter().find(|it| (it.at..it.end).contains(at)) else { continue };
            let Some(own) = visit.mode_of(stay.chord) else { continue };
            let class = pitch.rem_euclid(12);
            let has = |notes: &[i32]| notes.iter().any(|it| (it - class).rem_euclid(12) == 0);
            let tones: Vec<i32> =
                stay.chord.notes().chain(stay.chord.bass).map(|it| it.pitch_class()).collect();
            let next = line.get(place + 1);
            let leads = next.is_none_or(|(_, next)| (next - pitch).abs() == 1);
            met[usize::from(is_walking)] += 1;
            assert!(
                has(&own) || has(&tones) || leads,
                "{pitch} at {at} over {:?}\n{}",
                stay.chord,
                drill.text
            );
        }
    });
    assert!(met[0] > 1000 && met[1] > 1000, "{met:?}");
}

/// A chord has one numeral, on the chart, in tables, for other programs and under the hands: at home
/// as it stands, in a key of a mode with the degree of that key after it.
#[test]
fn a_chord_of_a_mode_has_the_numeral_of_the_chart() {
    let mut met = [0; 2];
    let own = OF_A_MODE.iter().map(|it| format!("title = \"x\"\nmetre = \"4/4\"\n{it}"));
    for text in demos().map(|(_, text)| text.to_owned()).chain(own) {
        let written = Chart::parse(&text, "x").unwrap_or_else(|error| panic!("{error}"));
        let from = written.key.unwrap_or_else(|| analyse(&written.unfolded()).unwrap().home);
        for to in Key::majors().map(|key| Key::on(key.tonic(), from.mode()).customary()) {
            let chart = written.transposed(from, to);
            let analysis = analyse_in(&chart.unfolded(), chart.key).unwrap();
            let over = OverTune { chart: &chart, analysis: &analysis };
            let home = over.home();
            for reading in analysis.readings.iter().filter(|it| it.goal.is_none()) {
                let is_home = reading.key.tonic().pitch_class() == home.tonic().pitch_class();
                let is_plain = matches!(
                    reading.key.mode(),
                    crate::theory::Mode::Major | crate::theory::Mode::NaturalMinor
                );
                if is_plain && !is_home {
                    continue;
                }
                let word = numeral::word(reading.chord, Some(reading), home);
                let plan =
                    Degree::parse(&word).unwrap().chord(PassageHome::own(home.mode())).unwrap();
                let said = |it: crate::theory::Numeral| (it.degree, it.alter);
                assert_eq!(said(plan.numeral), said(reading.numeral), "{word}: {reading:?}");
                assert_eq!(plan.numeral.of.is_none(), is_home, "{word}: {reading:?}");
                met[usize::from(is_home)] += 1;
            }
        }
    }
    assert!(met[0] > 200 && met[1] > 1000, "{met:?}");
}
