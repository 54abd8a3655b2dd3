//! What a few systems look like, as text that a reviewer can read in a diff, and a few pages as
//! small pictures.
//!
//! A changed dump is a changed page. To take the new one as right, look at it first (print it,
//! or turn it into a picture), then run the test with `UPDATE_GOLDEN=1`; that run still fails.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use kurbo::{BezPath, PathEl, Point};
use quintfall::desk::pipeline;
use quintfall::drill::{self, Choices, Template, library};
use quintfall::engrave::{BRACE_REACH, Engraved, Look, System, engrave};
use quintfall::output;
use quintfall::recipe::{self, Counts, Paper, Recipe};
use quintfall::typeset::Trace;

/// A line of A4 with margins of 15 mm, on a staff of 7 mm.
const WIDTH: f64 = 102.9 - BRACE_REACH;

fn golden(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(name)
}

/// Writes the golden file anew if the run is asked to.
fn update(path: &Path, bytes: &[u8]) {
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::write(path, bytes).expect("tests/golden can be written");
    }
}

/// Two decimals, no negative nought.
fn short(value: f64) -> String {
    let text = format!("{value:.2}");
    if text == "-0.00" { "0.00".to_owned() } else { text }
}

fn place(at: Point) -> String {
    format!("{:>7} {:>7}", short(at.x), short(at.y))
}

fn outline(path: &BezPath) -> String {
    let mut text = String::new();
    for element in path.elements() {
        let _ = match element {
            PathEl::MoveTo(to) => write!(text, "{}", place(*to)),
            PathEl::LineTo(to) => write!(text, " -{}", place(*to)),
            PathEl::QuadTo(_, to) | PathEl::CurveTo(_, _, to) => write!(text, " ~{}", place(*to)),
            PathEl::ClosePath => Ok(()),
        };
    }
    text
}

fn line(mark: &Engraved) -> String {
    let role = format!("{:?}", mark.role);
    match &mark.trace {
        Trace::Sign { sign, at, size } => {
            let scale = *size / 4.0;
            let scale = if scale == 1.0 { String::new() } else { format!(" x{}", short(scale)) };
            format!("{role:<12}{}  {}{scale}", place(*at), sign.smufl_name())
        }
        Trace::Text { text, face, at, size } => {
            format!("{role:<12}{}  \"{text}\" {face:?} {}", place(*at), short(*size))
        }
        Trace::Line { from, to, width } => {
            format!("{role:<12}{}  to {} wide {}", place(*from), place(*to), short(*width))
        }
        Trace::Slab { .. } | Trace::Wedge { .. } | Trace::Crescent { .. } | Trace::Fill(_) => {
            format!("{role:<12}{}", outline(&mark.trace.filled()))
        }
        Trace::Stroke { path, .. } => format!("{role:<12}{}", outline(path)),
    }
}

/// The marks of a system, one a line, by kind and then from left to right.
fn dump(system: &System) -> String {
    let mut lines: Vec<(String, f64, String)> = system
        .marks
        .iter()
        .map(|mark| (format!("{:02}", mark.role as u8), mark.bounds().x0, line(mark)))
        .collect();
    lines.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
    let mut text = format!(
        "bars {}-{}, top {}, bottom {}, drop {}, force {}\n",
        system.bars.start + 1,
        system.bars.end,
        short(system.top),
        short(system.bottom),
        short(system.drop),
        short(system.force),
    );
    for (.., line) in lines {
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// Compares system `index` of a drill, set on `count` systems, with its dump.
#[track_caller]
fn check(name: &str, drill: &str, key: &str, count: usize, index: usize) {
    let text = library::find(drill).expect("a drill of the library");
    let template = Template::parse(text, drill).expect("library drills are sound");
    let choices = Choices::default();
    let score = drill::realise(&template, key.parse().expect("a key"), choices);
    let look = Look { counts: Counts::All, ..Look::default() };
    let systems = engrave(&score, &look, WIDTH, count).expect("the bars fit");
    let found = dump(&systems[index]);
    let path = golden(name);
    let expected = std::fs::read_to_string(&path).unwrap_or_default();
    if found == expected {
        return;
    }
    update(&path, found.as_bytes());
    let (a, b): (Vec<&str>, Vec<&str>) = (expected.lines().collect(), found.lines().collect());
    let first = (0..a.len().max(b.len())).find(|at| a.get(*at) != b.get(*at)).unwrap_or(0);
    panic!(
        "{} differs from line {}:\n  was {:?}\n  is  {:?}\n{} lines before, {} now; see the head \
         of tests/golden.rs",
        path.display(),
        first + 1,
        a.get(first).unwrap_or(&""),
        b.get(first).unwrap_or(&""),
        a.len(),
        b.len(),
    );
}

#[test]
fn c_pushed_begins_on_the_beat() {
    check("c-pushed-1.txt", "pushed", "C", 4, 0);
}

#[test]
fn d_flat_pushed_changes_clef() {
    check("d-flat-pushed-2.txt", "pushed", "Db", 4, 1);
}

#[test]
fn a_flat_on_the_beat_ends_held() {
    check("a-flat-on-the-beat-4.txt", "on-the-beat", "Ab", 4, 3);
}

#[test]
fn f_sharp_pushed_turns_at_the_octave() {
    check("f-sharp-pushed-3.txt", "pushed", "F#", 4, 2);
}

/// Dots an inch of the pictures: enough to see where everything stands, small enough to keep.
const DPI: u32 = 60;
/// Largest mean difference of two pictures, in shades of grey out of 255.
const MOST_MEAN: f64 = 0.6;
/// Largest share of pixels that differ plainly, and what counts as plainly.
const MOST_PLAIN: (f64, u8) = (0.002, 96);

/// Compares page `index` of a document with its picture.
#[track_caller]
fn check_picture(name: &str, recipe: &Recipe, index: usize) {
    let document = pipeline::document(recipe).expect("a sound recipe");
    let found = output::png(&document.about, &document.pages[index], DPI).expect("a picture");
    let path = golden(name);
    let Ok(expected) = std::fs::read(&path) else {
        update(&path, &found);
        panic!("{} is missing; see the head of tests/golden.rs", path.display());
    };
    let grey = |png: &[u8]| image::load_from_memory(png).expect("a picture").into_luma8();
    let (a, b) = (grey(&expected), grey(&found));
    let fault = if a.dimensions() == b.dimensions() {
        let differences: Vec<u8> = a.iter().zip(b.iter()).map(|(a, b)| a.abs_diff(*b)).collect();
        let count = differences.len() as f64;
        let mean = differences.iter().map(|shade| f64::from(*shade)).sum::<f64>() / count;
        let plain = differences.iter().filter(|shade| **shade > MOST_PLAIN.1).count() as f64;
        let share = plain / count;
        let differs = mean > MOST_MEAN || share > MOST_PLAIN.0;
        differs.then(|| format!("mean difference {mean:.2}, {:.2} % differ plainly", 100.0 * share))
    } else {
        Some(format!("{:?} pixels, not {:?}", b.dimensions(), a.dimensions()))
    };
    if let Some(fault) = fault {
        update(&path, &found);
        panic!("{}: {fault}; see the head of tests/golden.rs", path.display());
    }
}

/// A handout of one key.
fn handout(drill: &str, key: &str, paper: Paper) -> Recipe {
    let keys = vec![key.parse().expect("a key")];
    let drill = drill.to_owned();
    Recipe { form: recipe::DocumentForm::Handout, drill, keys, paper, ..Recipe::default() }
}

#[test]
fn a_handout_in_d_flat_looks_as_it_did() {
    check_picture("handout-d-flat.png", &handout("pushed", "Db", Paper::A4), 0);
}

#[test]
fn a_handout_on_letter_looks_as_it_did() {
    check_picture("handout-a-letter.png", &handout("on-the-beat", "A", Paper::Letter), 0);
}

#[test]
fn the_cover_looks_as_it_did() {
    check_picture("cover.png", &Recipe::default(), 0);
}
