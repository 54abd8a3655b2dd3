//! What stands over a chart: the tune, who made it, its key and tempo, its form, and the ring with
//! the keys that it is in.

use kurbo::{Point, Rect, Shape as _};

use super::tune::{ChartLook, ReaderTune};
use crate::book::error::{PageError, Whose};
use crate::book::sheet::header::{leading, lines};
use crate::book::sheet::ring::KeyRing;
use crate::book::sheet::tempo;
use crate::book::template::{PageTemplate, TypeSizes};
use crate::canvas::board::Board;
use crate::canvas::paper::MM;
use crate::canvas::{Kind, Trace};
use crate::chart::Chart;
use crate::source::ChartField as Field;
use crate::theory::Key;
use crate::typeset::fit::{Fitted, fit};
use crate::typeset::line::{Phrase, Style, in_lines};
use crate::typeset::{self, TextFace};

/// White between the words and the ring.
const COLUMN_GAP: f64 = 5.0 * MM;
/// Most lines of a title, and of a form.
const MOST_TITLE: usize = 2;
const MOST_FORM: usize = 3;
/// From one baseline to the next, in ems of the lower line.
const STEP: f64 = 1.5;
/// How far a title reaches below its baseline, with the white after that, in ems of it.
const TO_COMPOSER: f64 = 0.32;
/// Thickness of the box about a section of the form, and the white inside it, in ems.
const BOX: f64 = 0.6;
const PAD: f64 = 0.25;
/// Sections of a form that are shown one by one.
const ONE_BY_ONE: usize = 16;
/// By how little another home key may cost more and still be named (ours: below this the first
/// reading is the right one in two charts of three).
const NEAR: f64 = 1.0;

/// The head of a chart, its words set.
pub(super) struct ChartHead {
    title: Fitted,
    composer: Option<Fitted>,
    /// One below another: keys, tempo, form.
    rest: Vec<Phrase>,
    home: Option<Key>,
    keys: Vec<Key>,
    ring: f64,
    /// From the top down to where the bars can begin.
    pub(super) height: f64,
}

impl ChartHead {
    /// Sets the words for a page of a width. Errors where they have no room.
    pub(super) fn of(
        tune: &ReaderTune<'_>,
        look: &ChartLook,
        width: f64,
    ) -> Result<Self, PageError> {
        let page = PageTemplate::of(look.paper);
        let sizes = &page.sizes;
        let home = tune.home();
        let keys = keys(tune);
        let ring = if home.is_some() { page.distances.ring } else { 0.0 };
        let room = width - ring - if home.is_some() { COLUMN_GAP } else { 0.0 };
        let chart = tune.chart;
        let bold = Style::new(TextFace::Bold, sizes.key);
        let own = Whose::Chart(Field::Title);
        let title = fit(own, &chart.title, bold, sizes.least_header, room, MOST_TITLE)?;
        let composer = chart.composer.as_deref().map(|words| {
            let style = Style::new(TextFace::Italic, sizes.body);
            fit(Whose::Chart(Field::Composer), words, style, sizes.least_header, room, MOST_TITLE)
        });
        let composer = composer.transpose()?;
        if let Some(words) = &chart.style {
            let style = Style::new(TextFace::Bold, sizes.tempo);
            fit(Whose::Chart(Field::Style), words, style, sizes.least_header, room / 2.0, 1)?;
        }
        let mut rest: Vec<Phrase> = Vec::new();
        rest.extend(
            home.map(|home| narrowed(room, sizes.tempo, |size| key_line(tune, home, size))),
        );
        rest.extend(horn_line(tune, home, room, sizes));
        rest.push(narrowed(room, sizes.tempo, |size| tempo_line(chart, size)));
        rest.extend(form_lines(chart, sizes.note, room));
        let mut head = Self { title, composer, rest, home, keys, ring, height: 0.0 };
        head.height = head.baselines(0.0, sizes).1.min(-ring).abs() + 0.6 * sizes.note;
        Ok(head)
    }

    /// The baselines of the composer and of the rest below a top, and where the head ends.
    fn baselines(&self, top: f64, sizes: &TypeSizes) -> (Vec<f64>, f64) {
        let mut y = self.first(top);
        y -= (self.title.lines.len() - 1) as f64 * leading(self.title.style);
        let mut baselines = Vec::new();
        if let Some(composer) = &self.composer {
            y -= (STEP * sizes.body).max(TO_COMPOSER * self.title.style.size + 0.7 * sizes.body);
            baselines.push(y);
            y -= (composer.lines.len() - 1) as f64 * leading(composer.style);
        }
        for phrase in &self.rest {
            let ink = phrase.ink();
            y -= (ink.y1 + 0.7 * sizes.note).max(STEP * sizes.note);
            baselines.push(y);
            y += ink.y0.min(0.0);
        }
        (baselines, y)
    }

    fn first(&self, top: f64) -> f64 {
        let cap = typeset::cap_height(TextFace::Bold, self.title.style.size);
        let ink = self.title.phrases().next().map_or(cap, |line| line.ink().y1);
        top - ink.max(cap)
    }

    /// Draws it at the top of a page.
    pub(super) fn draw(&self, board: &mut Board, look: &ChartLook) {
        let live = board.live;
        let sizes = &PageTemplate::of(look.paper).sizes;
        let (baselines, _) = self.baselines(live.y1, sizes);
        board.begin(Kind::Heading(1));
        lines(board, live.x0, self.first(live.y1), &self.title);
        let mut baselines = baselines.into_iter();
        if let (Some(composer), Some(y)) =
            (&self.composer, self.composer.as_ref().and_then(|_| baselines.next()))
        {
            board.begin(Kind::Paragraph);
            lines(board, live.x0, y, composer);
        }
        for (phrase, y) in self.rest.iter().zip(baselines) {
            board.begin(Kind::Paragraph);
            board.from(live.x0, y, phrase.clone());
        }
        let Some(home) = self.home else { return };
        let radius = self.ring / 2.0;
        let centre = Point::new(live.x1 - radius, live.y1 - radius);
        let others: Vec<String> =
            self.keys.iter().filter(|key| **key != home).map(|key| key.words()).collect();
        let mut words = format!("{} on the ring of keys", home.words());
        if !others.is_empty() {
            words = format!("{words}, with {}", others.join(", "));
        }
        board.begin_described(Kind::Figure, words);
        KeyRing { centre, radius, keys: &self.keys, here: &[home], next: None }.draw(board);
    }

    /// How high the head of a further page is.
    pub(super) fn continued_height(look: &ChartLook) -> f64 {
        let size = PageTemplate::of(look.paper).sizes.body;
        typeset::cap_height(TextFace::Semibold, size) + 0.8 * size
    }

    /// Draws the head of a further page.
    pub(super) fn draw_continued(&self, board: &mut Board, look: &ChartLook, place: [usize; 2]) {
        let live = board.live;
        let size = PageTemplate::of(look.paper).sizes.body;
        let [nth, of] = place;
        let words = format!(", continued: {} of {of}", nth + 1);
        let name = self.title.lines.join(" ");
        let line = |size: f64| {
            let mut phrase = Phrase::of(&name, Style::new(TextFace::Semibold, size));
            phrase.words(&words, Style::new(TextFace::Regular, size));
            phrase
        };
        board.begin(Kind::Heading(1));
        let phrase = narrowed(live.width(), size, line);
        let cap = typeset::cap_height(TextFace::Semibold, size);
        board.from(live.x0, live.y1 - phrase.ink().y1.max(cap), phrase);
    }
}

/// A line, smaller where it would be wider than its room.
fn narrowed(room: f64, size: f64, line: impl Fn(f64) -> Phrase) -> Phrase {
    let full = line(size);
    if full.width() <= room { full } else { line(size * room / full.width()) }
}

/// The keys of a tune, each once, home first.
fn keys(tune: &ReaderTune<'_>) -> Vec<Key> {
    let areas = tune.analysis.iter().flat_map(|analysis| &analysis.areas).map(|area| area.key);
    let mut keys: Vec<Key> = Vec::new();
    for key in tune.home().into_iter().chain(areas) {
        if !keys.contains(&key) {
            keys.push(key);
        }
    }
    keys
}

/// The home key, and what is to be said of it.
fn key_line(tune: &ReaderTune<'_>, home: Key, size: f64) -> Phrase {
    let [bold, regular] = [TextFace::Bold, TextFace::Regular].map(|face| Style::new(face, size));
    let mut phrase = Phrase::key(home, bold, regular);
    let Some(analysis) = tune.analysis else { return phrase };
    if analysis.is_blues {
        phrase.words(", a blues", regular);
    }
    if analysis.is_modal {
        phrase.words(", modal, no cadence", regular);
    }
    let near = analysis.second.filter(|second| second.by < NEAR && tune.chart.key.is_none());
    if let Some(near) = near.filter(|near| near.key != home) {
        phrase.words(&format!(", or nearly as well {}", near.key.words()), regular);
    }
    phrase
}

/// Who reads the page, and in which key it sounds.
fn horn_line(
    tune: &ReaderTune<'_>,
    home: Option<Key>,
    room: f64,
    sizes: &TypeSizes,
) -> Option<Phrase> {
    let horn = tune.horn?;
    let keys = match (home, tune.sounding) {
        (Some(home), Some(sounding)) => {
            format!(": written in {}, sounds in {}", home.words(), sounding.words())
        }
        _ => ", who sound lower than is written".to_owned(),
    };
    let words = format!("For instruments in {}{keys}", horn.printed());
    Some(narrowed(room, sizes.body, |size| Phrase::of(&words, Style::new(TextFace::Regular, size))))
}

fn tempo_line(chart: &Chart, size: f64) -> Phrase {
    let mut phrase = Phrase::default();
    if let Some(style) = &chart.style {
        phrase.words(style, Style::new(TextFace::Bold, size));
        phrase.space(size);
    }
    let said = chart.style.as_deref().unwrap_or_default();
    phrase.phrase(tempo::mark_after(said, chart.metre, Some(chart.feel), chart.tempo, size));
    phrase
}

/// The sections in the order in which they are played, each in a box; nothing where one is played
/// once.
fn form_lines(chart: &Chart, size: f64, room: f64) -> Vec<Phrase> {
    if chart.form.len() < 2 {
        return Vec::new();
    }
    let names = chart.form.iter().filter_map(|place| chart.sections.get(*place));
    let mut runs: Vec<(&str, usize)> = Vec::new();
    for section in names {
        match runs.last_mut() {
            Some((name, count)) if *name == section.name && chart.form.len() > ONE_BY_ONE => {
                *count += 1;
            }
            _ => runs.push((&section.name, 1)),
        }
    }
    let items = runs.into_iter().map(|(name, count)| boxed(name, count, size)).collect();
    let mut label = Phrase::of("Form", Style::new(TextFace::Semibold, size));
    label.space(0.8 * size);
    let mut all = in_lines(label, items, 0.35 * size, room - 2.0 * size);
    if all.len() > MOST_FORM {
        all.truncate(MOST_FORM);
        if let Some(last) = all.last_mut() {
            last.words(" ...", Style::new(TextFace::Regular, size));
        }
    }
    all
}

/// A section of the form in its box, and how often it is played.
fn boxed(name: &str, count: usize, size: f64) -> Phrase {
    let style = Style::new(TextFace::Semibold, size);
    let words = Phrase::of(name, style);
    let pad = PAD * size;
    let cap = typeset::cap_height(TextFace::Semibold, size);
    let height = cap + 2.0 * pad;
    let width = (words.width() + 2.0 * pad).max(height);
    let frame = Rect::new(0.0, -pad, width, cap + pad).inset(-BOX / 2.0);
    let mut phrase = Phrase::default();
    phrase.drawing(Trace::Stroke { path: frame.to_path(1e-3), width: BOX }, 0.0);
    let side = (width - words.width()) / 2.0;
    phrase.space(side);
    phrase.phrase(words);
    phrase.space(side);
    if count > 1 {
        phrase.words(&format!(" {count} times"), Style::new(TextFace::Regular, size));
    }
    phrase
}
