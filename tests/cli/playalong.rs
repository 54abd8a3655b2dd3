//! Tracks to play along to.

use std::collections::BTreeSet;
use std::fs;

use crate::desk::Desk;

/// How a MIDI file begins.
const MIDI: &[u8] = b"MThd";

#[test]
fn a_track_is_named_after_what_it_is_and_none_is_overwritten() {
    let desk = Desk::new();
    let track = ["playalong", "--key", "Db", "--student", "Ada", "--tempo", "84"];
    let said = desk.does(&track);
    let name = "playalong-pushed-Db-Ada-084.mid";
    assert_eq!(said, format!("wrote {name}: 1 key at 84, 0:32, bass, ride, hi-hat, click\n"));
    let first = desk.read(name);
    assert!(first.starts_with(MIDI));
    let said = desk.does(&track);
    assert!(said.starts_with(&format!("kept {name}, which is the same")), "{said}");
    desk.does(&[&track[..], &["--swing", "even"]].concat());
    assert_eq!(desk.read(name), first);
    assert_ne!(desk.read("playalong-pushed-Db-Ada-084-2.mid"), first);
    desk.does(&[&track[..], &["--swing", "light", "--force"]].concat());
    assert_ne!(desk.read(name), first);
    assert_eq!(desk.run(&[&track[..], &["-o", "-"]].concat()).stdout, first);
}

#[test]
fn a_track_starts_from_a_recipe_or_from_a_sheet() {
    let desk = Desk::new().with("r.toml", "drill = \"solid\"\nkeys = [\"Eb\"]\ntempo = 100\n");
    desk.does(&["playalong", "r.toml", "-o", "one.mid"]);
    desk.does(&["workbook", "r.toml", "-o", "sheet.pdf"]);
    desk.does(&["playalong", "sheet.pdf", "-o", "two"]);
    assert_eq!(desk.read("one.mid"), desk.read("two.mid"));
    desk.does(&["playalong", "sheet.pdf", "--tempo", "72"]);
    assert!(desk.path("playalong-solid-Eb-072.mid").exists());
    // Without a key it goes through all twelve.
    desk.does(&["playalong"]);
    assert!(desk.path("playalong-pushed-080.mid").exists());
}

#[test]
fn rungs_of_the_ladder_have_a_track_each_and_their_names_sort() {
    let desk = Desk::new();
    let track = ["playalong", "--key", "F", "--tempo", "80", "--goal", "120", "--rungs"];
    desk.does(&[&track[..], &["slow,middle,goal"]].concat());
    let names = |desk: &Desk| -> Vec<String> {
        let files = desk.files().into_keys();
        files.map(|path| path.file_name().unwrap().to_string_lossy().into_owned()).collect()
    };
    let wanted = ["080", "100", "120"].map(|tempo| format!("playalong-pushed-F-{tempo}.mid"));
    assert_eq!(names(&desk), wanted);
    desk.does(&[&track[..], &["all", "-o", "set"]].concat());
    assert_eq!(fs::read_dir(desk.path("set")).unwrap().count(), 11);
}

/// The rungs of a tune are those of the ladder that its study sheet has; without a rung it is played
/// at its own tempo.
#[test]
fn rungs_of_a_tune_are_those_of_its_study() {
    for (tune, [slow, goal]) in [("harbour-stairs", ["072", "144"]), ("slate-roof", ["054", "108"])]
    {
        let desk = Desk::new();
        desk.does(&["playalong", "--tune", tune, "--rungs", "slow,middle,goal", "-o", "set"]);
        let names = || -> Vec<String> {
            let files = fs::read_dir(desk.path("set")).unwrap();
            let mut names: Vec<String> =
                files.map(|it| it.unwrap().file_name().to_string_lossy().into_owned()).collect();
            names.sort();
            names
        };
        let names = names();
        assert!(names.len() == 3 && names[0].ends_with(&format!("{slow}.mid")), "{names:?}");
        assert!(names[2].ends_with(&format!("{goal}.mid")), "{names:?}");
        let said = desk.does(&["playalong", "--tune", tune, "-o", "own.mid"]);
        let tempo = goal.trim_start_matches('0');
        assert!(format!("{said:?}").contains(&format!("at {tempo},")), "{said:?}");
    }
}

#[test]
fn a_course_is_a_folder_with_a_playlist() {
    let desk = Desk::new();
    desk.does(&["playalong", "--drill", "solid,pushed", "--keys", "C,F"]);
    let folder = "playalong-course-C-F";
    let list = String::from_utf8(desk.read(&format!("{folder}/playlist.m3u"))).unwrap();
    let lines: Vec<&str> = list.lines().collect();
    assert_eq!(lines[0], "#EXTM3U");
    assert_eq!([lines[2], lines[4]], ["01-solid-080.mid", "02-pushed-080.mid"]);
    assert!(lines[1].starts_with("#EXTINF:") && lines[3].ends_with("pushed, 80"), "{list}");
    for name in [lines[2], lines[4]] {
        assert!(desk.read(&format!("{folder}/{name}")).starts_with(MIDI));
    }
}

#[test]
fn what_cannot_be_is_refused_in_one_line_with_its_mend() {
    let desk = Desk::new().with("notes.mid", "mine").with("x.pdf", "%PDF-1.7");
    for (typed, message) in [
        (&["--with", "bas"][..], "--with: unknown part `bas`; did you mean `bass`?"),
        (
            &["--with", "flute"],
            "--with: unknown part `flute`; write one of right, left, comping, bass, ride, hi-hat, \
             brushes, click",
        ),
        (
            &["--swing", "triplett"],
            "--swing: unknown swing `triplett`; did you mean `triplet`? Or write a ratio such as 1.5",
        ),
        (&["--swing", "9"], "--swing: the ratio 9 is out of reach; write one from 1 to 4"),
        (&["--groove", "walz"], "--groove: unknown groove `walz`; did you mean `waltz`?"),
        (&["--groove", "waltz"], "pushed: waltz cannot be played in 4/4; choose walking for it"),
        (&["--count-in", "3"], "--count-in: count-in is `3`; write a whole number from 0 to 2"),
        (&["--choruses", "0"], "--choruses: choruses is `0`; write a whole number from 1 to 999"),
        (&["--rise", "-3"], "--rise: rise is `-3`; write a whole number from 0 to 60"),
        (
            &["--rungs", "fast"],
            "--rungs: unknown rung `fast`; write one of slow, middle, goal, all",
        ),
        (&["--as", "mp3"], "--as: unknown kind of track `mp3`; write one of mid, wav, flac"),
        (
            &["-o", "a.ogg"],
            "a.ogg cannot be its name, since a track is a MIDI file or a WAV file or a FLAC file; write a.mid",
        ),
        (
            &["-o", "notes.mid"],
            "cannot write notes.mid: a file of that name is there and is no MIDI file; choose \
             another name, or replace it with --force",
        ),
        (&["-o", "no/a.mid"], "cannot write no/a.mid: the folder no does not exist; make it first"),
        (
            &["-o", "-", "--rungs", "all"],
            "standard output takes one track, and there are several; choose one rung of one drill",
        ),
        (
            &["-o", "a.mid", "--rungs", "all"],
            "a.mid names one file, and there are several tracks; write the name of a folder, such as a",
        ),
        (
            &["--choruses", "999"],
            "pushed: the track would last 89 h 56 min, and the longest is 60 minutes; ask for 10 \
             choruses at most",
        ),
        (
            &["--tempo", "400", "--swing", "4"],
            "pushed: at 400 beats a minute ride has 30 ms from stroke to stroke, which nobody hears \
             apart; at 240 it can be played, or with less swing",
        ),
    ] {
        desk.refuses(&[&["playalong"], typed].concat(), message);
    }
}

#[test]
fn a_track_can_be_sound() {
    let desk = Desk::new();
    let track = ["playalong", "--drill", "two-five-one", "--key", "F", "--tempo", "160"];
    for (name, start) in [("a.wav", &b"RIFF"[..]), ("a.flac", b"fLaC"), ("a.mid", MIDI)] {
        desk.does(&[&track[..], &["-o", name]].concat());
        assert!(desk.read(name).starts_with(start), "{name}");
    }
    desk.does(&[&track[..], &["--as", "flac"]].concat());
    assert_eq!(desk.read("playalong-two-five-one-F-160.flac"), desk.read("a.flac"));
    let before = desk.read("a.wav");
    let said = desk.does(&[&track[..], &["-o", "b.wav"]].concat());
    assert_eq!(desk.read("b.wav"), before, "the same bytes twice");
    assert!(said.contains("b.wav"), "{said}");
    let message = desk.refusal(&[&track[..], &["-o", "a.mid", "--as", "wav"]].concat());
    assert!(message.ends_with("since a track is a WAV file; write a.wav"), "{message}");
}

/// Whether or not keys are shuffled, a seed gives another bass.
#[test]
fn a_seed_gives_another_line() {
    let desk = Desk::new().with("r.toml", "keys = [\"C\"]\n");
    for from in
        [&["--key", "C"][..], &["r.toml"], &["--tune", "harbour-stairs"], &["--order", "shuffled"]]
    {
        let made = |seed: &str| {
            let seeded = ["--seed", seed, "--with", "bass", "-o", "-"];
            desk.run(&[&["playalong"], from, &seeded].concat()).stdout
        };
        assert!(made("3").starts_with(MIDI), "{from:?}");
        assert_eq!(made("3"), made("3"));
        // Two seeds may choose alike, five do not.
        let lines: BTreeSet<_> = ["3", "4", "5", "6", "7"].map(made).into_iter().collect();
        assert!(lines.len() > 2, "{from:?}: {} lines", lines.len());
    }
}

#[test]
fn a_track_can_go_over_a_tune() {
    let desk = Desk::new();
    let shown = desk.does(&["chart", "harbour-stairs", "--show"]);
    let desk = desk.with("mine.toml", &shown);
    desk.does(&["playalong", "--tune", "mine.toml", "--choruses", "2", "-o", "mine.mid"]);
    desk.does(&["playalong", "--tune", "harbour-stairs", "--choruses", "2", "-o", "ours.mid"]);
    assert_eq!(desk.read("mine.mid"), desk.read("ours.mid"));
    let said =
        desk.does(&["playalong", "--tune", "harbour-stairs", "--keys", "Ab,Db", "--tempo", "90"]);
    let name = "playalong-Harbour-Stairs-Ab-Db-090.mid";
    assert!(said.starts_with(&format!("wrote {name}: 2 keys at 90, ")), "{said}");
    let message = desk.refusal(&["playalong", "--tune", "x.toml"]);
    assert!(message.contains("x.toml"), "{message}");
    let message = desk.refusal(&["playalong", "--tune", "harbour-stairs", "--drill", "solid"]);
    assert!(message.contains("do not go together"), "{message}");
}
