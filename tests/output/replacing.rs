//! Files written whole or not at all.

use std::fs;

use quintfall::output::{WriteError, write_whole};

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
    assert!(matches!(error, WriteError::NoFolder { .. }), "{error:?}");
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
