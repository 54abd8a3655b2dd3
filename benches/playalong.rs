//! How much faster tracks are made than they play, on one core and on two; how much memory a short
//! and a long one take; and how long the notes in time of the whole library take to write.
//!
//! Each measure is taken in a process of its own, so that the number of threads and the most memory
//! are those of that track alone.

use std::io::{Seek, SeekFrom, Write};
use std::process::Command;
use std::time::Instant;

use quintfall::desk::pipeline;
use quintfall::recipe::{CourseDrill, Recipe, WHOLE_LIBRARY};
use quintfall::sound::synth::{self, SoundOptions};
use quintfall::sound::{self, Performance, TrackOptions};

/// As the program has it, since that is what is measured.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Targets: how many times faster than it plays a track is made, on one core and on two.
const LEAST_RATIOS: [(usize, f64); 2] = [(1, 100.0), (2, 180.0)];
/// Target: the most memory while a track is made, in megabytes, and of a long one to a short one.
const MOST_MEMORY: f64 = 64.0;
const MOST_GROWTH: f64 = 1.2;
/// Target: the notes in time of the whole library are written in so many seconds.
const MOST_NOTES: f64 = 1.0;

/// The argument that makes this program make one track of so many choruses.
const ONE: &str = "--choruses=";

fn main() {
    let asked = std::env::args().find_map(|word| word.strip_prefix(ONE)?.parse().ok());
    if let Some(choruses) = asked {
        return one(choruses);
    }
    for (threads, least) in LEAST_RATIOS {
        let [ratio, _] = measured(threads, 8);
        told(&format!("sound, {threads} core(s): times faster than it plays"), ratio, least, true);
    }
    let [short, long] = [1, 12].map(|choruses| measured(2, choruses)[1]);
    told("memory of the longest track, MB", long, MOST_MEMORY, false);
    told("memory, long track to short", long / short, MOST_GROWTH, false);
    notes();
}

/// A measure beside its target.
fn told(what: &str, found: f64, target: f64, is_least: bool) {
    let is_met = if is_least { found >= target } else { found <= target };
    let (word, sign) = (if is_met { "met" } else { "MISSED" }, if is_least { ">=" } else { "<=" });
    println!("{what}: {found:.2} ({sign} {target}: {word})");
}

/// The usual drill round all keys, in a process of its own: how many times faster than it plays,
/// and the most megabytes that were held.
fn measured(threads: usize, choruses: usize) -> [f64; 2] {
    let program = std::env::current_exe().expect("this program has a path");
    let mut command = Command::new(program);
    command.arg(format!("{ONE}{choruses}")).env("RAYON_NUM_THREADS", threads.to_string());
    let output = command.output().expect("it runs");
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    let mut numbers = said.split_whitespace().map(|word| word.parse().unwrap_or(f64::NAN));
    [numbers.next().unwrap_or(f64::NAN), numbers.next().unwrap_or(f64::NAN)]
}

/// Makes one track and tells of it.
fn one(choruses: usize) {
    let recipe = Recipe { tempo: 120, ..Recipe::default() };
    let commission = pipeline::commission(&recipe).expect("a sound recipe");
    let options = TrackOptions { choruses, ..TrackOptions::default() };
    let exercise = &commission.course.exercises[0];
    let performance =
        sound::play_drill(exercise, recipe.tempo, &options).expect("it can be played");
    let seconds = synth::seconds(&performance).expect("it can be played");
    let start = Instant::now();
    synth::render(&performance, &SoundOptions::default(), &mut Nowhere(0)).expect("room for it");
    println!("{} {}", seconds / start.elapsed().as_secs_f64(), peak().unwrap_or(f64::NAN));
}

/// A place that takes all and keeps nothing.
struct Nowhere(u64);

impl Write for Nowhere {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0 += bytes.len() as u64;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

impl Seek for Nowhere {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        Ok(if let SeekFrom::Start(at) = to { at } else { self.0 })
    }
}

/// The most megabytes that this process has held; Linux tells.
fn peak() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    Some(line.trim().strip_suffix(" kB")?.trim().parse::<f64>().ok()? / 1024.0)
}

/// The notes in time of every drill of the library in twelve keys, from its course to the bytes.
fn notes() {
    let course = vec![CourseDrill::named(WHOLE_LIBRARY)];
    let recipe = Recipe { drill: String::new(), course, ..Recipe::default() };
    let commission = pipeline::commission(&recipe).expect("a sound recipe");
    let options = TrackOptions::default();
    let start = Instant::now();
    let play = |exercise| -> Option<Performance> {
        sound::play_drill(exercise, recipe.tempo, &options).ok()
    };
    let tracks = commission.course.exercises.iter().filter_map(play);
    let bytes: usize = tracks.map(|performance| sound::midi(&performance).len()).sum();
    let seconds = start.elapsed().as_secs_f64();
    told(&format!("notes in time of the library ({bytes} bytes), s"), seconds, MOST_NOTES, false);
}
