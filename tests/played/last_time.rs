//! What is heard a last time alone: the way out of a tune, and the end of a drill.

use quintfall::chart::{Chart, demos};
use quintfall::drill::Template;
use quintfall::score::{Feel, Metre, Ticks};
use quintfall::sound::{
    CannotPlay, ChoiceWord, Groove, MarkKind, Part, Performance, TrackOptions, play_drill,
    play_tune,
};
use quintfall::theory::{Key, Mode};

use crate::accompanied::about;
use crate::{drills, exercise, strokes, with};

/// A chart whose last section is a way out, reached from a bar of another or following it.
const WAYS_OUT: [&str; 2] = [
    "title = \"Own\"\nmetre = \"4/4\"\nkey = \"C\"\nform = \"A A Coda\"\n[[section]]\nname = \"A\"\n\
     bars = \"| C6 | Dm7 G7 to-coda | Em7 A7 | Dm7 G7 |\"\n[[section]]\nname = \"Coda\"\n\
     bars = \"| Dm7 | G7 | C6 |\"\n",
    "title = \"Own\"\nmetre = \"3/4\"\nkey = \"C\"\nform = \"A B coda\"\n[[section]]\nname = \"A\"\n\
     bars = \"| C6 | G7 |\"\n[[section]]\nname = \"B\"\nbars = \"| F6 | G7 |\"\n[[section]]\n\
     name = \"coda\"\nbars = \"| Ab7 | C6 |\"\n",
];

/// How many bars are heard in a chorus that another follows, from the form alone: every section of it
/// whole, but for a coda at its end.
fn bars_before_another(chart: &Chart) -> usize {
    let sections = chart.form.iter().map(|index| &chart.sections[*index]);
    let own = sections.filter(|section| !section.is_coda()).cloned();
    let own: Vec<_> = own.collect();
    let form = (0..own.len()).collect();
    Chart { sections: own, form, ..chart.clone() }.heard_bars()
}

fn played(chart: &Chart, options: &TrackOptions) -> Performance {
    let names = chart.form.iter().map(|index| chart.sections[*index].name.clone()).collect();
    let about = quintfall::sound::AccompaniedTune { sections: names, ..about(Feel::Swing) };
    let key = chart.key.unwrap_or("C".parse().unwrap());
    play_tune(&[(chart.unfolded(), Some(key))], &about, 120, options).unwrap()
}

/// The moments of a kind of place, in ticks.
fn at(performance: &Performance, is_own: impl Fn(&str) -> bool) -> Vec<Ticks> {
    let own = performance.marks.iter().filter_map(|mark| match &mark.kind {
        MarkKind::Place(name) if is_own(name) => Some(mark.at as Ticks / 10),
        _ => None,
    });
    own.collect()
}

/// A coda is heard once, at the end of the last chorus, and all other choruses follow one another
/// whole: in marks and counts, and in what the bass plays, however often and however fast.
#[test]
fn a_coda_is_the_way_out_of_the_last_chorus_alone() {
    let ours = demos().map(|(name, text)| Chart::parse(text, name).unwrap());
    let own = WAYS_OUT.iter().map(|text| Chart::parse(text, "own").unwrap());
    let mut codas = 0;
    for chart in ours.chain(own) {
        let has_coda = chart.sections.iter().any(|section| section.is_coda());
        let bar = chart.metre.bar();
        for choruses in [1, 2, 3] {
            for rise in [0, 4] {
                let name = format!("{}, {choruses} choruses, rising by {rise}", chart.title);
                let options = TrackOptions { choruses, rise, count_in: 0, ..with(&[Part::Bass]) };
                let played = played(&chart, &options);
                // Where nothing is counted a pick-up begins the track.
                let lead = (-chart.unfolded().changes[0].at).max(0);
                let each = bars_before_another(&chart) as Ticks * bar;
                let last = lead + (choruses as Ticks - 1) * each;
                let coda = at(&played, |name| name.eq_ignore_ascii_case("coda"));
                assert_eq!(coda.len(), usize::from(has_coda), "{name}");
                assert!(coda.iter().all(|at| *at > last), "{name}");
                if choruses > 1 {
                    let tops = at(&played, |name| name.starts_with("chorus"));
                    let wanted: Vec<Ticks> =
                        (0..choruses as Ticks).map(|count| lead + count * each).collect();
                    assert_eq!(tops, wanted, "{name}");
                }
                // The foot of the first chord is struck at each top.
                let first = chart.unfolded().changes.iter().find(|it| it.at == 0).unwrap().chord;
                let foot = first.map(|chord| chord.bass.unwrap_or(chord.root).pitch_class());
                for count in 0..choruses as Ticks {
                    let top = (lead + count * each) as u32 * 10;
                    let own = strokes(&played, Part::Bass).iter().find(|it| it.at == top);
                    let own = own.map(|it| i32::from(it.pitch) % 12);
                    assert_eq!(own, foot.map(|foot| foot.rem_euclid(12)), "{name}");
                }
                let end = last + chart.heard_bars() as Ticks * bar;
                assert!(played.length as Ticks / 10 >= end + bar, "{name}");
                assert!(played.length as Ticks / 10 <= end + 2 * bar, "{name}");
                codas += coda.len();
            }
        }
    }
    assert!(codas >= 18, "{codas}");
}

/// A drill that ends on its tonic ends there as a tune does, whatever the groove: the bass strikes it
/// last, on the beat on which the chord or its last bar begins, and holds it.
#[test]
fn drills_that_come_to_rest_end_on_their_tonic() {
    let mut ends = 0;
    for drill in drills() {
        let keys = Key::ring(drill.mode);
        for key in [keys[0], keys[5], keys[8]] {
            let own = exercise(&drill, &[key], 100);
            let harmony = own.drill();
            let stays: Vec<_> = harmony.stays(own.keys[0]).collect();
            let last = stays.last().unwrap();
            let is_tonic = last.chord.bass.is_none()
                && last.chord.root.pitch_class() == own.keys[0].tonic().pitch_class();
            let dominant = last.chord.kind.seventh() == quintfall::theory::Seventh::Minor;
            if !is_tonic || dominant {
                continue;
            }
            let metre = own.score(&harmony, own.keys[0]).metre;
            for (groove, seed) in grooves(metre).into_iter().zip(0..) {
                let groove = Some(groove);
                let options = TrackOptions { count_in: 0, groove, seed, ..with(&[Part::Bass]) };
                let played = play_drill(&own, 100, &options).unwrap();
                let name = format!("{} in {key}, {groove:?}", drill.name);
                let stroke = strokes(&played, Part::Bass).last().unwrap();
                let above = i32::from(stroke.pitch) - own.keys[0].tonic().pitch_class();
                assert_eq!(above.rem_euclid(12), 0, "{name}");
                assert_eq!(stroke.at + stroke.length, played.length, "{name}: not held");
                assert!(stroke.length as Ticks / 10 >= metre.bar(), "{name}: not held");
                ends += 1;
            }
        }
    }
    assert!(ends > 40, "{ends}");
}

/// The grooves that go with a metre.
fn grooves(metre: Metre) -> Vec<Groove> {
    Groove::all().into_iter().map(|(_, groove)| groove).filter(|it| it.fits(metre)).collect()
}

/// A tune ends on the root of its tonic, whatever the groove, in every key, once through or twice.
#[test]
fn tunes_end_on_their_tonic_in_every_groove() {
    let mut ends = 0;
    for (name, text) in demos() {
        let chart = Chart::parse(text, name).unwrap();
        let mode = chart.key.map_or(Mode::Major, Key::mode);
        let home = chart.key.unwrap_or_else(|| Key::ring(mode)[0]);
        for (turn, key) in Key::ring(mode).into_iter().enumerate() {
            let tune = chart.transposed(home, key).unfolded();
            for groove in grooves(tune.metre) {
                let options = TrackOptions {
                    groove: Some(groove),
                    seed: turn as u64,
                    choruses: 1 + turn % 2,
                    ..with(&[Part::Bass])
                };
                let tunes = [(tune.clone(), Some(key))];
                let played = play_tune(&tunes, &about(chart.feel), 120, &options).unwrap();
                let last = strokes(&played, Part::Bass).last().unwrap();
                let above = i32::from(last.pitch) - key.tonic().pitch_class();
                assert_eq!(above.rem_euclid(12), 0, "{name} in {key}, {groove:?}");
                assert_eq!(last.at + last.length, played.length, "{name} in {key}, {groove:?}");
                ends += 1;
            }
        }
    }
    assert!(ends > 300, "{ends}");
}

/// No bass plays beside a left hand that is one, whatever the drill; without the hand it may.
#[test]
fn two_basses_never_play_at_once() {
    let mut basses = 0;
    for drill in drills() {
        let own = exercise(&drill, &[Key::ring(drill.mode)[0]], 100);
        let usual = play_drill(&own, 100, &TrackOptions::default()).unwrap();
        let is_bass = strokes(&usual, Part::Bass).is_empty();
        let both = play_drill(&own, 100, &with(&[Part::PianoLeft, Part::Bass]));
        assert_eq!(both == Err(CannotPlay::TwoBasses), is_bass, "{}", drill.name);
        for alone in [Part::PianoLeft, Part::Bass] {
            if is_bass {
                play_drill(&own, 100, &with(&[alone])).unwrap();
            }
        }
        basses += usize::from(is_bass);
    }
    assert!(basses >= 2, "{basses}");
}

/// A tempo that rises too far is told as it would be, with what helps; so is a part that only the
/// rise makes too fast.
#[test]
fn a_tempo_rises_only_so_far() {
    let named =
        |name: &str| -> Template { drills().into_iter().find(|it| it.name == name).unwrap() };
    let own = exercise(&named("solid"), &["F".parse().unwrap()], 80);
    let rising = |choruses, rise, part| {
        let options = TrackOptions { choruses, rise, ..with(&[part]) };
        play_drill(&own, 80, &options)
    };
    let told = rising(30, 20, Part::Click).unwrap_err();
    assert_eq!(told, CannotPlay::RisesTooFar { fastest: 660, choruses: 17 });
    rising(17, 20, Part::Click).unwrap();
    // Four sixteenths to a beat are 50 ms apart at 300.
    let text = "name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\n[[passage]]\n\
                degrees = [1, 2, 3, 4]\nbeats = 1\nnote = \"sixteenth\"\nfigure = \"1 3 5 7\"\n\
                voicing = \"close\"\ncomping = \"on-beat\"\n";
    let own = exercise(&Template::parse(text, "own").unwrap(), &["F".parse().unwrap()], 280);
    let rising = |rise| {
        let options = TrackOptions { choruses: 3, rise, ..with(&[Part::PianoRight]) };
        play_drill(&own, 280, &options)
    };
    rising(10).unwrap();
    let Err(CannotPlay::TooFast { part, tempo, fastest, rises, .. }) = rising(15) else {
        panic!("sixteenths at 310 are heard apart")
    };
    assert_eq!((part, tempo, rises), (Part::PianoRight, 310, true));
    assert!((299..=300).contains(&fastest), "{fastest}");
}

/// On back beats a line that walks is stronger, and a note that leads on is no stronger than others.
#[test]
fn walking_notes_are_shaped() {
    let blues = drills().into_iter().find(|it| it.name == "three-chord-blues").unwrap();
    let own = exercise(&blues, &["F".parse().unwrap()], 120);
    let walks = TrackOptions { count_in: 0, groove: Some(Groove::Walking), ..with(&[Part::Bass]) };
    let played = || play_drill(&own, 120, &walks);
    let one = played().unwrap();
    assert_eq!(Ok(&one), played().as_ref());
    let line = strokes(&one, Part::Bass);
    let mean = |beat: u32| -> f64 {
        let own: Vec<f64> = line
            .iter()
            .filter(|it| it.at / 480 % 4 == beat)
            .map(|it| f64::from(it.strength))
            .collect();
        own.iter().sum::<f64>() / own.len() as f64
    };
    assert!(mean(1) > mean(0) + 3.0 && mean(1) > mean(2) + 3.0);
    let all: std::collections::BTreeSet<u8> = line.iter().map(|it| it.strength).collect();
    assert!(all.len() > 4 && all.iter().all(|it| (70..=92).contains(it)), "{all:?}");
}
