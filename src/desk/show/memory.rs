//! What was chosen last, in a file of the user's own.

use std::env;
use std::fs;
use std::io::ErrorKind;
use std::path::PathBuf;

use serde_json::Value;

use crate::output;
use crate::source::Complaint;

/// Most bytes of it.
const MOST: u64 = 4 * 1024 * 1024;

/// The name of the file.
const FILE: &str = "desk.json";

/// Where the choices of last time are kept, if there is such a place.
#[derive(Clone, Debug)]
pub(crate) struct Memory(Option<PathBuf>);

/// What was kept.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum KeptChange {
    /// Nothing yet.
    Nothing,
    /// The choices.
    Choices(Value),
    /// Something that cannot be read.
    Spoilt(Complaint),
}

impl Memory {
    /// The file where the system has the settings of programs for this user.
    pub(crate) fn usual() -> Self {
        Self(settings().map(|folder| folder.join(FILE)))
    }

    /// A file at a path.
    #[cfg(test)]
    pub(crate) fn at(path: PathBuf) -> Self {
        Self(Some(path))
    }

    /// What was kept last.
    pub(crate) fn recalled(&self) -> KeptChange {
        let Some(path) = &self.0 else { return KeptChange::Nothing };
        let spoilt = |problem: &str| {
            let problem =
                format!("what was chosen last time is lost: {}: {problem}", path.display());
            KeptChange::Spoilt(
                Complaint::new(problem).mend("nothing need be done, it is written anew"),
            )
        };
        match fs::metadata(path) {
            Err(error) if error.kind() == ErrorKind::NotFound => return KeptChange::Nothing,
            Err(error) => return spoilt(&error.to_string()),
            Ok(about) if !about.is_file() => return spoilt("it is no file"),
            Ok(about) if about.len() > MOST => return spoilt("it is too large"),
            Ok(_) => {}
        }
        let text = match fs::read_to_string(path) {
            Ok(text) => text,
            Err(error) => return spoilt(&error.to_string()),
        };
        match serde_json::from_str(&text) {
            Ok(choices @ Value::Object(_)) => KeptChange::Choices(choices),
            _ => spoilt("it cannot be read"),
        }
    }

    /// Keeps choices in place of the last ones. Errors where they cannot be written.
    pub(crate) fn keep(&self, choices: &Value) -> Result<(), Complaint> {
        let Some(path) = &self.0 else { return Ok(()) };
        if let Some(folder) = path.parent() {
            output::make_folder(folder)?;
        }
        Ok(output::write_whole(path, choices.to_string().as_bytes())?)
    }
}

/// The folder where the system has the settings of this program for this user: what the XDG Base
/// Directory Specification says, and the guides of Apple and Microsoft for programmers.
fn settings() -> Option<PathBuf> {
    let stated = |name: &str| env::var_os(name).map(PathBuf::from).filter(|it| it.is_absolute());
    let below_home = |path: &str| env::home_dir().map(|home| home.join(path));
    let folder = if cfg!(windows) {
        stated("APPDATA").map(|folder| folder.join("quintfall").join("config"))
    } else if cfg!(target_os = "macos") {
        below_home("Library/Application Support/quintfall")
    } else {
        stated("XDG_CONFIG_HOME").or_else(|| below_home(".config")).map(|it| it.join("quintfall"))
    };
    folder.filter(|folder| folder.is_absolute())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_is_a_folder_of_this_program_alone() {
        let folder = settings().unwrap();
        assert!(folder.is_absolute() && folder.to_string_lossy().contains("quintfall"));
    }

    #[test]
    fn what_is_kept_is_recalled_and_what_is_spoilt_is_told() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("deep/desk.json");
        let memory = Memory::at(path.clone());
        assert_eq!(memory.recalled(), KeptChange::Nothing);
        let choices = serde_json::json!({"choices": {"tempo": "72"}});
        memory.keep(&choices).unwrap();
        assert_eq!(memory.recalled(), KeptChange::Choices(choices));
        for spoilt in ["{", "[1]", "\u{0}"] {
            fs::write(&path, spoilt).unwrap();
            let KeptChange::Spoilt(complaint) = memory.recalled() else { panic!("{spoilt}") };
            assert!(complaint.to_string().contains("desk.json"), "{complaint}");
        }
        fs::remove_file(&path).unwrap();
        fs::create_dir(&path).unwrap();
        assert!(matches!(memory.recalled(), KeptChange::Spoilt(_)));
        assert!(memory.keep(&serde_json::json!({})).is_err());
    }
}
