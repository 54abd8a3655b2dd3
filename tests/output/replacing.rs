//! Files written whole or not at all.

use std::fs;

use quintfall::output::{WriteError, write_new, write_whole};

#[test]
fn a_file_is_replaced_whole() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("sheet.pdf");
    write_whole(&path, b"a long first version").expect("written");
    write_whole(&path, b"short").expect("written");
    assert_eq!(fs::read(&path).expect("a file"), b"short");
    let names: Vec<_> = fs::read_dir(folder.path()).expect("a folder").collect();
    assert_eq!(names.len(), 1, "nothing is left beside it");
}

#[test]
fn a_bad_path_is_named_with_the_cure() {
    let folder = tempfile::tempdir().expect("a folder");
    let missing = folder.path().join("none").join("sheet.pdf");
    let error = write_whole(&missing, b"x").expect_err("no folder");
    assert!(matches!(error, WriteError::NoFolder { .. }), "{error:?}");
    assert!(error.to_string().contains("none does not exist"), "{error}");

    let error = write_whole(folder.path(), b"x").expect_err("a folder");
    assert!(matches!(error, WriteError::IsFolder { .. }), "{error:?}");

    let file = folder.path().join("file");
    fs::write(&file, b"old").expect("written");
    let error = write_whole(&file.join("sheet.pdf"), b"x").expect_err("below a file");
    assert!(matches!(error, WriteError::FileForFolder { .. }), "{error:?}");
    assert_eq!(fs::read(&file).expect("a file"), b"old");
}

#[cfg(unix)]
#[test]
fn a_link_keeps_leading_to_the_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let (file, link) = (folder.path().join("file.pdf"), folder.path().join("link.pdf"));
    fs::write(&file, b"old").expect("written");
    std::os::unix::fs::symlink(&file, &link).expect("a link");
    write_whole(&link, b"new").expect("written");
    assert_eq!(fs::read(&file).expect("a file"), b"new");
    assert!(fs::symlink_metadata(&link).expect("a link").is_symlink());
}

#[test]
fn a_new_file_takes_no_name_that_is_taken() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("sheet.pdf");
    assert!(write_new(&path, b"one").expect("written"));
    assert!(!write_new(&path, b"two").expect("left alone"));
    assert_eq!(fs::read(&path).expect("a file"), b"one");
    let names: Vec<_> = fs::read_dir(folder.path()).expect("a folder").collect();
    assert_eq!(names.len(), 1, "nothing is left beside it");
    let error = write_new(&folder.path().join("none").join("x"), b"x").expect_err("no folder");
    assert!(matches!(error, WriteError::NoFolder { .. }), "{error:?}");
}

/// Links to links, each from its own folder, to a file that is there or not.
#[cfg(unix)]
#[test]
fn links_are_followed_to_a_file_that_is_not_yet_there() {
    use std::os::unix::fs::symlink;
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    fs::create_dir_all(at("far/away")).expect("folders");
    symlink("far/middle.pdf", at("near.pdf")).expect("a link");
    symlink("away/file.pdf", at("far/middle.pdf")).expect("a link");
    for bytes in [b"one", b"two"] {
        write_whole(&at("near.pdf"), bytes).expect("written");
        assert_eq!(fs::read(at("far/away/file.pdf")).expect("a file"), bytes);
        for link in ["near.pdf", "far/middle.pdf"] {
            assert!(fs::symlink_metadata(at(link)).expect("a link").is_symlink(), "{link}");
        }
    }
    symlink("nowhere/file.pdf", at("lost.pdf")).expect("a link");
    let error = write_whole(&at("lost.pdf"), b"x").expect_err("no folder");
    assert!(matches!(error, WriteError::NoFolder { .. }), "{error:?}");
    assert!(error.to_string().contains("nowhere"), "{error}");
    assert!(!write_new(&at("lost.pdf"), b"x").expect("left alone"));
    symlink("round.pdf", at("round.pdf")).expect("a link");
    let error = write_whole(&at("round.pdf"), b"x").expect_err("a circle");
    assert!(matches!(error, WriteError::Circle { .. }), "{error:?}");
}

#[cfg(unix)]
#[test]
fn a_new_file_is_as_open_as_new_files_and_another_as_the_one_it_replaces() {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    let mode = |name: &str| fs::metadata(at(name)).expect("a file").permissions().mode() & 0o7777;
    // What the umask makes of a new file.
    fs::write(at("usual"), "x").expect("written");
    write_whole(&at("new.pdf"), b"x").expect("written");
    write_new(&at("newer.pdf"), b"x").expect("written");
    assert_eq!((mode("new.pdf"), mode("newer.pdf")), (mode("usual"), mode("usual")));
    for kept in [0o600, 0o640, 0o666] {
        fs::set_permissions(at("new.pdf"), fs::Permissions::from_mode(kept)).expect("set");
        write_whole(&at("new.pdf"), b"y").expect("written");
        assert_eq!(mode("new.pdf"), kept);
    }
}
