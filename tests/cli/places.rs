//! Where sheets go, and where they may not.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use super::desk::Desk;

#[test]
fn a_place_where_no_sheet_can_be_is_refused() {
    let desk = Desk::new().with("notes.txt", "mine").with("r.toml", "keys = [\"C\"]\n");
    fs::create_dir(desk.path("folder")).unwrap();
    for (place, message) in [
        ("no/x.pdf", "cannot write no/x.pdf: the folder no does not exist; make it first"),
        (
            "notes.txt/x.pdf",
            "cannot write notes.txt/x.pdf: the folder notes.txt does not exist; make it first",
        ),
        ("folder", "cannot write folder: it is a folder; name a file in it"),
        ("new/", "cannot write new/: it is a folder; name a file in it"),
        (
            "r.toml",
            "cannot write r.toml: a file of that name is there and is no PDF; \
             choose another name",
        ),
    ] {
        desk.refuses(&["workbook", "r.toml", "-o", place], message);
    }
}

#[test]
fn a_sheet_does_not_replace_the_one_it_is_made_from_unless_told_to() {
    let desk = Desk::new();
    desk.does(&["handout", "--key", "C"]);
    let name = "handout-pushed-C.pdf";
    desk.refuses(
        &["handout", name, "--tempo", "90"],
        "handout-pushed-C.pdf is the sheet this one is made from; \
         name the new one with -o FILE.pdf",
    );
    desk.does(&["handout", name, "--tempo", "90", "-o", name]);
    assert_eq!(desk.recipe_in(name).tempo, 90);
}

#[test]
fn an_old_sheet_is_replaced_whole() {
    let desk = Desk::new().with("x.pdf", [b"%PDF-1.4 old".as_slice(), &[b' '; 100_000]].concat());
    desk.does(&["handout", "--key", "C", "-o", "x.pdf"]);
    desk.does(&["handout", "--key", "C", "-o", "y.pdf"]);
    assert!(desk.read("x.pdf") == desk.read("y.pdf"));
    let names: Vec<PathBuf> = desk.files().into_keys().collect();
    assert_eq!(names, [desk.path("x.pdf"), desk.path("y.pdf")], "something was left behind");
}

/// The system refuses to let the file grow past 512 bytes, as a full disk would.
#[cfg(unix)]
#[test]
fn an_old_sheet_survives_a_disk_that_fills_up() {
    let desk = Desk::new().with("x.pdf", "%PDF-1.4 old");
    let before = desk.files();
    let script = "trap '' XFSZ; ulimit -f 1; exec \"$0\" handout --key C -o x.pdf";
    let output = Command::new("sh")
        .args(["-c", script, env!("CARGO_BIN_EXE_quintfall")])
        .current_dir(desk.path(""))
        .output()
        .unwrap();
    let complaint = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{complaint}");
    assert_eq!(
        complaint,
        "error: cannot write x.pdf: the disk has no room for it; \
         make room or choose another folder\n"
    );
    assert!(desk.files() == before);
}

#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_takes_no_files_is_refused() {
    let desk = Desk::new();
    let message = desk.refusal(&["handout", "--key", "C", "-o", "/proc/self/x.pdf"]);
    assert!(message.starts_with("cannot write /proc/self/x.pdf: "), "{message}");
    assert!(!Path::new("/proc/self/x.pdf").exists());
}
