//! What an errand asked for, made and not yet in its places: nothing is written before all can be.

use super::Answer;
use super::place::{PlaceError, Spots};
use super::placed::PlacedFiles;
use super::spot::Spot;
use crate::source::Advice;

/// A file that is made, with where it goes.
pub(super) struct PreparedFile {
    pub(super) spot: Spot,
    pub(super) bytes: Vec<u8>,
    /// What it is, as it is told of standard output.
    pub(super) what: String,
    /// How much it is.
    pub(super) about: String,
}

/// Pictures that are made, one for each place.
pub(super) struct DrawnPictures {
    pub(super) spots: Spots,
    pub(super) files: Vec<Vec<u8>>,
    /// How many they are.
    pub(super) about: String,
}

/// Everything of a sheet.
#[derive(Default)]
pub(super) struct Prepared {
    /// Files of the same music that are no pages.
    pub(super) notes: Vec<PreparedFile>,
    pub(super) pictures: Option<DrawnPictures>,
    pub(super) sheet: Option<PreparedFile>,
    /// What is to be said of the recipe.
    pub(super) remarks: Vec<Advice>,
}

impl PreparedFile {
    fn put(self, placed: &mut PlacedFiles, answer: &mut Answer) -> Result<(), PlaceError> {
        let told = (&*self.what, &*self.about);
        let (said, file) = self.spot.put_among(placed, self.bytes, told)?;
        answer.said.push(said);
        answer.sheet = file.or(answer.sheet.take());
        Ok(())
    }
}

impl Prepared {
    /// Puts all of it in its places, or in the answer what is yet to go to standard output.
    ///
    /// Errors where writing fails after all: the places were found fit before.
    pub(super) fn put(self) -> Result<Answer, PlaceError> {
        self.put_among(&mut PlacedFiles::default())
    }

    /// Puts all of it beside what else a command has put, as [`Prepared::put`] does.
    pub(super) fn put_among(self, placed: &mut PlacedFiles) -> Result<Answer, PlaceError> {
        let mut answer = Answer::default();
        for piece in self.notes {
            piece.put(placed, &mut answer)?;
        }
        if let Some(DrawnPictures { spots, files, about }) = self.pictures {
            answer.said.push(placed.add(spots.put(&files))?.said(&about));
        }
        if let Some(piece) = self.sheet {
            piece.put(placed, &mut answer)?;
        }
        answer.said.extend(self.remarks);
        Ok(answer)
    }
}
