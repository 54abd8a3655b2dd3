//! What a page of a PDF file shows: glyphs with their meaning and place, lines, filled shapes.
//!
//! Written against ISO 32000-1 (chapters 8 and 9) and the file alone; nothing here knows how the
//! program writes. Lengths in points, y upward.

use std::collections::BTreeMap;

use kurbo::{Affine, BezPath, Point, Shape as _};
use lopdf::content::{Content, Operation};
use lopdf::{Dictionary, Document, Object, ObjectId};

/// A glyph shown as text.
#[derive(Clone, Debug)]
pub(crate) struct Glyph {
    /// What its ToUnicode map says that it means.
    pub(crate) meaning: String,
    /// Its origin.
    pub(crate) at: Point,
    /// How far the next glyph stands.
    pub(crate) advance: f64,
    /// Its em.
    pub(crate) size: f64,
    /// Which stretch of text it belongs to: a new one begins wherever the text is set down anew.
    pub(crate) run: usize,
}

/// A straight stroke.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Line {
    pub(crate) from: Point,
    pub(crate) to: Point,
    pub(crate) width: f64,
}

/// Everything on a page.
#[derive(Clone, Debug, Default)]
pub(crate) struct Ink {
    /// How wide and how high the page is.
    pub(crate) size: (f64, f64),
    pub(crate) glyphs: Vec<Glyph>,
    pub(crate) lines: Vec<Line>,
    pub(crate) fills: Vec<BezPath>,
}

impl Ink {
    /// Whether nothing at all is printed.
    pub(crate) fn is_blank(&self) -> bool {
        self.glyphs.is_empty() && self.lines.is_empty() && self.fills.is_empty()
    }

    /// What is printed between two heights.
    pub(crate) fn band(&self, low: f64, high: f64) -> Self {
        let band = |y: f64| y > low && y <= high;
        let lines = self.lines.iter().filter(|line| band(line.from.midpoint(line.to).y));
        let fills = self.fills.iter().filter(|fill| band(fill.bounding_box().center().y));
        Self {
            size: self.size,
            glyphs: self.glyphs.iter().filter(|glyph| band(glyph.at.y)).cloned().collect(),
            lines: lines.copied().collect(),
            fills: fills.cloned().collect(),
        }
    }

    /// What is printed left and right of the middle, as two pages half as wide.
    pub(crate) fn halves(&self) -> [Self; 2] {
        let middle = self.size.0 / 2.0;
        [true, false].map(|left| {
            let side = |x: f64| (x < middle) == left;
            let glyphs = self.glyphs.iter().filter(|glyph| side(glyph.at.x)).cloned().collect();
            let lines = self.lines.iter().filter(|line| side(line.from.midpoint(line.to).x));
            let fills = self.fills.iter().filter(|fill| side(fill.bounding_box().center().x));
            let size = (middle, self.size.1);
            Self { size, glyphs, lines: lines.copied().collect(), fills: fills.cloned().collect() }
        })
    }
}

/// Reads every page of a PDF file.
pub(crate) fn pages(bytes: &[u8]) -> Vec<Ink> {
    let file = Document::load_mem(bytes).expect("a PDF file");
    file.get_pages().values().map(|page| read(&file, *page)).collect()
}

fn number(object: &Object) -> f64 {
    f64::from(object.as_float().expect("a number"))
}

fn get<'a>(file: &'a Document, dictionary: &'a Dictionary, key: &str) -> Option<&'a Object> {
    dictionary.get_deref(key.as_bytes(), file).ok()
}

/// A composite font: two-byte codes, what they mean and how wide they are.
struct Font {
    meanings: BTreeMap<u16, String>,
    widths: BTreeMap<u16, f64>,
    usual_width: f64,
}

impl Font {
    fn new(file: &Document, font: &Dictionary) -> Self {
        let encoding = get(file, font, "Encoding").and_then(|name| name.as_name().ok());
        assert_eq!(encoding, Some(&b"Identity-H"[..]), "codes of two bytes are glyph numbers");
        let map = get(file, font, "ToUnicode").expect("a ToUnicode map");
        let map = map.as_stream().and_then(|map| map.decompressed_content()).expect("deflated");
        let descendants = get(file, font, "DescendantFonts").expect("a descendant font");
        let descendant = file.dereference(&descendants.as_array().expect("an array")[0]);
        let descendant = descendant.expect("a descendant").1.as_dict().expect("a dictionary");
        let widths = get(file, descendant, "W").and_then(|list| list.as_array().ok());
        Self {
            meanings: meanings(&String::from_utf8_lossy(&map)),
            widths: widths.map(|list| self::widths(list)).unwrap_or_default(),
            usual_width: get(file, descendant, "DW").map_or(1000.0, number),
        }
    }

    fn width(&self, code: u16) -> f64 {
        self.widths.get(&code).copied().unwrap_or(self.usual_width)
    }
}

/// The array `W`: `first [w w w]` or `first last w`.
fn widths(list: &[Object]) -> BTreeMap<u16, f64> {
    let mut widths = BTreeMap::new();
    let mut at = 0;
    while at + 1 < list.len() {
        let first = list[at].as_i64().expect("a code") as u16;
        if let Ok(row) = list[at + 1].as_array() {
            widths.extend((first..).zip(row.iter().map(number)));
            at += 2;
        } else {
            let last = list[at + 1].as_i64().expect("a code") as u16;
            widths.extend((first..=last).map(|code| (code, number(&list[at + 2]))));
            at += 3;
        }
    }
    widths
}

/// The `bfchar` and `bfrange` sections of a ToUnicode map.
fn meanings(map: &str) -> BTreeMap<u16, String> {
    let mut meanings = BTreeMap::new();
    let mut section = "";
    let hex = |word: &str| -> Vec<u16> {
        word.as_bytes()
            .chunks(4)
            .filter_map(|unit| u16::from_str_radix(std::str::from_utf8(unit).ok()?, 16).ok())
            .collect()
    };
    for line in map.lines() {
        if let Some((_, name)) = line.split_once("begin") {
            section = if name.starts_with("bf") { name } else { "" };
            continue;
        }
        if line.starts_with("end") {
            section = "";
        }
        let words: Vec<Vec<u16>> = line.split(['<', '>']).skip(1).step_by(2).map(hex).collect();
        match (section, &words[..]) {
            ("bfchar", [code, units]) => {
                meanings.insert(code[0], String::from_utf16_lossy(units));
            }
            ("bfrange", [first, last, units]) => {
                for (step, code) in (first[0]..=last[0]).enumerate() {
                    let mut units = units.clone();
                    *units.last_mut().expect("a meaning") += step as u16;
                    meanings.insert(code, String::from_utf16_lossy(&units));
                }
            }
            _ => {}
        }
    }
    meanings
}

/// The graphics state, as far as it moves or shows ink.
#[derive(Clone)]
struct State {
    place: Affine,
    pen: f64,
    font: Vec<u8>,
    size: f64,
    rise: f64,
    spacing: f64,
    stretch: f64,
    leading: f64,
}

struct Reader {
    fonts: BTreeMap<Vec<u8>, Font>,
    state: State,
    kept: Vec<State>,
    text: Affine,
    row: Affine,
    path: BezPath,
    run: usize,
    ink: Ink,
}

/// The width and height of a page; its box may be that of a node above it.
fn size(file: &Document, page: ObjectId) -> (f64, f64) {
    let mut node = file.get_dictionary(page).expect("a page");
    let sides = loop {
        if let Some(sides) = get(file, node, "MediaBox") {
            break sides.as_array().expect("four numbers");
        }
        let above = get(file, node, "Parent").expect("a node above");
        node = above.as_dict().expect("a dictionary");
    };
    let side = |index: usize| number(&sides[index]);
    (side(2) - side(0), side(3) - side(1))
}

fn read(file: &Document, page: ObjectId) -> Ink {
    let fonts = file.get_page_fonts(page).expect("fonts");
    let fonts = fonts.into_iter().map(|(name, font)| (name, Font::new(file, font))).collect();
    let state = State {
        place: Affine::IDENTITY,
        pen: 1.0,
        font: Vec::new(),
        size: 0.0,
        rise: 0.0,
        spacing: 0.0,
        stretch: 1.0,
        leading: 0.0,
    };
    let mut reader = Reader {
        fonts,
        state,
        kept: Vec::new(),
        text: Affine::IDENTITY,
        row: Affine::IDENTITY,
        path: BezPath::new(),
        run: 0,
        ink: Ink { size: size(file, page), ..Ink::default() },
    };
    let content = file.get_page_content(page);
    for operation in &Content::decode(&content).expect("operators").operations {
        reader.step(operation);
    }
    reader.ink
}

fn matrix(operands: &[Object]) -> Affine {
    let n: Vec<f64> = operands.iter().map(number).collect();
    Affine::new([n[0], n[1], n[2], n[3], n[4], n[5]])
}

impl Reader {
    fn step(&mut self, operation: &Operation) {
        let operands = &operation.operands;
        let n = |index: usize| number(&operands[index]);
        match operation.operator.as_str() {
            "q" => self.kept.push(self.state.clone()),
            "Q" => self.state = self.kept.pop().expect("a state to return to"),
            "cm" => self.state.place *= matrix(operands),
            "w" => self.state.pen = n(0),
            "BT" => {
                (self.text, self.row) = (Affine::IDENTITY, Affine::IDENTITY);
                self.run += 1;
            }
            "Tf" => {
                self.state.font = operands[0].as_name().expect("a name").to_vec();
                self.state.size = n(1);
            }
            "Ts" => self.state.rise = n(0),
            "Tc" => self.state.spacing = n(0),
            "Tz" => self.state.stretch = n(0) / 100.0,
            "TL" => self.state.leading = n(0),
            "Td" => self.new_row(n(0), n(1)),
            "TD" => {
                self.state.leading = -n(1);
                self.new_row(n(0), n(1));
            }
            "T*" => self.new_row(0.0, -self.state.leading),
            "Tm" => {
                self.row = matrix(operands);
                self.text = self.row;
                self.run += 1;
            }
            "Tj" => self.show(&operands[0]),
            "TJ" => operands[0].as_array().expect("an array").iter().for_each(|it| self.show(it)),
            other => self.draw(other, operands),
        }
    }

    fn new_row(&mut self, x: f64, y: f64) {
        self.row *= Affine::translate((x, y));
        self.text = self.row;
        self.run += 1;
    }

    fn show(&mut self, item: &Object) {
        let state = &self.state;
        let Ok(codes) = item.as_str() else {
            let shift = -number(item) / 1000.0 * state.size * state.stretch;
            self.text *= Affine::translate((shift, 0.0));
            return;
        };
        let font = &self.fonts[&state.font];
        for code in codes.chunks(2) {
            let code = u16::from_be_bytes([code[0], code[1]]);
            let place = state.place * self.text;
            let size = state.size * place.determinant().abs().sqrt();
            let step = (font.width(code) / 1000.0 * state.size + state.spacing) * state.stretch;
            let at = place * Point::new(0.0, state.rise);
            let after = place * Point::new(step, state.rise);
            let meaning = font.meanings.get(&code);
            let meaning = meaning.unwrap_or_else(|| panic!("code {code} has no meaning")).clone();
            let advance = after.x - at.x;
            self.ink.glyphs.push(Glyph { meaning, at, advance, size, run: self.run });
            self.text *= Affine::translate((step, 0.0));
        }
    }

    fn draw(&mut self, operator: &str, operands: &[Object]) {
        let place = self.state.place;
        let point = |index: usize| {
            place * Point::new(number(&operands[index]), number(&operands[index + 1]))
        };
        match operator {
            "m" => self.path.move_to(point(0)),
            "l" => self.path.line_to(point(0)),
            "c" => self.path.curve_to(point(0), point(2), point(4)),
            "v" => {
                let here = self.path.current_position().expect("a point");
                self.path.curve_to(here, point(0), point(2));
            }
            "y" => self.path.curve_to(point(0), point(2), point(2)),
            "h" => self.path.close_path(),
            "re" => {
                let (x, y) = (number(&operands[0]), number(&operands[1]));
                let (w, h) = (number(&operands[2]), number(&operands[3]));
                self.path.move_to(place * Point::new(x, y));
                self.path.line_to(place * Point::new(x + w, y));
                self.path.line_to(place * Point::new(x + w, y + h));
                self.path.line_to(place * Point::new(x, y + h));
                self.path.close_path();
            }
            "S" | "s" => self.stroke(),
            "f" | "F" | "f*" => self.ink.fills.push(std::mem::take(&mut self.path)),
            "B" | "B*" | "b" | "b*" => {
                self.ink.fills.push(self.path.clone());
                self.stroke();
            }
            "n" => self.path = BezPath::new(),
            _ => {}
        }
    }

    fn stroke(&mut self) {
        let scale = self.state.place.determinant().abs().sqrt();
        let width = self.state.pen * scale;
        for segment in std::mem::take(&mut self.path).segments() {
            if let kurbo::PathSeg::Line(line) = segment {
                self.ink.lines.push(Line { from: line.p0, to: line.p1, width });
            }
        }
    }
}
