//! What a tune becomes, over every demo chart.

use super::*;
use crate::chart::{analyse, analyse_in, demos};
use crate::drill::{Choices, Template, realise};
use crate::fingering::FingeringMarks;

/// Every demo chart, with the drills of every way.
fn each(mut check: impl FnMut(&OverTune<'_>, &Text, &Template)) {
    for (name, text) in demos() {
        let chart = Chart::parse(text, name).unwrap();
        let analysis = analyse(&chart.unfolded()).unwrap();
        let over = OverTune { chart: &chart, analysis: &analysis };
        let drills = OverWay::ALL.into_iter().flat_map(|way| over.drills(way));
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

/// Keys that a chart writes otherwise than the degrees of its own count them: E for ♭VI of A♭, and
/// diminished chords by either name.
const BORROWED: [&str; 3] = [
    "key = \"Ab\"\n[[section]]\nname = \"A\"\nbars = \"| Abmaj7 | F#m9 | B13 | Emaj7 | C#m7 | Bm7 E7 | Amaj7 | Dm9 G13 \
     | Cmaj7 Bdim7 | Bbm7 Eb7#5 | Abmaj7 Adim7 | Bbm7 A7#11 | Ab6 |\"\n",
    "key = \"D minor\"\n[[section]]\nname = \"A\"\nbars = \"| Dm9 | Bm7b5 Bb7#11 | Am7b5 D7b9 | Gm9 | Fmaj7/A Abdim7 | Gm7/A A7b9 \
     | Dm6 | Cm9 F7 | Bbmaj9 | Dbdim7 | Cm9 F13 | Bbm9 Eb13 | Abmaj9 | Em7b5 A7alt |\"\n",
    "key = \"E\"\n[[section]]\nname = \"A\"\nbars = \"| Emaj7 | Dm7 G7 | Cmaj7 | Abm7 Db7 | Gbmaj7 | Bbm7 Eb7 | Abmaj7 | F#m7 B7 \
     | Emaj7 Gdim7 | F#m7 B7 | E6 |\"\n",
];

/// Symbols are spelled as the chart has them, numerals by the degrees of the key: ♭VI and ♭II, no
/// ♯V nor ♯I, but for what leads up.
#[test]
fn numerals_follow_the_key_and_symbols_the_chart() {
    let mut flats = 0;
    for text in BORROWED {
        let chart = Chart::parse(&format!("title = \"x\"\nmetre = \"4/4\"\n{text}"), "x");
        let chart = chart.unwrap_or_else(|error| panic!("{error}"));
        let analysis = analyse(&chart.unfolded()).unwrap();
        let over = OverTune { chart: &chart, analysis: &analysis };
        let written: Vec<_> = chart.written().filter_map(|stand| stand.chord).collect();
        for drill in OverWay::ALL.into_iter().flat_map(|way| over.drills(way)) {
            let template = Template::parse(&drill.text, &drill.name)
                .unwrap_or_else(|error| panic!("{error}\n{}", drill.text));
            let choices = Choices { fingering: FingeringMarks::None, ..Choices::default() };
            let score = realise(&template, over.home(), choices);
            assert_eq!(score.harmonies.len(), written.len());
            for (harmony, chord) in score.harmonies.iter().zip(&written) {
                assert_eq!(harmony.chord.root, chord.root, "{}\n{}", drill.name, drill.text);
                let numeral = harmony.numeral;
                let of = numeral.of.map_or((1, 0), |of| (of.degree, of.alter));
                for (degree, alter) in [(numeral.degree, numeral.alter), of] {
                    let is_raised = alter > 0 && degree != 4;
                    let leads_up = chord.kind.seventh() == crate::theory::Seventh::Diminished;
                    assert!(!is_raised || leads_up, "{chord:?} is {numeral:?}");
                    flats += usize::from(alter < 0);
                }
                // What only leads on in a composed line may have a double sign.
                let notes = score.bars.iter().filter(|_| !drill.name.ends_with("lines"));
                let notes = notes.flat_map(|bar| bar.staves.iter());
                let notes = notes.flat_map(|staff| &staff.events).flat_map(|event| &event.notes);
                assert!(
                    notes.clone().all(|note| note.pitch.name.alter.abs() < 2),
                    "{}",
                    drill.text
                );
            }
        }
    }
    assert!(flats > 100, "{flats}");
}

/// Over the V of a minor chord a voicing adds the notes of its scale, ♭9 and ♭13.
#[test]
fn a_dominant_of_minor_is_coloured_in_minor() {
    let text = "title = \"x\"\nmetre = \"4/4\"\nkey = \"D minor\"\n[[section]]\nname = \"A\"\nbars = \"| Em7b5 | A7b9 | Dm6 | D7b9 | Gm7 | A7 | Dm6 |\"\n";
    let chart = Chart::parse(text, "x").unwrap();
    let analysis = analyse(&chart.unfolded()).unwrap();
    let over = OverTune { chart: &chart, analysis: &analysis };
    for drill in over.drills(OverWay::Rootless) {
        let template = Template::parse(&drill.text, &drill.name).unwrap();
        let score = realise(&template, over.home(), Choices::default());
        for harmony in &score.harmonies {
            let tensions = harmony.chord.kind.tensions();
            let is_five = harmony.chord.kind.third() == crate::theory::Third::Major;
            assert!(!is_five || !tensions.has(crate::theory::Tension::Thirteenth), "{harmony:?}");
        }
    }
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
    let over = OverTune { chart: &chart, analysis: &analysis };
    let basses: Vec<_> =
        chart.written().filter_map(|stand| stand.chord).filter_map(|chord| chord.bass).collect();
    let mut remarks = 0;
    for way in OverWay::ALL {
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
                // What no hand plays is told at the foot.
                let untold = score.untold_chords.iter().filter(|it| it.lacks_bass);
                let is_told = untold.clone().any(|it| it.chord == harmony.chord);
                let leaves_it = way == OverWay::Rootless && is_told;
                remarks += usize::from(leaves_it);
                assert!(plays || leaves_it, "{}: {bass} {lowest:?}\n{}", way.word(), drill.text);
            }
        }
        assert_eq!(told, basses, "{}", way.word());
    }
    assert!(remarks > 5, "{remarks}");
}

/// A chord over a bass that is heard as a suspended dominant has the numeral of the chart.
#[test]
fn a_suspension_has_the_numeral_of_the_chart() {
    let mut met = 0;
    for (home, bars) in [
        ("G", "| Gmaj7 | C/D | G6 | Am7/D | Gmaj7 | Am6/D | G6 | Cmaj7/D | G |"),
        ("Eb", "| Ebmaj7 | Ab/Bb | Eb6 | Fm7/Bb | Ebmaj7 | Abm6/Bb | Eb6 | Abmaj7/Bb | Eb |"),
        ("D minor", "| Dm7 | Em7b5/A | Dm6 | Gm7/A | Dm7 | Gm6/A | A7 | Dm6 |"),
    ] {
        let text = format!(
            "title = \"x\"\nmetre = \"4/4\"\nkey = \"{home}\"\n[[section]]\nname = \"A\"\nbars = \"{bars}\"\n"
        );
        let chart = Chart::parse(&text, "x").unwrap();
        let analysis = analyse_in(&chart.unfolded(), chart.key).unwrap();
        let over = OverTune { chart: &chart, analysis: &analysis };
        for drill in over.drills(OverWay::Shells) {
            let template = Template::parse(&drill.text, &drill.name).unwrap();
            let score = realise(&template, over.home(), Choices::default());
            for harmony in score.harmonies.iter().filter(|it| it.chord.bass.is_some()) {
                let reading = analysis.readings.iter().find(|it| it.chord == harmony.chord);
                let (own, read) = (harmony.numeral, reading.unwrap().numeral);
                let fields = |it: crate::theory::Numeral| (it.degree, it.alter, it.kind);
                assert_eq!(fields(own), fields(read), "{home}: {:?}", harmony.chord);
                met += 1;
            }
        }
    }
    assert_eq!(met, 11);
}

/// A pick-up is told at the head of the first sheet, in words that hold in every key.
#[test]
fn a_pick_up_is_told() {
    for (pick_up, words) in [
        ("G7", Some("pick-up of one beat: V7.")),
        ("Dm7 / G7 /", None),
        ("Dm7 / G7", Some("pick-up of 3 beats: ii7, V7.")),
        ("", None),
    ] {
        let field = format!("pick-up = \"{pick_up}\"\n");
        let field = if pick_up.is_empty() { "" } else { &field };
        let bars = "| Cmaj7 | Am7 | Dm7 | G7 ".repeat(10);
        let text = format!(
            "title = \"x\"\nmetre = \"4/4\"\nkey = \"C\"\n{field}[[section]]\nname = \"A\"\nbars = \"{bars}|\"\n"
        );
        let Ok(chart) = Chart::parse(&text, "x") else {
            // A pick-up is less than a bar.
            assert_eq!(words, None);
            continue;
        };
        let analysis = analyse(&chart.unfolded()).unwrap();
        let over = OverTune { chart: &chart, analysis: &analysis };
        let drills = over.drills(OverWay::Shells);
        assert!(drills.len() > 1);
        for (part, drill) in drills.iter().enumerate() {
            let listen = Template::parse(&drill.text, &drill.name).unwrap().listen;
            let wanted = words.filter(|_| part == 0);
            let is_said =
                wanted.is_none_or(|it| listen.as_ref().is_some_and(|own| own.contains(it)));
            assert!(is_said && listen.is_some() == wanted.is_some(), "{pick_up}: {listen:?}");
        }
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
        let over = OverTune { chart: &chart, analysis: &analysis };
        let drills = OverWay::ALL.into_iter().flat_map(|way| over.drills(way));
        for drill in drills.chain(cadences(&over, |_| true)) {
            let template = Template::parse(&drill.text, &drill.name)
                .unwrap_or_else(|error| panic!("{error}\n{}", drill.text));
            assert!(realise(&template, over.home(), Choices::default()).bars.len() > 1);
            met += 1;
        }
    }
    assert!(met >= 7 * homes.len(), "{met}");
}

/// No hand has one key twice at once, whatever tone of a chord its bass is.
#[test]
fn no_hand_strikes_one_key_twice() {
    let mut met = 0;
    for key in ["Eb", "F", "D minor"] {
        let text = SLASHES.replace("\"Eb\"", &format!("\"{key}\""));
        let chart = Chart::parse(&text, "slashes").unwrap();
        let analysis = analyse(&chart.unfolded()).unwrap();
        let over = OverTune { chart: &chart, analysis: &analysis };
        for drill in OverWay::ALL.into_iter().flat_map(|way| over.drills(way)) {
            let template = Template::parse(&drill.text, &drill.name).unwrap();
            let score = realise(&template, over.home(), Choices::default());
            let staves = score.bars.iter().flat_map(|bar| [&bar.staves.left, &bar.staves.right]);
            for event in staves.flat_map(|staff| &staff.events) {
                let mut keys: Vec<i32> = event.notes.iter().map(|it| it.pitch.midi()).collect();
                let count = keys.len();
                keys.sort_unstable();
                keys.dedup();
                assert_eq!(keys.len(), count, "{}: {event:?}", drill.name);
                met += usize::from(count > 1);
            }
        }
    }
    assert!(met > 300, "{met}");
}

/// A tune of a church mode is written in the signature of the mode and has its notes alone; a line
/// leads on by a semitone now and then, as lines over major do.
#[test]
fn a_tune_of_a_mode_keeps_to_the_mode() {
    for (key, bars) in [
        ("D dorian", "| Dm9 | G13 | Dm9 | Em7 | Fmaj7 | Em7 | Am7 | Dm9 |"),
        ("G dorian", "| Gm9 | C13 | Gm9 | Am7 | Bbmaj7 | Am7 | Dm7 | Gm9 |"),
        ("G mixolydian", "| G7 | Fmaj7 | G7 | Dm7 | Cmaj7 | Fmaj7 | Am7 | G7 |"),
        ("F lydian", "| Fmaj7 | G7 | Fmaj7 | G7 | Em7 | Am7 | G7 | Fmaj7 |"),
        ("E phrygian", "| Em7 | Fmaj7 | Em7 | Fmaj7 | Dm7 | Fmaj7 | Am7 | Em7 |"),
    ] {
        let text = format!(
            "title = \"x\"\nmetre = \"4/4\"\nkey = \"{key}\"\n[[section]]\nname = \"A\"\nbars = \"{bars}\"\n"
        );
        let chart = Chart::parse(&text, "x").unwrap();
        let analysis = analyse_in(&chart.unfolded(), chart.key).unwrap();
        let over = OverTune { chart: &chart, analysis: &analysis };
        let home = chart.key.unwrap();
        assert_eq!(over.home(), home, "{key}");
        let scale = crate::theory::Scale { tonic: home.tonic(), mode: home.mode() };
        let own: Vec<i32> =
            (1..=7).map(|number| home.tonic().up(scale.interval(number)).pitch_class()).collect();
        for way in [
            OverWay::Shells,
            OverWay::GuideTones,
            OverWay::Arpeggios,
            OverWay::Rootless,
            OverWay::Lines,
        ] {
            let mut strange = 0;
            let mut all = 0;
            for drill in over.drills(way) {
                let template = Template::parse(&drill.text, &drill.name)
                    .unwrap_or_else(|error| panic!("{error}\n{}", drill.text));
                assert_eq!(template.mode, home.mode(), "{key}");
                let score = realise(&template, home, Choices::default());
                let staves =
                    score.bars.iter().flat_map(|bar| [&bar.staves.left, &bar.staves.right]);
                for note in staves.flat_map(|staff| &staff.events).flat_map(|event| &event.notes) {
                    all += 1;
                    strange += usize::from(!own.contains(&note.pitch.name.pitch_class()));
                }
            }
            let most = if way == OverWay::Lines { all / 8 } else { 0 };
            assert!(all > 10 && strange <= most, "{key}, {}: {strange} of {all}", way.word());
        }
    }
}

/// What is read as leading to a degree, or as a chord of a key that is visited, is called so on the
/// sheets, wherever that key lies: V7/VII like ii7/VII, and not ♯IV7.
#[test]
fn chords_of_a_visit_are_called_by_its_key() {
    let mut met = 0;
    let own =
        BORROWED.iter().chain([&VISITS]).map(|it| format!("title = \"x\"\nmetre = \"4/4\"\n{it}"));
    for text in demos().map(|(_, text)| text.to_owned()).chain(own) {
        let chart = Chart::parse(&text, "x").unwrap_or_else(|error| panic!("{error}"));
        let analysis = analyse_in(&chart.unfolded(), chart.key).unwrap();
        let over = OverTune { chart: &chart, analysis: &analysis };
        let home = over.home();
        for reading in &analysis.readings {
            let area = reading.key.tonic().pitch_class();
            let is_home = area == home.tonic().pitch_class();
            let is_tonic = reading.numeral.degree == 1 && reading.numeral.alter == 0;
            if is_home || is_tonic || reading.goal.is_some() {
                continue;
            }
            let word = numeral::word(reading.chord, Some(reading), home);
            let plan = Degree::parse(&word).unwrap().chord(PassageHome::own(home.mode())).unwrap();
            let of = plan.numeral.of.map(|of| {
                let key = home.tonic().pitch_class();
                let steps = crate::theory::Letter::from_steps(of.degree - 1).semitones();
                (key + steps + of.alter).rem_euclid(12)
            });
            assert_eq!(of, Some(area), "{word}: {reading:?}");
            assert_eq!(plan.numeral.degree, reading.numeral.degree, "{word}: {reading:?}");
            met += 1;
        }
    }
    assert!(met > 20, "{met}");
}

/// A tune that visits the key on its leading tone, and the one a tritone away.
const VISITS: &str = "key = \"Eb\"\nform = \"A B C A\"\n[[section]]\nname = \"A\"\nbars = \"| Ebmaj7 | Cm7 | Fm7 | Bb7 |\"\n\
    [[section]]\nname = \"B\"\nbars = \"| Em7 | A7 | Dmaj7 | Bm7 | Em7 | A7 | Dmaj7 | Dmaj7 |\"\n\
    [[section]]\nname = \"C\"\nbars = \"| Bm7 | E7 | Amaj7 | F#m7 | Bm7 | E7 | Amaj7 | Fm7 Bb7 |\"\n";
