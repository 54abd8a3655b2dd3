//! A desk to type commands at, and things to put on it.

use std::collections::BTreeMap;
use std::fs;
use std::io::Cursor;
use std::path::PathBuf;
use std::process::{Command, Output};

use image::{DynamicImage, ImageFormat};
use kurbo::Size;
use quintfall::canvas::{About, Document, Page, PageNumber};
use quintfall::drill::library;
use quintfall::output;
use quintfall::recipe::Recipe;
use tempfile::TempDir;

/// A folder of its own to type commands in.
pub(crate) struct Desk {
    folder: TempDir,
}

impl Desk {
    pub(crate) fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    /// The same desk with a file on it.
    pub(crate) fn with(self, name: &str, content: impl AsRef<[u8]>) -> Self {
        fs::write(self.path(name), content).unwrap();
        self
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn read(&self, name: &str) -> Vec<u8> {
        fs::read(self.path(name)).unwrap()
    }

    pub(crate) fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_quintfall"));
        command.args(args).current_dir(self.folder.path());
        command
    }

    pub(crate) fn run(&self, args: &[&str]) -> Output {
        self.command(args).output().unwrap()
    }

    /// Every file of the desk with its bytes.
    pub(crate) fn files(&self) -> BTreeMap<PathBuf, Vec<u8>> {
        let entries = fs::read_dir(self.folder.path()).unwrap().map(|entry| entry.unwrap().path());
        let files = entries.filter(|path| path.is_file());
        files.map(|path| (path.clone(), fs::read(path).unwrap())).collect()
    }

    /// Runs a command that must be done, and gives what it says.
    #[track_caller]
    pub(crate) fn does(&self, args: &[&str]) -> String {
        let output = self.run(args);
        let complaint = String::from_utf8(output.stderr).unwrap();
        assert_eq!((output.status.code(), complaint.as_str()), (Some(0), ""), "{args:?}");
        String::from_utf8(output.stdout).unwrap()
    }

    /// Runs a command that must fail, touching nothing, and gives its one message.
    #[track_caller]
    pub(crate) fn refusal(&self, args: &[&str]) -> String {
        let before = self.files();
        let output = self.run(args);
        let complaint = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{args:?}: {complaint}");
        assert!(output.stdout.is_empty(), "{args:?} said something on stdout");
        assert!(self.files() == before, "{args:?} touched a file");
        let message = complaint.strip_prefix("error: ").expect("it begins with `error: `");
        let message = message.strip_suffix('\n').expect("it ends its line");
        assert!(!message.contains('\n'), "more than one line: {message}");
        message.to_owned()
    }

    #[track_caller]
    pub(crate) fn refuses(&self, args: &[&str], message: &str) {
        assert_eq!(self.refusal(args), message);
    }

    #[track_caller]
    pub(crate) fn recipe_in(&self, name: &str) -> Recipe {
        Recipe::from_json(&output::recipe_json(&self.read(name)).unwrap(), name).unwrap()
    }
}

pub(crate) fn pushed() -> &'static str {
    library::find("pushed").unwrap()
}

/// A picture of one colour.
pub(crate) fn png(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    DynamicImage::new_rgb8(width, height).write_to(&mut bytes, ImageFormat::Png).unwrap();
    bytes.into_inner()
}

/// A sheet that carries `recipe`, whatever that is.
pub(crate) fn sheet_with(recipe: &str) -> Vec<u8> {
    let page = Page {
        size: Size::new(595.0, 842.0),
        blocks: vec![],
        links: vec![],
        label: PageNumber::arabic(1).into(),
    };
    let about = About {
        title: "Sheet".to_owned(),
        author: None,
        language: "en".to_owned(),
        outline: vec![],
        pictures: vec![],
        recipe: recipe.to_owned(),
    };
    output::pdf(&Document { about, pages: vec![page] }).unwrap()
}
