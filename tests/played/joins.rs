//! A bass over the joins of what is heard: repeats, endings, choruses, sections, tempi that rise.

use quintfall::chart::{Chart, analyse, demos};
use quintfall::drill::Template;
use quintfall::drill::over::{OverTune, OverWay};
use quintfall::sound::{Groove, MarkKind, Part, TrackOptions, play_drill, play_tune};
use quintfall::theory::{Key, Mode};

use crate::accompanied::about;
use crate::{drills, exercise, strokes, with};

/// The widest leap of a line, in semitones: an octave; over a join a tenth.
const WIDEST: [u8; 2] = [12, 16];

/// The drills of ours, and over every tune of ours, in which the left hand walks.
pub(crate) fn walking_drills() -> Vec<Template> {
    let is_walking = |it: &Template| it.name == "walking-bass";
    let mut all: Vec<Template> = drills().into_iter().filter(is_walking).collect();
    for (name, text) in demos() {
        let chart = Chart::parse(text, name).unwrap();
        let analysis = analyse(&chart.unfolded()).unwrap();
        let over = OverTune { chart: &chart, analysis: &analysis };
        let drills = over.drills(OverWay::Walking);
        all.extend(drills.iter().map(|it| Template::parse(&it.text, &it.name).unwrap()));
    }
    all
}

/// A hand that walks leaps no further than an octave, as it is heard: into first endings and second
/// ones, back to the beginning of a repeat, from section to section.
#[test]
fn walking_hands_go_on_over_joins() {
    let mut notes = 0;
    for drill in walking_drills() {
        let ring = Key::ring(drill.mode);
        let own = exercise(&drill, &[ring[0], ring[7]], 100);
        for key in &own.keys {
            let one = exercise(&drill, &[*key], 100);
            let options = TrackOptions { count_in: 0, ..with(&[Part::PianoLeft]) };
            let played = play_drill(&one, 100, &options).unwrap();
            let line = strokes(&played, Part::PianoLeft);
            for pair in line.windows(2).filter(|pair| pair[0].at < pair[1].at) {
                let leap = pair[0].pitch.abs_diff(pair[1].pitch);
                assert!(leap <= WIDEST[0], "{} in {key}: {leap} at {}", drill.name, pair[1].at);
            }
            notes += line.len();
        }
    }
    assert!(notes > 1000, "{notes}");
}

/// What leads into an ending leads into it each time: no note of a hand that walks is struck again
/// over a join at which the harmony changes.
#[test]
fn endings_are_led_to() {
    let text = |bars: &str, ending: &str| {
        format!(
            "name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\n[[passage]]\nrepeat = \"begin\"\n\
             degrees = [{bars}]\nbeats = 4\nleft = \"walking\"\nfigure = \"chord:whole\"\n\
             note = \"whole\"\nvoicing = \"3+7\"\n[[passage]]\nending = 1\ndegrees = [\"V7\"]\n\
             beats = 4\nleft = \"walking\"\nfigure = \"chord:whole\"\nnote = \"whole\"\n\
             voicing = \"3+7\"\n[[passage]]\nending = 2\ndegrees = [\"I7\"]\nbeats = 4\n{ending}\n\
             figure = \"chord:whole\"\nnote = \"whole\"\nvoicing = \"3+7\"\n"
        )
    };
    let mut joins = 0;
    for bars in
        ["\"I7\", \"IV7\"", "\"I7\", \"ii7\"", "\"I7\", \"VI7\", \"I7\"", "\"IV7\", \"bII7\""]
    {
        for ending in ["left = \"walking\"", "left = \"1:whole\""] {
            let drill = Template::parse(&text(bars, ending), "own").unwrap();
            for key in Key::ring(Mode::Major) {
                let own = exercise(&drill, &[key], 100);
                let options = TrackOptions { count_in: 0, ..with(&[Part::PianoLeft]) };
                let played = play_drill(&own, 100, &options).unwrap();
                let line = strokes(&played, Part::PianoLeft);
                let bar = 4 * 480;
                for pair in line.windows(2).filter(|pair| pair[1].at % bar == 0) {
                    let leap = pair[0].pitch.abs_diff(pair[1].pitch);
                    let name = format!("{bars}, {ending}, {key} at {}", pair[1].at);
                    assert!((1..=WIDEST[0]).contains(&leap), "{name}: {leap}");
                    joins += 1;
                }
            }
        }
    }
    assert!(joins > 300, "{joins}");
}

/// A bass over a tune leaps no further than an octave, and over a silence no further than a tenth; from
/// chorus to chorus it does so at one tempo and at one that rises; and a piece is told once where
/// nothing else comes between.
#[test]
fn choruses_go_on_over_joins() {
    let mut notes = 0;
    for (index, (name, text)) in demos().enumerate() {
        let chart = Chart::parse(text, name).unwrap();
        let mode = chart.key.map_or(Mode::Major, Key::mode);
        let ring = Key::ring(mode);
        let home = chart.key.unwrap_or(ring[0]);
        for (place, rise) in [(index, 0), (index + 5, 4)] {
            let key = ring[place % ring.len()];
            let tune = chart.transposed(home, key).unfolded();
            for groove in [Groove::Walking, Groove::TwoFeel] {
                if !groove.fits(tune.metre) {
                    continue;
                }
                let groove = Some(groove);
                let options =
                    TrackOptions { groove, choruses: 3, rise, count_in: 0, ..with(&[Part::Bass]) };
                let keyed = [(tune.clone(), Some(key))];
                let played = play_tune(&keyed, &about(chart.feel), 120, &options).unwrap();
                let line = strokes(&played, Part::Bass);
                for pair in line.windows(2) {
                    let leap = pair[0].pitch.abs_diff(pair[1].pitch);
                    let is_joined = pair[0].at + pair[0].length + 480 > pair[1].at;
                    let widest = WIDEST[usize::from(!is_joined)];
                    let at = pair[1].at;
                    assert!(leap <= widest, "{name} in {key}, rising by {rise}: {leap} at {at}");
                }
                let words = key.words();
                let told =
                    |kind: &MarkKind| matches!(kind, MarkKind::Place(name) if *name == words);
                let told = played.marks.iter().filter(|mark| told(&mark.kind)).count();
                assert_eq!(told, 1, "{name}, rising by {rise}");
                notes += line.len();
            }
        }
    }
    assert!(notes > 1000, "{notes}");
}

/// A repeat is played as often as its tune says, in a drill over the tune too.
#[test]
fn repeats_are_played_as_often_as_is_printed() {
    let lengths: Vec<u32> = (2..=9)
        .map(|times| {
            let text = format!(
                "title = \"Own\"\nmetre = \"4/4\"\nkey = \"C\"\n[[section]]\nname = \"A\"\n\
                 bars = \"|: Dm7 | G7 :|x{times} C6 | C6 |\"\n"
            );
            let chart = Chart::parse(&text, "own").unwrap();
            let analysis = analyse(&chart.unfolded()).unwrap();
            let over = OverTune { chart: &chart, analysis: &analysis };
            let drills = over.drills(OverWay::Walking);
            let drill = Template::parse(&drills[0].text, &drills[0].name).unwrap();
            let own = exercise(&drill, &["C".parse().unwrap()], 100);
            let options = TrackOptions { count_in: 0, ..with(&[Part::PianoLeft]) };
            play_drill(&own, 100, &options).unwrap().length
        })
        .collect();
    for pair in lengths.windows(2) {
        assert_eq!(pair[1] - pair[0], 2 * 4 * 480, "{lengths:?}");
    }
}
