//! A class of many: every file there and sound, and memory no matter of how many rows.
//!
//! `QUINTFALL_ROWS` says how many rows, in place of what a test run has time for.

use std::collections::BTreeSet;
use std::fs;
use std::process::Stdio;
use std::time::{Duration, Instant};

use super::desk::Desk;
use super::tree::tree;

/// The most memory that is promised, in bytes, whatever the number of rows.
const MOST_MEMORY: u64 = 96 * 1024 * 1024;
/// How much more five times as many rows may take: what a list itself is, and chance.
const MOST_GROWTH: u64 = 12 * 1024 * 1024;
/// How much faster two processors are than one, at the least.
const LEAST_GAIN: f64 = 1.7;

fn rows() -> usize {
    std::env::var("QUINTFALL_ROWS").ok().and_then(|rows| rows.parse().ok()).unwrap_or(150)
}

const KEYS: [&str; 12] = ["C", "F", "Bb", "Eb", "Ab", "Db", "Gb", "B", "E", "A", "D", "G"];

/// A drill of four bars.
const SHORT: &str = "name = \"short\"\ntitle = \"Short\"\nabout = \"Four bars.\"\n\
    listen = \"Evenness.\"\n";

/// A desk with a list of so many rows, of drills of a few bars.
fn desk(rows: usize) -> Desk {
    let mut drill: toml::Table = super::desk::pushed().parse().expect("a drill");
    let passages = drill["passage"].as_array_mut().expect("passages");
    passages.truncate(1);
    passages[0]["degrees"].as_array_mut().expect("degrees").truncate(4);
    for (name, value) in SHORT.parse::<toml::Table>().expect("a table") {
        drill.insert(name, value);
    }
    let row = |n: usize| format!("Student {n},{},{},short.toml\n", KEYS[n % 12], 60 + n % 40);
    let list: String = (0..rows).map(row).collect();
    let list = format!("name,keys,tempo,drill\n{list}");
    Desk::new().with("short.toml", drill.to_string()).with("a.csv", list)
}

/// Makes a class; gives the most memory that it took where the system tells it, and the time.
fn made(desk: &Desk, threads: usize) -> (Option<u64>, Duration) {
    let start = Instant::now();
    let mut command = desk.command(&["class", "a.csv", "-o", &format!("out-{threads}")]);
    command.env("RAYON_NUM_THREADS", threads.to_string());
    let mut child = command.stdout(Stdio::null()).spawn().unwrap();
    let mut most = None;
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        most = most.max(peak(child.id()));
        std::thread::sleep(Duration::from_millis(5));
    };
    assert!(status.success());
    (most, start.elapsed())
}

fn peak(process: u32) -> Option<u64> {
    let status = fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    Some(line.trim().strip_suffix(" kB")?.parse::<u64>().ok()? * 1024)
}

#[test]
fn every_row_has_its_sheet_and_memory_does_not_grow() {
    let rows = rows();
    let (few, many) = (desk(rows / 5), desk(rows));
    let (least, _) = made(&few, 2);
    let (most, time) = made(&many, 2);
    let files = tree(&many.path("out-2"));
    assert_eq!(files.len(), rows + 2);
    let mut students = BTreeSet::new();
    for (path, bytes) in files.iter().filter(|(path, _)| path.contains('/')) {
        let (folder, name) = path.split_once('/').unwrap();
        let json = quintfall::output::recipe_json(bytes).unwrap();
        let recipe = quintfall::recipe::Recipe::from_json(&json, path).unwrap();
        let student = recipe.student.unwrap();
        assert_eq!(folder, student.replace(' ', "-"));
        let key = recipe.keys[0].tonic().plain();
        assert_eq!(name, format!("handout-short-{key}-{folder}-{}.pdf", recipe.tempo));
        students.insert(student);
    }
    assert_eq!(students.len(), rows);
    let stack = lopdf::Document::load_mem(&files["a-to-print.pdf"]).unwrap();
    assert_eq!(stack.get_pages().len(), 2 * rows - 1);
    if let (Some(least), Some(most)) = (least, most) {
        println!("{rows} rows: {} KiB, {time:?}; a fifth: {} KiB", most >> 10, least >> 10);
        assert!(most < MOST_MEMORY, "{most} bytes");
        assert!(most < least + MOST_GROWTH, "{most} bytes for {rows} rows, {least} for a fifth");
    }
}

/// Only on a machine that has nothing else to do.
#[test]
#[ignore = "other work on the machine makes it fail"]
fn two_processors_are_nearly_twice_as_fast_as_one() {
    let desk = desk(300);
    let gain = |_| {
        let (_, one) = made(&desk, 1);
        let (_, two) = made(&desk, 2);
        one.as_secs_f64() / two.as_secs_f64()
    };
    let best = (0..3).map(gain).fold(0.0, f64::max);
    println!("two processors: {best:.2} times as fast as one");
    assert!(best >= LEAST_GAIN, "{best:.2}");
}
