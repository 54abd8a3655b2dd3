//! The sizes of staves.

use std::fmt;

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use thiserror::Error;

/// The height of a staff, outer line to outer line.
///
/// The sizes are those of engravers' staves for teaching and piano music, as a table of the
/// Leipzig engravers' set gives them, and one for readers who need large print.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StaffSize {
    tenths_of_mm: u16,
}

/// A staff size that is not to be had.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
#[error("staff size {found} is not to be had; write {}", StaffSize::words())]
pub struct NoSuchStaffSize {
    found: f64,
}

impl StaffSize {
    /// The sizes to be had, in tenths of a millimetre.
    const SIZES: [u16; 5] = [65, 70, 75, 80, 95];

    /// Every size, small to large.
    pub fn all() -> impl DoubleEndedIterator<Item = Self> {
        Self::SIZES.into_iter().map(|tenths_of_mm| Self { tenths_of_mm })
    }

    /// The size of a height in millimetres. Errors unless it is one of the sizes.
    pub fn of_mm(mm: f64) -> Result<Self, NoSuchStaffSize> {
        Self::all().find(|size| (size.mm() - mm).abs() < 0.01).ok_or(NoSuchStaffSize { found: mm })
    }

    /// The height in millimetres.
    pub fn mm(self) -> f64 {
        f64::from(self.tenths_of_mm) / 10.0
    }

    /// The sizes in words.
    fn words() -> String {
        let words: Vec<String> = Self::all().map(|size| size.to_string()).collect();
        words.join(", ")
    }
}

impl Default for StaffSize {
    fn default() -> Self {
        Self { tenths_of_mm: 70 }
    }
}

impl fmt::Display for StaffSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.1}", self.mm())
    }
}

impl Serialize for StaffSize {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_f64(self.mm())
    }
}

impl<'de> Deserialize<'de> for StaffSize {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let mm = f64::deserialize(deserializer)?;
        Self::of_mm(mm).map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_sizes_of_the_table_are_to_be_had() {
        assert_eq!(StaffSize::of_mm(7.5).map(StaffSize::mm), Ok(7.5));
        let message = StaffSize::of_mm(7.2).unwrap_err().to_string();
        assert_eq!(message, "staff size 7.2 is not to be had; write 6.5, 7.0, 7.5, 8.0, 9.5");
    }
}
