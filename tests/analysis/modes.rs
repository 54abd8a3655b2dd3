//! The mode of a key follows the notes that sound in it, and one written bar has one key.

use quintfall::chart::{
    Analysis, AnalysisJson, CadenceForm, Chart, Purpose, Unfolded, analyse, analyse_in, demos,
    needs,
};
use quintfall::theory::{Interval, Mode, NoteName};

use crate::laws::{UP, renamed};
use crate::tune::tune;
use crate::tunes::{MODAL, TUNES};

/// Vamps without a dominant that has a leading tone, by the mode whose notes they have (common
/// practice, no source).
const VAMPS: [(Mode, &[&str]); 6] = [
    (
        Mode::Dorian,
        &["Fm7 | Bb7", "Fm9 | Fm6", "Dm7 | Em7", "Dm9 | G13", "Am7 | Bm7/A", "Gm11 | C9/G"],
    ),
    (Mode::NaturalMinor, &["Am | F | G | Am", "Cm | Ab | Bb | Cm", "Am7 | Fmaj7", "Em | D"]),
    (Mode::Phrygian, &["Em | F", "Em7 | Fmaj7", "Am | Bbmaj7"]),
    (
        Mode::Lydian,
        &["Ebmaj7#11 | F/Eb", "Cmaj7#11 | Cmaj9", "Fmaj7#11 | G/F", "Ebmaj7#11 | F", "Cmaj7 | D"],
    ),
    (Mode::Mixolydian, &["G7 | F", "D7 | Cmaj7/D", "G7 | F/G", "A | G | D | A", "C9 | Bb/C"]),
    (Mode::Major, &["Cmaj7 | Fmaj7", "Cmaj7 | Dm7", "Ebmaj7 | Dbmaj7"]),
];

fn moved(tune: &Unfolded, by: Interval) -> Unfolded {
    renamed(tune, |name| name.up(by))
}

/// Eight bars of a vamp.
fn eight(vamp: &str) -> String {
    let bars: Vec<&str> = vamp.split('|').map(str::trim).collect();
    bars.iter().cycle().take(8).copied().collect::<Vec<_>>().join(" | ")
}

/// A vamp is of the mode whose notes it has, in every key, with all that is said of its bars and all
/// that it asks to be practised.
#[test]
fn a_vamp_is_of_the_mode_whose_notes_sound() {
    let text = "title = \"V\"\nmetre = \"4/4\"\n[[section]]\nname = \"A\"\nbars = \"| C |\"\n";
    let chart = Chart::parse(text, "v").unwrap();
    for (mode, vamps) in VAMPS {
        for vamp in vamps {
            let own = tune(&eight(vamp));
            let tonic = own.changes[0].chord.unwrap().root;
            for by in UP {
                let tune = moved(&own, by);
                let analysis = analyse(&tune).unwrap();
                let home = analysis.home;
                let is_tonic = home.tonic().pitch_class() == tonic.up(by).pitch_class();
                assert!(is_tonic && home.mode() == mode, "{vamp}: {home:?}, {mode:?}");
                for need in needs(&chart, &tune, &analysis) {
                    let is_of_key = matches!(
                        need.purpose,
                        Purpose::MajorKey | Purpose::MinorKey | Purpose::ModeKey | Purpose::Modal
                    );
                    assert!(!is_of_key || need.key.mode() == mode, "{vamp}: {need:?}");
                }
            }
        }
    }
}

/// A key that is visited without a cadence is of the mode whose notes sound there.
#[test]
fn a_borrowed_area_is_of_the_mode_whose_notes_sound() {
    for (mode, vamp) in [
        (Mode::Dorian, "Fm7 | Bb7"),
        (Mode::Dorian, "Fm9 | Fm6"),
        (Mode::Dorian, "Ebm7 | Ab7"),
        (Mode::NaturalMinor, "Fm7 | Dbmaj7"),
    ] {
        let home = "Cmaj7 | Am7 | Dm7 | G7 | Em7 A7 | Dm7 G7 | C6 | C6";
        let own = tune(&format!("[ {home} | [ {} | [ {home}", eight(vamp)));
        let root = vamp.split(' ').next().and_then(|word| {
            let bar = own.changes.iter().find(|it| it.at >= 8 * own.metre.bar())?;
            (!word.is_empty()).then_some(bar.chord?.root)
        });
        for by in UP {
            let analysis = analyse(&moved(&own, by)).unwrap();
            let tonic = root.unwrap().up(by).pitch_class();
            let area = analysis.areas.iter().find(|it| it.key.tonic().pitch_class() == tonic);
            assert_eq!(area.map(|it| it.key.mode()), Some(mode), "{vamp}: {:?}", analysis.areas);
            assert_eq!(analysis.home.mode(), Mode::Major);
        }
    }
}

/// What arrives on its tonic by a dominant a fifth above is major or minor, whatever else sounds.
#[test]
fn a_key_with_a_cadence_is_major_or_minor() {
    let mut met = 0;
    for text in TUNES {
        let own = tune(text);
        let analysis = analyse(&own).unwrap();
        for cadence in &analysis.cadences {
            let is_own = cadence.key.tonic().pitch_class() == cadence.target.pitch_class();
            let arrives = cadence.kind.arrival() == Some(cadence.key.is_minor());
            let five = own.changes.iter().find(|it| it.at == cadence.dominant_at);
            let five = five.and_then(|it| it.chord).unwrap();
            let leading = (cadence.target.pitch_class() + 11) % 12;
            let leads = five.notes().any(|note: NoteName| note.pitch_class() == leading);
            if cadence.form == CadenceForm::Fifth && is_own && arrives && leads {
                let mode = cadence.key.mode();
                assert!(matches!(mode, Mode::Major | Mode::NaturalMinor), "{text}: {cadence:?}");
                met += 1;
            }
        }
    }
    assert!(met > 30, "{met}");
}

/// Tunes whose parts come again and lead elsewhere each time.
const AGAIN: [&str; 3] = [
    "form = \"A B\"\n[[section]]\nname = \"A\"\nbars = \"|: Gm6 | Gm7/F | Em7b5 | Ebmaj7 | Cm7 | F7 |1. Bbmaj7 | Am7b5 D7b9 \
     :|2. Bbmaj7 Bdim7 | Cm7 Ab7 |\"\n[[section]]\nname = \"B\"\nbars = \"| Gm7 Gb7 | Fm7 E7 | Ebmaj7 | Ab13 \
     | Bbmaj7/D | C#dim7 | Cm9 | F7b9 | Bbmaj7 | Eb9 | Am7b5 Ab7 | Gm6 |\"\n",
    "form = \"A A B A\"\n[[section]]\nname = \"A\"\nbars = \"| Cmaj7 | Am7 | Dm7 | G7 | Fm7 | Bb7 | Ebmaj7 | Abmaj7 |\"\n\
     [[section]]\nname = \"B\"\nbars = \"| Abmaj7 | Bbm7 Eb7 | Abmaj7 | Abmaj7 | Fm7 | Bb7 | Ebmaj7 | Dm7 G7 |\"\n",
    "form = \"A B A C\"\n[[section]]\nname = \"A\"\nbars = \"| Fmaj7 | Dm7 | Gm7 | C7 | Am7 | Abm7 | Db7 | Gbmaj7 |\"\n\
     [[section]]\nname = \"B\"\nbars = \"| Gbmaj7 | Ebm7 | Abm7 | Db7 | Gbmaj7 | % | Gm7 | C7 |\"\n\
     [[section]]\nname = \"C\"\nbars = \"| Bbm7 | Eb7 | Abmaj7 | % | Gm7 | C7 | Fmaj7 | C7 |\"\n",
];

fn charts(mut check: impl FnMut(&Unfolded, &Analysis)) {
    let own = AGAIN.map(|text| format!("title = \"Own\"\nmetre = \"4/4\"\n{text}"));
    for text in demos().map(|(_, text)| text.to_owned()).chain(own) {
        let chart = Chart::parse(&text, "own").unwrap_or_else(|error| panic!("{error}"));
        let own = chart.unfolded();
        check(&own, &analyse_in(&own, chart.key).unwrap());
        for by in UP {
            let tune = moved(&own, by);
            check(&tune, &analyse(&tune).unwrap());
        }
    }
    for text in TUNES.iter().chain(MODAL.iter().map(|(text, _)| text)) {
        let tune = tune(text);
        check(&tune, &analyse(&tune).unwrap());
    }
}

/// Whatever is said of a bar says one key: the areas, the reading of each chord whenever it is
/// heard, and what other programs are told.
#[test]
fn all_that_is_said_of_a_bar_says_one_key() {
    let mut met = 0;
    charts(|tune, analysis| {
        for change in tune.changes.iter().filter(|it| it.chord.is_some()) {
            let reading = analysis.reading(change.written).unwrap();
            let around = |it: &&quintfall::chart::Area| (it.from..it.until).contains(&change.at);
            let area = analysis.areas.iter().find(around);
            assert_eq!(area.map(|it| it.key), Some(reading.key), "{change:?}");
            met += 1;
        }
        let text = AnalysisJson::new(tune, analysis).text();
        let said: serde_json::Value = serde_json::from_str(&text).unwrap();
        let areas = said["areas"].as_array().unwrap();
        assert_eq!(areas.len(), analysis.areas.len());
        for (area, own) in areas.iter().zip(&analysis.areas) {
            assert_eq!(area["mode"], own.key.mode().word());
            assert!(area["key"].as_str().unwrap().starts_with(&own.key.tonic().plain()));
        }
    });
    assert!(met > 3000, "{met}");
}

/// The tonic of a mode is at rest, whatever goes round with it: it leads nowhere.
#[test]
fn the_tonic_of_a_vamp_leads_nowhere() {
    for (_, vamps) in VAMPS {
        for vamp in vamps {
            let own = tune(&eight(vamp));
            for by in UP {
                let analysis = analyse(&moved(&own, by)).unwrap();
                let home = analysis.home.tonic().pitch_class();
                let tonics = analysis.readings.iter().filter(|reading| {
                    reading.chord.root.pitch_class() == home && reading.chord.bass.is_none()
                });
                for reading in tonics.filter(|it| it.numeral.degree == 1 && it.goal.is_none()) {
                    assert_eq!(reading.target, None, "{vamp}: {reading:?}");
                }
            }
        }
    }
}
