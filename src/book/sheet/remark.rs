//! Remarks at the foot of a sheet: where a voicing yielded, and what is wide for the hand.

use crate::book::plan::DocumentPlan;
use crate::canvas::Kind;
use crate::canvas::board::Board;
use crate::score::{ChordInBars, LeftOut, LowChord, Score, UntoldChord};
use crate::theory::{Chord, Interval, chord_symbol, tone_words};
use crate::typeset::TextFace;
use crate::typeset::line::{Phrase, Style, in_lines};

/// Chords that are named one by one, as many as a key has of its own; more are counted.
const MOST_NAMED: usize = 7;
/// Chords of one remark that stand together where all of them do not fit on a line.
const TOGETHER: usize = 3;

/// How the chords of a remark are told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum ToldChords {
    /// By name, all in one sentence.
    InOne,
    /// By name, in sentences of a few.
    Apart,
    /// How many they are.
    Counted,
}

impl ToldChords {
    /// Chords that are named at the most, of one remark.
    fn most(self) -> usize {
        if self == Self::Counted { 0 } else { MOST_NAMED }
    }

    /// Chords of one sentence.
    fn together(self) -> usize {
        match self {
            Self::InOne => MOST_NAMED,
            Self::Apart => TOGETHER,
            Self::Counted => 1,
        }
    }
}

/// The chords of a score that there is something to say about.
#[derive(Clone, Debug)]
pub(crate) struct Remarkable {
    low: Vec<LowChord>,
    thick: Vec<ChordInBars>,
    untold: Vec<UntoldChord>,
    wide: Vec<ChordInBars>,
}

impl Remarkable {
    pub(crate) fn of(score: &Score) -> Self {
        Self {
            low: score.low_chords.clone(),
            thick: score.thick_chords.clone(),
            untold: score.untold_chords.clone(),
            wide: score.wide_chords.clone(),
        }
    }

    /// Those of several scores together.
    pub(crate) fn joined<'a>(all: impl IntoIterator<Item = &'a Self>) -> Self {
        let mut joined =
            Self { low: Vec::new(), thick: Vec::new(), untold: Vec::new(), wide: Vec::new() };
        for own in all {
            add_new(&mut joined.low, &own.low);
            add_new(&mut joined.thick, &own.thick);
            add_new(&mut joined.untold, &own.untold);
            add_new(&mut joined.wide, &own.wide);
        }
        joined
    }
}

/// Adds what is not there yet: keys have chords in common.
fn add_new<T: Clone + PartialEq>(all: &mut Vec<T>, own: &[T]) {
    for one in own {
        if !all.contains(one) {
            all.push(one.clone());
        }
    }
}

/// The lines of remarks of a sheet: which left-hand chords lost notes because they lie low or
/// sound thick there, and which chords are wider than is comfortable for the hand. All on one
/// line, in smaller type if need be; on several where that does not do.
pub(crate) fn lines(plan: &DocumentPlan<'_>, chords: &Remarkable) -> Vec<Phrase> {
    let (largest, least) = (plan.grown.sizes.folio, plan.page.sizes.folio);
    // The page number stands at the other end of the line.
    let room = plan.width() - 3.0 * largest;
    let set = |telling, size| {
        in_lines(Phrase::default(), remarks(plan, chords, (telling, size)), size / 2.0, room)
    };
    let fits = |lines: &Vec<Phrase>| lines.iter().all(|line| line.width() <= room);
    // Where names are wider than the page, they are told apart; where that does not do, counted.
    let ways = [ToldChords::InOne, ToldChords::Apart];
    let telling = ways.into_iter().find(|way| fits(&set(*way, least)));
    let telling = telling.unwrap_or(ToldChords::Counted);
    let mut lines = Vec::new();
    for size in [largest, (largest + least) / 2.0, least] {
        lines = set(telling, size);
        if lines.len() <= 1 && fits(&lines) {
            break;
        }
    }
    lines
}

/// Draws those lines, the last beside the page number.
pub(crate) fn draw(board: &mut Board, plan: &DocumentPlan<'_>, page: usize, lines: Vec<Phrase>) {
    board.begin(Kind::Paragraph);
    let live = board.live;
    let mut y = live.y0;
    for line in lines.into_iter().rev() {
        if page.is_multiple_of(2) {
            board.from(live.x0, y, line);
        } else {
            board.to(live.x1, y, line);
        }
        y += leading(plan);
    }
}

/// From one line of remarks to the next, in points.
pub(crate) fn leading(plan: &DocumentPlan<'_>) -> f64 {
    1.4 * plan.grown.sizes.folio
}

/// The tones that low chords leave out, in words, what is missed most first, each with its chords.
fn left_out(low: &[LowChord]) -> Vec<(String, Vec<ThinChord<'_>>)> {
    let mut told: Vec<(String, Vec<ThinChord<'_>>)> = Vec::new();
    for left_out in LeftOut::ALL {
        for low in low.iter().filter(|low| low.left_out == left_out) {
            let (tone, own) = (low.words(), (low.chord, low.bars.as_slice()));
            match told.iter_mut().find(|(known, _)| *known == tone) {
                Some((_, chords)) => chords.push(own),
                None => told.push((tone, vec![own])),
            }
        }
    }
    told
}

/// All remarks, in words of a size.
fn remarks(
    plan: &DocumentPlan<'_>,
    chords: &Remarkable,
    (telling, size): (ToldChords, f64),
) -> Vec<Phrase> {
    let style = Style::new(TextFace::Italic, size);
    let (most, together) = (telling.most(), telling.together());
    let mut remarks = Vec::new();
    let low = left_out(&chords.low);
    for (place, (tone, own)) in low.iter().enumerate() {
        let is_last = place + 1 == low.len();
        let words = match place {
            0 => format!("Low down the left hand leaves out {tone} of "),
            _ if is_last => format!("and {tone} of "),
            _ => format!("{tone} of "),
        };
        let mut phrase = Phrase::of(&words, style);
        name(&mut phrase, plan, (own, most), style);
        phrase.words(if is_last { "." } else { "," }, style);
        remarks.push(phrase);
    }
    let lacking = |it: &UntoldChord| (it.tones.clone(), it.lacks_bass);
    let mut untold: Vec<(Vec<Interval>, bool)> = Vec::new();
    add_new(&mut untold, &chords.untold.iter().map(lacking).collect::<Vec<_>>());
    for (tones, lacks_bass) in untold {
        let own =
            chords.untold.iter().filter(|it| it.tones == tones && it.lacks_bass == lacks_bass);
        let own: Vec<ThinChord<'_>> = own.map(|it| (it.chord, it.bars.as_slice())).collect();
        let bass = lacks_bass.then(|| "the bass".to_owned());
        let tones: Vec<String> = tones.iter().map(|tone| tone_words(*tone)).chain(bass).collect();
        let mut words = format!("No hand plays {} of ", tones.join(" and "));
        // Too many to be named are counted, all at once.
        let size = if own.len() > most { own.len() } else { together };
        let count = own.chunks(size).len();
        for (place, own) in own.chunks(size).enumerate() {
            let mut phrase = Phrase::of(&words, style);
            name(&mut phrase, plan, (own, most), style);
            phrase.words(if place + 1 == count { "." } else { "," }, style);
            remarks.push(phrase);
            "nor of ".clone_into(&mut words);
        }
    }
    let mut phrase = Phrase::of("Low down in the left hand ", style);
    if let Some(one) = name(&mut phrase, plan, (&thin(&chords.thick), most), style) {
        let words = if one { "sounds thick: play it" } else { "sound thick: play them" };
        phrase.words(&format!(" {words} softly."), style);
        remarks.push(phrase);
    }
    let mut phrase = Phrase::default();
    if let Some(one) = name(&mut phrase, plan, (&thin(&chords.wide), most), style) {
        let words = if one {
            " is wide for this hand: roll it or leave a note out; stop where it strains."
        } else {
            " are wide for this hand: roll them or leave notes out; stop where it strains."
        };
        phrase.words(words, style);
        remarks.push(phrase);
    }
    remarks
}

/// White between slanted words and an upright symbol besides the space between words, in ems.
const LEANS: f64 = 0.12;

/// A chord, and the bars that are meant where it is not all.
type ThinChord<'a> = (Chord, &'a [i32]);

/// Adds the names of chords, or how many they are; whether it is only one. `None` where there is
/// not even one.
fn name(
    phrase: &mut Phrase,
    plan: &DocumentPlan<'_>,
    (chords, most): (&[ThinChord<'_>], usize),
    style: Style,
) -> Option<bool> {
    if chords.len() > most.max(1) {
        phrase.words(&format!("{} chords", chords.len()), style);
        return Some(false);
    }
    let some_have_bars = chords.iter().any(|(_, bars)| !bars.is_empty());
    for (index, (chord, bars)) in chords.iter().enumerate() {
        let joint = match index {
            0 => "",
            _ if index + 1 == chords.len() => " and ",
            _ => ", ",
        };
        phrase.words(joint, style);
        // Slanted words lean over the white behind them.
        phrase.space(LEANS * style.size);
        let parts = chord_symbol(*chord, plan.options.look.symbols);
        phrase.phrase(Phrase::harmony(&parts, Style::new(TextFace::Regular, style.size)));
        if let [first, others @ ..] = bars {
            let word = if others.is_empty() { "bar" } else { "bars" };
            let others: String = others.iter().map(|bar| format!(", {bar}")).collect();
            phrase.words(&format!(" ({word} {first}{others})"), style);
        } else if some_have_bars {
            phrase.words(" (always)", style);
        }
    }
    (!chords.is_empty()).then_some(chords.len() == 1)
}

fn thin(chords: &[ChordInBars]) -> Vec<ThinChord<'_>> {
    chords.iter().map(|it| (it.chord, it.bars.as_slice())).collect()
}
