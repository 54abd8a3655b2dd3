//! A file of notes, read again, is the performance.

use std::collections::BTreeMap;

use midly::{MetaMessage, MidiMessage, Smf, Timing, TrackEventKind};
use quintfall::sound::{
    MarkKind, Part, Performance, PlayedStroke, Pulses, TrackOptions, midi, play_drill,
};
use quintfall::theory::Key;

use crate::{drills, exercise, with};

/// What a track of a file strikes, and its name.
fn read(track: &[midly::TrackEvent<'_>], channels: &mut Vec<u8>) -> (String, Vec<PlayedStroke>) {
    let (mut now, mut name) = (0, String::new());
    let mut sounding: BTreeMap<u8, (Pulses, u8)> = BTreeMap::new();
    let mut strokes = Vec::new();
    for event in track {
        now += event.delta.as_int();
        match event.kind {
            TrackEventKind::Meta(MetaMessage::TrackName(words)) => {
                name = String::from_utf8(words.to_vec()).unwrap();
            }
            TrackEventKind::Midi { channel, message } => {
                channels.push(channel.as_int());
                match message {
                    MidiMessage::NoteOn { key, vel } => {
                        let before = sounding.insert(key.as_int(), (now, vel.as_int()));
                        assert_eq!(before, None, "{name}: {key} is struck while it sounds");
                    }
                    MidiMessage::NoteOff { key, .. } => {
                        let (at, strength) = sounding.remove(&key.as_int()).unwrap();
                        let pitch = key.as_int();
                        strokes.push(PlayedStroke { at, length: now - at, pitch, strength });
                    }
                    _ => {}
                }
            }
            _ => {}
        }
    }
    assert!(sounding.is_empty(), "{name}: {sounding:?} never end");
    strokes.sort_by_key(|it| (it.at, it.pitch));
    (name, strokes)
}

fn is_read_back(name: &str, played: &Performance) {
    let bytes = midi(played);
    let file = Smf::parse(&bytes).unwrap();
    assert_eq!(file.header.timing, Timing::Metrical(480.into()), "{name}");
    assert_eq!(file.tracks.len(), 2 + played.tracks.len(), "{name}");
    let (mut now, mut tempi, mut places, mut keys) = (0, Vec::new(), Vec::new(), Vec::new());
    for event in &file.tracks[0] {
        now += event.delta.as_int();
        match event.kind {
            TrackEventKind::Meta(MetaMessage::Tempo(tempo)) => tempi.push((now, tempo.as_int())),
            TrackEventKind::Meta(MetaMessage::Marker(words)) => {
                places.push((now, String::from_utf8(words.to_vec()).unwrap()));
            }
            TrackEventKind::Meta(MetaMessage::KeySignature(fifths, is_minor)) => {
                keys.push((now, i32::from(fifths), is_minor));
            }
            _ => {}
        }
    }
    assert_eq!(now, played.length, "{name}: the first track lasts as long as the whole");
    let wanted = played.tempi.iter().map(|it| (it.at, (6e7 / it.quarters).round() as u32));
    assert_eq!(tempi, wanted.collect::<Vec<_>>(), "{name}");
    let mut lyrics = 0;
    let (mut wanted_places, mut wanted_keys) = (Vec::new(), Vec::new());
    for mark in &played.marks {
        match &mark.kind {
            MarkKind::Place(words) => {
                wanted_places.push((mark.at, words.replace('♭', "b").replace('♯', "#")));
            }
            MarkKind::Key(key) => wanted_keys.push((mark.at, key.fifths(), key.is_minor())),
            MarkKind::Count(_) => lyrics += 1,
            MarkKind::Metre(_) => {}
        }
    }
    assert_eq!((places, keys), (wanted_places, wanted_keys), "{name}");
    let is_lyric = |event: &&midly::TrackEvent<'_>| {
        matches!(event.kind, TrackEventKind::Meta(MetaMessage::Lyric(_)))
    };
    assert_eq!(file.tracks[1].iter().filter(is_lyric).count(), lyrics, "{name}");
    for (own, track) in file.tracks[2..].iter().zip(&played.tracks) {
        let mut channels = Vec::new();
        let (part, strokes) = read(own, &mut channels);
        assert_eq!(strokes, track.strokes, "{name}, {part}");
        assert!(channels.iter().all(|it| (*it == 9) == track.part.is_struck()), "{name}, {part}");
    }
}

#[test]
fn a_file_of_notes_is_the_performance() {
    for template in drills() {
        for (key, options) in [
            ("C", with(&Part::ALL)),
            ("F#", TrackOptions { choruses: 2, rise: 3, count_in: 2, ..with(&Part::ALL) }),
        ] {
            let keys = [key, "Eb"].map(|key| key.parse::<Key>().unwrap());
            let own = exercise(&template, &keys, 88);
            // Where the left hand is a bass, no other plays beside it.
            let played = play_drill(&own, 88, &options).or_else(|_| {
                let others = Part::ALL.into_iter().filter(|part| *part != Part::Bass);
                play_drill(&own, 88, &TrackOptions { with: Some(others.collect()), ..options })
            });
            let played = played.unwrap();
            is_read_back(&format!("{} in {key}", template.name), &played);
        }
    }
}
