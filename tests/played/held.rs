//! A fermata before the end: everybody waits, twice as long as is written, and then goes on.

use quintfall::drill::{Template, library};
use quintfall::score::QUARTER;
use quintfall::sound::{PULSES, Part, Pulses, play_drill};
use quintfall::theory::Key;

use crate::{exercise, strokes, with};

/// The first drill with its held chord between its two halves too.
fn held_between() -> String {
    let (_, text) = library::all().find(|(name, _)| *name == "on-the-beat").unwrap();
    let parts: Vec<&str> = text.split("[[passage]]").collect();
    let [head, up, down, held] = parts[..] else { panic!("another drill") };
    let octave_up = held.replace("degrees = [1]", "degrees = [8]");
    [head, up, &octave_up, down, held].join("\n[[passage]]")
}

#[test]
fn a_fermata_between_two_passages_is_held_by_all() {
    let text = held_between();
    let template = Template::parse(&text, "held").unwrap();
    let plain = text.replacen("fermata = true", "", 1);
    let plain = Template::parse(&plain, "plain").unwrap();
    let keys: Vec<Key> = Key::majors().take(3).collect();
    let mut options = with(&[Part::PianoRight, Part::PianoLeft, Part::Bass, Part::Ride]);
    options.choruses = 2;
    let played = |template: &Template| play_drill(&exercise(template, &keys, 90), 90, &options);
    let (held, even) = (played(&template).unwrap(), played(&plain).unwrap());
    let bar = Pulses::try_from(template.metre.bar() / QUARTER).unwrap() * PULSES;
    let slow: Vec<(Pulses, Pulses)> = held
        .tempi
        .windows(2)
        .filter(|pair| pair[0].quarters < 90.0)
        .map(|pair| (pair[0].at, pair[1].at))
        .collect();
    // Once a chorus in each key.
    assert_eq!(slow.len(), 6);
    for (from, to) in &slow {
        assert_eq!(to - from, bar);
        for track in &held.tracks {
            let waits = track.strokes.iter().all(|it| it.at <= *from || it.at >= *to);
            assert!(waits, "{:?} plays between {from} and {to}", track.part);
        }
        let right = strokes(&held, Part::PianoRight);
        assert!(right.iter().any(|it| it.at == *from && it.at + it.length == *to));
    }
    let longer = held.seconds() - even.seconds();
    let bars = 6.0 * f64::from(bar) / f64::from(PULSES) * 60.0 / 90.0;
    assert!((longer - bars).abs() < 1e-6, "{longer} and {bars}");
    assert!(even.tempi.len() == 1 && held.length == even.length);
}
