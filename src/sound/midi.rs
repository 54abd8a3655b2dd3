//! A performance as a Standard MIDI File, in the form that has a track for each part (MMA RP-001,
//! revision of February 1996; programmes of General MIDI Level 1, MMA 1991).

use midly::num::{u4, u7, u15, u24, u28};
use midly::{
    Format, Header, MetaMessage, MidiMessage, Smf, Timing, Track as Events, TrackEvent,
    TrackEventKind,
};

use super::performance::{MarkKind, PULSES, Part, Performance, PlayedStroke, PlayerMark, Pulses};
use crate::score::Metre;
use crate::theory::Key;

/// The channel of drums: ten, as people count.
const DRUMS: u8 = 9;

/// What General MIDI plays a part with: a channel and, unless drums need none, a programme.
const fn voice(part: Part) -> (u8, Option<u8>) {
    /// An acoustic grand piano.
    const PIANO: Option<u8> = Some(0);
    /// An acoustic bass, plucked.
    const BASS: Option<u8> = Some(32);
    /// The set of drums for brushes: General MIDI Level 2 has it, and Level 1 passes it over.
    const BRUSHES: Option<u8> = Some(40);
    match part {
        Part::PianoRight => (0, PIANO),
        Part::PianoLeft => (1, PIANO),
        Part::Comping => (2, PIANO),
        Part::Bass => (3, BASS),
        Part::Brushes => (DRUMS, BRUSHES),
        Part::Ride | Part::HiHat | Part::Click => (DRUMS, None),
    }
}

/// What the track of a part is called.
const fn name(part: Part) -> &'static str {
    match part {
        Part::PianoRight => "piano, right hand",
        Part::PianoLeft => "piano, left hand",
        Part::Comping => "piano, comping",
        Part::Bass => "double bass",
        Part::Ride => "ride cymbal",
        Part::HiHat => "hi-hat",
        Part::Brushes => "brushes",
        Part::Click => "click",
    }
}

/// An event at its moment. Of those at one moment the lower in rank come first: what ends before
/// what begins.
struct Timed<'a> {
    at: Pulses,
    rank: u8,
    kind: TrackEventKind<'a>,
}

/// A performance as the bytes of a file: first a track of tempo, metre, keys and places, then one
/// of the counts, then one for each part.
pub fn midi(performance: &Performance) -> Vec<u8> {
    let title = plain(&performance.title);
    let words: Vec<(&PlayerMark, String)> =
        performance.marks.iter().map(|mark| (mark, words(mark))).collect();
    let mut tracks: Vec<Events<'_>> = vec![
        events(conductor(performance, &title, &words), performance.length),
        events(counts(&words), performance.length),
    ];
    for track in &performance.tracks {
        tracks.push(events(played(track.part, &track.strokes), performance.length));
    }
    let timing = Timing::Metrical(u15::new(PULSES as u16));
    let smf = Smf { header: Header::new(Format::Parallel, timing), tracks };
    let mut bytes = Vec::new();
    smf.write_std(&mut bytes).expect("memory takes every byte");
    bytes
}

/// Title, tempi, metre, keys and places.
fn conductor<'a>(
    performance: &Performance,
    title: &'a str,
    words: &'a [(&PlayerMark, String)],
) -> Vec<Timed<'a>> {
    let mut all = vec![meta(0, 0, MetaMessage::TrackName(title.as_bytes()))];
    for tempo in &performance.tempi {
        let microseconds = (60_000_000.0 / tempo.quarters).round() as u32;
        all.push(meta(tempo.at, 1, MetaMessage::Tempo(u24::new(microseconds))));
    }
    for (mark, words) in words {
        match mark.kind {
            MarkKind::Metre(metre) => all.push(meta(mark.at, 2, signature_of(metre))),
            MarkKind::Key(key) => all.push(meta(mark.at, 3, key_of(key))),
            MarkKind::Place(_) => all.push(meta(mark.at, 4, MetaMessage::Marker(words.as_bytes()))),
            MarkKind::Count(_) => {}
        }
    }
    all
}

/// The counts, to be sung along.
fn counts<'a>(words: &'a [(&PlayerMark, String)]) -> Vec<Timed<'a>> {
    let mut all = vec![meta(0, 0, MetaMessage::TrackName(b"counts"))];
    let own = words.iter().filter(|(mark, _)| matches!(mark.kind, MarkKind::Count(_)));
    all.extend(own.map(|(mark, words)| meta(mark.at, 1, MetaMessage::Lyric(words.as_bytes()))));
    all
}

/// What a part plays.
fn played(part: Part, strokes: &[PlayedStroke]) -> Vec<Timed<'static>> {
    let (channel, programme) = voice(part);
    let channel = u4::new(channel);
    let event =
        |at, rank, message| Timed { at, rank, kind: TrackEventKind::Midi { channel, message } };
    let mut all = vec![meta(0, 0, MetaMessage::TrackName(name(part).as_bytes()))];
    all.extend(
        programme.map(|programme| {
            event(0, 1, MidiMessage::ProgramChange { program: u7::new(programme) })
        }),
    );
    for stroke in strokes {
        let key = u7::new(stroke.pitch);
        let vel = u7::new(stroke.strength);
        all.push(event(stroke.at, 3, MidiMessage::NoteOn { key, vel }));
        let end = stroke.at + stroke.length;
        // How fast a key is let go is not known; 64 says so.
        all.push(event(end, 2, MidiMessage::NoteOff { key, vel: u7::new(64) }));
    }
    all
}

fn meta(at: Pulses, rank: u8, message: MetaMessage<'_>) -> Timed<'_> {
    Timed { at, rank, kind: TrackEventKind::Meta(message) }
}

/// Events with the time from each to the next, and the end of their track.
fn events(mut all: Vec<Timed<'_>>, length: Pulses) -> Events<'_> {
    all.sort_by_key(|event| (event.at, event.rank));
    let last = all.last().map_or(0, |event| event.at);
    all.push(meta(length.max(last), u8::MAX, MetaMessage::EndOfTrack));
    let mut now = 0;
    let mut track = Events::with_capacity(all.len());
    for Timed { at, kind, .. } in all {
        track.push(TrackEvent { delta: u28::new(at - now), kind });
        now = at;
    }
    track
}

/// A time signature, with a click of the metronome for each felt beat.
fn signature_of<'a>(metre: Metre) -> MetaMessage<'a> {
    /// MIDI clocks and thirty-seconds in a quarter.
    const CLOCKS: i32 = 24;
    const THIRTY_SECONDS: u8 = 8;
    let clocks = CLOCKS * metre.felt_beat() / crate::score::QUARTER;
    let power = metre.unit().trailing_zeros();
    MetaMessage::TimeSignature(metre.beats() as u8, power as u8, clocks as u8, THIRTY_SECONDS)
}

fn key_of<'a>(key: Key) -> MetaMessage<'a> {
    MetaMessage::KeySignature(key.fifths() as i8, key.is_minor())
}

/// What a mark says, in letters that every program shows.
fn words(mark: &PlayerMark) -> String {
    match &mark.kind {
        MarkKind::Place(words) | MarkKind::Count(words) => plain(words),
        MarkKind::Metre(_) | MarkKind::Key(_) => String::new(),
    }
}

fn plain(words: &str) -> String {
    words.replace('\u{266d}', "b").replace('\u{266f}', "#").replace('\u{266e}', "")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sound::performance::{PartTrack, Tempo};

    /// The bytes that another library wrote for the same events: 4/4, D flat major, 120 beats a
    /// minute, programme 32 on the second channel, a ride cymbal of 320 pulses.
    #[test]
    fn bytes_are_those_that_another_library_writes() {
        let hex = "4d546864000000060001000101e04d54726b0000002500ff510307a12000ff58040402180800\
                   ff5902fb0000c1200099335a824089334000ff2f00";
        let golden: Vec<u8> = (0..hex.len() / 2)
            .map(|byte| u8::from_str_radix(&hex[2 * byte..2 * byte + 2], 16).unwrap())
            .collect();
        let midi =
            |channel: u8, message| TrackEventKind::Midi { channel: u4::new(channel), message };
        let key = u7::new(51);
        let all = [
            (0, TrackEventKind::Meta(MetaMessage::Tempo(u24::new(500_000)))),
            (0, TrackEventKind::Meta(signature_of(Metre::FourFour))),
            (0, TrackEventKind::Meta(key_of("Db".parse().unwrap()))),
            (0, midi(1, MidiMessage::ProgramChange { program: u7::new(32) })),
            (0, midi(DRUMS, MidiMessage::NoteOn { key, vel: u7::new(90) })),
            (320, midi(DRUMS, MidiMessage::NoteOff { key, vel: u7::new(64) })),
        ];
        let timed = |(rank, (at, kind))| Timed { at, rank: rank as u8, kind };
        let tracks = vec![events(all.into_iter().enumerate().map(timed).collect(), 0)];
        let timing = Timing::Metrical(u15::new(PULSES as u16));
        let smf = Smf { header: Header::new(Format::Parallel, timing), tracks };
        let mut bytes = Vec::new();
        smf.write_std(&mut bytes).unwrap();
        assert_eq!(bytes, golden);
    }

    /// One stroke after another of the same pitch: the first ends before the second begins.
    #[test]
    fn what_ends_stands_before_what_begins_at_the_same_moment() {
        let stroke = |at| PlayedStroke { at, length: 240, pitch: 60, strength: 80 };
        let performance = Performance {
            title: "A\u{266d}".to_owned(),
            tracks: vec![PartTrack {
                part: Part::PianoLeft,
                strokes: vec![stroke(0), stroke(240)],
            }],
            tempi: vec![Tempo { at: 0, quarters: 60.0 }],
            marks: Vec::new(),
            length: 480,
        };
        let bytes = midi(&performance);
        let smf = Smf::parse(&bytes).unwrap();
        let kinds: Vec<&str> = smf.tracks[2]
            .iter()
            .filter_map(|event| match event.kind {
                TrackEventKind::Midi { message: MidiMessage::NoteOn { .. }, .. } => Some("on"),
                TrackEventKind::Midi { message: MidiMessage::NoteOff { .. }, .. } => Some("off"),
                _ => None,
            })
            .collect();
        assert_eq!(kinds, ["on", "off", "on", "off"]);
        let title = smf.tracks[0][0].kind;
        assert_eq!(title, TrackEventKind::Meta(MetaMessage::TrackName(b"Ab")));
    }
}
