//! The foot of a sheet: what the counts say, the tempo ladder, the folio.

use kurbo::{Point, Rect};

use crate::book::plan::DocumentPlan;
use crate::book::sheet::remark;
use crate::book::sheet::slip::KeyedSlip;
use crate::book::sheet::tracks::Tracks;
use crate::canvas::Kind;
use crate::canvas::board::Board;
use crate::canvas::paper::MM;
use crate::engrave::rules;
use crate::score::{Count, CountStroke, Counts, Score};
use crate::typeset::line::{Phrase, Style, in_lines};
use crate::typeset::{self, TextFace};

/// From the baseline of the folio to that of the ladder, and on to that of the legend, in points.
const TO_LADDER: f64 = 8.0 * MM;
const TO_LEGEND: f64 = 7.6 * MM;
/// From one line to the next where legend or ladder need two.
const LINE: f64 = 5.6 * MM;
/// Side of the box of a rung.
const BOX: f64 = 3.3 * MM;
/// White between a box and its tempo.
const AFTER_BOX: f64 = 1.2 * MM;
/// Widest distance from one box to the next.
const WIDEST_RUNG: f64 = 16.0 * MM;
/// Thickness of its outline, in points.
const BOX_LINE: f64 = 0.7;

/// White in the legend after its name, after a sign, and before the next, in ems.
const AFTER_NAME: f64 = 0.8;
const AFTER_SIGN: f64 = 0.45;
const BETWEEN_SIGNS: f64 = 1.7;
/// White between the ladder's name and its first rung, and least white between two rungs, in
/// ems.
const BEFORE_RUNGS: f64 = 1.2;
const BETWEEN_RUNGS: f64 = 0.6;
/// How much larger the legend shows the signs of the counts than the music does (ours: among
/// words, which are larger than counts, they would look smaller).
const LEGEND_SIGNS: f64 = 1.6;

/// From the baseline of folio and remarks to the white round a code, in heights of capitals: signs
/// of chords rise above those.
const OVER_REMARKS: f64 = 1.7;
/// The same from the highest line of the legend: other letters rise a little above capitals.
const OVER_WORDS: f64 = 1.4;

/// The name of the ladder, on the page of one key and of several.
const ONE_KEY: &str = "Tick after three clean runs";
const EVERY_KEY: &str = "Tick after three clean runs in every key";

/// Which signs about the counts occur on a sheet, in the order of the legend.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct CountSigns([bool; 5]);

impl CountSigns {
    /// Those of the bars in which counts stand.
    pub(crate) fn of(score: &Score, shown: Counts) -> Self {
        let bar = |count: &Count| (count.at / score.metre.bar()) as usize;
        let counts = || score.counts.iter().filter(|count| shown.stand_in(bar(count)));
        let right = |stroke| counts().any(|count| count.strokes.right == stroke);
        let left = |stroke| counts().any(|count| count.strokes.left == stroke);
        Self([
            right(CountStroke::Struck),
            right(CountStroke::Pushed),
            left(CountStroke::Struck),
            left(CountStroke::Pushed),
            counts().any(Count::is_only_held),
        ])
    }

    /// Those of several scores together.
    pub(crate) fn joined(all: impl IntoIterator<Item = Self>) -> Self {
        let join = |a: Self, b: Self| Self(std::array::from_fn(|sign| a.0[sign] || b.0[sign]));
        all.into_iter().fold(Self([false; 5]), join)
    }
}

/// The foot of a sheet, its words set.
pub(crate) struct SheetFoot {
    /// From the bottom line up.
    legend: Vec<Phrase>,
    ladder: Phrase,
    /// Whether the rungs stand beside the ladder's name, or below it.
    is_beside: bool,
    /// What it says of tracks.
    tracks: Tracks,
    /// Whether their code stands beside legend and ladder, or above them.
    is_code_aside: bool,
    /// The slip below it all.
    pub(crate) slip: Option<KeyedSlip>,
    /// How much higher it stands than over a single line, in points.
    lift: f64,
}

impl SheetFoot {
    /// Sets the words, to stand over so many lines of remarks, for a page of so many keys.
    pub(crate) fn new(
        plan: &DocumentPlan<'_>,
        rungs: usize,
        (signs, shown): (CountSigns, Counts),
        (keys, remarks): (usize, usize),
    ) -> Self {
        let size = plan.grown.sizes.note;
        let style = Style::new(TextFace::Semibold, size);
        let words = if keys > 1 { EVERY_KEY } else { ONE_KEY };
        let ladder = Phrase::of(words, style);
        let column = rung_width(plan) + BETWEEN_RUNGS * size;
        let rungs_width = column * rungs as f64 - BETWEEN_RUNGS * size;
        let legend = |width| {
            if shown == Counts::None {
                return Vec::new();
            }
            let mut name = Phrase::of("Counts", style);
            name.space(AFTER_NAME * size);
            let items = legend(signs, size, LEGEND_SIGNS * plan.space());
            let mut lines = in_lines(name, items, BETWEEN_SIGNS * size, width);
            lines.reverse();
            lines
        };
        let tracks = Tracks::of(plan);
        let narrow = plan.width() - tracks.aside();
        let in_narrow = legend(narrow);
        let fits = |line: &Phrase| line.width() <= narrow;
        let is_code_aside = rungs_width <= narrow && fits(&ladder) && in_narrow.iter().all(fits);
        let (width, legend) =
            if is_code_aside { (narrow, in_narrow) } else { (plan.width(), legend(plan.width())) };
        let is_beside = ladder.width() + BEFORE_RUNGS * size + rungs_width <= width;
        let lift = remark::leading(plan) * remarks.saturating_sub(1) as f64;
        Self { legend, ladder, is_beside, tracks, is_code_aside, slip: None, lift }
    }

    /// The same over a slip.
    pub(crate) fn over(self, slip: Option<KeyedSlip>) -> Self {
        Self { slip, ..self }
    }

    /// How high the slip is, if there is one.
    pub(crate) fn slip_height(&self) -> f64 {
        self.slip.as_ref().map_or(0.0, |slip| slip.height)
    }

    /// The baselines of the rungs, of the ladder's name and of the lowest line of the legend,
    /// above the lower margin.
    fn baselines(&self, plan: &DocumentPlan<'_>) -> [f64; 3] {
        let rungs = self.lift + plan.growth * TO_LADDER;
        let name = if self.is_beside { rungs } else { rungs + plan.growth * LINE };
        [rungs, name, name + plan.growth * TO_LEGEND]
    }

    /// How high legend and ladder reach above the lower margin, to the baseline of their highest
    /// line.
    fn highest(&self, plan: &DocumentPlan<'_>) -> f64 {
        let [_, name, legend] = self.baselines(plan);
        match self.legend.len() {
            0 => name,
            lines => legend + (lines - 1) as f64 * plan.growth * LINE,
        }
    }

    /// The lower edge of the code, with the white round it, above the lower margin.
    fn code_bottom(&self, plan: &DocumentPlan<'_>) -> f64 {
        if self.is_code_aside {
            self.lift + OVER_REMARKS * folio_height(plan)
        } else {
            let capitals = typeset::cap_height(TextFace::Semibold, plan.grown.sizes.note);
            self.highest(plan) + OVER_WORDS * capitals
        }
    }

    /// The baselines of the lines about tracks, from the lowest, above the lower margin.
    fn track_baselines(&self, plan: &DocumentPlan<'_>) -> impl Iterator<Item = f64> + use<> {
        let (lowest, line) = (self.highest(plan) + plan.growth * TO_LEGEND, plan.growth * LINE);
        (0..self.tracks.lines.len()).map(move |nth| lowest + nth as f64 * line)
    }

    /// How high it reaches above the lower margin.
    pub(crate) fn height(&self, plan: &DocumentPlan<'_>) -> f64 {
        let highest = self.track_baselines(plan).last().unwrap_or_else(|| self.highest(plan));
        let words = highest + typeset::cap_height(TextFace::Semibold, plan.grown.sizes.note);
        match &self.tracks.code {
            Some(code) => words.max(self.code_bottom(plan) + code.with_white()),
            None => words,
        }
    }

    /// Draws it.
    pub(crate) fn draw(self, board: &mut Board, plan: &DocumentPlan<'_>, tempi: &[u16]) {
        let live = board.live;
        let [rungs, name, legend] = self.baselines(plan).map(|above| live.y0 + above);
        let left = if self.is_beside {
            live.x0 + self.ladder.width() + BEFORE_RUNGS * plan.grown.sizes.note
        } else {
            live.x0
        };
        let right = if self.is_code_aside { live.x1 - self.tracks.aside() } else { live.x1 };
        let code_bottom = live.y0 + self.code_bottom(plan);
        let track_baselines = self.track_baselines(plan);
        board.begin(Kind::Paragraph);
        board.from(live.x0, name, self.ladder);
        draw_rungs(board, plan, tempi, (Point::new(left, rungs), right));
        board.begin(Kind::Paragraph);
        for (line, phrase) in self.legend.into_iter().enumerate() {
            board.from(live.x0, legend + line as f64 * plan.growth * LINE, phrase);
        }
        board.begin(Kind::Paragraph);
        // Read from the top down, and counted from the bottom up.
        let baselines: Vec<f64> = track_baselines.collect();
        for (phrase, above) in self.tracks.lines.into_iter().zip(baselines.into_iter().rev()) {
            board.from(live.x0, live.y0 + above, phrase);
        }
        if let Some(code) = self.tracks.code {
            code.draw(board, Point::new(live.x1, code_bottom));
        }
    }
}

/// How high the folio alone reaches above the lower margin.
pub(crate) fn folio_height(plan: &DocumentPlan<'_>) -> f64 {
    typeset::cap_height(TextFace::Regular, plan.grown.sizes.folio)
}

/// The width of the widest rung.
fn rung_width(plan: &DocumentPlan<'_>) -> f64 {
    let size = plan.grown.sizes.note;
    plan.growth * (BOX + AFTER_BOX) + typeset::width(TextFace::Regular, "208", size)
}

/// The rungs: a box and a tempo each, evenly apart.
fn draw_rungs(
    board: &mut Board,
    plan: &DocumentPlan<'_>,
    tempi: &[u16],
    (at, right): (Point, f64),
) {
    let style = Style::new(TextFace::Regular, plan.grown.sizes.note);
    let gaps = tempi.len().saturating_sub(1).max(1) as f64;
    let widest = plan.growth * WIDEST_RUNG;
    let column = ((right - at.x - rung_width(plan)) / gaps).min(widest);
    let middle = at.y + typeset::cap_height(style.face, style.size) / 2.0;
    let side = plan.growth * BOX;
    for (place, tempo) in tempi.iter().enumerate() {
        let left = at.x + column * place as f64;
        let frame = Rect::new(left, middle - side / 2.0, left + side, middle + side / 2.0)
            .inset(-BOX_LINE / 2.0);
        board.frame(frame, BOX_LINE);
        let words = left + side + plan.growth * AFTER_BOX;
        board.from(words, at.y, Phrase::of(&tempo.to_string(), style));
    }
}

/// What the signs about the counts mean, as far as they occur; the signs as the engraver draws
/// them on staves of a space.
fn legend(signs: CountSigns, size: f64, space: f64) -> Vec<Phrase> {
    let style = Style::new(TextFace::Regular, size);
    let sign = rules::WEDGE.scaled(space);
    let middle = typeset::x_height(style.face, size) / 2.0;
    let base = |up: f64| Point::new(sign.width / 2.0, middle - up * sign.height / 2.0);
    let wedge = |up: f64| {
        let mut phrase = Phrase::default();
        phrase.drawing(sign.body(base(up), up), sign.width);
        phrase
    };
    let pushed = |up: f64| {
        let mut phrase = Phrase::default();
        phrase.drawing(sign.tail(base(up), up), 0.0);
        phrase.phrase(wedge(up));
        phrase.space(sign.tail - sign.width / 2.0);
        phrase
    };
    let rows = [
        (wedge(1.0), "right hand strikes"),
        (pushed(1.0), "right hand off the beat, held over"),
        (wedge(-1.0), "left hand strikes"),
        (pushed(-1.0), "left hand off the beat, held over"),
        (Phrase::of("(2)", style), "counted, not struck"),
    ];
    let occurring = rows.into_iter().zip(signs.0).filter(|(_, occurs)| *occurs);
    occurring
        .map(|((mut item, words), _)| {
            item.space(AFTER_SIGN * size);
            item.words(words, style);
            item
        })
        .collect()
}

/// The page number, in the outer corner of a sheet printed on both sides.
pub(crate) fn draw_folio(board: &mut Board, plan: &DocumentPlan<'_>, page: usize) {
    let style = Style::new(TextFace::Regular, plan.grown.sizes.folio);
    let phrase = Phrase::of(&plan.number(page).to_string(), style);
    board.begin(Kind::Artifact);
    let live = board.live;
    // The first page of a document is a right-hand one.
    if page.is_multiple_of(2) {
        board.to(live.x1, live.y0, phrase);
    } else {
        board.from(live.x0, live.y0, phrase);
    }
}
