//! How long the twelve-key workbook takes, beside what deflating its pages alone must cost.
//!
//! One run of `cargo bench` prints both, measured in turns on the same machine, the ratio of their
//! medians and that of their fastest turns, which a machine with other work to do spoils less; and the
//! most memory that a process which makes one workbook ever holds; then the same of a course of every
//! drill of the library, the time that writing down its notes takes, and that of choosing its fingers.

use std::hint::black_box;
use std::io::Write as _;
use std::process::Command;
use std::time::{Duration, Instant};

use flate2::Compression;
use flate2::write::ZlibEncoder;
use quintfall::desk::pipeline;
use quintfall::drill::{Choices, Drill, Template, library};
use quintfall::exchange;
use quintfall::output;
use quintfall::recipe::{CourseDrill, FingeringMarks, Recipe, WHOLE_LIBRARY};

/// As the program has it, since that is what is measured.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Turns to take; the medians are reported, and the ratio of the fastest.
const TURNS: usize = 61;
/// Target: the workbook takes at most this many times as long as deflating its pages on one core.
const MOST_RATIO: f64 = 1.5;
/// Target: the most memory a process holds, in megabytes.
const MOST_MEMORY: f64 = 40.0;
/// The same for a process that makes the workbook of the whole library.
const MOST_COURSE_MEMORY: f64 = 64.0;
/// The sheets of a course from which on the ratio is judged; of fewer it is told.
const LONG: usize = 192;
/// Target: a page of 192 sheets takes at most this many times as long as one of 48, other drills
/// or not.
const MOST_GROWTH: f64 = 1.5;

/// Target: the notes of the whole library are written down in so many seconds.
const MOST_NOTES: f64 = 1.0;

fn main() {
    for (argument, recipe) in [(ONCE, Recipe::default()), (COURSE_ONCE, course())] {
        if std::env::args().any(|given| given == argument) {
            black_box(workbook(&recipe));
            println!("{}", peak_of_this_process().unwrap_or(0.0));
            return;
        }
    }
    time();
    memory(ONCE, MOST_MEMORY);
    course_time();
    notes_time();
    solver_time();
    memory(COURSE_ONCE, MOST_COURSE_MEMORY);
}

/// Arguments that make this program make one document and no more.
const ONCE: &str = "--once";
const COURSE_ONCE: &str = "--course-once";

/// The workbook of the whole library.
fn course() -> Recipe {
    let course = vec![CourseDrill::named(WHOLE_LIBRARY)];
    Recipe { drill: String::new(), course, ..Recipe::default() }
}

/// From recipe to bytes.
fn workbook(recipe: &Recipe) -> Vec<u8> {
    pipeline::pdf(recipe).expect("the usual recipe makes a document").bytes
}

/// How long the notes of the whole library in twelve keys take to write down, from its course to the
/// bytes, beside packing these alone.
fn notes_time() {
    const FEWER_TURNS: usize = TURNS / 6;
    let commission = pipeline::commission(&course()).expect("a sound recipe");
    let book = commission.book().expect("room for it");
    let piece = commission.piece(&book);
    let [mut plain, mut packed] = [const { Vec::new() }; 2];
    let mut megabytes = 0.0;
    for _ in 0..FEWER_TURNS {
        let start = Instant::now();
        megabytes = black_box(exchange::musicxml(&piece)).len() as f64 / 1e6;
        plain.push(start.elapsed());
        let start = Instant::now();
        black_box(exchange::mxl(&piece));
        packed.push(start.elapsed());
    }
    let [plain, packed] = [plain, packed].map(|turns| median(turns) / 1000.0);
    println!("\nnotes of the whole library in twelve keys, medians of {FEWER_TURNS} turns");
    println!("{megabytes:.1} MB in {plain:.2} s, packed in {packed:.2} s (target: {MOST_NOTES} s)");
}

/// How long courses of more and more drills take, beside deflating their pages alone; a page of a
/// long one should take no longer than one of a short one.
fn course_time() {
    const FEWER_TURNS: usize = TURNS / 6;
    let names: Vec<&str> = library::all().map(|(name, _)| name).collect();
    println!("\ncourses of the library's first drills, medians of {FEWER_TURNS} turns");
    let mut a_page_of_each = Vec::new();
    for drills in [1, 4, 16, names.len()] {
        let course = names[..drills].iter().map(|name| CourseDrill::named(name)).collect();
        let recipe = Recipe { drill: String::new(), course, ..Recipe::default() };
        let document = pipeline::document(&recipe).expect("a sound recipe");
        let streams = output::content_streams(&document);
        drop(document);
        let [mut whole, mut floor] = [const { Vec::new() }; 2];
        for _ in 0..FEWER_TURNS {
            whole.push(clock(|| workbook(&recipe)));
            floor.push(clock(|| deflated(&streams)));
        }
        let fastest = ratio_of_fastest(&whole, &floor);
        let [whole, floor] = [whole, floor].map(median);
        let ratio = whole / floor;
        let a_page = whole / streams.len() as f64;
        let sheets = drills * recipe.keys.len();
        let judged = |ratio| if sheets < LONG { String::new() } else { verdict(ratio, MOST_RATIO) };
        println!(
            "{sheets:4} sheets, {:3} pages  {whole:8.2} ms, {a_page:.3} ms a page, ratio \
             {ratio:.2}  {}, of the fastest turns {fastest:.2}  {}",
            streams.len(),
            judged(ratio),
            judged(fastest),
        );
        a_page_of_each.push(a_page);
    }
    let growth = a_page_of_each[2] / a_page_of_each[1];
    println!(
        "a page of 192 sheets beside one of 48: {growth:.2}  {}",
        verdict(growth, MOST_GROWTH)
    );
}

/// How long choosing the fingers of the whole library takes on one core: the scores are made
/// with and without.
fn solver_time() {
    let sound = |(name, text)| Template::parse(text, name).expect("library drills are sound");
    let templates: Vec<Template> = library::all().map(sound).collect();
    let drills: Vec<Drill<'_>> = templates.iter().map(Drill::of).collect();
    let keys = Recipe::default().keys;
    let realise = |fingering| {
        let choices = Choices { fingering, ..Choices::default() };
        for (drill, template) in drills.iter().zip(&templates) {
            for key in &keys {
                black_box(drill.realise(key.in_mode(template.mode), choices));
            }
        }
    };
    let [mut with, mut without] = [const { Vec::new() }; 2];
    for _ in 0..TURNS / 6 {
        with.push(clock(|| realise(FingeringMarks::All)));
        without.push(clock(|| realise(FingeringMarks::None)));
    }
    let [with, without] = [with, without].map(median);
    println!(
        "fingers of {} sheets, one core {:8.2} ms, beside {without:.2} ms for the scores without",
        drills.len() * keys.len(),
        with - without
    );
}

fn deflated(streams: &[Vec<u8>]) -> usize {
    let deflate = |stream: &Vec<u8>| {
        let mut encoder = ZlibEncoder::new(Vec::new(), Compression::new(output::DEFLATE_LEVEL));
        encoder.write_all(stream).expect("memory takes all");
        encoder.finish().expect("memory takes all").len()
    };
    streams.iter().map(deflate).sum()
}

fn time() {
    let recipe = Recipe::default();
    let document = pipeline::document(&recipe).expect("the usual recipe makes a document");
    let streams = output::content_streams(&document);
    let [mut whole, mut layout, mut floor] = [const { Vec::new() }; 3];
    for _ in 0..TURNS {
        whole.push(clock(|| workbook(&recipe)));
        layout.push(clock(|| pipeline::document(&recipe)));
        floor.push(clock(|| deflated(&streams)));
    }
    let raw: usize = streams.iter().map(Vec::len).sum();
    let fastest = ratio_of_fastest(&whole, &floor);
    let [whole, layout, floor] = [whole, layout, floor].map(median);
    let ratio = whole / floor;
    println!(
        "workbook of {} keys, {} pages, median of {TURNS} turns",
        recipe.keys.len(),
        streams.len()
    );
    println!("from recipe to bytes      {whole:8.2} ms  ({} bytes)", workbook(&recipe).len());
    println!("  of it layout            {layout:8.2} ms  ({:.0} %)", 100.0 * layout / whole);
    println!(
        "deflating the pages alone {floor:8.2} ms  ({raw} bytes to {} at level {}, one core)",
        deflated(&streams),
        output::DEFLATE_LEVEL
    );
    println!("ratio                     {ratio:8.2}     {}", verdict(ratio, MOST_RATIO));
    println!("ratio of fastest turns    {fastest:8.2}     {}", verdict(fastest, MOST_RATIO));
}

fn clock<T>(work: impl FnOnce() -> T) -> Duration {
    let start = Instant::now();
    black_box(work());
    start.elapsed()
}

/// How many times as long the fastest turn of one thing takes as that of another.
fn ratio_of_fastest(one: &[Duration], other: &[Duration]) -> f64 {
    let fastest = |turns: &[Duration]| turns.iter().min().map_or(f64::NAN, Duration::as_secs_f64);
    fastest(one) / fastest(other)
}

/// The median in milliseconds.
fn median(mut times: Vec<Duration>) -> f64 {
    times.sort();
    times[times.len() / 2].as_secs_f64() * 1000.0
}

/// The most memory that a fresh process holds while it makes one workbook, beside its target.
fn memory(argument: &str, most: f64) {
    let program = std::env::current_exe().expect("this program has a path");
    let child = Command::new(&program).arg(argument).output().expect("this program runs");
    let own: f64 = String::from_utf8_lossy(&child.stdout).trim().parse().unwrap_or(0.0);
    println!("peak memory, own count    {own:8.1} MB  {}", verdict(own, most));
    let timed = Command::new("/usr/bin/time").arg("-v").arg(&program).arg(argument).output();
    let said = timed.map(|timed| String::from_utf8_lossy(&timed.stderr).into_owned());
    let peak = said.ok().and_then(|said| {
        let line = said.lines().find(|line| line.contains("Maximum resident set size"))?;
        line.rsplit(' ').next()?.parse::<f64>().ok()
    });
    if let Some(peak) = peak {
        let peak = peak / 1024.0;
        println!("peak memory, outside      {peak:8.1} MB  {}", verdict(peak, most));
    }
}

/// How a figure stands to its target.
fn verdict(found: f64, most: f64) -> String {
    let word = if found <= most { "met" } else { "MISSED" };
    format!("(target: at most {most}, {word})")
}

/// `VmHWM`, in megabytes; none where there is no `/proc`.
fn peak_of_this_process() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kilobytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes / 1024.0)
}
