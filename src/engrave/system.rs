//! One system: the staves drawn from their columns, then the rows pushed clear of them.

use std::collections::BTreeMap;
use std::ops::Range;

use kurbo::{Point, Vec2};

use super::beam::Beam;
use super::chord::{Chord, rest_box, rest_marks};
use super::column::{Body, Column, Item, change_sign, change_width};
use super::heights::{Reach, Reaches};
use super::mark::{Mark, Role};
use super::prefix::{Prefix, clef_line};
use super::rows::{self, Setting};
use super::rules::{self, Sp};
use super::skyline::Skyline;
use super::spacing::Positions;
use super::tie::{self, End};
use super::tuplet;
use super::{BRACE_REACH, System};
use crate::glyphs::{MusicFace, Sign};
use crate::score::{ByHand, Clef, Hand, NoteValue, Score};
use crate::typeset::TextFace;

/// Where a system stands in the sheet.
#[derive(Clone, Debug)]
pub(super) struct Place {
    /// Its bars.
    pub(super) bars: Range<usize>,
    /// Whether the final barline ends it.
    pub(super) is_last: bool,
    /// The clef that each staff changes to at its end, if the next system begins in another.
    pub(super) courtesy: ByHand<Option<Clef>>,
}

/// One staff of a system in the making; ordinates from its own middle line.
struct StaffDraft {
    marks: Vec<Mark>,
    skyline: Skyline,
}

impl StaffDraft {
    /// An empty staff, with room for what columns are likely to bring.
    fn with_room(columns: &[Column<'_>], hand: Hand) -> Self {
        let items = columns.iter().filter_map(|column| column.item(hand));
        let notes: usize = items.map(|item| 1 + item.event.notes.len()).sum();
        let marks = 16 + 3 * notes;
        Self { marks: Vec::with_capacity(marks), skyline: Skyline::with_room(2 * marks) }
    }

    fn add(&mut self, marks: impl IntoIterator<Item = Mark>) {
        for mark in marks {
            self.skyline.add(mark.bounds());
            self.marks.push(mark);
        }
    }

    fn add_at(&mut self, x: Sp, marks: impl IntoIterator<Item = Mark>) {
        self.add(marks.into_iter().map(|mut mark| {
            mark.shift(Vec2::new(x, 0.0));
            mark
        }));
    }
}

/// A system whose staves are drawn but not yet set apart.
pub(super) struct Draft<'a> {
    /// The first column, where it looks otherwise than in the middle of a system.
    first: Option<&'a Column<'a>>,
    columns: &'a [Column<'a>],
    positions: Positions,
    place: Place,
    width: Sp,
    staves: ByHand<StaffDraft>,
    counts: Option<CountRow<'a>>,
}

/// The counts of a system, before their baseline is known.
struct CountRow<'a> {
    /// Each with the abscissa of its middle.
    settings: Vec<(Sp, &'a Setting)>,
    /// How far they reach below and above their baseline.
    extent: (Sp, Sp),
    /// The lowest ink of the upper staff and the highest of the lower one beside any of them,
    /// each from its own middle line.
    around: (Sp, Sp),
}

impl<'a> Draft<'a> {
    /// Draws both staves of a system.
    pub(super) fn new(
        (first, columns): (Option<&'a Column<'a>>, &'a [Column<'a>]),
        positions: Positions,
        place: Place,
        prefix: Prefix,
        width: Sp,
        score: &Score,
    ) -> Self {
        let staves = ByHand::each(|hand| StaffDraft::with_room(columns, hand));
        let mut draft = Self { first, columns, positions, place, width, staves, counts: None };
        let note_left = prefix.right;
        for (hand, marks) in prefix.marks.with_hands() {
            draft.staves[hand].add(marks);
            draft.draw_clef_changes(hand, score);
            let beams = draft.draw_items(hand, note_left);
            draft.draw_ties(hand, note_left);
            draft.draw_tuplets(hand, &beams);
            draft.draw_fingers(hand);
            draft.draw_fermatas(hand);
        }
        draft.counts = draft.set_counts();
        draft
    }

    fn set_counts(&self) -> Option<CountRow<'a>> {
        let ByHand { right: upper, left: lower } = &self.staves;
        let mut settings = Vec::new();
        let mut extent: Option<(Sp, Sp)> = None;
        let mut around = (-2.0, 2.0);
        for (column, x) in self.columns().zip(&self.positions.columns) {
            let Some(setting) = column.count.as_deref() else { continue };
            let centre = x + column.centre_x();
            let ink = setting.bounds();
            let (down, up) = extent.unwrap_or((ink.y0, ink.y1));
            extent = Some((down.min(ink.y0), up.max(ink.y1)));
            let (x0, x1) = (centre + ink.x0 - COUNT_SIDE, centre + ink.x1 + COUNT_SIDE);
            around.0 = upper.skyline.bottom(x0, x1).unwrap_or(0.0).min(around.0);
            around.1 = lower.skyline.top(x0, x1).unwrap_or(0.0).max(around.1);
            settings.push((centre, setting));
        }
        extent.map(|extent| CountRow { settings, extent, around })
    }

    fn columns(&self) -> impl Iterator<Item = &'a Column<'a>> + use<'a> {
        let (first, columns): (_, &'a [Column<'a>]) = (self.first, self.columns);
        first.into_iter().chain(&columns[usize::from(first.is_some())..])
    }

    /// The items of a hand with the abscissas of their columns.
    fn items(&self, hand: Hand) -> impl Iterator<Item = (Sp, &'a Column<'a>, &'a Item<'a>)> {
        self.columns()
            .zip(&self.positions.columns)
            .filter_map(move |(column, x)| Some((*x, column, column.item(hand)?)))
    }

    fn draw_clef_changes(&mut self, hand: Hand, score: &Score) {
        let bar_start = |column: &Column<'_>| score.bars[column.bar].start;
        let first_bar = self.place.bars.start;
        let mut marks = Vec::new();
        for (x, column, item) in self.items(hand) {
            let Some(clef) = item.event.clef_change else { continue };
            let right = if column.at != bar_start(column) {
                let left = item.chord().map_or(0.0, |chord| chord.edges(false).0);
                x + left
            } else if column.bar > first_bar {
                self.positions.barlines[column.bar - first_bar - 1] - rules::THIN_BARLINE / 2.0
            } else {
                continue;
            };
            marks.push(change_mark(clef, right));
        }
        if let Some(clef) = self.place.courtesy[hand] {
            marks.push(change_mark(clef, self.width));
        }
        self.staves[hand].add(marks);
    }

    /// Heads, stems, flags, beams and rests. Returns the beams by their bar and their number
    /// there.
    fn draw_items(&mut self, hand: Hand, prefix_right: Sp) -> BTreeMap<(usize, usize), Beam> {
        let items: Vec<_> = self.items(hand).collect();
        let mut beams = BTreeMap::new();
        let middles: Vec<Sp> = self.bar_middles(prefix_right);
        let staff = &mut self.staves[hand];
        let mut index = 0;
        while index < items.len() {
            let (x, column, item) = items[index];
            let Body::Chord(chord) = &item.body else {
                let value = item.event.value;
                let x = match value {
                    NoteValue::WholeBar(_) => {
                        middles[column.bar - self.place.bars.start] - rest_box(value).center().x
                    }
                    _ => x,
                };
                staff.add_at(x, rest_marks(value));
                index += 1;
                continue;
            };
            let group: Vec<(Sp, &Chord)> = items[index..]
                .iter()
                .take_while(|(_, other_column, other)| {
                    item.beam.is_some() && other.beam == item.beam && other_column.bar == column.bar
                })
                .filter_map(|(x, _, item)| Some((*x, item.chord()?)))
                .collect();
            if group.is_empty() {
                staff.add_at(x, chord.body_marks());
                let tip = chord.free_tip(item.flag());
                staff.add_at(x, chord.stem_marks(tip, item.is_flagged()));
                index += 1;
                continue;
            }
            let beam = Beam::lay(&group, chord.direction);
            for (x, chord) in &group {
                staff.add_at(*x, chord.body_marks());
                staff.add_at(*x, chord.stem_marks(beam.stem_tip(x + chord.stem_x()), false));
            }
            staff.add(beam.marks());
            if let Some(number) = item.beam {
                beams.insert((column.bar, number), beam);
            }
            index += group.len();
        }
        beams
    }

    /// The middle of the white of each bar.
    fn bar_middles(&self, prefix_right: Sp) -> Vec<Sp> {
        let final_barline = if self.place.is_last {
            rules::THICK_BARLINE + rules::BARLINE_GAP + rules::THIN_BARLINE
        } else {
            rules::THIN_BARLINE
        };
        let (last, inner) = self.positions.barlines.split_last().unwrap_or((&self.width, &[]));
        let half = rules::THIN_BARLINE / 2.0;
        let lefts = std::iter::once(prefix_right).chain(inner.iter().map(|x| x + half));
        let rights = inner.iter().map(|x| x - half).chain([last - final_barline]);
        lefts.zip(rights).map(|(left, right)| (left + right) / 2.0).collect()
    }

    /// Figures and brackets of triplets.
    fn draw_tuplets(&mut self, hand: Hand, beams: &BTreeMap<(usize, usize), Beam>) {
        let items: Vec<_> = self.items(hand).collect();
        let staff = &mut self.staves[hand];
        for band in tuplet::draw(&items, beams, hand, &mut staff.marks) {
            staff.skyline.add(band);
        }
    }

    fn draw_ties(&mut self, hand: Hand, prefix_right: Sp) {
        let items: Vec<_> = self.items(hand).collect();
        let end = |(x, _, item): &(Sp, &Column<'a>, &'a Item<'a>)| {
            Some(End { x: *x, event: item.event, chord: item.chord()? })
        };
        let mut marks = Vec::new();
        for (index, (x, _, item)) in items.iter().enumerate() {
            if index == 0 && item.event.is_tied_in() {
                let left = item.chord().map_or(0.0, Chord::tied_in_edge);
                let open = x + left - rules::BROKEN_TIE;
                let open = open.max(prefix_right + rules::PREFIX_TO_TIE);
                marks.extend(tie::ties(None, end(&items[index]), open));
            }
            if item.is_tied_out() {
                let next = items.get(index + 1);
                let open = self.width - rules::TIE_TO_BARLINE;
                marks.extend(tie::ties(end(&items[index]), next.and_then(end), open));
            }
        }
        self.staves[hand].add(marks);
    }

    /// Digits above the right hand's notes and below the left hand's, a chord's in the order of
    /// its heads.
    fn draw_fingers(&mut self, hand: Hand) {
        let (width, digit) = rows::finger_size();
        let width = width + 2.0 * FINGER_SIDE;
        for (x, _, item) in self.items(hand).collect::<Vec<_>>() {
            let Some(middle) = item.fingers_x(hand) else { continue };
            let fingers: Vec<u8> = item
                .event
                .notes
                .iter()
                .filter(|note| note.shows_finger)
                .filter_map(|note| note.finger)
                .collect();
            if fingers.is_empty() {
                continue;
            }
            let centre = x + middle;
            let (x0, x1) = (centre - width / 2.0, centre + width / 2.0);
            let staff = &mut self.staves[hand];
            let lowest = match hand {
                Hand::Right => {
                    let ink = staff.skyline.top(x0, x1).unwrap_or(2.0).max(2.0);
                    ink + rules::FINGER_GAP
                }
                Hand::Left => {
                    let ink = staff.skyline.bottom(x0, x1).unwrap_or(-2.0).min(-2.0);
                    let stack = rules::FINGER_LEADING * (fingers.len() - 1) as Sp;
                    ink - rules::FINGER_GAP - digit - stack
                }
            };
            staff.add(fingers.iter().enumerate().filter_map(|(order, finger)| {
                rows::finger(*finger, centre, lowest + rules::FINGER_LEADING * order as Sp)
            }));
        }
    }

    /// A fermata above the right hand's staff and below the left hand's.
    fn draw_fermatas(&mut self, hand: Hand) {
        for (x, _, item) in self.items(hand).collect::<Vec<_>>() {
            let Some(chord) = item.chord().filter(|_| item.event.fermata) else { continue };
            let sign = match hand {
                Hand::Right => Sign::FermataAbove,
                Hand::Left => Sign::FermataBelow,
            };
            let ink = MusicFace::get().bounds(sign);
            let centre = x + chord.centre_x();
            let (x0, x1) = (centre - ink.width() / 2.0, centre + ink.width() / 2.0);
            let staff = &mut self.staves[hand];
            let y = match hand {
                Hand::Right => {
                    staff.skyline.top(x0, x1).unwrap_or(2.0).max(2.0) + rules::FERMATA_GAP - ink.y0
                }
                Hand::Left => {
                    let below = staff.skyline.bottom(x0, x1).unwrap_or(-2.0).min(-2.0);
                    below - rules::FERMATA_GAP - ink.y1
                }
            };
            let at = Point::new(centre - ink.center().x, y);
            staff.add([Mark::sign(Role::Fermata, sign, at)]);
        }
    }

    /// The least inner gap at which the staves, and the counts between them, keep clear.
    pub(super) fn least_inner_gap(&self) -> Sp {
        let mut gap = rules::LEAST_INNER_GAP;
        let ByHand { right: upper, left: lower } = &self.staves;
        if let Some(CountRow { extent: (down, up), around: (above, below), .. }) = &self.counts {
            let row = up - down + 2.0 * rules::COUNT_CLEARANCE;
            gap = gap.max(below - above + row - 4.0);
        }
        for (x, column) in self.positions.columns.iter().zip(self.columns()) {
            let centre = x + column.centre_x();
            let chords = column.staves.iter().flatten().filter_map(Item::chord);
            let signs = chords.flat_map(|chord| &chord.accidentals).map(|sign| x + sign.x);
            let x0 = signs.fold(centre - 1.5, |left, sign| left.min(sign - rules::ROW_CLEARANCE));
            let x1 = centre + 1.5;
            let above = upper.skyline.bottom(x0, x1).unwrap_or(-2.0).min(-2.0);
            let below = lower.skyline.top(x0, x1).unwrap_or(2.0).max(2.0);
            gap = gap.max(below - above + rules::ROW_CLEARANCE - 4.0);
        }
        gap
    }

    /// Sets the staves apart, adds the rows, staff lines and barlines: the finished system, and
    /// what its parts need above and below.
    pub(super) fn finish(mut self, inner_gap: Sp) -> (System, Reaches) {
        let drop = inner_gap + 4.0;
        let counts = self.place_counts(drop);
        let symbols = self.place_symbols();
        let numerals = self.place_numerals();
        let mut marks = self.furniture(drop);
        let reaches = self.reaches(&marks);
        let ByHand { right: upper, left: lower } = self.staves;
        let (mut top, mut bottom) = (reaches.prefix.above, -drop - 2.0);
        for mark in &symbols {
            top = mark.bounds().y1.max(top);
        }
        for mark in &numerals {
            bottom = (mark.bounds().y0 - drop).min(bottom);
        }
        top = upper.skyline.top(Sp::NEG_INFINITY, Sp::INFINITY).unwrap_or(top).max(top);
        let lowest = lower.skyline.bottom(Sp::NEG_INFINITY, Sp::INFINITY).unwrap_or(-2.0);
        bottom = (lowest - drop).min(bottom);
        let rest = [&upper.marks, &symbols, &counts, &lower.marks, &numerals];
        marks.reserve_exact(rest.iter().map(|marks| marks.len()).sum());
        marks.extend(upper.marks);
        marks.extend(symbols);
        marks.extend(counts);
        marks.extend(lower.marks.into_iter().chain(numerals).map(|mut mark| {
            mark.shift(Vec2::new(0.0, -drop));
            mark
        }));
        let force = self.positions.force;
        (System { bars: self.place.bars, top, bottom, drop, force, marks }, reaches)
    }

    /// What the prefix, with the furniture beside it, and each bar need above and below.
    fn reaches(&self, furniture: &[Mark]) -> Reaches {
        let ByHand { right: upper, left: lower } = self.staves.as_ref().map(|staff| &staff.skyline);
        let ink = |x0: Sp, x1: Sp| Reach {
            above: upper.top(x0, x1).unwrap_or(2.0).max(2.0),
            below: -lower.bottom(x0, x1).unwrap_or(-2.0).min(-2.0),
        };
        let mut left = self.first_note();
        let mut prefix = ink(Sp::NEG_INFINITY, left);
        prefix.above = furniture.iter().map(|mark| mark.bounds().y1).fold(prefix.above, Sp::max);
        let mut bars = Vec::with_capacity(self.place.bars.len());
        for right in &self.positions.barlines {
            bars.push(ink(left, *right));
            left = *right;
        }
        for (x, column) in self.positions.columns.iter().zip(self.columns()) {
            let bar: &mut Reach = &mut bars[column.bar - self.place.bars.start];
            if let Some(symbol) = &column.symbol {
                bar.above = bar.above.max(self.symbol_baseline(*x, symbol) + symbol.bounds().y1);
            }
        }
        let numerals = self.harmonic_row(|column| column.numeral.as_deref());
        let lowest = numerals.iter().map(|(_, setting)| setting.bounds().y0).fold(0.0, Sp::min);
        for bar in bars.iter_mut().filter(|_| !numerals.is_empty()) {
            bar.below = -(numeral_baseline(-bar.below, &numerals) + lowest);
        }
        Reaches { prefix, bars }
    }

    /// The counts on one baseline, as near the middle between the staves as ink allows.
    fn place_counts(&mut self, drop: Sp) -> Vec<Mark> {
        let Some(CountRow { settings, extent: (down, up), around: (above, below) }) =
            self.counts.take()
        else {
            return Vec::new();
        };
        let highest = above - rules::COUNT_CLEARANCE - up;
        let lowest = below - drop + rules::COUNT_CLEARANCE - down;
        let middle = -drop / 2.0 - (up + down) / 2.0;
        let baseline =
            if lowest < highest { middle.clamp(lowest, highest) } else { (lowest + highest) / 2.0 };
        settings
            .into_iter()
            .flat_map(|(centre, setting)| setting.at(Point::new(centre, baseline)))
            .collect()
    }

    /// The chord symbols on one baseline above everything of the upper staff.
    fn place_symbols(&mut self) -> Vec<Mark> {
        let settings = self.harmonic_row(|column| column.symbol.as_deref());
        let baselines = settings.iter().map(|(x, setting)| self.symbol_baseline(*x, setting));
        let baseline = baselines.fold(rules::SYMBOL_BASELINE, Sp::max);
        row_at(settings, baseline)
    }

    /// The lowest baseline of a chord symbol that clears what is under it.
    fn symbol_baseline(&self, x: Sp, symbol: &Setting) -> Sp {
        let ink = symbol.bounds().inflate(rules::SYMBOL_SIDE, 0.0);
        let left = (x + ink.x0).max(self.first_note());
        let top = self.staves.right.skyline.top(left, x + ink.x1);
        top.unwrap_or(2.0) + rules::SYMBOL_CLEARANCE - ink.y0
    }

    /// The numerals on one baseline below everything of the lower staff.
    fn place_numerals(&mut self) -> Vec<Mark> {
        let settings = self.harmonic_row(|column| column.numeral.as_deref());
        // Fingers may stand left of the first chord's stem.
        let left = self.first_note() - rows::finger_size().0 - rules::FINGER_TO_STEM - rules::STEM;
        let bottom = self.staves.left.skyline.bottom(left, self.width).unwrap_or(-2.0);
        let baseline = numeral_baseline(bottom, &settings);
        row_at(settings, baseline)
    }

    /// Where the music begins, right of the prefix.
    fn first_note(&self) -> Sp {
        self.positions.columns.first().copied().unwrap_or(0.0)
    }

    /// A setting for each chord, with its left end.
    fn harmonic_row(
        &self,
        row: impl Fn(&'a Column<'a>) -> Option<&'a Setting>,
    ) -> Vec<(Sp, &'a Setting)> {
        self.columns()
            .zip(&self.positions.columns)
            .filter_map(|(column, x)| Some((*x, row(column)?)))
            .collect()
    }

    /// Staff lines, barlines, brace and bar number.
    fn furniture(&self, drop: Sp) -> Vec<Mark> {
        let mut marks = Vec::new();
        for middle in [0.0, -drop] {
            for line in -2..=2 {
                let y = middle + f64::from(line);
                let (from, to) = (Point::new(0.0, y), Point::new(self.width, y));
                marks.push(Mark::line(Role::StaffLine, from, to, rules::STAFF_LINE));
            }
        }
        let mut barline = |x: Sp, width: Sp| {
            let reach = rules::STAFF_LINE / 2.0;
            let (from, to) = (Point::new(x, 2.0 + reach), Point::new(x, -drop - 2.0 - reach));
            marks.push(Mark::line(Role::Barline, from, to, width));
        };
        barline(rules::THIN_BARLINE / 2.0, rules::THIN_BARLINE);
        let (last, inner) = self.positions.barlines.split_last().unwrap_or((&self.width, &[]));
        for x in inner {
            barline(*x, rules::THIN_BARLINE);
        }
        if self.place.is_last {
            barline(last - rules::THICK_BARLINE / 2.0, rules::THICK_BARLINE);
            let thin = last - rules::THICK_BARLINE - rules::BARLINE_GAP - rules::THIN_BARLINE / 2.0;
            barline(thin, rules::THIN_BARLINE);
        } else {
            barline(last - rules::THIN_BARLINE / 2.0, rules::THIN_BARLINE);
        }
        let height = drop + 4.0;
        let brace = MusicFace::get().bounds(Sign::Brace);
        let scale = height / brace.height();
        // A brace grows in width too; round staves far apart it comes a little nearer to them.
        let reach = (rules::BRACE_GAP + brace.width() * scale).min(BRACE_REACH);
        let at = Point::new(-reach - brace.x0 * scale, -drop - 2.0 - brace.y0 * scale);
        marks.push(Mark::scaled_sign(Role::Brace, Sign::Brace, at, scale));
        if self.place.bars.start > 0 {
            let top = self.staves.right.skyline.top(0.0, 3.0).unwrap_or(2.0);
            let number = (self.place.bars.start + 1).to_string();
            let at = Point::new(0.0, top.max(2.0) + rules::ROW_CLEARANCE);
            let face = TextFace::Regular;
            marks.push(Mark::text(Role::BarNumber, number, face, at, rules::BAR_NUMBER_SIZE));
        }
        marks
    }
}

/// Air at either side of a finger digit, or a count, when it is pushed clear of ink.
const FINGER_SIDE: Sp = 0.35;
const COUNT_SIDE: Sp = 0.36;

/// The small sign of a change to `clef`, clear of what begins at `right`.
fn change_mark(clef: Clef, right: Sp) -> Mark {
    let sign = change_sign(clef);
    let left = right - rules::CLEF_CHANGE_AFTER - change_width(clef);
    let x = left - MusicFace::get().bounds(sign).x0;
    Mark::sign(Role::Clef, sign, Point::new(x, clef_line(clef)))
}

/// The highest baseline of numerals that clear what is above them, of which the lowest ink is at
/// `bottom`.
fn numeral_baseline(bottom: Sp, numerals: &[(Sp, &Setting)]) -> Sp {
    let highest = numerals.iter().map(|(_, setting)| setting.bounds().y1).fold(0.0, Sp::max);
    (bottom - rules::NUMERAL_CLEARANCE - highest).min(-rules::NUMERAL_BASELINE)
}

fn row_at(settings: Vec<(Sp, &Setting)>, baseline: Sp) -> Vec<Mark> {
    settings.into_iter().flat_map(|(x, setting)| setting.at(Point::new(x, baseline))).collect()
}

#[cfg(test)]
mod tests {
    use crate::drill::{Choices, Template, library, realise};
    use crate::engrave::{Look, Role, engrave, rules};
    use crate::recipe::{Counts, FingeringMarks};
    use crate::score::Note;
    use crate::theory::{Key, SymbolStyle};

    /// In A flat the first chord lies low in its staff: its digits stand left of the stem and
    /// above the stem's end. In B flat the second chord's stem ends near the lowest line: its
    /// digits stand under the heads.
    #[test]
    fn fingers_stand_beside_a_long_stem() {
        let template = Template::parse(library::find("pushed").unwrap(), "pushed").unwrap();
        let choices = Choices { fingering: FingeringMarks::All, ..Choices::default() };
        let look = Look { symbols: SymbolStyle::Mixed, counts: Counts::None };
        let (mut beside, mut under) = (0, 0);
        for key in ["Ab", "Bb"] {
            let score = realise(&template, key.parse().unwrap(), choices);
            for system in engrave(&score, &look, 100.0, 3).unwrap() {
                let below = |role: Role| {
                    let marks = system.marks.iter().filter(move |mark| mark.role == role);
                    marks.map(|mark| mark.bounds()).filter(|ink| ink.y0 < -system.drop)
                };
                for digit in below(Role::Finger) {
                    let stem = below(Role::Stem)
                        .find(|stem| (-0.1..2.0).contains(&(stem.x0 - digit.center().x)));
                    let Some(stem) = stem.filter(|stem| stem.x0 > digit.x1) else {
                        under += 1;
                        continue;
                    };
                    let lowest_line = -system.drop - 2.0;
                    assert!(stem.y0 <= lowest_line - rules::STEM_BESIDE_FINGERS + 0.1, "{stem:?}");
                    assert!(stem.x0 - digit.x1 >= rules::FINGER_TO_STEM - 1e-9, "{digit:?}");
                    beside += 1;
                }
            }
        }
        assert!(beside >= 4 && under >= 4, "{beside} beside stems, {under} under heads");
    }

    /// An accidental that is tied over the end of a system stands again at the start of the next.
    #[test]
    fn tied_accidentals_are_told_again_where_a_system_begins() {
        let template = Template::parse(library::find("harmonic-minor").unwrap(), "minor").unwrap();
        let look = Look { symbols: SymbolStyle::Mixed, counts: Counts::None };
        let (mut told, mut plain) = (0, 0);
        for key in Key::majors() {
            let score = realise(&template, key, Choices::default());
            for system in (2..6).filter_map(|count| engrave(&score, &look, 100.0, count)).flatten()
            {
                let first = &score.bars[system.bars.start].staves.left.events[0];
                if system.bars.start == 0 || !first.is_tied_in() {
                    continue;
                }
                let altered = |note: &&Note| score.key.is_altered(note.pitch.name);
                let expected = first.notes.iter().filter(altered).count();
                let below = |role: Role| {
                    let marks = system.marks.iter().filter(move |mark| mark.role == role);
                    marks.map(|mark| mark.bounds()).filter(|ink| ink.y0 < -system.drop / 2.0)
                };
                let head = below(Role::Head).map(|ink| ink.x0).fold(f64::INFINITY, f64::min);
                let signs = below(Role::Accidental).filter(|ink| ink.x1 < head).count();
                assert_eq!(signs, expected, "{key}, bar {}", system.bars.start + 1);
                let ties = below(Role::Tie).filter(|ink| ink.x0 < head);
                let right = ties.map(|ink| ink.x1).fold(f64::NEG_INFINITY, f64::max);
                let left = below(Role::Accidental).map(|ink| ink.x0).fold(head, f64::min);
                assert!(right < left, "{key}: ties end at {right}, signs begin at {left}");
                if expected > 0 { told += 1 } else { plain += 1 }
            }
        }
        assert!(told > 3 && plain > 3, "{told} with signs, {plain} without");
    }
}
