//! What files may cost the whole program: time, and memory where the system tells it.

use std::fs;
use std::io::Write as _;
use std::process::Stdio;
use std::time::{Duration, Instant};

use flate2::Compression;
use flate2::write::ZlibEncoder;

use super::desk::{Desk, sheet_with};

/// Two seconds are promised; a loaded machine and a program that was built to be debugged get more.
const LONGEST: Duration = Duration::from_secs(20);

/// 100 MB are promised, of which the program itself takes some; what was mended took five times
/// as much.
const MOST_MEMORY: u64 = 120 * 1_000_000;

/// Runs a command that must be refused, and checks what it takes.
#[track_caller]
fn refused_within_bounds(desk: &Desk, args: &[&str], told: &str) {
    let start = Instant::now();
    let mut child =
        desk.command(args).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap();
    let mut most = 0;
    while child.try_wait().unwrap().is_none() {
        most = most.max(peak(child.id()).unwrap_or(0));
        if start.elapsed() > LONGEST {
            child.kill().unwrap();
            panic!("{args:?} takes longer than {LONGEST:?}");
        }
        std::thread::sleep(Duration::from_millis(1));
    }
    let output = child.wait_with_output().unwrap();
    let message = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{args:?}: {message}");
    assert!(message.contains(told), "{args:?}: {message}");
    assert!(most < MOST_MEMORY, "{args:?} takes {most} bytes");
}

/// The most memory that a process has had so far, in bytes.
fn peak(process: u32) -> Option<u64> {
    let status = fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    Some(line.trim().strip_suffix(" kB")?.parse::<u64>().ok()? * 1024)
}

fn deflated(content: &[u8]) -> Vec<u8> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::fast());
    encoder.write_all(content).unwrap();
    encoder.finish().unwrap()
}

#[test]
fn sheets_with_a_recipe_of_many_parts_take_little() {
    for (recipe, told) in [
        (format!("{{\"a\": [{}0]}}", "0,".repeat(6_000_000)), "unknown field `a`"),
        (format!("{{\"keys\": [{}0]}}", "[],".repeat(4_000_000)), "cannot be read"),
        (
            format!("{{\"course\": [{}\"a\"]}}", "\"\",".repeat(4_000_000)),
            "course has 4000001 drills",
        ),
        (format!("{{\"quintfall\": [{}0]}}", "[],".repeat(4_000_000)), "cannot be read"),
        (format!("{{{}\"a\": 1}}", "\"a\":1,".repeat(2_000_000)), "unknown field `a`"),
    ] {
        let desk = Desk::new().with("a.pdf", sheet_with(&recipe));
        refused_within_bounds(&desk, &["retempo", "a.pdf", "--tempo", "90"], told);
    }
}

#[test]
fn the_largest_file_that_is_no_sheet_takes_little() {
    let mut file = b"%PDF-1.7\n".to_vec();
    let object = b"1 0 obj<<>>stream\nendstream\n";
    while file.len() + object.len() < 64_000_000 {
        file.extend(object);
    }
    let desk = Desk::new().with("a.pdf", &file);
    refused_within_bounds(&desk, &["recipe", "a.pdf"], "a.pdf: ");
    file.resize((64 << 20) + 1, b' ');
    let desk = desk.with("b.pdf", &file);
    refused_within_bounds(&desk, &["recipe", "b.pdf"], "it is larger than 64 MiB");
}

#[test]
fn recipes_of_many_parts_take_little() {
    // After `title` in the order of letters, so that it is the title that is wrong.
    let fields: String = (0..40_000).map(|n| format!("z{n} = 1\n")).collect();
    let more: String = (0..400_000).map(|n| format!("a{n} = 1\n")).collect();
    for (recipe, told) in [
        (format!("title = 5\n{fields}"), "field `title` is the number 5"),
        (fields, "unknown field `z"),
        (more, "it is larger than 512 KiB without its picture"),
        (format!("a{} = 1\n", ".a".repeat(5_000_000)), "it is larger than 512 KiB"),
        (format!("a{} = 1\n", ".a".repeat(260_000)), "error: a.toml"),
        (format!("keys = [{}]\n", "\"\",".repeat(170_000)), "error: a.toml"),
        (format!("a = {}1\n", "[".repeat(500_000)), "error: a.toml"),
        (format!("{} = 1\n", "b".repeat(10_000_000)), "unknown field `bbb"),
        (format!("title = \"{}", "b".repeat(10_000_000)), "a quotation mark is missing"),
    ] {
        let desk = Desk::new().with("a.toml", recipe);
        refused_within_bounds(&desk, &["workbook", "a.toml"], told);
    }
}

#[test]
fn drills_of_many_parts_take_little() {
    const ROOM: usize = 64 * 1024;
    let fields: String = (0..5_000).map(|n| format!("a{n} = 1\n")).collect();
    let stumbles = "= ".repeat(ROOM / 2 - 8);
    let degrees = format!("[[passage]]\ndegrees = [{}1]\n", "9,".repeat(ROOM / 2 - 32));
    for (drill, told) in [
        (fields, "there are more mistakes than these; mend these first"),
        ("a\n".repeat(ROOM / 2), "there are more mistakes than these"),
        (stumbles, "error: a.toml, line 1"),
        (degrees, "error: a.toml"),
        (format!("a{} = 1\n", ".a".repeat(ROOM / 2 - 8)), "error: a.toml, line 1"),
        ("[[passage]]\n".repeat(ROOM / 12), "there are more mistakes than these"),
    ] {
        let desk = Desk::new().with("a.toml", drill);
        refused_within_bounds(&desk, &["drills", "check", "a.toml"], told);
    }
}

#[test]
fn pictures_that_are_packed_a_thousandfold_take_little() {
    let chunk = |kind: &[u8; 4], data: &[u8]| {
        let length = (data.len() as u32).to_be_bytes();
        let mut crc = flate2::Crc::new();
        crc.update(kind);
        crc.update(data);
        [&length[..], kind, data, &crc.sum().to_be_bytes()].concat()
    };
    let head = |width: u32, height: u32, kind: [u8; 5]| {
        chunk(b"IHDR", &[&width.to_be_bytes()[..], &height.to_be_bytes(), &kind].concat())
    };
    let signature = b"\x89PNG\r\n\x1a\n";
    let bomb = deflated(&vec![0; 400_000_000]);
    let profile = chunk(b"iCCP", &[b"a\0\0", &bomb[..]].concat());
    // The pixels are missing, so that it is refused in the end.
    let coloured = [&signature[..], &head(1, 1, [8, 0, 0, 0, 0]), &profile].concat();
    // Four samples of two bytes, from coarse to fine.
    let pixels = chunk(b"IDAT", &bomb);
    let fine = [&signature[..], &head(4096, 4096, [16, 6, 0, 0, 1]), &pixels].concat();
    let desk = Desk::new().with("a.png", coloured).with("b.png", fine);
    let logo = |name| ["handout", "--key", "C", "--logo", name];
    refused_within_bounds(&desk, &logo("a.png"), "a.png: the picture cannot be read");
    refused_within_bounds(&desk, &logo("b.png"), "takes too much memory to read; make it smaller");
}
