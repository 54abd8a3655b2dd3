//! What tunes ask of a player is their own: keys that they have, and dominants that they have there.

use quintfall::chart::{
    Analysis, CadenceForm, CadenceKind, Chart, Need, Purpose, Unfolded, analyse_in, demos, needs,
};
use quintfall::theory::{Chord, Seventh};

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
        let cadence =
            |need: &&Need| matches!(need.purpose, Purpose::MajorCadence | Purpose::MinorCadence);
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
                Purpose::MajorCadence | Purpose::MinorCadence | Purpose::Altered
            );
            let is_rest = |it: &Chord| is_minor || it.kind.seventh() != Seventh::Minor;
            let is_goal = |it: &&Chord| {
                on(**it, tonic) && it.kind.has_minor_third() == is_minor && is_rest(it)
            };
            let is_led = leads && chords.iter().any(|it| is_goal(&it));
            assert!(is_in || arrives || is_led, "{need:?}");
            assert!(need.bars.iter().all(|bar| (1..=tune.bars).contains(bar)), "{need:?}");
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

/// An altered dominant is practised in minor where it leads to a minor chord, not wherever the tune has
/// one.
#[test]
fn altered_dominants_are_cited_where_they_lead_to_minor() {
    let bars = "| Am7 | Bm7b5 E7b9 | Am6 | Bm7b5 E7b9 | Amaj9 | Bm7b5 E7b9 | Gm9 | C7 | Fmaj7 | Bm7b5 \
                E7b9 | Am6 | Am6 |";
    let text =
        format!("title = \"x\"\nmetre = \"4/4\"\n[[section]]\nname = \"A\"\nbars = \"{bars}\"\n");
    let chart = Chart::parse(&text, "x").unwrap();
    let tune = chart.unfolded();
    let analysis = analyse_in(&tune, None).unwrap();
    let needs = needs(&chart, &tune, &analysis);
    let altered: Vec<_> = needs.iter().filter(|it| it.purpose == Purpose::Altered).collect();
    let cited: Vec<usize> = altered.iter().flat_map(|it| it.bars.clone()).collect();
    assert_eq!(cited, [2, 10], "{altered:?}");
}
