//! Where sheets go, and where they may not.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use quintfall::recipe::Counts;

use super::desk::{Desk, png};

#[test]
fn a_place_where_no_sheet_can_be_is_refused() {
    let desk = Desk::new()
        .with("notes.txt", "mine")
        .with("text.pdf", "mine")
        .with("r.toml", "keys = [\"C\"]\n");
    fs::create_dir(desk.path("folder")).unwrap();
    for (place, message) in [
        ("no/x.pdf", "cannot write no/x.pdf: the folder no does not exist; make it first"),
        (
            "notes.txt/x.pdf",
            "cannot write notes.txt/x.pdf: notes.txt is a file and no folder; name a folder",
        ),
        ("folder", "cannot write folder: it is a folder; name a file in it"),
        ("new/", "cannot write new/: it is a folder; name a file in it"),
        ("r.toml", "--output: r.toml cannot be its name, since a sheet is a PDF; write r.pdf"),
        ("/dev/null", "cannot write /dev/null: it is no ordinary file; choose another name"),
        (
            "practise.mid",
            "--output: practise.mid cannot be its name, since a sheet is a PDF; \
             write practise.pdf",
        ),
        (
            "page.png",
            "--output: page.png cannot be its name, since a sheet is a PDF; \
             for pictures of its pages write --png FOLDER",
        ),
        (
            "text",
            "cannot write text.pdf: a file of that name is there and is no PDF; \
             choose another name, or replace it with --force",
        ),
    ] {
        desk.refuses(&["workbook", "r.toml", "-o", place], message);
    }
}

#[test]
fn a_name_without_an_ending_gets_that_of_a_sheet() {
    let desk = Desk::new();
    let said = desk.does(&["handout", "--key", "C", "-o", "practise"]);
    assert_eq!(said, "wrote practise.pdf: 1 page, 1 key, A4\n");
    assert_eq!(desk.files().len(), 1);
}

/// Options that no name holds, and a foreign file of that name: nothing is lost.
#[test]
fn no_sheet_replaces_another_unasked() {
    let desk = Desk::new().with("handout-pushed-C-80.pdf", "%PDF-1.4 foreign");
    let mut kept = desk.files();
    for (options, name) in [
        (&["--counts", "none"][..], "handout-pushed-C-80-2.pdf"),
        (&["--counts", "all"], "handout-pushed-C-80-3.pdf"),
        (&["--hands", "right"], "handout-pushed-C-right-hand-80.pdf"),
        (&["--hands", "left"], "handout-pushed-C-left-hand-80.pdf"),
        (&["--tempo", "60"], "handout-pushed-C-60.pdf"),
        (&["--student", "Mira"], "handout-pushed-C-Mira-80.pdf"),
    ] {
        let said = desk.does(&[&["handout", "--key", "C"], options].concat());
        assert!(said.starts_with(&format!("wrote {name}: ")), "{said}");
        let hint = "(handout-pushed-C-80.pdf is another; --force replaces it)\n";
        let numbered = name.contains("80-");
        assert_eq!(said.ends_with(hint), numbered, "{said}");
        assert_eq!(kept.insert(desk.path(name), desk.read(name)), None, "{name} is new");
        assert!(desk.files() == kept, "{options:?} touched another file");
    }
    let said = desk.does(&["handout", "--key", "C", "--counts", "none"]);
    let name = "handout-pushed-C-80-2.pdf";
    assert_eq!(said, format!("kept {name}, which is the same: 1 page, 1 key, A4\n"));
    assert!(desk.files() == kept);
}

#[test]
fn a_named_sheet_and_force_replace() {
    let name = "handout-pushed-C-80.pdf";
    let desk = Desk::new().with(name, "%PDF-1.4 foreign").with("text.pdf", "mine");
    desk.does(&["handout", "--key", "C", "-o", name]);
    let sheet = desk.read(name);
    assert_eq!(desk.recipe_in(name).tempo, 80);
    let said = desk.does(&["handout", "--key", "C", "--counts", "none", "--force"]);
    assert_eq!(said, format!("wrote {name}: 1 page, 1 key, A4\n"));
    assert!(desk.read(name) != sheet);
    desk.does(&["handout", "--key", "C", "-o", "text.pdf", "--force"]);
    assert!(desk.read("text.pdf") == sheet);
    assert_eq!(desk.files().len(), 2);
}

#[test]
fn a_sheet_does_not_replace_the_one_it_is_made_from_unless_told_to() {
    let desk = Desk::new();
    desk.does(&["handout", "--key", "C"]);
    let name = "handout-pushed-C-80.pdf";
    let before = desk.read(name);
    desk.does(&["handout", name, "--counts", "none"]);
    assert!(desk.read(name) == before);
    assert_eq!(desk.recipe_in("handout-pushed-C-80-2.pdf").counts, Counts::None);
    desk.does(&["handout", name, "--tempo", "90", "-o", name]);
    assert_eq!(desk.recipe_in(name).tempo, 90);
}

#[test]
fn a_new_tempo_takes_a_free_name_too() {
    let desk = Desk::new();
    desk.does(&["handout", "--key", "C"]);
    let desk = desk.with("handout-pushed-C-90.pdf", "mine");
    let retempo = ["retempo", "handout-pushed-C-80.pdf", "--tempo", "90"];
    let said = desk.does(&retempo);
    assert!(said.starts_with("wrote handout-pushed-C-90-2.pdf: "), "{said}");
    assert_eq!(desk.read("handout-pushed-C-90.pdf"), b"mine");
    assert!(desk.does(&retempo).starts_with("kept handout-pushed-C-90-2.pdf, "));
    desk.does(&[&retempo[..], &["--force"]].concat());
    assert_eq!(desk.recipe_in("handout-pushed-C-90.pdf").tempo, 90);
}

#[test]
fn pictures_of_one_sheet_are_numbered_together() {
    let desk = Desk::new().with("handout-pushed-C-F-80-2.png", "mine");
    let draw = ["handout", "--keys", "C,F", "--png", ".", "--dpi", "40"];
    let said = desk.does(&draw);
    let names = "./handout-pushed-C-F-80-2-1.png to handout-pushed-C-F-80-2-2.png";
    let hint = "(handout-pushed-C-F-80-1.png is another; --force replaces it)";
    assert_eq!(said, format!("wrote {names}: 2 pictures at 40 dots an inch {hint}\n"));
    let names: Vec<PathBuf> = desk.files().into_keys().collect();
    let wanted = ["80-2-1.png", "80-2-2.png", "80-2.png"]
        .map(|end| desk.path(&format!("handout-pushed-C-F-{end}")));
    assert_eq!(names, wanted);
    assert_eq!(desk.read("handout-pushed-C-F-80-2.png"), b"mine");
    assert!(desk.does(&draw).starts_with("kept "));
    desk.does(&[&draw[..], &["--force"]].concat());
    assert_ne!(desk.read("handout-pushed-C-F-80-2.png"), b"mine");
    assert_eq!(desk.files().len(), 4);
}

#[test]
fn pictures_of_an_earlier_sheet_that_stay_are_told() {
    let desk = Desk::new().with("handout-pushed-C-80-y.png", png(3, 3));
    let draw = ["handout", "--key", "C", "--png", ".", "--dpi", "40"];
    desk.does(&[&draw[..], &["--staff", "9.5"]].concat());
    let said = desk.does(&[&draw[..], &["--force"]].concat());
    let left = "left handout-pushed-C-80-2.png, which is of another sheet";
    let name = "./handout-pushed-C-80-1.png";
    assert_eq!(said, format!("wrote {name}: 1 picture at 40 dots an inch ({left})\n"));
}

#[test]
fn names_of_pictures_have_no_spaces() {
    let desk = Desk::new();
    desk.does(&["workbook", "--key", "C", "--booklet", "--png", ".", "--dpi", "30"]);
    let names: Vec<PathBuf> = desk.files().into_keys().collect();
    assert!(names.len() > 2);
    for name in names {
        assert!(!name.file_name().unwrap().to_string_lossy().contains(' '), "{}", name.display());
    }
}

#[test]
fn a_file_is_no_folder_for_pictures() {
    let desk = Desk::new().with("notes.pdf", "mine");
    for folder in ["notes.pdf", "notes.pdf/a"] {
        desk.refuses(
            &["handout", "--key", "C", "--png", folder],
            &format!(
                "cannot write {folder}/handout-pushed-C-80-1.png: notes.pdf is a file and no \
                 folder; name a folder"
            ),
        );
    }
    desk.refuses(
        &["handout", "--key", "C", "--svg", ".", "--dpi", "300"],
        "--svg and --dpi do not go together; keep one of them",
    );
    // Nothing is drawn before it is known that all can be written.
    fs::create_dir(desk.path("folder")).unwrap();
    for (png, output) in [("folder", "no/x.pdf"), ("no", "folder/x.pdf")] {
        desk.refusal(&["handout", "--key", "C", "--png", png, "-o", output]);
        assert_eq!(fs::read_dir(desk.path("folder")).unwrap().count(), 0, "{png} {output}");
    }
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
    for ignoring in ["", "trap '' XFSZ; "] {
        let script = format!("{ignoring}ulimit -f 1; exec \"$0\" handout --key C -o x.pdf");
        let output = Command::new("sh")
            .args(["-c", &script, env!("CARGO_BIN_EXE_quintfall")])
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
}

#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_takes_no_files_is_refused() {
    let desk = Desk::new();
    let message = desk.refusal(&["handout", "--key", "C", "-o", "/proc/self/x.pdf"]);
    assert!(message.starts_with("cannot write /proc/self/x.pdf: "), "{message}");
    assert!(!Path::new("/proc/self/x.pdf").exists());
}

#[cfg(unix)]
#[test]
fn a_new_sheet_is_as_open_as_the_umask_says() {
    use std::os::unix::fs::PermissionsExt as _;
    for (umask, mode) in [("077", 0o600), ("027", 0o640), ("002", 0o664)] {
        let desk = Desk::new();
        let script = format!("umask {umask}; exec \"$0\" handout --key C -o x.pdf");
        let status = Command::new("sh")
            .args(["-c", &script, env!("CARGO_BIN_EXE_quintfall")])
            .current_dir(desk.path(""))
            .stdout(std::process::Stdio::null())
            .status()
            .unwrap();
        assert!(status.success());
        let found = fs::metadata(desk.path("x.pdf")).unwrap().permissions().mode() & 0o7777;
        assert_eq!(found, mode, "umask {umask}");
    }
}

#[cfg(unix)]
#[test]
fn a_link_stays_a_link_to_the_new_sheet() {
    let desk = Desk::new().with("real.pdf", "%PDF-1.4 old");
    for target in ["real.pdf", "none-yet.pdf"] {
        let link = desk.path("link.pdf");
        std::os::unix::fs::symlink(target, &link).unwrap();
        desk.does(&["handout", "--key", "C", "-o", "link.pdf"]);
        assert_eq!(fs::read_link(&link).unwrap(), Path::new(target));
        assert_eq!(desk.recipe_in(target).tempo, 80);
        fs::remove_file(link).unwrap();
    }
    // A name that nobody typed goes through no link that leads nowhere.
    std::os::unix::fs::symlink("else.pdf", desk.path("handout-pushed-C-80.pdf")).unwrap();
    let said = desk.does(&["handout", "--key", "C"]);
    assert!(said.starts_with("wrote handout-pushed-C-80-2.pdf: "), "{said}");
    assert!(!desk.path("else.pdf").exists());
}
