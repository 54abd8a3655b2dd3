//! The plan of a book: which pages it has, in which order, and how they refer to one another.

mod making;

use std::borrow::Cow;

use kurbo::{Rect, Size};

use crate::book::spelled::ChordTable;
use crate::book::write_in;
use crate::book::{BookOptions, DocumentForm, PacketPart, PageError, PageTemplate, Whose};
use crate::canvas::PageNumber;
use crate::canvas::board::Board;
use crate::canvas::paper::{self, Binding, Orientation};
use crate::drill::{Exercise, Hands, Template};
use crate::engrave::{Look, Staves};
use crate::source::DrillField;
use crate::theory::{Key, Mode, Spelling};

/// The index of the cover, and of the first page of the contents.
pub(crate) const COVER: usize = 0;
pub(crate) const CONTENTS: usize = 1;

/// The titles of pages, as their headings, the contents and the outline give them.
pub(crate) const CONTENTS_TITLE: &str = "Contents";
pub(crate) const HOW_TO_TITLE: &str = "How to practise";
pub(crate) const LOG_TITLE: &str = "Practice log";
pub(crate) const TERM_TITLE: &str = "Term plan";
pub(crate) const SLIPS_TITLE: &str = "Return slips";

/// Where the return slips of a document stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Slips {
    /// There are none.
    Nowhere,
    /// Each at the foot of its sheet.
    AtFoot,
    /// On so many pages behind all others.
    OnPages(usize),
}

/// A picture of the document.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Logo {
    /// Its index among the pictures.
    pub(crate) index: usize,
    /// Width over height.
    aspect: f64,
}

impl Logo {
    /// Its largest size inside a box.
    pub(crate) fn within(self, room: Size) -> Size {
        let wide = room.height * self.aspect;
        if wide <= room.width {
            Size::new(wide, room.height)
        } else {
            Size::new(room.width, room.width / self.aspect)
        }
    }
}

/// The key that follows, and the page it stands on where the document has it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Next {
    pub(crate) key: Key,
    pub(crate) page: Option<usize>,
    /// Whether that page stands before this one: the keys of the document are done.
    pub(crate) is_again: bool,
    /// Whether an arrow leads there: not from a last page to one that is not there.
    pub(crate) has_arrow: bool,
    /// The index of the drill that follows, after the last key of a drill of a course; the page
    /// is then the one that this drill begins on.
    pub(crate) chapter: Option<usize>,
}

/// A drill of the document, in all its keys.
#[derive(Clone, Debug)]
pub(crate) struct Chapter<'a> {
    /// Its place in the document.
    pub(crate) index: usize,
    pub(crate) exercise: &'a Exercise,
    /// The index of the page that says what it is, in the workbook of a course.
    pub(crate) opening: Option<usize>,
    /// The index of the page of its first key.
    pub(crate) first_page: usize,
    /// How its keys share pages out among them.
    pub(crate) allotment: Allotment,
}

/// How keys share pages out among them: several to a page, or several pages to a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Allotment {
    /// How many keys stand on a page.
    pub(crate) keys: usize,
    /// How many pages a key takes.
    pub(crate) pages: usize,
    /// How often these pages come: twice where answers follow.
    pub(crate) times: usize,
    /// The logs among them.
    pub(crate) logs: LogsAmong,
}

/// The pages of the practice log among those of keys.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct LogsAmong {
    /// After how many sheets they come; never where that is 0.
    every: usize,
    /// How many sheets of other drills stand between the last of them and the first sheet.
    since: usize,
    /// How many pages each takes: an opening of the book where sheets do.
    pages: usize,
}

impl LogsAmong {
    /// How many pages of them stand before the sheet at an index.
    fn before(self, sheet: usize) -> usize {
        match self.every {
            0 => 0,
            every => (self.since + sheet) / every * self.pages,
        }
    }
}

impl Allotment {
    /// A page to a key.
    pub(crate) const ALONE: Self =
        Self { keys: 1, pages: 1, times: 1, logs: LogsAmong { every: 0, since: 0, pages: 0 } };

    /// The first page of the key at an index.
    fn page(self, index: usize) -> usize {
        let sheet = index / self.keys;
        sheet * self.turn() + self.logs.before(sheet)
    }

    /// How many pages so many keys take.
    fn all(self, keys: usize) -> usize {
        let sheets = keys.div_ceil(self.keys);
        sheets * self.turn() + self.logs.before(sheets)
    }

    /// How many pages the keys of one page take, with their answers.
    pub(crate) fn turn(self) -> usize {
        self.pages * self.times
    }
}

impl<'a> Chapter<'a> {
    /// What the drill says of itself.
    pub(crate) fn drill(&self) -> &'a Template {
        &self.exercise.template
    }

    /// Its number, from 1.
    pub(crate) fn number(&self) -> usize {
        self.index + 1
    }

    /// The index of the first page of the key at an index.
    pub(crate) fn key_page(&self, index: usize) -> usize {
        self.first_page + self.allotment.page(index)
    }

    /// The index of its very first page.
    pub(crate) fn start(&self) -> usize {
        self.opening.unwrap_or(self.first_page)
    }
}

/// What every page of a document needs to know.
#[derive(Clone, Debug)]
pub(crate) struct DocumentPlan<'a> {
    pub(crate) options: &'a BookOptions,
    pub(crate) chapters: Vec<Chapter<'a>>,
    pub(crate) page: &'static PageTemplate,
    /// The same for the sheets of keys, whose type grows with large staves, and how much.
    pub(crate) grown: PageTemplate,
    pub(crate) growth: f64,
    /// The title, after the field it comes from.
    pub(crate) title: (Whose, Cow<'a, str>),
    pub(crate) logo: Option<Logo>,
    /// How many pages the contents take, and how many the advice on practice does.
    pub(crate) contents: usize,
    pub(crate) how_to: usize,
    /// How many pages each part of a study packet takes that stands before the drills.
    pub(crate) packet: Vec<usize>,
    /// How many the plan of the term takes.
    pub(crate) term: usize,
    /// The height of a row of their table of drills, in ems.
    pub(crate) contents_row: f64,
    /// The tables of spelled chords, one page each.
    pub(crate) tables: Vec<ChordTable>,
    /// The indices of the pages of the practice log of a workbook: behind the keys, or before
    /// them where it lets spreads begin on a left page.
    pub(crate) logs: Vec<usize>,
    /// The index of the first page of return slips; behind the last page where there are none.
    pub(crate) slips_page: usize,
    /// Where the return slips stand.
    pub(crate) slips: Slips,
    /// How many pages there are.
    pub(crate) pages: usize,
    /// Whether a tonic stands for all its keys: every drill goes through all tonics of the document.
    /// Where drills have keys of their own, a major key and the minor one on its tonic are two.
    pub(crate) is_of_tonics: bool,
    /// How high the staves are, and what they may shrink to.
    pub(crate) staves: Staves,
}

/// Pages.
impl DocumentPlan<'_> {
    pub(crate) fn sheet(&self) -> Size {
        paper::size(self.options.paper, self.options.orientation)
    }

    /// How often the pages of a key come: once more for the answers.
    pub(crate) fn times(&self) -> usize {
        let is_partial = write_in::task(&self.options.leave_out).is_some();
        if is_partial && self.options.answers { 2 } else { 1 }
    }

    /// How the music of a sheet looks that is to be written in.
    pub(crate) fn partial_look(&self, chapter: &Chapter<'_>) -> Look {
        Look { blanks: write_in::blanks(&self.options.leave_out), ..self.look(chapter) }
    }

    /// How the music of a drill looks.
    pub(crate) fn look(&self, chapter: &Chapter<'_>) -> Look {
        self.options.own.get(chapter.index).map_or(self.options.look, |(look, _)| *look)
    }

    /// Which hands play a drill.
    pub(crate) fn hands(&self, chapter: &Chapter<'_>) -> Hands {
        self.options.own.get(chapter.index).map_or(self.options.hands, |(_, hands)| *hands)
    }

    /// Whether pages are wider than they are high.
    pub(crate) fn is_wide(&self) -> bool {
        self.options.orientation == Orientation::Landscape
    }

    /// The part of a page inside the margins.
    pub(crate) fn live(&self, page: usize) -> Rect {
        let mut live = self.page.live(self.sheet());
        // Pages with an even index lie on the right of the book, its first one among them.
        let is_right = page.is_multiple_of(2);
        match (self.options.binding, is_right) {
            (Binding::None, _) => {}
            (Binding::Left, _) | (Binding::Duplex, true) => live.x0 += paper::GUTTER,
            // The brace needs its room at the left here too.
            (Binding::Duplex, false) => live.x1 -= paper::GUTTER,
        }
        live
    }

    /// The width inside the margins: the same on every page.
    pub(crate) fn width(&self) -> f64 {
        self.live(0).width()
    }

    /// The staff space, in points.
    pub(crate) fn space(&self) -> f64 {
        self.staves.largest / 4.0
    }

    /// An empty page.
    pub(crate) fn board(&self, page: usize) -> Board {
        Board::new(self.sheet(), self.live(page), self.number(page).into())
    }

    /// The number of the page at an index: the front of a workbook in roman figures, then from
    /// 1.
    pub(crate) fn number(&self, page: usize) -> PageNumber {
        match page.checked_sub(self.front()) {
            Some(page) => PageNumber::arabic(page + 1),
            None => PageNumber::roman(page + 1),
        }
    }

    pub(crate) fn is_workbook(&self) -> bool {
        self.options.form == DocumentForm::Workbook
    }

    /// How many pages stand before the drills of a workbook: an even number, so that their first
    /// page, numbered 1, lies on the right.
    fn front(&self) -> usize {
        self.words_before().next_multiple_of(2)
    }

    /// How many of these are full of words, not a practice log.
    fn words_before(&self) -> usize {
        if self.is_workbook() { self.term_page() + self.term } else { 0 }
    }

    pub(crate) fn how_to_page(&self) -> usize {
        self.packet_page(self.packet.len())
    }

    /// The first page of a part of a study packet; of the one after the last, what follows them.
    pub(crate) fn packet_page(&self, part: usize) -> usize {
        CONTENTS + self.contents + self.packet.iter().take(part).sum::<usize>()
    }

    /// The parts of a study packet before the drills, each with its first page.
    pub(crate) fn packet_parts(&self) -> impl Iterator<Item = (&PacketPart, usize)> {
        let parts = self.options.packet.iter().flat_map(|packet| &packet.parts);
        parts.enumerate().map(|(index, part)| (part, self.packet_page(index)))
    }

    /// The page of the table of chords at an index.
    pub(crate) fn chords_page(&self, table: usize) -> usize {
        self.how_to_page() + self.how_to + table
    }
}

/// Drills and keys.
impl DocumentPlan<'_> {
    /// The title at the head of a drill's sheets, after the field it comes from.
    pub(crate) fn sheet_title(&self, chapter: &Chapter<'_>) -> (Whose, String) {
        let (field, title) = if self.options.is_course {
            (DRILL_TITLE, chapter.drill().title.as_str())
        } else {
            (self.title.0, &*self.title.1)
        };
        (field, format!("{title}{}", self.hands(chapter).alone()))
    }

    /// The title of a drill with the hand that plays it alone.
    pub(crate) fn title_with_hand(&self, chapter: &Chapter<'_>) -> String {
        format!("{}{}", chapter.drill().title, self.hands(chapter).alone())
    }

    /// The title of a drill where the document lists its drills: with the hand that plays it alone
    /// if the drill is there for other hands too.
    pub(crate) fn listed_title(&self, chapter: &Chapter<'_>) -> String {
        let title = &chapter.drill().title;
        let is_other =
            |other: &Chapter<'_>| other.index != chapter.index && other.drill().title == *title;
        match self.chapters.iter().any(is_other) {
            true => self.title_with_hand(chapter),
            false => title.clone(),
        }
    }

    /// The keys of a drill, major or minor as it has them.
    pub(crate) fn keys(&self, chapter: &Chapter<'_>) -> Vec<Key> {
        chapter.exercise.keys.clone()
    }

    /// The keys that any drill has, in the order of the document, each as the first drill that has it
    /// spells it, with the page of that drill.
    pub(crate) fn all_keys(&self) -> Vec<(Key, usize)> {
        let first = |key: &Key| {
            self.chapters.iter().find_map(|chapter| {
                let page = self.page_of(chapter, *key)?;
                let mut own = chapter.exercise.keys.iter();
                let own = own.find(|own| own.place_in_round() == key.place_in_round())?;
                Some((*own, page))
            })
        };
        self.options.keys.iter().filter_map(first).collect()
    }

    /// The keys of the document in a mode, spelled as the drills of its tonality have them.
    pub(crate) fn keys_in(&self, mode: Mode) -> Vec<Key> {
        let like = |chapter: &&Chapter<'_>| chapter.drill().mode.is_minor() == mode.is_minor();
        let own = || self.chapters.iter().filter(like).flat_map(|chapter| &chapter.exercise.keys);
        let as_had = |key: &Key| {
            let same = own().find(|own| own.place_in_round() == key.place_in_round());
            same.copied().unwrap_or(*key).in_mode(mode)
        };
        self.options.keys.iter().map(as_had).collect()
    }

    /// The index of the first page of the plan of the term.
    pub(crate) fn term_page(&self) -> usize {
        self.chords_page(self.tables.len())
    }

    /// The index of the page of a key of a drill that sounds like `key`.
    pub(crate) fn page_of(&self, chapter: &Chapter<'_>, key: Key) -> Option<usize> {
        let place = key.place_in_round();
        let keys = &chapter.exercise.keys;
        let index = keys.iter().position(|own| own.place_in_round() == place)?;
        Some(chapter.key_page(index))
    }

    /// The pages of a drill in one key, or in all of its keys.
    pub(crate) fn pages_of(&self, drill: usize, key: Option<Key>) -> Vec<usize> {
        let Some(chapter) = self.chapters.get(drill) else { return Vec::new() };
        let keys = chapter.exercise.keys.iter().enumerate();
        let own = keys
            .filter(|(_, own)| key.is_none_or(|key| own.place_in_round() == key.place_in_round()));
        let pages = own.flat_map(|(index, _)| {
            let first = chapter.key_page(index);
            first..first + chapter.allotment.pages
        });
        let mut pages: Vec<usize> = pages.collect();
        pages.dedup();
        pages
    }

    /// The keys that the document counts, each as the first drill that has it spells it: its tonics,
    /// or where drills have keys of their own, the major and the minor ones on each.
    pub(crate) fn counted_keys(&self) -> Vec<Key> {
        if self.is_of_tonics {
            return self.options.keys.clone();
        }
        let on = |tonic: &Key, is_minor: bool| {
            let mut all = self.chapters.iter().flat_map(|chapter| &chapter.exercise.keys);
            let same = |own: &&Key| {
                own.place_in_round() == tonic.place_in_round() && own.is_minor() == is_minor
            };
            all.find(same).copied()
        };
        let tonics = self.options.keys.iter();
        tonics.flat_map(|tonic| [on(tonic, false), on(tonic, true)]).flatten().collect()
    }

    /// What follows the key at an index of a drill: the document's next key; after its last, the
    /// next drill, and after the last of all, the next key of the round.
    pub(crate) fn next(&self, chapter: &Chapter<'_>, index: usize) -> Next {
        let keys = self.keys(chapter);
        let following = keys.get(index + 1).copied();
        let key = following.unwrap_or_else(|| {
            if !self.options.in_round {
                return keys[0];
            }
            let next = keys[index].next_in_round(Spelling::Customary).in_mode(chapter.drill().mode);
            let own = keys.iter().find(|own| own.place_in_round() == next.place_in_round());
            // Where that key stands inside, the keys have an order of their own, and begin again.
            own.map_or(next, |_| keys[0])
        });
        if let (None, Some(after)) = (following, self.chapters.get(chapter.index + 1)) {
            let (page, chapter) = (Some(after.start()), Some(after.index));
            return Next { key, page, chapter, is_again: false, has_arrow: true };
        }
        // Behind drills in keys of their own, and those of a tune, the round goes nowhere: they
        // begin again.
        let first = &self.chapters[0];
        let has_no_round = !self.is_of_tonics || self.options.packet.is_some();
        if following.is_none() && self.chapters.len() > 1 && has_no_round {
            let (key, page) = (self.keys(first)[0], Some(first.key_page(0)));
            return Next { key, page, chapter: None, is_again: true, has_arrow: true };
        }
        let page = self.page_of(chapter, key).filter(|_| keys.len() > 1);
        let is_again = page.is_some() && following.is_none();
        Next { key, page, chapter: None, is_again, has_arrow: page.is_some() || keys.len() == 1 }
    }
}

/// The field that a drill's title comes from.
pub(crate) const DRILL_TITLE: Whose = Whose::Drill(DrillField::Title);

/// The same refusal with the name of its drill, in a document that has several.
pub(crate) fn in_drill(
    error: PageError,
    plan: &DocumentPlan<'_>,
    chapter: &Chapter<'_>,
) -> PageError {
    if plan.options.is_course {
        PageError::InDrill { drill: chapter.drill().name.clone(), error: Box::new(error) }
    } else {
        error
    }
}
