//! What is no sound is refused in words, before anything is written.

use std::io::{self, Cursor, Seek, SeekFrom, Write};

use quintfall::sound::synth::{LONGEST, SoundError, SoundForm, SoundOptions, render, seconds};
use quintfall::sound::{PULSES, Part, Performance};

use crate::pieces::piece;

fn refused(performance: &Performance) -> SoundError {
    let mut out = Cursor::new(Vec::new());
    let error = render(performance, &SoundOptions::default(), &mut out).unwrap_err();
    assert!(out.into_inner().is_empty(), "something was written before {error}");
    assert_eq!(seconds(performance).unwrap_err().to_string(), error.to_string());
    error
}

#[test]
fn a_track_of_ten_hours_is_refused_with_the_longest() {
    let mut long = piece(&[Part::Click], 60.0, 1);
    long.length = 36_000 * PULSES;
    let told = refused(&long).to_string();
    assert_eq!(told, "the track would last 10 h, and the longest is 2 h");
    // A last stroke far away is no way round it.
    let mut late = piece(&[Part::Click], 60.0, 1);
    late.tracks[0].strokes[3].at = 36_000 * PULSES;
    assert!(matches!(refused(&late), SoundError::TooLong { .. }));
    long.length = (LONGEST - 10) * PULSES;
    assert!(seconds(&long).unwrap() < f64::from(LONGEST));
}

#[test]
fn tempi_and_pitches_that_nobody_plays_are_refused() {
    for quarters in [0.0, 5.0, 2000.0, f64::NAN] {
        let error = refused(&piece(&[Part::Bass], quarters, 1));
        assert!(matches!(error, SoundError::Tempo { .. }), "{error}");
    }
    let mut low = piece(&[Part::Bass], 100.0, 1);
    low.tracks[0].strokes[2].pitch = 5;
    assert_eq!(refused(&low).to_string(), "the bass has no pitch 5");
    let mut silent = piece(&[Part::Bass], 100.0, 1);
    silent.tempi.clear();
    assert!(matches!(refused(&silent), SoundError::NoTempo));
}

/// A disk with room for some bytes.
struct Disk(Cursor<Vec<u8>>, u64);

impl Write for Disk {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.0.position() + bytes.len() as u64 > self.1 {
            return Err(io::ErrorKind::StorageFull.into());
        }
        self.0.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Seek for Disk {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.0.seek(to)
    }
}

#[test]
fn a_disk_that_fills_ends_the_rendering_with_its_own_error() {
    for form in [SoundForm::Wav, SoundForm::Flac] {
        for room in [0, 20, 50_000] {
            let mut disk = Disk(Cursor::default(), room);
            let options = SoundOptions { form, ..SoundOptions::default() };
            let error = render(&piece(&[Part::Click], 100.0, 2), &options, &mut disk).unwrap_err();
            let SoundError::Write(error) = error else { panic!("{error}") };
            assert_eq!(error.kind(), io::ErrorKind::StorageFull);
        }
    }
}

/// A piece of nothing is a short silence, and a performance that is empty is a file all the same.
#[test]
fn silence_is_a_file() {
    let mut silence = piece(&[], 120.0, 2);
    for frames in [176_400, 0] {
        let mut out = Cursor::new(Vec::new());
        render(&silence, &SoundOptions::default(), &mut out).unwrap();
        assert_eq!(out.into_inner().len(), 44 + 2 * frames);
        let mut out = Cursor::new(Vec::new());
        let options = SoundOptions { form: SoundForm::Flac, ..SoundOptions::default() };
        render(&silence, &options, &mut out).unwrap();
        silence.length = 0;
    }
}
