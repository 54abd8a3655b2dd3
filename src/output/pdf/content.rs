//! The content stream of a page: its marks in the operators of PDF (ISO 32000-1, annex A).
//!
//! Coordinates are rounded to hundredths of a point (3.5 micrometres), sizes and thicknesses
//! to thousandths.

use std::cell::RefCell;

use kurbo::{BezPath, PathEl, Point};

use crate::canvas::{Ink, Mark, Page, Trace};
use crate::glyphs::{MusicFace, Sign};
use crate::output::pdf::fonts::{Fonts, PdfFace, advance};
use crate::output::pdf::number;
use crate::typeset::{self, LentRun, ShapedRun, TextFace};

/// The name under which pages call a picture.
pub(crate) fn picture_resource(index: usize) -> String {
    format!("P{index}")
}

/// The operators that draw a page, all but the codes of its glyphs: these depend on what other
/// pages show.
#[derive(Clone)]
pub(crate) struct PageContent {
    bytes: Vec<u8>,
    /// Where four figures stand for a glyph of a face.
    glyphs: Vec<(u32, PdfFace, u16)>,
}

impl PageContent {
    /// The operators with the codes that glyphs have in the file.
    pub(crate) fn coded(self, fonts: &Fonts) -> Vec<u8> {
        const DIGITS: &[u8; 16] = b"0123456789ABCDEF";
        let mut bytes = self.bytes;
        for (place, face, gid) in self.glyphs {
            let code = fonts.code(face, gid);
            for (figure, shift) in bytes[place as usize..].iter_mut().zip([12, 8, 4, 0]) {
                *figure = DIGITS[usize::from(code >> shift & 15)];
            }
        }
        bytes
    }
}

/// The operators that draw a page, `words` being the shaped runs of its text marks.
///
/// Neighbouring marks of one ink are drawn in the order that takes least room, which cannot be
/// seen since the ink is opaque; where the ink changes, painting order is kept.
pub(crate) fn write(page: &Page, words: &[LentRun]) -> PageContent {
    SCRATCH.with_borrow_mut(|stream| stream.page(page, words))
}

thread_local! {
    /// Room for the operators of a page, kept from page to page: what a page has is copied out
    /// of it at its size.
    static SCRATCH: RefCell<Stream> = RefCell::new(Stream::new());
}

/// `None` for a picture, which has inks of its own.
fn ink_of(mark: &Mark) -> Option<Ink> {
    match *mark {
        Mark::Trace(_, ink) => Some(ink),
        Mark::Picture { .. } => None,
    }
}

/// Lightness in thousandths.
fn lightness(ink: Ink) -> i64 {
    match ink {
        Ink::Black => 0,
        Ink::Grey(grey) => thousandths(f64::from(grey.clamp(0.0, 1.0))),
    }
}

fn hundredths(value: f64) -> i64 {
    nearest(value * 100.0)
}

fn thousandths(value: f64) -> i64 {
    nearest(value * 1000.0)
}

/// The nearest whole number. Written out because `f64::round` is a call to the C library, which
/// shows when pages have thousands of coordinates.
fn nearest(value: f64) -> i64 {
    (value + 0.5_f64.copysign(value)) as i64
}

#[derive(Clone, Copy)]
struct PlacedSign {
    size: i64,
    y: i64,
    x: i64,
    gid: u16,
}

impl PlacedSign {
    /// A sign on its place.
    fn new(sign: Sign, at: Point, size: f64) -> Self {
        let (x, y) = (hundredths(at.x), hundredths(at.y));
        Self { size: thousandths(size), y, x, gid: MusicFace::get().glyph_id(sign) }
    }

    /// Its place in the order of drawing as one number: by size, from the top down, from left to right.
    /// What lies past three metres all counts the same.
    fn order(&self) -> u64 {
        const BITS: u32 = 21;
        const HALF: i64 = 1 << (BITS - 1);
        // Rising as the numbers rise, whatever their sign.
        let rising = |number: i64| (number.clamp(-HALF, HALF - 1) + HALF) as u64;
        let order = [self.size, -self.y, self.x].into_iter();
        order.fold(0, |order, next| order << BITS | rising(next))
    }
}

/// Signs in the order in which they are drawn.
fn in_rows(signs: &[PlacedSign]) -> Vec<PlacedSign> {
    // Where two have one place, the order of glyphs decides, then that of the marks.
    let order = |(index, sign): (usize, &PlacedSign)| {
        u128::from(sign.order()) << 64 | u128::from(sign.gid) << 48 | index as u128
    };
    let mut places: Vec<u128> = signs.iter().enumerate().map(order).collect();
    places.sort_unstable();
    places.into_iter().map(|place| signs[(place & 0xFFFF_FFFF_FFFF) as usize]).collect()
}

/// The bytes so far and the state that a reader is in after them.
struct Stream {
    out: Vec<u8>,
    glyphs: Vec<(u32, PdfFace, u16)>,
    fill: i64,
    pen: i64,
    /// The thickness of the pen; 1 point at the start of a page.
    width: i64,
    font: Option<(PdfFace, i64)>,
    round_joins: bool,
}

/// Groups of marks.
impl Stream {
    fn new() -> Self {
        Self {
            out: Vec::with_capacity(32 * 1024),
            glyphs: Vec::new(),
            fill: 0,
            pen: 0,
            width: 1000,
            font: None,
            round_joins: false,
        }
    }

    /// The operators of a page; the stream begins anew.
    fn page(&mut self, page: &Page, words: &[LentRun]) -> PageContent {
        self.begin();
        let mut words = words.iter();
        let mut marks: Vec<&Mark> =
            Vec::with_capacity(page.blocks.iter().map(|it| it.marks.len()).sum());
        page.marks().for_each(|mark| marks.push(mark));
        for group in marks.chunk_by(|a, b| ink_of(a) == ink_of(b)) {
            let is_text = |mark: &&&Mark| matches!(mark, Mark::Trace(Trace::Text { .. }, _));
            let texts = group.iter().filter(is_text).count();
            let runs = &words.as_slice()[..texts.min(words.len())];
            words = words.as_slice()[runs.len()..].iter();
            self.group(group, runs);
        }
        PageContent { bytes: self.out.to_vec(), glyphs: self.glyphs.to_vec() }
    }

    /// Nothing drawn yet, as a reader is at the start of a page.
    fn begin(&mut self) {
        self.out.clear();
        self.glyphs.clear();
        (self.fill, self.pen, self.width) = (0, 0, 1000);
        self.font = None;
        self.round_joins = false;
    }

    fn group(&mut self, marks: &[&Mark], runs: &[LentRun]) {
        let (mut lines, mut texts) = (vec![], Vec::with_capacity(runs.len()));
        let mut signs = Vec::with_capacity(marks.len() / 2);
        let mut runs = runs.iter();
        for mark in marks {
            let (trace, ink) = match mark {
                Mark::Picture { index, frame } => {
                    self.picture(*index, *frame);
                    continue;
                }
                Mark::Trace(trace, ink) => (trace, ink),
            };
            match trace {
                Trace::Slab { from, to, height } => {
                    self.fill_ink(*ink);
                    self.polygon(typeset::slab_corners(*from, *to, *height));
                }
                Trace::Wedge { base, width, rise } => {
                    self.fill_ink(*ink);
                    self.polygon(typeset::wedge_corners(*base, *width, *rise));
                }
                Trace::Crescent { from, length, handles, tip } => {
                    self.fill_ink(*ink);
                    self.path(&typeset::crescent_outline(*from, *length, *handles, *tip));
                    self.operator(b"f");
                }
                Trace::Fill(path) => {
                    self.fill_ink(*ink);
                    self.path(path.elements());
                    self.operator(b"f");
                }
                Trace::Stroke { path, width } => self.stroke(path, *width, *ink),
                Trace::Line { from, to, width } => {
                    lines.push((thousandths(*width), *from, *to, *ink));
                }
                Trace::Sign { sign, at, size } => {
                    self.fill_ink(*ink);
                    signs.push(PlacedSign::new(*sign, *at, *size));
                }
                Trace::Text { face, at, size, .. } => {
                    self.fill_ink(*ink);
                    // A run without glyphs would call a font that the file may lack.
                    let run = runs.next().filter(|run| !run.glyphs().is_empty());
                    texts.extend(run.map(|run| (*face, *at, *size, run)));
                }
            }
        }
        self.lines(&lines);
        if signs.is_empty() && texts.is_empty() {
            return;
        }
        self.operator(b"BT");
        let mut origin = (0, 0);
        for row in in_rows(&signs).chunk_by(|a, b| (a.size, a.y) == (b.size, b.y)) {
            self.sign_row(row, &mut origin);
        }
        for (face, at, size, run) in texts {
            self.text(face, at, size, run, &mut origin);
        }
        self.operator(b"ET");
    }

    fn picture(&mut self, index: usize, frame: kurbo::Rect) {
        self.operator(b"q");
        self.number::<2>(hundredths(frame.width()));
        self.out.extend(b"0 0 ");
        self.number::<2>(hundredths(frame.height()));
        self.point(Point::new(frame.x0, frame.y0));
        self.operator(b"cm");
        self.out.push(b'/');
        self.out.extend(picture_resource(index).as_bytes());
        self.out.extend(b" Do\n");
        self.operator(b"Q");
    }

    fn stroke(&mut self, path: &BezPath, width: f64, ink: Ink) {
        self.pen_ink(ink);
        self.pen_width(thousandths(width));
        if !self.round_joins {
            self.out.extend(b"1 j\n");
            self.round_joins = true;
        }
        self.path(path.elements());
        self.operator(b"S");
    }

    fn lines(&mut self, lines: &[(i64, Point, Point, Ink)]) {
        let widths = lines.iter().enumerate().map(|(index, line)| (line.0, index));
        let mut order: Vec<(i64, usize)> = widths.collect();
        order.sort_unstable();
        for same in order.chunk_by(|a, b| a.0 == b.0) {
            let (width, first) = same[0];
            self.pen_ink(lines[first].3);
            self.pen_width(width);
            for (_, index) in same {
                let (_, from, to, _) = lines[*index];
                self.point(from);
                self.operator(b"m");
                self.point(to);
                self.operator(b"l");
            }
            self.operator(b"S");
        }
    }
}

/// Text objects. `origin` is where the current line of text began, in hundredths.
impl Stream {
    fn sign_row(&mut self, row: &[PlacedSign], origin: &mut (i64, i64)) {
        let Some(first) = row.first() else { return };
        self.set_font(PdfFace::Music, first.size);
        self.move_to((first.x, first.y), origin);
        let size = first.size as f64 / 1000.0;
        let mut x = first.x as f64 / 100.0;
        self.out.push(b'[');
        for (index, sign) in row.iter().enumerate() {
            if index > 0 {
                // Adjustments count in thousandths of the em, leftward. What rounding them
                // leaves over is carried on, so a long row does not drift.
                let wanted = sign.x as f64 / 100.0;
                let shift = nearest((x - wanted) * 10_000.0 / size);
                self.number::<1>(shift);
                x -= shift as f64 / 10.0 * size / 1000.0;
            }
            self.glyph(PdfFace::Music, sign.gid);
            x += f64::from(advance(PdfFace::Music, sign.gid)) * size / 1000.0;
        }
        self.out.extend(b"]TJ\n");
    }

    fn text(
        &mut self,
        face: TextFace,
        at: Point,
        size: f64,
        run: &ShapedRun,
        origin: &mut (i64, i64),
    ) {
        let face = PdfFace::Text(face);
        let size = thousandths(size);
        self.set_font(face, size);
        self.move_to((hundredths(at.x), hundredths(at.y)), origin);
        self.out.push(b'[');
        let (mut shift, mut rise) = (0, 0);
        for glyph in run.glyphs() {
            if glyph.dy != rise {
                rise = glyph.dy;
                self.rise(rise, size);
            }
            shift -= glyph.dx;
            if shift != 0 {
                self.number::<0>(i64::from(shift));
            }
            self.glyph(face, glyph.gid);
            shift = advance(face, glyph.gid) - glyph.advance + glyph.dx;
        }
        if rise != 0 {
            self.rise(0, size);
        }
        self.out.extend(b"]TJ\n");
    }

    /// Breaks the array of glyphs to raise those that follow by thousandths of the em.
    fn rise(&mut self, rise: i32, size: i64) {
        self.out.extend(b"]TJ\n");
        self.number::<3>(i64::from(rise) * size / 1000);
        self.out.extend(b"Ts\n[");
    }

    fn set_font(&mut self, face: PdfFace, size: i64) {
        if self.font != Some((face, size)) {
            self.font = Some((face, size));
            self.out.push(b'/');
            self.out.extend(face.resource().as_bytes());
            self.out.push(b' ');
            self.number::<3>(size);
            self.operator(b"Tf");
        }
    }

    fn move_to(&mut self, to: (i64, i64), origin: &mut (i64, i64)) {
        number::write_pair(&mut self.out, to.0 - origin.0, to.1 - origin.1);
        self.operator(b"Td");
        *origin = to;
    }

    /// A glyph, with room for its code.
    fn glyph(&mut self, face: PdfFace, gid: u16) {
        // A page of four gigabytes would have failed long before.
        self.glyphs.push((self.out.len() as u32 + 1, face, gid));
        self.out.extend(b"<0000>");
    }
}

/// Graphics state, paths and numbers.
impl Stream {
    fn fill_ink(&mut self, ink: Ink) {
        let lightness = lightness(ink);
        if self.fill != lightness {
            self.fill = lightness;
            self.number::<3>(lightness);
            self.operator(b"g");
        }
    }

    fn pen_ink(&mut self, ink: Ink) {
        let lightness = lightness(ink);
        if self.pen != lightness {
            self.pen = lightness;
            self.number::<3>(lightness);
            self.operator(b"G");
        }
    }

    fn pen_width(&mut self, width: i64) {
        if self.width != width {
            self.width = width;
            self.number::<3>(width);
            self.operator(b"w");
        }
    }

    /// Fills a polygon.
    fn polygon<const CORNERS: usize>(&mut self, corners: [Point; CORNERS]) {
        let mut is_first = true;
        for corner in corners {
            self.point(corner);
            self.operator(if is_first { b"m" } else { b"l" });
            is_first = false;
        }
        self.operator(b"h");
        self.operator(b"f");
    }

    fn path(&mut self, elements: &[PathEl]) {
        let mut at = Point::ZERO;
        let mut start = Point::ZERO;
        for element in elements {
            match *element {
                PathEl::MoveTo(to) => {
                    self.point(to);
                    self.operator(b"m");
                    (at, start) = (to, to);
                }
                PathEl::LineTo(to) => {
                    self.point(to);
                    self.operator(b"l");
                    at = to;
                }
                PathEl::QuadTo(control, to) => {
                    let curve = kurbo::QuadBez::new(at, control, to).raise();
                    self.curve(curve.p1, curve.p2, to);
                    at = to;
                }
                PathEl::CurveTo(one, two, to) => {
                    self.curve(one, two, to);
                    at = to;
                }
                PathEl::ClosePath => {
                    self.operator(b"h");
                    at = start;
                }
            }
        }
    }

    fn curve(&mut self, one: Point, two: Point, to: Point) {
        for point in [one, two, to] {
            self.point(point);
        }
        self.operator(b"c");
    }

    fn operator<const LENGTH: usize>(&mut self, name: &[u8; LENGTH]) {
        self.out.extend_from_slice(name);
        self.out.push(b'\n');
    }

    fn point(&mut self, point: Point) {
        number::write_pair(&mut self.out, hundredths(point.x), hundredths(point.y));
    }

    /// A decimal fraction, `value` counting the last of its `PLACES`, without trailing zeros; and
    /// a space.
    fn number<const PLACES: u32>(&mut self, value: i64) {
        number::write::<PLACES>(&mut self.out, value);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halves_are_rounded_away_from_zero() {
        for (value, expected) in [(0.005, 1), (-0.005, -1), (0.004_9, 0), (12.344_9, 1234)] {
            assert_eq!(hundredths(value), expected, "{value}");
        }
        assert_eq!(hundredths(f64::NAN), 0);
    }
}
