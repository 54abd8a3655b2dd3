//! Keys, choruses, counts, tempi and clicks.

use quintfall::drill::Template;
use quintfall::sound::{
    CannotPlay, Clicks, Groove, MarkKind, Part, Performance, Pulses, Swing, TrackOptions,
    play_drill,
};
use quintfall::theory::Key;

use crate::{drills, exercise, strokes, with};

/// Pulses in a bar of four.
const BAR: Pulses = 1920;

fn named(name: &str) -> Template {
    drills().into_iter().find(|drill| drill.name == name).unwrap()
}

fn round() -> Vec<Key> {
    Key::ring(quintfall::theory::Mode::Major).to_vec()
}

/// The moments and words of what is told.
fn told(
    performance: &Performance,
    own: impl Fn(&MarkKind) -> Option<String>,
) -> Vec<(Pulses, String)> {
    performance.marks.iter().filter_map(|mark| Some((mark.at, own(&mark.kind)?))).collect()
}

fn places(performance: &Performance) -> Vec<(Pulses, String)> {
    told(performance, |kind| match kind {
        MarkKind::Place(words) => Some(words.clone()),
        _ => None,
    })
}

fn counts(performance: &Performance) -> Vec<(Pulses, String)> {
    told(performance, |kind| match kind {
        MarkKind::Count(words) => Some(words.clone()),
        _ => None,
    })
}

#[test]
fn a_round_goes_through_all_keys_with_a_bar_to_breathe_between_them() {
    let exercise = exercise(&named("pushed"), &round(), 80);
    let played = play_drill(&exercise, 80, &with(&[Part::PianoLeft])).unwrap();
    // A bar of count, twelve times nine bars, eleven to breathe, and one in which the end is held.
    assert_eq!(played.length, BAR * (1 + 12 * 9 + 11 + 1));
    let wanted: Vec<(Pulses, String)> = (0..12)
        .map(|index| (BAR * (1 + 10 * index), exercise.keys[index as usize].words()))
        .collect();
    assert_eq!(places(&played), wanted);
    let left = strokes(&played, Part::PianoLeft);
    let click = strokes(&played, Part::Click);
    for index in 0..11 {
        let breath = BAR * (10 * (index + 1))..BAR * (10 * (index + 1) + 1);
        let sounding = |it: &&quintfall::sound::PlayedStroke| breath.contains(&it.at);
        assert_eq!(left.iter().filter(sounding).count(), 0, "key {index}");
        assert_eq!(click.iter().filter(sounding).count(), 4, "key {index}");
        let half = breath.start + BAR / 2;
        let rings = left.iter().filter(|it| it.at < half && it.at + it.length > half);
        assert_eq!(rings.count(), 0, "key {index} rings over the breath");
    }
    let keys = told(&played, |kind| match kind {
        MarkKind::Key(key) => Some(key.words()),
        _ => None,
    });
    assert_eq!(keys.len(), 12);
    assert_eq!(keys[0].0, 0, "the key is told before the count");
}

#[test]
fn choruses_follow_one_another_and_the_tempo_rises_by_its_step() {
    let own = exercise(&named("three-chord-blues"), &["F".parse().unwrap()], 100);
    let bars = named("three-chord-blues").bars() as Pulses;
    let options = TrackOptions { choruses: 3, ..with(&[Part::PianoRight, Part::Bass]) };
    let plain = play_drill(&own, 100, &options).unwrap();
    let once = play_drill(&own, 100, &with(&[Part::PianoRight, Part::Bass])).unwrap();
    let right = |performance| strokes(performance, Part::PianoRight).len();
    assert_eq!(right(&plain), 3 * right(&once));
    assert_eq!(plain.tempi.len(), 1);
    let chorus = |index: Pulses| BAR + index * bars * BAR;
    let begun: Vec<Pulses> = places(&plain)
        .into_iter()
        .filter(|(_, words)| words.starts_with("chorus"))
        .map(|(at, _)| at)
        .collect();
    assert_eq!(begun, [chorus(0), chorus(1), chorus(2)]);

    let rising = play_drill(&own, 100, &TrackOptions { rise: 6, ..options }).unwrap();
    let tempi: Vec<(Pulses, f64)> = rising.tempi.iter().map(|it| (it.at, it.quarters)).collect();
    assert_eq!(tempi, [(0, 100.0), (chorus(1), 106.0), (chorus(2), 112.0)]);
    assert_eq!(rising.length, plain.length);
    assert!(rising.seconds() < plain.seconds());
}

#[test]
fn bars_are_counted_in_and_clicked() {
    let own = exercise(&named("solid"), &["C".parse().unwrap()], 80);
    for (count_in, moments, spoken) in [
        (0, &[][..], &[][..]),
        (1, &[0, 480, 960, 1440], &["1", "2", "3", "4"]),
        (2, &[0, 960, 1920, 2400, 2880, 3360], &["1", "2", "1", "2", "3", "4"]),
    ] {
        let options = TrackOptions { count_in, ..with(&[Part::PianoLeft]) };
        let played = play_drill(&own, 80, &options).unwrap();
        let click: Vec<Pulses> = strokes(&played, Part::Click).iter().map(|it| it.at).collect();
        assert_eq!(click, moments);
        let before = counts(&played).into_iter().filter(|(at, _)| *at < BAR * count_in as Pulses);
        let told: Vec<String> = before.map(|(_, words)| words).collect();
        assert_eq!(told, spoken);
    }
    for (clicks, first, second) in [
        (Clicks::All, &[0, 480, 960, 1440][..], &[0, 480, 960, 1440][..]),
        (Clicks::TwoAndFour, &[480, 1440], &[480, 1440]),
        (Clicks::EveryOtherBar, &[0, 480, 960, 1440], &[]),
    ] {
        let options = TrackOptions { clicks, count_in: 0, ..with(&[Part::Click]) };
        let played = play_drill(&own, 80, &options).unwrap();
        let of_bar = |bar: Pulses| {
            let all = strokes(&played, Part::Click).iter().filter(move |it| it.at / BAR == bar);
            all.map(|it| it.at % BAR).collect::<Vec<_>>()
        };
        assert_eq!((of_bar(0), of_bar(1)), (first.to_vec(), second.to_vec()), "{clicks:?}");
    }
}

/// The ride has one, two, the swung eighth after it, and so on; the hi-hat two and four; both by the
/// table of swing.
#[test]
fn drums_play_by_the_table() {
    let own = exercise(&named("pushed"), &["C".parse().unwrap()], 160);
    let options = TrackOptions {
        swing: Some(Swing::Measured),
        count_in: 0,
        ..with(&[Part::Ride, Part::HiHat])
    };
    let played = play_drill(&own, 160, &options).unwrap();
    let bar = |part| {
        let all = strokes(&played, part).iter().take_while(|it| it.at < BAR);
        all.map(|it| (it.at, it.pitch)).collect::<Vec<_>>()
    };
    let ride = [0, 480, 832, 960, 1440, 1792].map(|at| (at, 51));
    assert_eq!(bar(Part::Ride), ride);
    assert_eq!(bar(Part::HiHat), [(480, 44), (1440, 44)]);
}

#[test]
fn what_cannot_be_played_is_refused_and_its_mend_can() {
    let own = exercise(&named("pushed"), &round(), 80);
    let band = with(&[Part::Bass, Part::Ride]);
    let ten_hours = TrackOptions { choruses: 999, ..band.clone() };
    let Err(CannotPlay::TooLong { seconds, choruses }) = play_drill(&own, 80, &ten_hours) else {
        panic!("a track of days is played");
    };
    assert!(seconds > 10 * 3600, "{seconds}");
    let mended = play_drill(&own, 80, &TrackOptions { choruses, ..band.clone() }).unwrap();
    assert!(mended.seconds() <= 3600.0, "{}", mended.seconds());

    let leaning = TrackOptions { swing: Some(Swing::Ratio(4.0)), ..band.clone() };
    let Err(CannotPlay::TooFast { fastest, part, .. }) = play_drill(&own, 400, &leaning) else {
        panic!("strokes that nobody hears apart are played");
    };
    assert_eq!(part, Part::Ride);
    assert!(play_drill(&own, fastest, &leaning).is_ok(), "at {fastest}");
    assert!(play_drill(&own, fastest + 1, &leaning).is_err(), "at {fastest} and one");

    let waltz = TrackOptions { groove: Some(Groove::Waltz), ..band.clone() };
    let Err(CannotPlay::Groove { usual, .. }) = play_drill(&own, 80, &waltz) else {
        panic!("a waltz in four is played");
    };
    assert!(play_drill(&own, 80, &TrackOptions { groove: Some(usual), ..band }).is_ok());
}

/// The same twice, and another bass for another seed.
#[test]
fn a_track_is_the_same_each_time() {
    let own = exercise(&named("pushed"), &round(), 80);
    let parts = with(&Part::ALL);
    let one = play_drill(&own, 80, &parts).unwrap();
    assert_eq!(one, play_drill(&own, 80, &parts).unwrap());
    let other = play_drill(&own, 80, &TrackOptions { seed: 7, ..parts }).unwrap();
    assert_ne!(strokes(&one, Part::Bass), strokes(&other, Part::Bass));
    assert_eq!(strokes(&one, Part::PianoRight), strokes(&other, Part::PianoRight));
}
