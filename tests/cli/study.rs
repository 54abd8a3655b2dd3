//! Study packets as a student types for them.

use std::fs;

use std::time::Instant;

use quintfall::chart::{Chart, analyse, demos};

use super::desk::Desk;

/// A tune with two borrowed keys makes a packet, which is enough to make it again, to the byte.
#[test]
fn a_packet_is_printed_and_made_again_from_itself() {
    let desk = Desk::new();
    let said = desk.does(&["study", "three-windows", "--student", "Ada", "--for", "Eb"]);
    assert!(said.starts_with("wrote study-Three-Windows-Ada.pdf: "), "{said}");
    desk.does(&["study", "study-Three-Windows-Ada.pdf", "-o", "again.pdf"]);
    assert!(desk.read("study-Three-Windows-Ada.pdf") == desk.read("again.pdf"));
    desk.does(&["study", "again.pdf", "--paper", "letter", "-o", "letter.pdf"]);
    assert!(desk.read("letter.pdf") != desk.read("again.pdf"), "what is typed wins");
    let refusal = desk.refusal(&["retempo", "again.pdf", "--tempo", "90"]);
    assert!(refusal.contains("it is a study packet"), "{refusal}");
}

/// The analysis of a tune of 64 bars takes less than a twentieth of what its sheets take, measured
/// in one run.
#[test]
fn the_analysis_is_a_small_part_of_a_packet() {
    let desk = Desk::new();
    let bars = "| Cmaj7 A7 | Dm7 G7 | Em7b5 A7b9 | Dm7 Db7 | Gm7 C7 | Fmaj7 Bb7 | Em7 A7 | Dm7 G7 ";
    let section =
        |name: &str| format!("[[section]]\nname = \"{name}\"\nbars = \"{}|\"\n", bars.repeat(2));
    let sections: String = ["A", "B", "C", "D"].map(section).concat();
    let text = format!("title = \"Sixty-four\"\nmetre = \"4/4\"\nkey = \"C\"\n{sections}");
    fs::write(desk.path("long.toml"), &text).unwrap();
    let tune = Chart::parse(&text, "long.toml").unwrap().unfolded();
    assert_eq!(tune.bars, 64);
    let analysis = (0..5).map(|_| {
        let start = Instant::now();
        assert!(analyse(&tune).is_some());
        start.elapsed()
    });
    let analysis = analysis.min().unwrap().as_secs_f64();
    let start = Instant::now();
    desk.does(&["study", "long.toml", "-o", "long.pdf"]);
    let sheets = start.elapsed().as_secs_f64();
    println!(
        "64 bars: analysis {:.1} ms, packet {:.0} ms, 1 : {:.0}",
        1e3 * analysis,
        1e3 * sheets,
        sheets / analysis
    );
    assert!(20.0 * analysis < sheets, "{analysis} s of {sheets} s");
}

/// A packet stands on every paper, narrow ones too.
#[test]
fn every_tune_of_ours_has_its_packet_on_narrow_paper() {
    let desk = Desk::new();
    for (name, _) in demos() {
        for paper in ["a5", "half-letter"] {
            let said = desk.does(&["study", name, "--paper", paper, "-o", "one.pdf"]);
            assert!(said.starts_with("wrote one.pdf: "), "{name}: {said}");
        }
    }
}

/// Every demo tune has its packet, moved to another key and in every way of playing over it.
#[test]
fn every_tune_of_ours_can_be_studied_in_any_way() {
    let desk = Desk::new();
    let ways = "shells,guide-tones,arpeggios,rootless,walking,drop-2,lines";
    for (index, (name, _)) in demos().enumerate() {
        let key = ["C", "F#", "Ab", "B", "Eb"][index % 5];
        let said = desk.does(&["study", name, "--under", ways, "--key", key, "-o", "one.pdf"]);
        assert!(said.starts_with("wrote one.pdf: "), "{said}");
    }
}

#[test]
fn several_tunes_have_one_plan_and_a_folder_says_what_is_next() {
    let desk = Desk::new();
    let said = desk.does(&["study", "three-windows", "night-bus", "slate-roof"]);
    assert!(said.starts_with("wrote study-3-tunes.pdf: "), "{said}");
    fs::create_dir(desk.path("tunes")).unwrap();
    for (name, text) in demos() {
        fs::write(desk.path(&format!("tunes/{name}.toml")), text).unwrap();
    }
    let told = desk.does(&["study", "tunes", "--for-next", "4"]);
    assert!(told.starts_with("10 tunes\n"), "{told}");
    let next = told.split("learn next:\n").nth(1).unwrap();
    assert_eq!(next.lines().count(), 4, "{told}");
    assert!(next.lines().all(|line| line.contains("of 10 tunes want")), "{told}");
    assert!(desk.refusal(&["study", "tunes"]).contains("a packet of 10 tunes; name 6 at the most"));
}

#[test]
fn the_analysis_is_handed_to_other_programs() {
    let desk = Desk::new();
    let read = |args: &[&str]| -> serde_json::Value {
        serde_json::from_str(&desk.does(args)).expect("JSON")
    };
    let one = read(&["study", "harbour-stairs", "--format", "json"]);
    assert_eq!(one["main_key"], "Eb major");
    let moved = read(&["study", "harbour-stairs", "--key", "F", "--format", "json"]);
    assert_eq!(moved["main_key"], "F major");
    assert_eq!(moved["areas"].as_array().map(Vec::len), one["areas"].as_array().map(Vec::len));
    let two = read(&["study", "harbour-stairs", "night-bus", "--format", "json"]);
    assert_eq!(two.as_array().map(Vec::len), Some(2));
}

/// Whatever is wrong is told, and nothing is written.
#[test]
fn what_cannot_be_studied_is_told_and_nothing_is_written() {
    let head = "title = \"T\"\nmetre = \"4/4\"\n[[section]]\nname = \"A\"\n";
    let silent = format!("{head}bars = \"| N.C. |\"\n");
    let wrong = format!("{head}bars = \"| Dm7 | H7 |\"\n");
    let desk = Desk::new().with("silent.toml", &silent).with("wrong.toml", &wrong);
    fs::create_dir(desk.path("empty")).unwrap();
    for (args, told) in [
        (vec!["study", "silent.toml"], "no chord"),
        (vec!["study", "wrong.toml"], "wrong.toml, line 5"),
        (vec!["study", "night-bus", "wrong.toml"], "wrong.toml, line 5"),
        (vec!["study", "empty"], "there is no chart in the folder"),
        (vec!["study", "harbor-stairs"], "harbour-stairs"),
        (vec!["study", "night-bus", "--under", "shels"], "shells"),
        (
            vec!["study", "night-bus", "--format", "xml"],
            "unknown word `xml`; write one of pdf, json",
        ),
        (vec!["study", "night-bus", "--format", "jsn"], "did you mean `json`?"),
        (vec!["study", "night-bus", "--format", ""], "--format has no value"),
    ] {
        let refusal = desk.refusal(&args);
        assert!(refusal.contains(told), "{args:?}: {refusal}");
    }
    assert_eq!(desk.files().len(), 2, "something was written");
}

/// A drill of one's own goes over a tune beside it; its sheet holds the changes and names no file.
#[test]
fn a_drill_file_may_name_a_tune() {
    let (_, tune) = demos().next().unwrap();
    let drill = "name = \"mine\"\ntitle = \"Mine\"\nmetre = \"4/4\"\n[[passage]]\n\
                 changes = \"tune.toml\"\nfigure = \"3 5 7 9\"\nnote = \"eighth\"\n\
                 voicing = \"shell-7\"\nvoice-leading = true\ncomping = \"on-beat\"\n";
    let desk = Desk::new().with("tune.toml", tune).with("mine.toml", drill);
    let told = desk.does(&["drills", "check", "mine.toml"]);
    assert!(told.contains("mine.toml"), "{told}");
    desk.does(&["handout", "--drill", "mine.toml", "--key", "Eb,G", "-o", "one.pdf"]);
    let recipe = desk.does(&["recipe", "one.pdf"]);
    assert!(!recipe.contains("tune.toml") && recipe.contains("V7b9/"), "{recipe}");
    fs::remove_file(desk.path("tune.toml")).unwrap();
    desk.does(&["handout", "one.pdf", "-o", "two.pdf"]);
    assert!(desk.read("one.pdf") == desk.read("two.pdf"));
    let refusal = desk.refusal(&["handout", "--drill", "mine.toml", "--key", "Eb"]);
    assert!(refusal.contains("tune.toml"), "{refusal}");
}
