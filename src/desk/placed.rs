//! What a command has put in its places so far. If a later file cannot be written, what is new is
//! taken back, and what has replaced an older file is named: a set is whole or told about.

use std::fs;
use std::path::PathBuf;

use super::place::{PlaceError, Put};

/// Files that are in their places before all of a command are.
#[derive(Debug, Default)]
pub(super) struct PlacedFiles {
    made: Vec<PathBuf>,
    replaced: Vec<PathBuf>,
}

impl PlacedFiles {
    /// Takes down what was put; or, where that failed, takes back what came before it.
    pub(super) fn add(&mut self, put: Result<Put, PlaceError>) -> Result<Put, PlaceError> {
        match put {
            Ok(put) => {
                self.made.extend(put.made.iter().cloned());
                self.replaced.extend(put.replaced.iter().cloned());
                Ok(put)
            }
            Err(error) => {
                for path in std::mem::take(&mut self.made) {
                    // What cannot be removed stays: the error that is told is why.
                    let _ = fs::remove_file(path);
                }
                Err(error.beside(std::mem::take(&mut self.replaced)))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::place::{Spots, Taken};
    use crate::desk::product::Product;

    #[test]
    fn a_set_is_whole_or_told_about() {
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name);
        fs::write(path("kept.mid"), "MThd").unwrap();
        fs::write(path("old.mid"), "MThd").unwrap();
        let put = |name: &str, taken| {
            let spots = Spots::of_file(&path(name), (Product::Midi, taken)).unwrap();
            spots.put(&[b"MThd".to_vec()])
        };
        let fails = || Err(PlaceError::NoFile(path("last.mid")));

        let mut placed = PlacedFiles::default();
        placed.add(put("new.mid", Taken::Stays)).unwrap();
        // It is there already, to the byte, and nobody made it here.
        placed.add(put("kept.mid", Taken::Stays)).unwrap();
        assert!(path("new.mid").exists());
        let error = placed.add(fails()).unwrap_err().to_string();
        assert!(!path("new.mid").exists() && path("kept.mid").exists(), "{error}");
        assert!(!error.contains("replaced"), "{error}");

        let mut placed = PlacedFiles::default();
        placed.add(put("new.mid", Taken::Forced)).unwrap();
        placed.add(put("old.mid", Taken::Forced)).unwrap();
        let error = placed.add(fails()).unwrap_err().to_string();
        assert!(!path("new.mid").exists() && path("old.mid").exists(), "{error}");
        assert!(error.contains("replaced") && error.contains("old.mid"), "{error}");
    }
}
