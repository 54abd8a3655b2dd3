//! The address of a folder as a code of squares, for the camera of a phone (ISO/IEC 18004).

use kurbo::{BezPath, Point, Rect, Shape as _};
use qrcode::{Color, EcLevel, QrCode};

use crate::canvas::board::Board;
use crate::canvas::paper::MM;
use crate::canvas::{Ink, Kind, Mark, Trace};

/// The least side of a code, without the white round it: what a phone still reads at the distance
/// at which it also reads a page (ours).
const LEAST_SIDE: f64 = 18.0 * MM;
/// The least side of a square: five dots of a printer of 300 an inch, so that none is lost (ours).
const LEAST_SQUARE: f64 = 0.42 * MM;
/// White round a code, in squares (ISO/IEC 18004, 6.3.8).
const QUIET: f64 = 4.0;

/// An address as squares.
#[derive(Clone, Debug)]
pub(super) struct Code {
    address: String,
    /// Squares from one side to the other.
    across: usize,
    /// Row by row from the top, whether each is black.
    squares: Vec<bool>,
}

impl Code {
    /// The code of an address; none if it is longer than any code holds.
    pub(super) fn of(address: &str) -> Option<Self> {
        // A seventh of it may be smudged.
        let code = QrCode::with_error_correction_level(address, EcLevel::M).ok()?;
        let squares = code.to_colors().into_iter().map(|color| color == Color::Dark).collect();
        Some(Self { address: address.to_owned(), across: code.width(), squares })
    }

    /// The side of a square.
    fn square(&self) -> f64 {
        LEAST_SQUARE.max(LEAST_SIDE / self.across as f64)
    }

    /// The white that it keeps round it.
    pub(super) fn quiet(&self) -> f64 {
        QUIET * self.square()
    }

    /// How wide it is, with white on its left. On its right is the margin.
    pub(super) fn width(&self) -> f64 {
        self.across as f64 * self.square() + self.quiet()
    }

    /// How high it is, with white above and below.
    pub(super) fn with_white(&self) -> f64 {
        self.across as f64 * self.square() + 2.0 * self.quiet()
    }

    /// Draws it, black squares up to the right end, its white from the bottom on.
    pub(super) fn draw(&self, board: &mut Board, corner: Point) {
        let side = self.square();
        let all = self.across as f64 * side;
        let (left, top) = (corner.x - all, corner.y + self.quiet() + all);
        let mut path = BezPath::new();
        for (row, squares) in self.squares.chunks(self.across.max(1)).enumerate() {
            let (y1, mut x) = (top - row as f64 * side, left);
            // Neighbours are one rectangle: between two of them a screen would show a seam.
            for run in squares.chunk_by(|one, next| one == next) {
                let end = x + run.len() as f64 * side;
                if run[0] {
                    path.extend(Rect::new(x, y1 - side, end, y1).path_elements(0.1));
                }
                x = end;
            }
        }
        board.begin_described(Kind::Figure, format!("a code that leads to {}", self.address));
        board.mark(Mark::Trace(Trace::Fill(path), Ink::Black));
    }
}

#[cfg(test)]
mod tests {
    use kurbo::Size;

    use super::*;
    use crate::canvas::Label;

    /// Each square of what is drawn is where the code has it, and nothing is beyond.
    #[test]
    fn what_is_drawn_is_the_code_and_large_enough() {
        for length in [0, 20, 60, 98] {
            let address = format!("https://studio.example/{}", "t".repeat(length));
            let code = Code::of(&address).unwrap();
            let live = Rect::new(0.0, 0.0, 200.0, 200.0);
            let mut board = Board::new(Size::new(200.0, 200.0), live, Label::joined([]));
            code.draw(&mut board, Point::new(190.0, 10.0));
            let page = board.finish();
            let [Mark::Trace(Trace::Fill(path), _)] = &page.blocks[0].marks[..] else { panic!() };
            let ink = path.bounding_box();
            assert!(ink.width() >= 18.0 * MM - 1e-6 && (ink.width() - ink.height()).abs() < 1e-6);
            assert!((ink.x1 - 190.0).abs() < 1e-6);
            assert!(ink.y0 - 10.0 >= 4.0 * code.square() - 1e-6, "white below");
            assert!(10.0 + code.with_white() - ink.y1 >= 4.0 * code.square() - 1e-6);
            assert!(code.square() >= LEAST_SQUARE && code.across <= 49, "{}", code.across);
            for (nth, is_black) in code.squares.iter().enumerate() {
                let (row, column) = (nth / code.across, nth % code.across);
                let x = ink.x0 + (column as f64 + 0.5) * code.square();
                let y = ink.y1 - (row as f64 + 0.5) * code.square();
                assert_eq!(path.contains(Point::new(x, y)), *is_black, "{length}: {row} {column}");
            }
        }
    }
}
