//! What tunes ask of a player is their own: keys that they have, and dominants that they have there.

use quintfall::chart::{
    Analysis, CadenceForm, CadenceKind, Chart, Function, Need, Purpose, Unfolded, analyse,
    analyse_in, demos, needs,
};
use quintfall::theory::{
    Chord, Fifth, Letter, NoteName, Seventh, SymbolStyle, chord_symbol, plain_text,
};

use crate::goals::{after, is_dominant};
use crate::laws::{UP, renamed};

/// Tunes of ours with dominants that fall by semitones, within the key and without; that point to
/// keys they never have; and that come home by the back door.
const OWN: [&str; 6] = [
    "key = \"G minor\"\n[[section]]\nname = \"A\"\nbars = \"| Gm6 | Am7b5 D7b9 | Gm6 | Cm7 F7 | Bbmaj7 | % | Gm7 Gb7 \
     | Fm7 E7 | Ebmaj7 | Ab13 | Bbmaj7 | F7 | Bbmaj7 | Am7b5 Ab7 | Gm6 | Am7b5 D7 |\"\n",
    "key = \"D minor\"\n[[section]]\nname = \"A\"\nbars = \"| Dm7 | Em7b5 A7 | Dm6 | Gm7 C7 | Fmaj7 | Em7b5 A7 | Dm7 G7 | Em7 A7 |\"\n",
    "key = \"C\"\n[[section]]\nname = \"A\"\nbars = \"| Cmaj7 | Fmaj7 | Bb9 | Cmaj7 | Am7 D7 | Abm7 Db7 | C6 | Dm7 G7 |\"\n",
    "key = \"F\"\n[[section]]\nname = \"A\"\nbars = \"| Fmaj7 | Bm7 E7 | Gm7 | C7 | Fmaj7 B7 | Bbmaj7 Eb7 | Am7 Ab7 | Gm7 Gb7 |\"\n",
    "feel = \"even\"\nkey = \"C\"\n[[section]]\nname = \"A\"\nbars = \"| Cmaj7 | Dm7b5 G7b9 | C7 | F7 | Cmaj7 A7 | Eb7 | D7 | Db7 |\"\n",
    "key = \"Bb\"\n[[section]]\nname = \"A\"\nbars = \"| Bbmaj7 | E7 A7 | D7 | Ebmaj7 | Cm7 F7 | Bbmaj7 E7 | Ebmaj7 Gb7 | F7 |\"\n",
];

fn each(mut check: impl FnMut(&Unfolded, &Analysis, &[Need])) {
    let own = OWN.map(|text| format!("title = \"Own\"\nmetre = \"4/4\"\n{text}"));
    let texts = demos().map(|(_, text)| text.to_owned()).chain(own);
    for text in texts {
        let chart = Chart::parse(&text, "own").unwrap_or_else(|error| panic!("{error}"));
        let tune = chart.unfolded();
        let analysis = analyse_in(&tune, chart.key).expect("chords");
        let needs = needs(&chart, &tune, &analysis);
        check(&tune, &analysis, &needs);
    }
}

fn on(chord: Chord, class: i32) -> bool {
    chord.root.pitch_class() == class.rem_euclid(12)
}

/// A substitute is practised in a key in which the tune has it: a seventh on the note above its
/// tonic, and a chord of its mode on the tonic.
#[test]
fn substitutes_are_practised_where_the_tune_has_them() {
    let mut met = 0;
    each(|tune, _, needs| {
        let chords: Vec<Chord> = tune.changes.iter().filter_map(|it| it.chord).collect();
        for need in needs {
            let is_minor = match need.purpose {
                Purpose::Substitute => false,
                Purpose::MinorSubstitute => true,
                _ => continue,
            };
            let tonic = need.key.tonic().pitch_class();
            let is_seventh =
                |it: &&Chord| on(**it, tonic + 1) && it.kind.seventh() == Seventh::Minor;
            let is_goal = |it: &&Chord| on(**it, tonic) && it.kind.has_minor_third() == is_minor;
            assert!(chords.iter().any(|it| is_seventh(&it)), "{need:?}");
            assert!(chords.iter().any(|it| is_goal(&it)), "{need:?}");
            met += 1;
        }
    });
    assert!(met > 8, "{met}");
}

/// A cadence is practised in a key that the tune has: it arrives there somewhere, or is at home there.
#[test]
fn cadences_are_practised_in_keys_of_the_tune() {
    let mut met = 0;
    each(|_, analysis, needs| {
        let all = [Purpose::MajorCadence, Purpose::MinorCadence, Purpose::MelodicCadence];
        let cadence = |need: &&Need| all.contains(&need.purpose);
        for need in needs.iter().filter(cadence) {
            let tonic = need.key.tonic().pitch_class();
            let areas = analysis.areas.iter().map(|area| area.key.tonic().pitch_class());
            let arrived = analysis.cadences.iter().filter(|it| it.is_resolved);
            let mut own = areas.chain(arrived.map(|it| it.target.pitch_class()));
            assert!(own.any(|it| it == tonic), "{need:?}");
            met += 1;
        }
    });
    assert!(met > 20, "{met}");
}

/// A ii is told to go with the V of its goal only where that is what follows it.
#[test]
fn a_substitute_is_not_called_the_dominant_that_it_stands_for() {
    let mut met = [0; 2];
    each(|_, analysis, _| {
        for pair in analysis.readings.windows(2) {
            let [two, five] = pair else { continue };
            if two.reason.contains("which is V of") {
                assert!(on(five.chord, two.chord.root.pitch_class() + 5), "{two:?}");
                met[0] += 1;
            }
            met[1] +=
                usize::from(two.reason.contains("in place of") && two.reason.starts_with("ii"));
        }
    });
    assert!(met[0] > 0 && met[1] > 0, "{met:?}");
}

/// The back door to a chord of rest is a cadence, with its ii and without.
#[test]
fn the_back_door_is_a_cadence() {
    let mut met = 0;
    each(|tune, analysis, _| {
        for cadence in analysis.cadences.iter().filter(|it| it.form == CadenceForm::Backdoor) {
            if cadence.kind == CadenceKind::FiveOneMajor {
                let five = tune.changes.iter().find(|it| it.at == cadence.dominant_at);
                let five = five.and_then(|it| it.chord).expect("a dominant");
                assert!(on(five, cadence.target.pitch_class() - 2), "{cadence:?}");
                met += 1;
            }
        }
    });
    assert!(met > 1, "{met}");
}

/// Whatever is practised is practised in a key and a mode that the tune has: it is in it somewhere,
/// arrives there, or has a chord there that a dominant leads to; and a bossa is one that says so.
#[test]
fn every_drill_is_in_a_key_that_the_tune_has() {
    let mut met = 0;
    each(|tune, analysis, needs| {
        let chords: Vec<Chord> = tune.changes.iter().filter_map(|it| it.chord).collect();
        for need in needs {
            let tonic = need.key.tonic().pitch_class();
            let is_minor = need.key.is_minor();
            let mut areas = analysis.areas.iter();
            let is_in = areas.any(|area| {
                area.key.tonic().pitch_class() == tonic && area.key.is_minor() == is_minor
            });
            let mut cadences = analysis.cadences.iter();
            let arrives = cadences
                .any(|it| it.target.pitch_class() == tonic && it.kind.arrival() == Some(is_minor));
            let leads = matches!(
                need.purpose,
                Purpose::MajorCadence
                    | Purpose::MinorCadence
                    | Purpose::MelodicCadence
                    | Purpose::Altered
            );
            let is_rest = |it: &Chord| is_minor || it.kind.seventh() != Seventh::Minor;
            let is_goal = |it: &&Chord| {
                on(**it, tonic) && it.kind.has_minor_third() == is_minor && is_rest(it)
            };
            let is_led = leads && chords.iter().any(|it| is_goal(&it));
            assert!(is_in || arrives || is_led, "{need:?}");
            assert!(need.bars.iter().all(|bar| (1..=tune.bars).contains(bar)), "{need:?}");
            assert!(need.bars.is_sorted(), "{need:?}");
            met += 1;
        }
    });
    assert!(met > 80, "{met}");
}

/// Even eighths alone make no bossa.
#[test]
fn a_bossa_is_practised_where_a_tune_says_that_it_is_one() {
    for (style, is_bossa) in [("", false), ("style = \"Bossa nova\"\n", true)] {
        let text = format!(
            "title = \"x\"\n{style}metre = \"4/4\"\nfeel = \"even\"\n[[section]]\nname = \"A\"\n\
             bars = \"| Cmaj7 | Am7 | Dm7 | G7 |\"\n"
        );
        let chart = Chart::parse(&text, "x").unwrap();
        let tune = chart.unfolded();
        let analysis = analyse_in(&tune, None).unwrap();
        let needs = needs(&chart, &tune, &analysis);
        assert_eq!(needs.iter().any(|it| it.purpose == Purpose::Bossa), is_bossa);
    }
}

/// Whether a dominant has an altered ninth or thirteenth.
fn is_altered(chord: Chord) -> bool {
    // On a C, so that no sign belongs to the root.
    let plain = Chord { root: NoteName::new(Letter::C, 0), bass: None, ..chord };
    let symbol = plain_text(&chord_symbol(plain, SymbolStyle::Letters));
    let colours = ["alt", "\u{266d}9", "\u{266f}9", "\u{266d}13"];
    is_dominant(chord) && colours.iter().any(|colour| symbol.contains(colour))
}

/// Whether a dominant comes to a minor chord a fifth lower: at once, or after so many others.
fn comes_to_minor(tune: &Unfolded, at: i32, most: usize) -> bool {
    let chords = after(tune, at);
    let goal = chords[0].root.pitch_class() + 5;
    chords.iter().skip(1).take(1 + most).any(|it| on(*it, goal) && is_minor(*it))
}

fn is_minor(chord: Chord) -> bool {
    chord.kind.has_minor_third() && chord.kind.fifth() == Fifth::Perfect
}

/// Altered dominants that lead to minor, to major, and past both.
const ALTERED: [&str; 4] = [
    "[[section]]\nname = \"A\"\nbars = \"| Am7 | Bm7b5 E7b9 | Am6 | Bm7b5 E7b9 | Amaj9 | Bm7b5 E7b9 | Gm9 | C7 \
     | Fmaj7 | Bm7b5 E7b9 | Am6 | Am6 |\"\n",
    "[[section]]\nname = \"A\"\nbars = \"| Cmaj7 | A7b9 | Dm7 | G7b9 | Em7 | A7alt | D9 | G7alt | Cmaj7 C7b9 | Fm6 \
     | Em7 A7b9 | Dm7 G7b9 |\"\n",
    "[[section]]\nname = \"A\"\nbars = \"| Fm7 | Gm7b5 C7alt | Fm6 Db7 | C7b9 F7#9 | Bbm7 Eb7b9 | Abmaj7 | Gm7b5 C7alt \
     | Gb7 Fm6 |\"\n",
    "[[section]]\nname = \"A\"\nbars = \"| Dmaj7 | F#7b9 | Bm7 | B7b9 | Em7 | A7b13 | Dmaj7 D7b9 | Gmaj7 F#7alt |\"\n",
];

/// An altered dominant is practised in minor where it leads to a minor chord, not wherever a tune has
/// one; and wherever it does.
#[test]
fn altered_dominants_are_cited_where_they_lead_to_minor() {
    let mut met = [0; 2];
    in_all_keys(&ALTERED, |tune, analysis, needs| {
        let bar = |at: i32| (at / tune.metre.bar()) as usize + 1;
        let altered: Vec<&Need> =
            needs.iter().filter(|it| it.purpose == Purpose::Altered).collect();
        for need in &altered {
            let tonic = need.key.tonic().pitch_class();
            for cited in &need.bars {
                let own = tune.changes.iter().filter(|it| bar(it.at) == *cited);
                let mut own = own.filter(|it| it.chord.is_some_and(|it| on(it, tonic + 7)));
                let written = own.find(|it| it.chord.is_some_and(is_altered));
                let written = written.expect("an altered dominant").written;
                let mut heard = tune.changes.iter().filter(|it| it.written == written);
                assert!(heard.any(|it| comes_to_minor(tune, it.at, 1)), "{need:?}");
                met[0] += 1;
            }
        }
        for reading in &analysis.readings {
            let leads = reading.function == Function::Dominant && is_altered(reading.chord);
            let goal = reading.chord.root.pitch_class() + 5;
            let is_goal = reading.target.is_some_and(|it| (it.pitch_class() - goal) % 12 == 0);
            if leads && is_goal && comes_to_minor(tune, reading.at, 0) {
                let is_told = |need: &&&Need| {
                    (need.key.tonic().pitch_class() - goal) % 12 == 0
                        && need.bars.contains(&bar(reading.at))
                };
                assert!(altered.iter().any(|need| is_told(&need)), "{reading:?}");
                met[1] += 1;
            }
        }
    });
    assert!(met[0] > 300 && met[1] > 300, "{met:?}");
}

/// The same texts and the demo charts, in twelve keys.
fn in_all_keys(own: &[&str], mut check: impl FnMut(&Unfolded, &Analysis, &[Need])) {
    let own = OWN.iter().chain(own).map(|it| format!("title = \"Own\"\nmetre = \"4/4\"\n{it}"));
    let texts: Vec<String> = demos().map(|(_, text)| text.to_owned()).chain(own).collect();
    for text in texts {
        let chart = Chart::parse(&text, "own").unwrap_or_else(|error| panic!("{error}"));
        let written = chart.unfolded();
        for by in UP {
            let tune = renamed(&written, |note| note.up(by));
            let analysis = analyse(&tune).expect("chords");
            let needs = needs(&chart, &tune, &analysis);
            check(&tune, &analysis, &needs);
        }
    }
}

/// What a line of bars asks for, with the steps of its keys above C and its bars, in twelve keys alike.
fn asked_for(bars: &str, purposes: &[Purpose]) -> Vec<(Purpose, i32, Vec<usize>)> {
    let text =
        format!("title = \"x\"\nmetre = \"4/4\"\n[[section]]\nname = \"A\"\nbars = \"{bars}\"\n");
    let chart = Chart::parse(&text, "x").unwrap_or_else(|error| panic!("{error}"));
    let written = chart.unfolded();
    let mut found: Option<Vec<(Purpose, i32, Vec<usize>)>> = None;
    for (up, by) in UP.into_iter().enumerate() {
        let tune = renamed(&written, |note| note.up(by));
        let analysis = analyse(&tune).expect("chords");
        let needs = needs(&chart, &tune, &analysis);
        let own = needs.iter().filter(|it| purposes.contains(&it.purpose));
        let own: Vec<_> = own
            .map(|it| {
                let above = (it.key.tonic().pitch_class() - up as i32).rem_euclid(12);
                (it.purpose, above, it.bars.clone())
            })
            .collect();
        let first = found.get_or_insert_with(|| own.clone());
        assert_eq!(own, *first, "{bars} up {up}");
    }
    found.unwrap_or_default()
}

/// One, six, two, five is a turnaround wherever it stands, with whatever leads to the ii.
#[test]
fn a_turnaround_is_cited_where_it_stands() {
    let both = [Purpose::Turnaround, Purpose::MinorTurnaround];
    for (bars, minor, cited) in [
        ("| Cmaj7 Am7 | Dm7 G7 | Cmaj7 A7 | Dm7 G7 | Fmaj7 | Fm6 | C6 | C6 |", false, vec![1, 3]),
        ("| Cmaj7 | A7 | Dm7 | G7 | Cmaj7 | Fmaj7 | Dm7 G7 | C6 |", false, vec![1]),
        ("| C6 | Fmaj7 | Em7 A7 | Dm7 G7 | C6 | Fmaj7 | Dm7 G7 | C6 |", false, vec![3]),
        ("| C6 C#dim7 | Dm7 G7 | C6 | Fmaj7 | Em7 Ebdim7 | Dm7 G7 | C6 | % |", false, vec![1, 5]),
        ("| Cmaj7 Eb7 | Dm7 Db7 | Cmaj7 | Fmaj7 | Dm7 G7 | Cmaj7 | Fmaj7 | C6 |", false, vec![1]),
        ("| Cm6 Am7b5 | Dm7b5 G7b9 | Cm6 | Fm7 | Cm6 | Fm7 | Dm7b5 G7b9 | Cm6 |", true, vec![1]),
        ("| Cm6 Abmaj7 | Dm7b5 G7b9 | Cm6 | Fm7 | Cm6 | Fm7 | Dm7b5 G7b9 | Cm6 |", true, vec![1]),
        ("| Cmaj7 | Fmaj7 | Dm7 | G7 | Cmaj7 | Fmaj7 | Dm7 G7 | C6 |", false, vec![]),
        ("| Cm6 Abmaj7 | Fm7 Bb9 | Cm6 | Fm6 | Cm6 | Fm6 | Dm7b5 G7b9 | Cm6 |", true, vec![]),
    ] {
        let found = asked_for(bars, &both);
        let purpose = both[usize::from(minor)];
        let expected = if cited.is_empty() { vec![] } else { vec![(purpose, 0, cited)] };
        assert_eq!(found, expected, "{bars}");
    }
}

/// A minor key is practised in the scale that most of its chords are of.
#[test]
fn a_minor_key_is_practised_in_the_scale_that_sounds() {
    let all = [Purpose::MinorKey, Purpose::HarmonicKey, Purpose::MelodicKey];
    for (purpose, bars) in [
        (all[0], "| Am7 | Dm7 | Am7 | Fmaj7 | Am7 | Bm7b5 E7b9 | Am7 | Am7 |"),
        (all[1], "| Am | Bm7b5 E7b9 | Am | Bm7b5 E7b9 | Fmaj7 | Bm7b5 | E7b9 | Am |"),
        (all[2], "| Am6 | E7 | Am6 | Bm7 E7 | Am(maj7) | Dm6 | Bm7 E7 | Am6 |"),
    ] {
        let found: Vec<(Purpose, i32)> =
            asked_for(bars, &all).into_iter().map(|it| (it.0, it.1)).collect();
        assert_eq!(found, [(purpose, 9)], "{bars}");
    }
}

/// A cadence in minor is practised with the ii that the tune has.
#[test]
fn a_cadence_in_minor_has_the_ii_of_the_tune() {
    let mut met = [0; 2];
    let plain = "[[section]]\nname = \"A\"\nbars = \"| Cm6 | Dm7 G7b9 | Cm6 | Fm7 | Gm7 C7b9 | Fm6 | Dm7 G7b9 | Cm6 |\"\n";
    let chain = "[[section]]\nname = \"A\"\nbars = \"| Ebmaj7 | Gm7b5 C7b9 | Fm7 | Bb7 | Gm7 C7 | F7 Bb7 | Eb6 | % |\"\n";
    in_all_keys(&[plain, chain], |tune, analysis, needs| {
        for need in needs {
            let is_perfect = match need.purpose {
                Purpose::MinorCadence => false,
                Purpose::MelodicCadence => true,
                _ => continue,
            };
            let tonic = need.key.tonic().pitch_class();
            for cited in &need.bars {
                let is_here = |it: &&quintfall::chart::Cadence| {
                    (it.at.max(0) / tune.metre.bar()) as usize + 1 == *cited
                        && it.target.pitch_class() == tonic
                };
                let mut twos = analysis.cadences.iter().filter(is_here).map(|it| {
                    let two = analysis.reading(it.written[0]).expect("a chord").chord;
                    let is_perfect = two.kind.fifth() == Fifth::Perfect;
                    // A dominant on the root of a minor chord is none.
                    let arrives = !is_perfect || comes_to_minor(tune, it.dominant_at, 2);
                    it.kind.has_two() && is_perfect && arrives
                });
                assert!(twos.any(|it| it == is_perfect), "{need:?}");
                met[usize::from(is_perfect)] += 1;
            }
        }
    });
    assert!(met[0] > 200 && met[1] > 30, "{met:?}");
}

/// Whether a cadence has the ii of minor, a half-diminished chord, and its V the ninth of minor.
fn is_of_minor(analysis: &Analysis, cadence: &quintfall::chart::Cadence) -> bool {
    let [two, five] = cadence.written.map(|it| analysis.reading(it).expect("a chord").chord);
    cadence.kind.has_two()
        && two.kind.fifth() == Fifth::Diminished
        && five.kind.tones().any(|it| it.steps == 8 && it.semitones == 13)
}

/// What minor lends to a major key is not practised as a cadence of major, and is in minor where the
/// tune has that.
#[test]
fn a_ii_v_of_minor_is_not_practised_as_one_of_major() {
    let mut met = [0; 2];
    let own = [
        "[[section]]\nname = \"A\"\nbars = \"| Cmaj7 | Dm7b5 G7b9 | Cmaj7 | Am7 | Em7b5 A7b9 | Dmaj7 | Dm7 G7 | C6 |\"\n",
        "[[section]]\nname = \"A\"\nbars = \"| Fm6 | Gm7b5 C7b9 | Fm6 | Gm7b5 C7b9 | Fmaj7 | Bbm7 | Gm7b5 C7b9 | Fm6 |\"\n",
    ];
    in_all_keys(&own, |tune, analysis, needs| {
        let bar = |at: i32| (at.max(0) / tune.metre.bar()) as usize + 1;
        for need in needs.iter().filter(|it| it.purpose == Purpose::MajorCadence) {
            for cited in &need.bars {
                let tonic = need.key.tonic().pitch_class();
                let mut here = analysis
                    .cadences
                    .iter()
                    .filter(|it| bar(it.at) == *cited && it.target.pitch_class() == tonic);
                assert!(here.any(|it| !is_of_minor(analysis, it)), "{need:?}");
                met[0] += 1;
            }
        }
        for cadence in analysis.cadences.iter().filter(|it| is_of_minor(analysis, it)) {
            let tonic = cadence.target.pitch_class();
            let is_its = |it: &&Need| {
                it.purpose == Purpose::MinorCadence && it.key.tonic().pitch_class() == tonic
            };
            let has_minor = analysis
                .cadences
                .iter()
                .any(|it| it.target.pitch_class() == tonic && it.kind.arrival() == Some(true));
            if cadence.kind.arrival() == Some(false) && has_minor {
                assert!(needs.iter().any(|it| is_its(&it)), "{cadence:?}");
                met[1] += 1;
            }
        }
    });
    assert!(met[0] > 200 && met[1] >= 12, "{met:?}");
}

/// A suspended dominant of a key is practised where it leads to the tonic.
#[test]
fn suspended_dominants_are_practised_where_they_lead() {
    let mut met = [0; 2];
    let own = [
        "[[section]]\nname = \"A\"\nbars = \"| Cmaj7 | Am7 | Dm7 | G7sus4 G7 | Cmaj7 | Am7 | Dm7 | G9sus | C6 | C6 |\"\n",
        "[[section]]\nname = \"A\"\nbars = \"| Cm6 | Fm7 | Dm7b5 | G7sus4 G7b9 | Cm6 | Fm7 | Dm7b5 | G7sus4 | Cm6 | Cm6 |\"\n",
    ];
    in_all_keys(&own, |tune, analysis, needs| {
        for reading in &analysis.readings {
            let symbol = plain_text(&chord_symbol(reading.chord, SymbolStyle::Letters));
            let is_five = reading.numeral.degree == 5 && reading.goal.is_none();
            let tonic = reading.key.tonic().pitch_class();
            let comes = after(tune, reading.at).get(1).is_some_and(|it| on(*it, tonic));
            if symbol.contains("sus") && is_five && comes && reading.function == Function::Dominant
            {
                let purpose = match reading.key.is_minor() {
                    true => Purpose::MinorSuspended,
                    false => Purpose::Suspended,
                };
                let is_it =
                    |it: &&Need| it.purpose == purpose && it.key.tonic().pitch_class() == tonic;
                assert!(needs.iter().any(|it| is_it(&it)), "{reading:?}");
                met[usize::from(reading.key.is_minor())] += 1;
            }
        }
    });
    assert!(met.iter().all(|it| *it > 20), "{met:?}");
}

/// A long stay in a church mode asks for what keeps it open, within a tune with cadences too.
#[test]
fn a_long_stay_in_a_mode_is_practised_open() {
    let home = "Cmaj7 | Am7 | Dm7 | G7 | Cmaj7 | Am7 | Dm7 G7 | C6";
    for vamp in ["Fm9 | Bb13", "Ebm7 | Ab7", "Ebm7 | Fm7"] {
        let long = format!("| {home} | {vamp} | {vamp} | {vamp} | {vamp} | {home} |");
        let found = asked_for(&long, &[Purpose::Modal]);
        assert_eq!(found.len(), 1, "{vamp}");
        assert_eq!(found[0].2, [9], "{vamp}");
    }
}
