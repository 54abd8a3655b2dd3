//! The reader reads: whatever is changed on a page before it is written, it notices.

use kurbo::{Affine, PathEl, Shape as _, Vec2};
use quintfall::glyphs::Sign;
use quintfall::page::canvas::{Document, Mark};

use crate::book::{Found, check, document, handout, pdf};

const DRILL: &str = "pushed";
const KEY: &str = "Ab";

fn sheet() -> Document {
    document(&handout(DRILL, &[KEY]))
}

/// What the reader says of a changed document.
fn read(changed: &Document) -> Result<Found, String> {
    let recipe = handout(DRILL, &[KEY]);
    let template = quintfall::pipeline::templates(&recipe).expect("a sound template").remove(0);
    check(&pdf(changed), &template, &recipe.keys, &recipe)
}

fn marks(document: &mut Document) -> &mut Vec<Mark> {
    let music = |mark: &Mark| matches!(mark, Mark::Sign { sign: Sign::GClef, .. });
    let page = document.pages.iter_mut().find(|page| page.marks.iter().any(music));
    &mut page.expect("a page of music").marks
}

/// The em of the staff's signs: four spaces.
fn em(document: &mut Document) -> f64 {
    let clef = marks(document).iter().find_map(|mark| match mark {
        Mark::Sign { sign: Sign::GClef, size, .. } => Some(*size),
        _ => None,
    });
    clef.expect("a clef")
}

/// The middle lines of the staves, from their clefs.
fn middles(marks: &[Mark]) -> Vec<f64> {
    let middle = |mark: &Mark| match mark {
        Mark::Sign { sign: Sign::GClef, at, size, .. } => Some(at.y + size / 4.0),
        Mark::Sign { sign: Sign::FClef, at, size, .. } => Some(at.y - size / 4.0),
        _ => None,
    };
    marks.iter().filter_map(middle).collect()
}

/// Whether a mark stands at a staff: nine spaces above its middle line to fifteen below.
fn is_music(mark: &Mark, middles: &[f64], em: f64) -> bool {
    let y = match mark {
        Mark::Sign { at, .. } | Mark::Text { at, .. } => at.y,
        Mark::Line { from, to, .. } => (from.y + to.y) / 2.0,
        Mark::Fill { path, .. } | Mark::Stroke { path, .. } => path.bounding_box().center().y,
        Mark::Picture { frame, .. } => frame.center().y,
    };
    let reach = -15.0 * em / 4.0..9.0 * em / 4.0;
    middles.iter().any(|middle| reach.contains(&(y - middle)))
}

fn is(mark: &Mark, wanted: Sign) -> bool {
    matches!(mark, Mark::Sign { sign, .. } if *sign == wanted)
}

fn is_tie(mark: &Mark, em: f64) -> bool {
    let Mark::Fill { path, .. } = mark else { return false };
    let curved = path.elements().iter().any(|element| matches!(element, PathEl::CurveTo(..)));
    curved && path.bounding_box().height() < em / 2.0
}

#[track_caller]
fn caught(what: &str, document: &Document) {
    let said = read(document).err().unwrap_or_else(|| panic!("{what} went unnoticed"));
    println!("{what}: {said}");
}

/// Changes the `index`th mark that `pick` picks and expects the reader to notice.
#[track_caller]
fn tamper(what: &str, pick: impl Fn(&Mark) -> bool, index: usize, change: impl Fn(&mut Mark)) {
    let mut document = sheet();
    let em = em(&mut document);
    let all = marks(&mut document);
    let middles = middles(all);
    let mut picked = all.iter_mut().filter(|mark| is_music(mark, &middles, em) && pick(mark));
    let picked = picked.nth(index);
    change(picked.unwrap_or_else(|| panic!("{what}: no such mark")));
    caught(what, &document);
}

#[track_caller]
fn remove(what: &str, pick: impl Fn(&Mark) -> bool, index: usize) {
    let mut document = sheet();
    let em = em(&mut document);
    let all = marks(&mut document);
    let middles = middles(all);
    let is_picked = |at: &usize| is_music(&all[*at], &middles, em) && pick(&all[*at]);
    let place = (0..all.len()).filter(is_picked).nth(index);
    let place = place.unwrap_or_else(|| panic!("{what}: no such mark"));
    all.remove(place);
    caught(what, &document);
}

fn raise(mark: &mut Mark, by: f64) {
    match mark {
        Mark::Sign { at, .. } | Mark::Text { at, .. } => at.y += by,
        Mark::Line { from, to, .. } => {
            from.y += by;
            to.y += by;
        }
        Mark::Fill { path, .. } | Mark::Stroke { path, .. } => {
            path.apply_affine(Affine::translate(Vec2::new(0.0, by)));
        }
        Mark::Picture { frame, .. } => *frame = *frame + Vec2::new(0.0, by),
    }
}

fn turn_into(mark: &mut Mark, new: Sign) {
    let Mark::Sign { sign, .. } = mark else { panic!("a sign") };
    *sign = new;
}

#[test]
fn an_untouched_sheet_is_right() {
    read(&sheet()).unwrap();
}

#[test]
fn every_head_moved_by_half_a_space_is_noticed() {
    let space = em(&mut sheet()) / 4.0;
    let heads = [Sign::NoteheadBlack, Sign::NoteheadHalf, Sign::NoteheadWhole];
    let is_head = |mark: &Mark| heads.iter().any(|sign| is(mark, *sign));
    let count = marks(&mut sheet()).iter().filter(|mark| is_head(mark)).count();
    assert!(count > 140, "{count} heads");
    for index in (0..count).step_by(7) {
        for by in [0.5, -0.5, 0.2] {
            let what = format!("head {index} moved by {by} spaces");
            tamper(&what, is_head, index, |mark| raise(mark, by * space));
        }
    }
}

#[test]
fn other_heads_missing_heads_and_heads_too_many_are_noticed() {
    let black = |mark: &Mark| is(mark, Sign::NoteheadBlack);
    for index in [0, 11, 40, 70] {
        tamper("a half head for a black one", black, index, |mark| {
            turn_into(mark, Sign::NoteheadHalf);
        });
        remove("a head left out", black, index);
    }
    let mut document = sheet();
    let space = em(&mut document) / 4.0;
    let all = marks(&mut document);
    let mut extra = all.iter().find(|mark| black(mark)).expect("a head").clone();
    raise(&mut extra, 2.0 * space);
    all.push(extra);
    caught("a head too many", &document);
}

#[test]
fn signatures_and_clefs_are_read() {
    let space = em(&mut sheet()) / 4.0;
    let flat = |mark: &Mark| is(mark, Sign::AccidentalFlat);
    for index in [0, 3, 5, 9] {
        remove("a flat left out of the signature", flat, index);
        tamper("a flat on the wrong line", flat, index, |mark| raise(mark, space / 2.0));
        tamper("a sharp for a flat", flat, index, |mark| turn_into(mark, Sign::AccidentalSharp));
    }
    let clef = |mark: &Mark| is(mark, Sign::FClef);
    tamper("the other clef", clef, 0, |mark| turn_into(mark, Sign::GClef));
    tamper("a clef on the wrong line", clef, 1, |mark| raise(mark, space));
    remove("a clef left out", clef, 0);
    let figure = |mark: &Mark| is(mark, Sign::TimeSig4);
    tamper("another metre", figure, 0, |mark| turn_into(mark, Sign::TimeSig3));
}

#[test]
fn an_accidental_that_should_not_be_there_is_noticed() {
    let mut document = sheet();
    let space = em(&mut document) / 4.0;
    let all = marks(&mut document);
    let mut natural =
        all.iter().filter(|mark| is(mark, Sign::NoteheadBlack)).nth(5).expect("a head").clone();
    turn_into(&mut natural, Sign::AccidentalNatural);
    let Mark::Sign { at, .. } = &mut natural else { panic!("a sign") };
    at.x -= 1.0 * space;
    all.push(natural);
    caught("a natural before a note", &document);
}

#[test]
fn rhythm_is_read() {
    let em = em(&mut sheet());
    let line = |mark: &Mark| match mark {
        Mark::Line { from, to, .. } => {
            let length = from.distance(*to);
            from.x == to.x && length < 2.2 * em && length > em / 2.0
        }
        _ => false,
    };
    remove("a stem left out", line, 3);
    remove("a flag left out", |mark| is(mark, Sign::Flag8thDown) || is(mark, Sign::Flag8thUp), 0);
    remove("a dot left out", |mark| is(mark, Sign::AugmentationDot), 0);
    remove("a rest left out", |mark| is(mark, Sign::Rest8th), 0);
    let straight = |mark: &Mark| match mark {
        Mark::Fill { path, .. } => {
            let curved =
                path.elements().iter().any(|element| matches!(element, PathEl::CurveTo(..)));
            !curved && path.bounding_box().width() > em
        }
        _ => false,
    };
    remove("a beam left out", straight, 2);
}

#[test]
fn ties_are_read() {
    let em = em(&mut sheet());
    let count = marks(&mut sheet()).iter().filter(|mark| is_tie(mark, em)).count();
    assert!(count >= 4 * 14, "{count} ties");
    for index in [0, 7, 18, 33, 50] {
        remove("a tie left out", |mark| is_tie(mark, em), index);
        tamper(
            "a tie at the next head",
            |mark| is_tie(mark, em),
            index,
            |mark| {
                raise(mark, em / 4.0);
            },
        );
    }
}

#[test]
fn barlines_are_read() {
    let em = em(&mut sheet());
    let barline = |mark: &Mark| match mark {
        Mark::Line { from, to, .. } => from.x == to.x && from.distance(*to) > 3.0 * em,
        _ => false,
    };
    remove("a barline left out", barline, 1);
    tamper("a barline between other notes", barline, 1, |mark| {
        let Mark::Line { from, to, .. } = mark else { panic!("a line") };
        from.x -= 2.0 * em;
        to.x -= 2.0 * em;
    });
}

#[test]
fn fingers_symbols_numerals_and_counts_are_read() {
    let finger = |mark: &Mark| is(mark, Sign::Fingering3);
    tamper("another finger", finger, 0, |mark| turn_into(mark, Sign::Fingering4));
    let words = |wanted: &'static str| move |mark: &Mark| matches!(mark, Mark::Text { text, .. } if text == wanted);
    for (what, found, other) in [
        ("another chord", "D", "E"),
        ("another quality", "maj", "m"),
        ("another numeral", "ii", "iii"),
        ("another count", "&", "2"),
    ] {
        tamper(what, words(found), 1, |mark| {
            let Mark::Text { text, .. } = mark else { panic!("words") };
            *text = other.to_owned();
        });
    }
    remove("a count left out", words("&"), 4);
    remove("a flat left out of a symbol", |mark| is(mark, Sign::CsymAccidentalFlat), 3);
}
