//! The sheets that documents are printed on.

use kurbo::Size;
use serde::{Deserialize, Serialize};

/// The sheet a document is printed on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Paper {
    /// 210 by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 by 11 inches (ANSI/ASME Y14.1, size A).
    Letter,
    /// 148 by 210 mm (ISO 216): half an A4 sheet.
    A5,
    /// 5.5 by 8.5 inches: half a Letter sheet.
    HalfLetter,
}

/// Which side of the paper is up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Orientation {
    /// The short side.
    #[default]
    Portrait,
    /// The long side.
    Landscape,
}

/// Where room is left for binding or punching.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Binding {
    /// Nowhere.
    #[default]
    None,
    /// At the left of every page: printed on one side.
    Left,
    /// At the inner margin: left on odd pages, right on even ones, printed on both sides.
    Duplex,
}

impl Paper {
    /// Every paper.
    pub const ALL: [Self; 4] = [Self::A4, Self::Letter, Self::A5, Self::HalfLetter];

    /// The word for it on a page or in a message.
    pub fn word(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
            Self::A5 => "A5",
            Self::HalfLetter => "half Letter",
        }
    }

    /// The words for the sheets that hold two upright pages side by side: those that a booklet is
    /// printed on.
    ///
    /// A3 is 297 by 420 mm (ISO 216); 11 by 17 inches is size B of ANSI/ASME Y14.1.
    pub fn folded_from(self) -> &'static str {
        match self {
            Self::A4 => "A3",
            Self::Letter => "11 by 17 inches",
            Self::A5 => "A4",
            Self::HalfLetter => "Letter",
        }
    }
}

/// A point is a 72nd of an inch (PDF), an inch 25.4 mm: points in one millimetre.
pub const MM: f64 = 72.0 / 25.4;

/// No mark stands nearer to an edge of the paper, in points.
///
/// Ink-jet printers leave up to 6.7 mm unprinted at the foot, lasers about 4.2 mm on each side
/// (manuals of such printers, 1992 to 2010).
pub const UNPRINTED: f64 = 7.0 * MM;

/// The size of a sheet in points.
///
/// A4 is 210 by 297 mm and A5 148 by 210 (ISO 216), Letter 8.5 by 11 inches (ANSI/ASME Y14.1,
/// size A).
pub fn size(paper: Paper, orientation: Orientation) -> Size {
    let upright = match paper {
        Paper::A4 => Size::new(210.0 * MM, 297.0 * MM),
        Paper::Letter => Size::new(8.5 * 72.0, 11.0 * 72.0),
        Paper::A5 => Size::new(148.0 * MM, 210.0 * MM),
        Paper::HalfLetter => Size::new(5.5 * 72.0, 8.5 * 72.0),
    };
    match orientation {
        Orientation::Portrait => upright,
        Orientation::Landscape => Size::new(upright.height, upright.width),
    }
}

/// How much wider the margin is where pages are bound or punched, in points: with the margin of
/// the page templates it comes to 25 mm, where 20 to 25 are usual for holes whose centres stand
/// 12 mm from the edge (ISO 838).
pub const GUTTER: f64 = 8.0 * MM;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sheets_have_the_sizes_of_their_standards() {
        let a4 = size(Paper::A4, Orientation::Portrait);
        assert!((a4.width - 595.276).abs() < 1e-3 && (a4.height - 841.890).abs() < 1e-3);
        assert_eq!(size(Paper::Letter, Orientation::Portrait), Size::new(612.0, 792.0));
    }

    /// A sheet of A4 is two of A5 but for a millimetre that the standard rounds away.
    #[test]
    fn two_small_pages_make_a_large_sheet() {
        for (half, whole) in [(Paper::A5, Paper::A4), (Paper::HalfLetter, Paper::Letter)] {
            let (half, wide) =
                (size(half, Orientation::Portrait), size(whole, Orientation::Landscape));
            assert!((2.0 * half.width - wide.width).abs() <= MM + 1e-6, "{whole:?}");
            assert!((half.height - wide.height).abs() < 1e-6);
        }
    }
}
