//! The header of a sheet: key, drill, tempo mark, advice, the ring and where to go next.

use kurbo::{Point, Rect, Size};

use crate::book::error::{PageError, Whose};
use crate::book::plan::{Chapter, DocumentPlan, Logo, Next, Slips};
pub(crate) use crate::book::sheet::leading::leading;
use crate::book::sheet::ring::KeyRing;
use crate::book::sheet::slip::DrillSlip;
use crate::book::sheet::tempo;
use crate::book::write_in;
use crate::book::{BookOptions, DocumentForm};
use crate::canvas::board::{Board, RULE};
use crate::canvas::paper::MM;
use crate::canvas::{Ink, Kind, Mark};
use crate::drill::Hands;
use crate::engrave::Look;
use crate::score::Feel;
use crate::source::{DrillField, RecipeField};
use crate::theory::Key;
use crate::typeset::fit::{Fitted, Unfit, fit, paragraph, room_for};
use crate::typeset::line::{Phrase, Style};
use crate::typeset::{self, TextFace};

/// White between the columns of the header.
const COLUMN_GAP: f64 = 6.0 * MM;
/// The column of key, drill and tempo, as a share of what the ring leaves.
const NAME_COLUMN: f64 = 0.53;
/// White between the rule below the running line of a handout and what follows.
const AFTER_RUNNING: f64 = 5.0 * MM;
/// White between the running line and its rule.
const BEFORE_RULE: f64 = 2.0 * MM;
/// Widest picture in a header, in heights of it.
const WIDEST_LOGO: f64 = 4.0;
/// Most lines of the title and of the advice on what to listen for.
const MOST_TITLE: usize = 3;
const MOST_ADVICE: usize = 4;
/// The same where that column is narrow; the header then grows with it.
const MOST_ADVICE_NARROW: usize = 7;
/// Most lines of the teacher's note, from its rule to its words, thickness of that rule, and how far
/// below the last baseline it ends, in ems.
pub(crate) const NOTE_LINES: usize = 3;
pub(crate) const NOTE_INDENT: f64 = 2.6 * MM;
const NOTE_RULE: f64 = 1.2;
const NOTE_BELOW: f64 = 0.22;
/// From the last line of the advice to the first one of the note, in ems of it.
const TO_NOTE: f64 = 1.75;
/// Shares of the line above everything where a date stands in it: student, studio, date.
const NAMES_AND_DATE: [f64; 3] = [0.37, 0.4, 0.23];
/// From the last line of the advice to what comes next, in ems of it.
const AFTER_ADVICE: f64 = 1.6;
/// From the baseline of the key to that of the title, in ems of the title.
const KEY_TO_TITLE: f64 = 1.55;
/// From the baseline of the title to that of the tempo mark, in ems of the mark: its notes rise
/// above its words.
const TITLE_TO_TEMPO: f64 = 1.85;
/// White between the names of keys that share a page, in ems.
const LIST_GAP: f64 = 0.45;

/// What stands in the header of every sheet of a drill, set once.
#[derive(Clone, Debug)]
pub(crate) struct Header {
    title: Fitted,
    /// The same over the answers.
    answers: Option<Fitted>,
    advice: Option<Fitted>,
    student: Option<Fitted>,
    studio: Option<Fitted>,
    date: Option<Fitted>,
    note: Option<Fitted>,
    logo: Option<(Logo, Size)>,
    /// How the music looks below it.
    pub(crate) look: Look,
    /// The slip at the foot, but for its keys.
    pub(crate) slip: Option<DrillSlip>,
}

impl Header {
    /// Sets the words of the header. Errors where they cannot stand.
    pub(crate) fn new(plan: &DocumentPlan<'_>, chapter: &Chapter<'_>) -> Result<Self, PageError> {
        let sizes = &plan.grown.sizes;
        let [names, advice_column] = columns(plan);
        let style = Style::new(TextFace::Semibold, sizes.drill);
        let (field, title) = plan.sheet_title(chapter);
        let of_answers = format!("{title}, answers");
        let set = |title: &str| fit(field, title, style, sizes.header, names, MOST_TITLE);
        let answers = (plan.times() > 1).then(|| set(&of_answers)).transpose()?;
        let title = set(&title)?;
        let style = Style::new(TextFace::Italic, sizes.body);
        // What to listen for is told of both hands.
        let listen = chapter.drill().listen.as_deref();
        let listen = listen.filter(|_| plan.hands(chapter) == Hands::Together);
        let task = write_in::task(&plan.options.leave_out);
        let said = match &task {
            Some(task) => Some((Whose::Task, task.as_str())),
            None => listen.map(|words| (Whose::Drill(DrillField::Listen), words)),
        };
        let advice = said.map(|(whose, words)| {
            let set = |least, most| paragraph(whose, words, style, least, advice_column, most);
            let own = &plan.page.sizes;
            set(own.body, MOST_ADVICE).or_else(|_| set(own.note, MOST_ADVICE_NARROW))
        });
        let advice = advice.transpose()?;
        let (student, studio, date, note, logo) = (None, None, None, None, None);
        let look = plan.look(chapter);
        let slip =
            (plan.slips == Slips::AtFoot).then(|| DrillSlip::new(plan, chapter)).transpose()?;
        let mut header =
            Self { title, answers, advice, student, studio, date, note, logo, look, slip };
        if plan.options.form == DocumentForm::Handout {
            let height = plan.grown.distances.logo_height;
            header.logo =
                plan.logo.map(|logo| (logo, logo.within(Size::new(WIDEST_LOGO * height, height))));
            let room = plan.width() - header.logo.map_or(0.0, |(_, size)| size.width);
            let columns = match plan.options.date {
                Some(_) => NAMES_AND_DATE,
                None => [0.5, 0.5, 0.0],
            };
            let [student, studio, date] = columns.map(|share| share * room - COLUMN_GAP);
            let name = |field, words: &Option<String>, face, width| {
                let style = Style::new(face, sizes.header);
                let words = words.as_deref();
                words
                    .map(|words| {
                        fit(Whose::Recipe(field), words, style, sizes.least_header, width, 2)
                    })
                    .transpose()
            };
            let BookOptions { student: named, studio: house, date: day, .. } = plan.options;
            header.student = name(RecipeField::Student, named, TextFace::Semibold, student)?;
            header.studio = name(RecipeField::Studio, house, TextFace::Regular, studio)?;
            header.date = name(RecipeField::Date, day, TextFace::Regular, date)?;
        }
        header.note = header.fitted_note(plan)?;
        Ok(header)
    }

    /// The teacher's note as large as it can stand without making the header higher; where it makes
    /// it higher whatever its size, no larger than the notes at the foot.
    fn fitted_note(&self, plan: &DocumentPlan<'_>) -> Result<Option<Fitted>, PageError> {
        let Some(words) = plan.options.note.as_deref() else { return Ok(None) };
        let [_, column] = columns(plan);
        let (grown, own) = (&plan.grown.sizes, &plan.page.sizes);
        let sizes = [grown.body, grown.note, grown.least_header, own.note, own.least_header];
        let set = |size: f64| {
            let style = Style::new(TextFace::Semibold, size);
            let (whose, room) = (Whose::Recipe(RecipeField::Note), column - NOTE_INDENT);
            paragraph(whose, words, style, size, room, NOTE_LINES)
        };
        let fitted = sizes.map(set);
        let live = plan.live(0);
        let is_free = |note: &&Fitted| {
            let with = Self { note: Some((*note).clone()), ..self.clone() };
            with.end(plan, live) >= self.end(plan, live)
        };
        let stand = || fitted.iter().flatten();
        let small = |note: &&Fitted| note.style.size <= grown.note;
        let chosen = stand().find(is_free).or_else(|| stand().find(small));
        match chosen {
            Some(note) => Ok(Some(note.clone())),
            None => set(own.least_header).map(Some).map_err(|error| {
                let style = Style::new(TextFace::Semibold, own.least_header);
                long_note(error, words, style, column - NOTE_INDENT)
            }),
        }
    }

    /// The first baselines of the advice and of the note beside the ring of a header that begins at
    /// `top`, and the last one of both.
    fn beside_ring(&self, top: f64) -> ([f64; 2], Option<f64>) {
        let first = |fitted: &Fitted, above: Option<f64>| match above {
            None => top - typeset::cap_height(fitted.style.face, fitted.style.size),
            Some(above) => above - TO_NOTE * fitted.style.size,
        };
        let last = |fitted: &Fitted, first: f64| {
            first - (fitted.lines.len() - 1) as f64 * leading(fitted.style)
        };
        let (mut firsts, mut end) = ([top; 2], None);
        for (fitted, place) in [&self.advice, &self.note].into_iter().zip(&mut firsts) {
            let Some(fitted) = fitted else { continue };
            *place = first(fitted, end);
            end = Some(last(fitted, *place));
        }
        (firsts, end)
    }

    /// Where the header ends on a page that has this room inside its margins: at the baseline
    /// of the tempo mark, since the ring and the mark end together where the words leave it to
    /// them.
    pub(crate) fn end(&self, plan: &DocumentPlan<'_>, live: Rect) -> f64 {
        self.places(plan, live).tempo
    }

    fn places(&self, plan: &DocumentPlan<'_>, live: Rect) -> Baselines {
        let sizes = &plan.grown.sizes;
        let top = self.running_rule(live).map_or(live.y1, |rule| rule - AFTER_RUNNING);
        let key = top - typeset::cap_height(TextFace::Bold, sizes.key);
        // With answers both titles have their room.
        let titles = || std::iter::once(&self.title).chain(&self.answers);
        let down = |title: &Fitted| KEY_TO_TITLE * title.style.size;
        let title = key - titles().map(down).fold(0.0, f64::max);
        let below = |title: &Fitted| (title.lines.len() - 1) as f64 * leading(title.style);
        let last = title - titles().map(below).fold(0.0, f64::max);
        let tempo = (last - TITLE_TO_TEMPO * sizes.tempo).min(top - plan.grown.distances.ring);
        let (_, last) = self.beside_ring(top);
        let tempo = last.map_or(tempo, |last| tempo.min(last - AFTER_ADVICE * sizes.body));
        Baselines { top, key, title, tempo }
    }

    /// Draws the header of a page.
    pub(crate) fn draw(
        &self,
        board: &mut Board,
        plan: &DocumentPlan<'_>,
        chapter: &Chapter<'_>,
        seen: &Seen<'_>,
    ) {
        let live = board.live;
        let sizes = &plan.grown.sizes;
        let places = self.places(plan, live);
        self.draw_running(board);
        let radius = plan.grown.distances.ring / 2.0;
        let [names, _] = columns(plan);
        board.begin(Kind::Heading(1));
        board.from(live.x0, places.key, title_of(plan, seen, names));
        board.begin(Kind::Heading(2));
        let title = self.answers.as_ref().filter(|_| seen.is_answers).unwrap_or(&self.title);
        lines(board, live.x0, places.title, title);
        let exercise = chapter.exercise;
        let mark = |size| tempo::mark(&exercise.template, seen.feel, exercise.tempo, size);
        board.begin(Kind::Paragraph);
        board.from(live.x0, places.tempo, largest(mark, sizes.tempo, plan.page.sizes.tempo, names));
        let middle = live.x0 + names + COLUMN_GAP;
        let ([to_advice, to_note], _) = self.beside_ring(places.top);
        if let Some(advice) = self.advice.as_ref().filter(|_| !seen.is_answers) {
            board.begin(Kind::Paragraph);
            lines(board, middle, to_advice, advice);
        }
        if let Some(note) = &self.note {
            draw_note(board, middle, to_note, note);
        }
        board.begin(Kind::Paragraph);
        let next = seen.next;
        // No way leads to where one is.
        let shown = Next { page: next.page.filter(|page| *page != seen.page), ..next };
        draw_next(board, plan, shown, Point::new(middle, places.tempo));
        let centre = Point::new(live.x1 - radius, places.top - radius);
        let target = next.has_arrow.then_some(next.key);
        let words: Vec<String> = seen.keys.iter().map(|key| key.words()).collect();
        let words = format!("{} on the ring of keys", words.join(", "));
        board.begin_described(Kind::Figure, words);
        let keys = &plan.keys(chapter);
        KeyRing { centre, radius, keys, here: seen.keys, next: target }.draw(board);
    }

    /// Where the head of a key's further pages ends.
    pub(crate) fn continued_end(plan: &DocumentPlan<'_>, live: Rect) -> f64 {
        live.y1 - typeset::cap_height(TextFace::Semibold, plan.grown.sizes.body)
    }

    /// Draws the head of one of a key's further pages: which one of how many.
    pub(crate) fn draw_continued(
        board: &mut Board,
        plan: &DocumentPlan<'_>,
        (key, is_answers): (Key, bool),
        (nth, of): (usize, usize),
    ) {
        let live = board.live;
        let size = plan.grown.sizes.body;
        let semibold = Style::new(TextFace::Semibold, size);
        let mut phrase = Phrase::key(key, semibold, semibold);
        phrase.words(
            &format!(
                ", {}continued: {} of {of}",
                if is_answers { "answers " } else { "" },
                nth + 1
            ),
            Style::new(TextFace::Regular, size),
        );
        board.begin(Kind::Heading(1));
        board.from(live.x0, Self::continued_end(plan, live), phrase);
    }

    /// The lowest baseline or edge of the line above everything; `None` where there is none.
    fn running_last(&self, live: Rect) -> Option<f64> {
        let names = [&self.student, &self.studio, &self.date].into_iter().flatten().map(|name| {
            let below = (name.lines.len() - 1) as f64 * leading(name.style);
            live.y1 - typeset::cap_height(name.style.face, name.style.size) - below
        });
        let logo = self.logo.map(|(_, size)| live.y1 - size.height);
        names.chain(logo).reduce(f64::min).map(|last| last.min(live.y1))
    }

    /// Where the rule below that line stands.
    fn running_rule(&self, live: Rect) -> Option<f64> {
        self.running_last(live).map(|last| last - BEFORE_RULE)
    }

    /// The line above everything: picture, studio, student, and a rule below them.
    fn draw_running(&self, board: &mut Board) {
        let live = board.live;
        let Some(last) = self.running_last(live) else { return };
        let mut left = live.x0;
        if let Some((logo, Size { width, height })) = self.logo {
            let frame = Rect::new(left, live.y1 - height, left + width, live.y1);
            board.begin_described(Kind::Figure, "the studio's picture");
            board.mark(Mark::Picture { index: logo.index, frame });
            left += width + COLUMN_GAP;
        }
        let date = self.date.as_ref().map_or(0.0, |date| widest(date) + COLUMN_GAP);
        // What ends at the right, and what begins at the left.
        let names = [(&self.studio, None), (&self.student, Some(date)), (&self.date, Some(0.0))];
        for (name, from_right) in names {
            let Some(name) = name else { continue };
            board.begin(Kind::Paragraph);
            let mut y = last + (name.lines.len() - 1) as f64 * leading(name.style);
            for phrase in name.phrases() {
                match from_right {
                    Some(gap) => board.to(live.x1 - gap, y, phrase),
                    None => board.from(left, y, phrase),
                }
                y -= leading(name.style);
            }
        }
        board.begin(Kind::Artifact);
        board.rule(live.x0, live.x1, last - BEFORE_RULE, RULE, Ink::Black);
    }
}

/// What a header says of its page.
pub(crate) struct Seen<'a> {
    /// The keys on it; one at the least.
    pub(crate) keys: &'a [Key],
    /// How their eighths are played.
    pub(crate) feel: Feel,
    /// What comes after them.
    pub(crate) next: Next,
    /// Its index.
    pub(crate) page: usize,
    /// How many pages the key takes.
    pub(crate) of: usize,
    /// Whether it tells the answers of another page.
    pub(crate) is_answers: bool,
}

/// The keys of a page, large: one and its mode, with how many pages it takes where these are
/// several; or a list, no wider than its column.
fn title_of(plan: &DocumentPlan<'_>, seen: &Seen<'_>, width: f64) -> Phrase {
    let sizes = &plan.grown.sizes;
    if let [key] = seen.keys {
        let style = Style::new(TextFace::Bold, sizes.key);
        let name = || Phrase::key(*key, style, Style::new(TextFace::Regular, sizes.key));
        let told = |size: f64| {
            let mut phrase = name();
            phrase.space(sizes.body);
            phrase.words(&format!("1 of {}", seen.of), Style::new(TextFace::Regular, size));
            phrase
        };
        // The heads of the further pages tell it too where there is no room for it here.
        let told = [sizes.body, plan.page.sizes.body].map(told).into_iter();
        let mut told = told.filter(|phrase| seen.of > 1 && phrase.width() <= width);
        return told.next().unwrap_or_else(name);
    }
    let list = |size: f64| {
        let style = Style::new(TextFace::Bold, size);
        let mut phrase = Phrase::default();
        for (index, key) in seen.keys.iter().enumerate() {
            if index > 0 {
                phrase.space(LIST_GAP * size);
            }
            phrase.phrase(Phrase::of(&key.tonic().to_string(), style));
        }
        phrase
    };
    let one = list(sizes.key);
    // Names grow no wider than in proportion to their size.
    let size = sizes.key * (width / one.width()).min(1.0);
    if size < sizes.key { list(size) } else { one }
}

/// Draws the small heading of a key on a page that keys share.
pub(crate) fn draw_small(board: &mut Board, plan: &DocumentPlan<'_>, key: Key, y: f64) {
    board.begin(Kind::Heading(3));
    board.from(board.live.x0, y, small(plan, key));
}

/// That heading: the key's name, short enough to stand over its clef and signature.
pub(crate) fn small(plan: &DocumentPlan<'_>, key: Key) -> Phrase {
    let size = plan.grown.sizes.body;
    let style = Style::new(TextFace::Bold, size);
    Phrase::key(key, style, Style::new(TextFace::Regular, size))
}

/// The baselines of a header, from the top down; `top` is where it begins.
struct Baselines {
    top: f64,
    key: f64,
    title: f64,
    tempo: f64,
}

/// The widths of the two columns of the header left of the ring: names, and advice.
fn columns(plan: &DocumentPlan<'_>) -> [f64; 2] {
    let room = plan.width() - plan.grown.distances.ring - 2.0 * COLUMN_GAP;
    [NAME_COLUMN * room, (1.0 - NAME_COLUMN) * room]
}

/// A line as large as its room allows, from a size down to a least one.
fn largest(line: impl Fn(f64) -> Phrase, size: f64, least: f64, room: f64) -> Phrase {
    let smaller = least + (size - least) / 2.0;
    [size, smaller]
        .map(&line)
        .into_iter()
        .find(|line| line.width() <= room)
        .unwrap_or_else(|| line(least))
}

/// Where to go next, with a way there.
fn draw_next(board: &mut Board, plan: &DocumentPlan<'_>, next: Next, at: Point) {
    let [_, room] = columns(plan);
    let line = |size| next_line(plan, next, size);
    let phrase = largest(line, plan.grown.sizes.body, plan.page.sizes.body, room);
    if let Some(page) = next.page {
        let area = (phrase.ink() + at.to_vec2()).inflate(2.0, 3.0);
        let about = match next.chapter {
            Some(chapter) => plan.chapters[chapter].drill().title.clone(),
            None => next.key.words(),
        };
        board.link(area, page, about);
    }
    board.from(at.x, at.y, phrase);
}

/// Where to go next, in words of a size.
fn next_line(plan: &DocumentPlan<'_>, next: Next, size: f64) -> Phrase {
    let regular = Style::new(TextFace::Regular, size);
    let semibold = Style::new(TextFace::Semibold, size);
    let mut phrase = Phrase::default();
    if let Some(chapter) = next.chapter {
        phrase.words("Next: ", regular);
        phrase.words(&format!("drill {}", chapter + 1), semibold);
    } else {
        let lead = match next.page {
            Some(_) if next.is_again => "Again from ",
            Some(_) => "Next: ",
            None => "Next in the round: ",
        };
        phrase.words(lead, regular);
        phrase.phrase(Phrase::key(next.key, semibold, semibold));
    }
    if let Some(page) = next.page {
        phrase.words(&format!(", page {}", plan.number(page)), regular);
    }
    phrase
}

/// Lines one below another from a first baseline; returns the baseline that would be next.
pub(crate) fn lines(board: &mut Board, left: f64, first: f64, fitted: &Fitted) -> f64 {
    let mut y = first;
    for phrase in fitted.phrases() {
        board.from(left, y, phrase);
        y -= leading(fitted.style);
    }
    y
}

/// The refusal of a note, with how much of it there is room for where it is too long.
pub(crate) fn long_note(error: Unfit<Whose>, note: &str, style: Style, width: f64) -> PageError {
    match error {
        Unfit::TooLong { .. } => PageError::LongNote {
            length: note.chars().count(),
            room: room_for(note, style, width, NOTE_LINES),
        },
        Unfit::Unshowable { .. } => error.into(),
    }
}

/// Draws the teacher's note behind an upright rule, from a first baseline.
pub(crate) fn draw_note(board: &mut Board, left: f64, first: f64, note: &Fitted) {
    board.begin(Kind::Paragraph);
    let next = lines(board, left + NOTE_INDENT, first, note);
    let above = typeset::cap_height(note.style.face, note.style.size);
    let below = next + leading(note.style) - NOTE_BELOW * note.style.size;
    board.upright(left + NOTE_RULE / 2.0, [below, first + above], NOTE_RULE);
}

/// The width of the widest line.
fn widest(fitted: &Fitted) -> f64 {
    fitted.phrases().map(|phrase| phrase.width()).fold(0.0, f64::max)
}
