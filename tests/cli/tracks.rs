//! Sheets with their tracks: made beside them, named at their foot; and places that cannot hold one.

use std::fs;
use std::process::Command;

use super::desk::Desk;

const MIDI: &[u8] = b"MThd";

#[test]
fn a_track_is_made_beside_a_sheet_and_the_sheet_names_it() {
    let desk = Desk::new();
    let sheet = ["handout", "--key", "F", "--drill", "two-five-one"];
    let beside = ["--midi", "mine.mid", "--sound", "mine.flac", "-o", "mine.pdf"];
    let said = desk.does(&[&sheet[..], &beside].concat());
    assert!(desk.read("mine.mid").starts_with(MIDI) && desk.read("mine.flac").starts_with(b"fLaC"));
    assert!(said.contains("turn the volume down"), "{said}");
    let recipe = desk.does(&["recipe", "mine.pdf"]);
    assert!(recipe.contains("tracks = \"mine.mid, mine.flac\""), "{recipe}");
    // The notes are those of the command for tracks.
    let track = ["playalong", "--key", "F", "--drill", "two-five-one", "-o", "other.mid"];
    desk.does(&track);
    assert_eq!(desk.read("mine.mid"), desk.read("other.mid"));
    // What the teacher wrote wins.
    let own = ["--tracks", "the one on your phone", "--midi", "mine.mid", "-o", "own.pdf"];
    desk.does(&[&sheet[..], &own].concat());
    assert!(desk.does(&["recipe", "own.pdf"]).contains("tracks = \"the one on your phone\""));
    // Alone it makes no sheet.
    let before = desk.files().len();
    let said = desk.does(&[&sheet[..], &["--midi", "alone"]].concat());
    assert!(said.starts_with("wrote alone.mid: 1 key at 80, "), "{said}");
    assert_eq!(desk.files().len(), before + 1);
}

#[test]
fn a_sheet_that_says_nothing_of_tracks_is_as_it_was() {
    let desk = Desk::new();
    desk.does(&["handout", "--key", "F", "-o", "plain.pdf"]);
    desk.does(&["handout", "--key", "F", "--tracks", " ", "--tracks-at", "", "-o", "blank.pdf"]);
    assert_eq!(desk.read("plain.pdf"), desk.read("blank.pdf"));
    assert!(!desk.does(&["recipe", "plain.pdf"]).contains("\ntracks"));
}

#[test]
fn the_tracks_of_a_course_are_a_folder() {
    let desk = Desk::new();
    let course = ["workbook", "--drill", "solid,pushed", "--keys", "C,F"];
    desk.does(&[&course[..], &["--midi", "tracks", "-o", "all.pdf"]].concat());
    assert!(desk.read("tracks/01-solid-080.mid").starts_with(MIDI));
    assert!(desk.read("tracks/playlist.m3u").starts_with(b"#EXTM3U"));
    assert!(desk.does(&["recipe", "all.pdf"]).contains("tracks = \"tracks/\""));
    let message = desk.refusal(&[&course[..], &["--sound", "all.wav"]].concat());
    assert!(message.ends_with("write the name of a folder, such as all"), "{message}");
}

#[test]
fn several_rungs_beside_a_sheet_are_a_folder() {
    let desk = Desk::new();
    let sheet = ["workbook", "--keys", "C,F", "--tempo", "80", "--goal", "120"];
    let all = ["--rungs", "slow,middle,goal", "--midi", "mine", "-o", "mine.pdf"];
    desk.does(&[&sheet[..], &all, &["--musicxml", "mine.musicxml"]].concat());
    for tempo in ["080", "100", "120"] {
        assert!(desk.read(&format!("mine/playalong-pushed-C-F-{tempo}.mid")).starts_with(MIDI));
    }
    assert!(desk.does(&["recipe", "mine.pdf"]).contains("tracks = \"mine/\""));
    desk.refuses(
        &[&sheet[..], &["--rungs", "all"]].concat(),
        "--rungs says for which tempi there is a track, and none is made; write --midi FOLDER or \
         --sound FOLDER beside it",
    );
}

/// Whatever of it cannot be made: nothing of the rest is there, no folder either.
#[test]
fn nothing_is_written_of_a_sheet_that_is_refused() {
    let desk = Desk::new().with("taken.mid", "mine").with("x", "a file");
    let course = ["workbook", "--drill", "solid,pushed", "--keys", "C"];
    let one = ["handout", "--drill", "solid", "--key", "C"];
    let wide = ["--bars", "8", "--staff", "9.5", "--paper", "half-letter"];
    for refused in [
        [&course[..], &["--midi", "tracks", "-o", "a.pdf"], &wide].concat(),
        [&course[..], &["--midi", "tracks", "-o", "no/such/a.pdf"]].concat(),
        [&course[..], &["--sound", "tracks", "--tempo", "400", "--midi", "x/tracks"]].concat(),
        [&course[..], &["--midi", "x/tracks", "-o", "a.pdf"]].concat(),
        [&one[..], &["--midi", "new.mid", "--musicxml", "no/such/a.musicxml"]].concat(),
        [&one[..], &["--midi", "new.mid", "--png", "no-folder", "-o", "a.pdf"]].concat(),
        [&one[..], &["--musicxml", "a.musicxml", "--midi", "taken.mid", "-o", "a.pdf"]].concat(),
        [&one[..], &["--musicxml", "a.musicxml", "-o", "a.pdf", "--png", "no-folder"]].concat(),
    ] {
        desk.refusal(&refused);
        let names = fs::read_dir(desk.path("")).unwrap().map(|it| it.unwrap().file_name());
        let mut names: Vec<_> = names.collect();
        names.sort();
        assert_eq!(names, ["taken.mid", "x"], "{refused:?}");
        assert_eq!(desk.read("taken.mid"), b"mine");
    }
}

/// As long as ten hours, as notes and as sound: refused with the longest, and nothing is there.
#[test]
fn a_track_of_ten_hours_is_refused_with_the_longest() {
    let desk = Desk::new();
    let tune = ["--tune", "harbour-stairs", "--tempo", "100", "--choruses", "470"];
    for (asked, what) in [(&["--choruses", "112"][..], "pushed"), (&tune, "Harbour Stairs")] {
        for name in ["a.mid", "a.wav", "a.flac"] {
            let message = desk.refusal(&[&["playalong", "-o", name], asked].concat());
            assert!(
                message.starts_with(&format!("{what}: the track would last 10 h ")),
                "{message}"
            );
            assert!(message.contains("and the longest is 60 minutes; ask for "), "{message}");
        }
    }
    assert!(desk.files().is_empty());
}

#[test]
fn what_cannot_be_beside_a_sheet_is_refused() {
    let desk = Desk::new().with("none.sf2", "no font").with("wave.sf2", b"RIFF\x04\0\0\0WAVE");
    for (typed, message) in [
        (
            &["handout", "--key", "F", "--sound", "a.mp3"][..],
            "--sound: a.mp3 cannot be its name, since the track is a WAV file or a FLAC file; write a.wav",
        ),
        (
            &["handout", "--key", "F", "--midi", "-", "-o", "-"],
            "standard output takes one file, and two are to go there; give one of them a name",
        ),
        (
            &["review", "--key", "F", "--midi", "a.mid"],
            "a review has no notes to play; make a workbook or a handout of its drills",
        ),
        (
            &["handout", "--key", "F", "--tracks-at", "studio.example"],
            "--tracks-at: tracks-at is no address on the web, which begins with https://; copy it \
             from the line of the browser where the folder is shown",
        ),
        (
            &["playalong", "--key", "F", "--soundfont", "none.sf2"],
            "none.sf2: no SoundFont: it begins as something else; name a file that ends in .sf2",
        ),
        (
            &["playalong", "--key", "F", "--soundfont", "wave.sf2"],
            "wave.sf2: no SoundFont: it begins as something else; name a file that ends in .sf2",
        ),
        (
            &["playalong", "--key", "F", "--soundfont", "gone.sf2"],
            "cannot read gone.sf2: there is no such file; check its name and folder",
        ),
        (
            &["playalong", "--key", "F", "-o", "no/such/a.wav"],
            "cannot write no/such/a.wav: the folder no/such does not exist; make it first",
        ),
    ] {
        let found = desk.refusal(typed);
        assert_eq!(found, message, "{typed:?}");
    }
}

/// As where a disk fills: no file may be larger than a few hundred kilobytes.
#[cfg(target_os = "linux")]
#[test]
fn a_disk_that_fills_leaves_the_old_file_whole_and_no_draft() {
    let desk = Desk::new();
    let track = "playalong --key F --drill two-five-one";
    desk.does(&[&track.split(' ').collect::<Vec<_>>()[..], &["-o", "a.wav"]].concat());
    let before = desk.files();
    for rest in ["--choruses 4 -o a.wav", "-o new.wav", "--rungs slow,goal --as flac -o ."] {
        // A write beyond the limit fails where its signal is ignored, as it does on a full disk.
        let script = format!("trap '' XFSZ; ulimit -f 400; exec \"$0\" {track} {rest}");
        let mut shell = Command::new("sh");
        shell.args(["-c", &script, env!("CARGO_BIN_EXE_quintfall")]).current_dir(desk.path(""));
        let output = shell.output().unwrap();
        let complaint = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{rest}: {complaint}");
        assert!(complaint.starts_with("error: cannot write "), "{complaint}");
        assert_eq!(complaint.lines().count(), 1, "{complaint}");
        assert!(desk.files() == before, "{rest} left something else");
        assert_eq!(fs::read_dir(desk.path("")).unwrap().count(), 1, "{rest} left a draft");
    }
}

#[test]
fn a_chart_without_a_bar_is_refused() {
    let desk = Desk::new();
    let chart = desk.does(&["chart", "harbour-stairs", "--show"]);
    let without: Vec<&str> = chart.lines().take_while(|line| !line.starts_with("form")).collect();
    let desk = desk.with("x.toml", without.join("\n"));
    let message = desk.refusal(&["playalong", "--tune", "x.toml"]);
    assert!(message.contains("x.toml") && message.contains("section"), "{message}");
}
