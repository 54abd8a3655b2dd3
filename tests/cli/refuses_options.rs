//! Options that cannot stand.

use quintfall::drill::library;

use super::desk::{Desk, pushed};

#[test]
fn words_that_are_no_command_or_option() {
    let desk = Desk::new();
    desk.refuses(&["workbok"], "unknown command `workbok`; did you mean `workbook`?");
    desk.refuses(&["sing"], "unknown command `sing`; `quintfall --help` lists them");
    desk.refuses(&["workbook", "--temp", "9"], "unknown option `--temp`; did you mean `--tempo`?");
    desk.refuses(
        &["--tempo", "90"],
        "`--tempo` stands before any command; begin with one, as in `quintfall workbook`",
    );
    desk.refuses(
        &["handout", "--student", "a.toml", "b.toml", "c"],
        "`c` is one word too many; put texts with spaces in quotes",
    );
    desk.refuses(&["workbook", "--tempo"], "--tempo has no value; write one after it");
    desk.refuses(
        &["workbook", "--tempo", "90", "--tempo", "80"],
        "--tempo is given twice; keep one of them",
    );
    desk.refuses(&["workbook", "--booklet=yes"], "--booklet takes no value; write it alone");
    desk.refuses(&["--hepl"], "unknown option `--hepl`; did you mean `--help`?");
    desk.refuses(&["recipe"], "SHEET.pdf is missing; `--help` shows an example");
    desk.refuses(&["retempo"], "--tempo and SHEET.pdf are missing; `--help` shows an example");
}

#[test]
fn unknown_keys() {
    let desk = Desk::new();
    desk.refuses(
        &["handout", "--key", "H"],
        "--keys: unknown key `H`; write B for B natural and Bb for B flat",
    );
    desk.refuses(
        &["workbook", "--keys", "C,Xb"],
        "--keys: unknown key `Xb`; write a letter from A to G with b or #, as in Eb or F#, \
         and minor behind it for a minor key",
    );
    desk.refuses(
        &["workbook", "--keys", "C,,F"],
        "--keys: unknown key ``; write a letter from A to G",
    );
    desk.refuses(
        &["workbook", "--keys", "Gb,C,F#"],
        "--keys: keys has G♭ and F♯, which sound the same; keep one of them",
    );
    desk.refuses(&["handout"], "a handout needs a key; write --keys Eb");
    desk.refuses(&["handout", "Eb"], "there is no recipe Eb; for a handout in Eb write --key Eb");
}

#[test]
fn keys_that_the_drill_cannot_be_in() {
    let desk = Desk::new().with("r.toml", "drill = \"solid\"\n\nkeys = [\"C\", \"A minor\"]\n");
    let minor = "write G for G major, or take a minor drill, such as natural-minor";
    for key in ["G minor", "Gm", "g-minor"] {
        desk.refuses(
            &["handout", "--key", key],
            &format!("--keys: the drill `pushed` is in major, not in G minor; {minor}"),
        );
    }
    desk.refuses(
        &["handout", "--key", "Bb major", "--drill", "natural-minor"],
        "--keys: the drill `natural-minor` is in minor, not in B♭ major; \
         write Bb for B♭ minor, or take a major drill, such as pushed",
    );
    desk.refuses(
        &["workbook", "--key", "Am", "--drill", "solid,natural-minor"],
        "--keys: the drill `solid` is in major, not in A minor; \
         write A alone, which serves major and minor drills alike",
    );
    desk.refuses(
        &["handout", "--key", "G#"],
        "--keys: the drill `pushed` is in major, and there is no key of G♯ major; \
         write Ab, which sounds the same, or take a minor drill, such as natural-minor",
    );
    desk.refuses(
        &["workbook", "r.toml"],
        "r.toml, line 3: the drill `solid` is in major, not in A minor; \
         write A for A major, or take a minor drill, such as natural-minor",
    );
}

#[test]
fn tempi_out_of_range_or_no_number() {
    let desk = Desk::new();
    for (typed, message) in [
        ("19", "tempo 19 is out of range; write 20 to 400 beats a minute"),
        ("401", "tempo 401 is out of range; write 20 to 400 beats a minute"),
        ("-80", "tempo -80 is out of range; write 20 to 400 beats a minute"),
        ("fast", "tempo is `fast`; write a whole number from 20 to 400"),
        ("80.5", "tempo is `80.5`; write a whole number from 20 to 400"),
        (
            "99999999999999999999",
            "tempo is `99999999999999999999`; write a whole number from 20 to 400",
        ),
    ] {
        desk.refuses(&["workbook", "--tempo", typed], &format!("--tempo: {message}"));
    }
    desk.refuses(
        &["workbook", "--tempo", "100", "--goal", "90"],
        "--goal: goal 90 is slower than tempo 100; \
         raise the goal to 100 or more, or lower the tempo",
    );
}

#[test]
fn more_keys_than_a_page_holds() {
    let desk = Desk::new();
    for (typed, message) in [
        ("0", "keys-a-page 0 is out of range; write a whole number from 1 to 12"),
        ("two", "keys-a-page is `two`; write a whole number from 1 to 12"),
    ] {
        let message = format!("--keys-a-page: {message}");
        desk.refuses(&["workbook", "--keys-a-page", typed], &message);
    }
    desk.refuses(
        &["workbook", "--keys-a-page", "3"],
        "--keys-a-page: 3 keys to a page do not fit on A4; write --keys-a-page 1",
    );
    let desk = Desk::new().with("r.toml", "\nkeys-a-page = 3\n");
    desk.refuses(
        &["workbook", "r.toml"],
        "r.toml, line 2: 3 keys to a page do not fit on A4; write keys-a-page = 1",
    );
}

#[test]
fn words_that_a_field_does_not_know() {
    let desk = Desk::new();
    for (field, words) in [
        ("paper", "a4, letter, a5, half-letter"),
        ("feel", "swing, even"),
        ("symbols", "letters, signs, mixed"),
        ("minor", "m, mi, -"),
        ("major", "maj, triangle"),
        ("numerals", "on, plain, off"),
        ("counts", "all, first-bar, none"),
        ("fingering", "all, first-bars, changes, none"),
    ] {
        let option = format!("--{field}");
        let message = format!("{option}: unknown {field} `some`; write one of {words}");
        desk.refuses(&["workbook", &option, "some"], &message);
    }
}

#[test]
fn words_that_were_nearly_typed_right() {
    let desk = Desk::new();
    for (option, typed, meant) in [
        ("--paper", "a44", "a4"),
        ("--orientation", "landscpe", "landscape"),
        ("--feel", "swung", "swing"),
        ("--binding", "duplx", "duplex"),
        ("--symbols", "Letter", "letters"),
        ("--counts", "first-bars", "first-bar"),
        ("--fingering", "firstbars", "first-bars"),
        ("--hand", "smal", "small"),
        ("--hands", "rigth", "right"),
        ("--spans", "milimeters", "millimetres"),
        ("--level", "beginer", "beginner"),
        ("--order", "suffled", "shuffled"),
    ] {
        let field = option.trim_start_matches('-');
        let message = format!("unknown {field} `{typed}`; did you mean `{meant}`?");
        desk.refuses(&["handout", "--key", "C", option, typed], &format!("{option}: {message}"));
        // A recipe is answered as the command line is.
        let desk = Desk::new().with("r.toml", format!("\n{field} = \"{typed}\"\n"));
        desk.refuses(&["workbook", "r.toml"], &format!("r.toml, line 2: {message}"));
    }
}

#[test]
fn texts_that_cannot_be_printed() {
    let desk = Desk::new().with("r.toml", "\nstudio = \"\u{5c71}\"\n");
    desk.refuses(
        &["workbook", "--student", "Ada \u{5c71}"],
        "--student: the text face cannot show `\u{5c71}` (U+5C71) in student; \
         write it in other letters",
    );
    desk.refuses(
        &["workbook", "r.toml"],
        "r.toml, line 2: the text face cannot show `\u{5c71}` (U+5C71) in studio; \
         write it in other letters",
    );
    desk.refuses(
        &["workbook", "--title", "two\nlines"],
        "--title: title has a control character (U+000A); write it on one line of plain text",
    );
    let long = "x".repeat(121);
    desk.refuses(
        &["workbook", "--title", &long],
        "--title: title is 121 characters long; shorten it to 120 characters",
    );
}

#[test]
fn unknown_drills() {
    let desk = Desk::new();
    desk.refuses(
        &["workbook", "--drill", "pushd"],
        "--drill: unknown drill `pushd`; did you mean `pushed`?",
    );
    let message = desk.refusal(&["workbook", "--drill", "zz"]);
    assert!(message.starts_with("--drill: unknown drill `zz`; write one of "), "{message}");
    for (name, _) in library::all() {
        assert!(message.contains(name), "{message}");
    }
    desk.refuses(&["drills", "pushd"], "drills: unknown drill `pushd`; did you mean `pushed`?");
    desk.refuses(
        &["workbook", "--drill", "no.toml"],
        "cannot read no.toml: there is no such file; check its name and folder",
    );
}

#[test]
fn drill_files_in_the_wrong_place_or_of_the_wrong_name() {
    let desk = Desk::new().with("mine.toml", pushed()).with("mine.txt", pushed());
    for (typed, message) in [
        (
            &["drills", "chek", "mine.toml"][..],
            "unknown word `chek`; did you mean `quintfall drills check mine.toml`?",
        ),
        (
            &["drills", "pushed", "solid"],
            "`solid` is too many; name one drill to show it, or write `quintfall drills check \
             FILE.toml` to judge a file",
        ),
        (
            &["drills", "mine.toml"],
            "mine.toml is a file and no drill of the library; to judge it write `quintfall drills \
             check mine.toml`, to print it `quintfall workbook --drill mine.toml`",
        ),
        (
            &["workbook", "--drill", "mine.txt"],
            "--drill: the name of a drill file ends in .toml; rename mine.txt to mine.toml",
        ),
        (
            &["handout", "--key", "C", "mine.toml"],
            "mine.toml is a drill and no recipe; write --drill mine.toml",
        ),
    ] {
        desk.refuses(typed, message);
    }
}

#[test]
fn words_of_the_teacher_that_cannot_stand() {
    let desk = Desk::new();
    let handout = ["handout", "--key", "C"];
    for (typed, message) in [
        (
            ["--watch", "5,40"],
            "--watch: there is no bar 40 to watch: `pushed` has 9; write bars from 1 to 9",
        ),
        (["--watch", "0"], "--watch: watch 0 is out of range; write a whole number from 1 to 128"),
        (["--note", "a\nb\nc\nd"], "--note: note is 4 lines long; shorten it to 3 lines"),
        (
            ["--leave-out", "spelling"],
            "--leave-out: there is no leaving out the spelling, which stands in the tables of a \
             workbook; take it out of the list",
        ),
        (["--leave-out", "lefd"], "--leave-out: unknown leave-out `lefd`; did you mean `left`?"),
    ] {
        desk.refuses(&[&handout[..], &typed].concat(), message);
    }
}
