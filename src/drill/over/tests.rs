//! What a tune becomes, over every demo chart.

use super::*;
use crate::chart::{analyse, demos};
use crate::drill::{Choices, Template, realise};
use crate::fingering::FingeringMarks;

/// Every demo chart, with the drills of every way.
fn each(mut check: impl FnMut(&Over<'_>, &Text, &Template)) {
    for (name, text) in demos() {
        let chart = Chart::parse(text, name).unwrap();
        let analysis = analyse(&chart.unfolded()).unwrap();
        let over = Over { chart: &chart, analysis: &analysis };
        let drills = Way::ALL.into_iter().flat_map(|way| over.drills(way));
        for drill in drills.chain(cadences(&over, |_| true)) {
            let template = Template::parse(&drill.text, &drill.name)
                .unwrap_or_else(|error| panic!("{error}\n{}", drill.text));
            check(&over, &drill, &template);
        }
    }
}

/// The symbols of a drill over a tune are the chords that the tune writes, in its own key and
/// spelled as it has them; a voicing may only add to them.
#[test]
fn a_drill_over_a_tune_has_its_chords_as_they_are_written() {
    let mut met = 0;
    each(|over, drill, template| {
        let choices = Choices { fingering: FingeringMarks::None, ..Choices::default() };
        let score = realise(template, over.home(), choices);
        let written: Vec<_> = over.chart.written().filter_map(|stand| stand.chord).collect();
        for harmony in &score.harmonies {
            let is_known = written.iter().any(|chord| {
                chord.root == harmony.chord.root
                    && chord.kind.third() == harmony.chord.kind.third()
                    && chord.bass == harmony.chord.bass
            });
            assert!(is_known, "{}: {:?}\n{}", drill.name, harmony.chord, drill.text);
            met += 1;
        }
    });
    assert!(met > 1000, "{met}");
}

/// Chords over basses that a chart may write: a tone of theirs, a note beside them, the sixth of
/// another key.
const SLASHES: &str = "title = \"Slashes\"\nmetre = \"4/4\"\nkey = \"Eb\"\n[[section]]\nname = \"A\"\nbars = \"\
    | Eb Eb/D | Cm7 Cm7/Bb | Ab/C | Abm6/Cb | Eb/Bb | Fm7/Bb | Bb7/Ab | Eb/G Gb/Ab \
    | Fm7/Eb | Dm7b5/Ab | G7/B | C7/Bb | F/A | F9/Eb | Bb7sus4/F | Ebmaj7/G |\"\n";

/// A bass of its own stands in the symbol, and the left hand of every way that has a bass plays it
/// where its chord begins.
#[test]
fn a_bass_of_its_own_is_told_and_played() {
    let chart = Chart::parse(SLASHES, "slashes").unwrap_or_else(|error| panic!("{error}"));
    let analysis = analyse(&chart.unfolded()).unwrap();
    let over = Over { chart: &chart, analysis: &analysis };
    let basses: Vec<_> =
        chart.written().filter_map(|stand| stand.chord).filter_map(|chord| chord.bass).collect();
    for way in Way::ALL {
        let choices = Choices { fingering: FingeringMarks::None, ..Choices::default() };
        let mut told = Vec::new();
        for drill in over.drills(way) {
            let template = Template::parse(&drill.text, &drill.name)
                .unwrap_or_else(|error| panic!("{error}\n{}", drill.text));
            let score = realise(&template, over.home(), choices);
            for harmony in &score.harmonies {
                let Some(bass) = harmony.chord.bass else { continue };
                told.push(bass);
                let events = score.bars.iter().flat_map(|bar| &bar.staves.left.events);
                let mut struck = events.filter(|event| event.at == harmony.at);
                let lowest = struck.find_map(|event| event.notes.first());
                let plays =
                    lowest.is_some_and(|note| note.pitch.name.pitch_class() == bass.pitch_class());
                let leaves_it = way == Way::Rootless;
                assert!(plays || leaves_it, "{}: {bass} {lowest:?}\n{}", way.word(), drill.text);
            }
        }
        assert_eq!(told, basses, "{}", way.word());
    }
}

/// A tune of whatever chords there are, in any key, in any metre, with silences and repeats, becomes
/// drills that read.
#[test]
fn any_tune_becomes_drills_that_read() {
    let kinds = [
        "", "m", "6", "m6", "7", "maj7", "m7", "m7b5", "dim7", "m(maj7)", "9", "maj9", "m9", "13",
        "7b9", "7#9", "7alt", "7sus4", "sus4", "sus2", "aug", "7#5", "7b5", "6/9", "maj7#11",
        "m11", "7b9b13", "13#11", "dim", "add9", "5",
    ];
    let roots = [
        "C", "Db", "C#", "D", "Eb", "D#", "E", "F", "F#", "Gb", "G", "Ab", "G#", "A", "Bb", "A#",
        "B", "Cb",
    ];
    let homes = ["C", "Gb", "C# minor", "Eb minor", "B", "D dorian"];
    let metres = [("4/4", 4), ("3/4", 3), ("5/4", 4), ("6/8", 4)];
    let mut met = 0;
    for (nth, home) in homes.into_iter().enumerate() {
        let (metre, most) = metres[nth % metres.len()];
        let symbol = |place: usize| {
            let (root, kind) = (roots[place * 5 % roots.len()], kinds[place % kinds.len()]);
            format!("{root}{kind}")
        };
        let mut place = nth;
        let mut bar = |count: usize| {
            let own: Vec<String> = (0..count)
                .map(|_| {
                    place += 1;
                    symbol(place)
                })
                .collect();
            own.join(" ")
        };
        let bars: Vec<String> = (0..24).map(|index| bar(1 + index % most)).collect();
        let text = format!(
            "title = \"Any \\\"thing\\\"\"\nmetre = \"{metre}\"\nkey = \"{home}\"\npick-up = \"G7\"\n\
             [[section]]\nname = \"Intro\"\nbars = \"| N.C. | {} |\"\n\
             [[section]]\nname = \"A\"\nbars = \"|: {} | % | N.C. :|x3 {} |\"\n\
             [[section]]\nname = \"B\"\nbars = \"|: {} |1. {} | N.C. :|2. {} | % |\"\n",
            bars[0],
            bars[1],
            bars[2..14].join(" | "),
            bars[14..20].join(" | "),
            bars[20],
            bars[21]
        );
        let chart = Chart::parse(&text, "any").unwrap_or_else(|error| panic!("{error}\n{text}"));
        let analysis = analyse(&chart.unfolded()).unwrap();
        let over = Over { chart: &chart, analysis: &analysis };
        let drills = Way::ALL.into_iter().flat_map(|way| over.drills(way));
        for drill in drills.chain(cadences(&over, |_| true)) {
            let template = Template::parse(&drill.text, &drill.name)
                .unwrap_or_else(|error| panic!("{error}\n{}", drill.text));
            assert!(realise(&template, over.home(), Choices::default()).bars.len() > 1);
            met += 1;
        }
    }
    assert!(met >= 7 * homes.len(), "{met}");
}
