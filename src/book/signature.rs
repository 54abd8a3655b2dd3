//! Key signatures in words.

use crate::theory::Key;

/// The signature of a key in words.
pub(crate) fn signature(key: Key) -> String {
    match key.fifths() {
        0 => "no sharps or flats".to_owned(),
        1 => "1 sharp".to_owned(),
        -1 => "1 flat".to_owned(),
        sharps @ 2.. => format!("{sharps} sharps"),
        flats => format!("{} flats", -flats),
    }
}
