//! The reader reads: whatever is changed on a page before it is written, it notices.

use kurbo::Vec2;
use quintfall::canvas::{Block, Document, Kind, Mark, Page, Trace};
use quintfall::desk::pipeline;
use quintfall::glyphs::Sign;
use quintfall::recipe::{Recipe, StaffSize};

use crate::book::{Found, check, document, handout, pdf};

const DRILL: &str = "pushed";
const KEY: &str = "Ab";

fn sheet() -> Document {
    document(&handout(DRILL, &[KEY]))
}

/// What the reader says of a changed document.
fn read(changed: &Document) -> Result<Found, String> {
    let recipe = handout(DRILL, &[KEY]);
    let templates = pipeline::templates(&recipe).expect("sound templates");
    check(&pdf(changed), &templates, &recipe.keys, &recipe)
}

fn marks(document: &mut Document) -> &mut Vec<Mark> {
    let music = |mark: &Mark| matches!(mark, Mark::Trace(Trace::Sign { sign: Sign::GClef, .. }, _));
    let page = document.pages.iter_mut().find(|page| page.marks().any(music));
    on(page.expect("a page of music"))
}

/// All marks of a page in one list, to be changed whatever blocks they stood in.
fn on(page: &mut Page) -> &mut Vec<Mark> {
    let marks = page.blocks.drain(..).flat_map(|block| block.marks).collect();
    page.blocks.push(Block { marks, ..Block::new(Kind::System) });
    &mut page.blocks[0].marks
}

/// The em of the staff's signs: four spaces.
fn em(document: &mut Document) -> f64 {
    let clef = marks(document).iter().find_map(|mark| match mark {
        Mark::Trace(Trace::Sign { sign: Sign::GClef, size, .. }, _) => Some(*size),
        _ => None,
    });
    clef.expect("a clef")
}

/// The middle lines of the staves, from their clefs.
fn middles(marks: &[Mark]) -> Vec<f64> {
    let middle = |mark: &Mark| match mark {
        Mark::Trace(Trace::Sign { sign: Sign::GClef, at, size, .. }, _) => Some(at.y + size / 4.0),
        Mark::Trace(Trace::Sign { sign: Sign::FClef, at, size, .. }, _) => Some(at.y - size / 4.0),
        _ => None,
    };
    marks.iter().filter_map(middle).collect()
}

/// Whether a mark stands at a staff: nine spaces above its middle line to fifteen below.
fn is_music(mark: &Mark, middles: &[f64], em: f64) -> bool {
    let y = match mark {
        Mark::Trace(Trace::Sign { at, .. } | Trace::Text { at, .. }, _) => at.y,
        Mark::Trace(Trace::Line { from, to, .. }, _) => (from.y + to.y) / 2.0,
        Mark::Trace(trace, _) => trace.bounds().center().y,
        Mark::Picture { frame, .. } => frame.center().y,
    };
    let reach = -15.0 * em / 4.0..9.0 * em / 4.0;
    middles.iter().any(|middle| reach.contains(&(y - middle)))
}

fn is(mark: &Mark, wanted: Sign) -> bool {
    matches!(mark, Mark::Trace(Trace::Sign { sign, .. }, _) if *sign == wanted)
}

fn is_tie(mark: &Mark) -> bool {
    matches!(mark, Mark::Trace(Trace::Crescent { .. }, _))
}

/// Whether a mark is a beam of more than a stub.
fn is_beam(mark: &Mark, em: f64) -> bool {
    matches!(mark, Mark::Trace(Trace::Slab { from, to, .. }, _) if to.x - from.x > em)
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
        Mark::Trace(trace, _) => trace.shift(Vec2::new(0.0, by)),
        Mark::Picture { frame, .. } => *frame = *frame + Vec2::new(0.0, by),
    }
}

fn turn_into(mark: &mut Mark, new: Sign) {
    let Mark::Trace(Trace::Sign { sign, .. }, _) = mark else { panic!("a sign") };
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
    let Mark::Trace(Trace::Sign { at, .. }, _) = &mut natural else { panic!("a sign") };
    at.x -= 1.0 * space;
    all.push(natural);
    caught("a natural before a note", &document);
}

#[test]
fn rhythm_is_read() {
    let em = em(&mut sheet());
    let line = |mark: &Mark| match mark {
        Mark::Trace(Trace::Line { from, to, .. }, _) => {
            let length = from.distance(*to);
            from.x == to.x && length < 2.2 * em && length > em / 2.0
        }
        _ => false,
    };
    remove("a stem left out", line, 3);
    remove("a flag left out", |mark| is(mark, Sign::Flag8thDown) || is(mark, Sign::Flag8thUp), 0);
    remove("a dot left out", |mark| is(mark, Sign::AugmentationDot), 0);
    remove("a rest left out", |mark| is(mark, Sign::Rest8th), 0);
    remove("a beam left out", |mark| is_beam(mark, em), 2);
}

#[test]
fn ties_are_read() {
    let em = em(&mut sheet());
    let count = marks(&mut sheet()).iter().filter(|mark| is_tie(mark)).count();
    assert!(count >= 4 * 14, "{count} ties");
    for index in [0, 7, 18, 33, 50] {
        remove("a tie left out", is_tie, index);
        tamper("a tie at the next head", is_tie, index, |mark| {
            raise(mark, em / 4.0);
        });
    }
}

#[test]
fn barlines_are_read() {
    let em = em(&mut sheet());
    let barline = |mark: &Mark| match mark {
        Mark::Trace(Trace::Line { from, to, .. }, _) => {
            from.x == to.x && from.distance(*to) > 3.0 * em
        }
        _ => false,
    };
    remove("a barline left out", barline, 1);
    tamper("a barline between other notes", barline, 1, |mark| {
        let Mark::Trace(Trace::Line { from, to, .. }, _) = mark else { panic!("a line") };
        from.x -= 2.0 * em;
        to.x -= 2.0 * em;
    });
}

#[test]
fn fingers_symbols_numerals_and_counts_are_read() {
    let finger = |mark: &Mark| is(mark, Sign::Fingering3);
    tamper("another finger", finger, 0, |mark| turn_into(mark, Sign::Fingering4));
    let words = |wanted: &'static str| move |mark: &Mark| matches!(mark, Mark::Trace(Trace::Text { text, .. }, _) if text == wanted);
    for (what, found, other) in [
        ("another chord", "D", "E"),
        ("another quality", "maj", "m"),
        ("another numeral", "ii", "iii"),
        ("another count", "&", "2"),
    ] {
        tamper(what, words(found), 1, |mark| {
            let Mark::Trace(Trace::Text { text, .. }, _) = mark else { panic!("words") };
            *text = other.into();
        });
    }
    remove("a count left out", words("&"), 4);
    remove("a flat left out of a symbol", |mark| is(mark, Sign::CsymAccidentalFlat), 3);
}

/// A key on two facing pages, and a booklet of such spreads.
fn spread(is_booklet: bool) -> Recipe {
    let staff = Some(StaffSize::of_mm(9.5).expect("a size"));
    let sheets = handout(DRILL, &[KEY, "Gb"]);
    Recipe { staff, booklet: is_booklet, ..sheets }
}

/// Changes a document made from a recipe and expects the reader to notice.
#[track_caller]
fn caught_in(what: &str, recipe: &Recipe, change: impl Fn(&mut Document)) {
    let templates = pipeline::templates(recipe).expect("sound templates");
    let mut document = document(recipe);
    let read = |document: &Document| check(&pdf(document), &templates, &recipe.keys, recipe);
    read(&document).expect("an untouched document is right");
    change(&mut document);
    let said = read(&document).err().unwrap_or_else(|| panic!("{what} went unnoticed"));
    assert!(!what.contains("over the turn") || said.contains("ties bring"), "{what}: {said}");
    println!("{what}: {said}");
}

/// The ties of a page that begin or end without a head in reach, by their place among its marks:
/// those nearest to its last system's right end, or its first system's left end.
fn outer_tie(page: &Page, at_end: bool) -> usize {
    let clefs = page.marks().filter(|mark| is(mark, Sign::FClef) || is(mark, Sign::GClef));
    let em = clefs.clone().find_map(|mark| match mark {
        Mark::Trace(Trace::Sign { size, .. }, _) => Some(*size),
        _ => None,
    });
    let em = em.expect("a clef");
    let heights = clefs.map(|mark| mark.bounds().center().y);
    let edge =
        if at_end { heights.fold(f64::INFINITY, f64::min) } else { heights.fold(0.0, f64::max) };
    let marks: Vec<&Mark> = page.marks().collect();
    let near = |place: &usize| {
        let ink = marks[*place].bounds();
        is_tie(marks[*place]) && (ink.center().y - edge).abs() < 6.0 * em
    };
    let places = (0..marks.len()).filter(near);
    let x = |place: &usize| marks[*place].bounds().center().x;
    let outermost = if at_end {
        places.max_by(|a, b| x(a).total_cmp(&x(b)))
    } else {
        places.min_by(|a, b| x(a).total_cmp(&x(b)))
    };
    outermost.expect("a tie")
}

/// A spread of a drill that is pushed through without a rest, so that ties lead over the turn.
fn tied_over_the_turn() -> Recipe {
    const PUSHED_THROUGH: &str = r#"name = "through"
title = "Pushed through"
about = ""
feel = "even"
metre = "4/4"
[[passage]]
degrees = [1, 2, 3, 4, 5, 6, 7, 8, 8, 7, 6, 5, 4, 3, 2, 1]
beats = 2
figure = "1 3 5 7"
note = "eighth"
voicing = "close"
comping = "push"
"#;
    Recipe { template: Some(PUSHED_THROUGH.to_owned()), ..spread(false) }
}

#[test]
fn what_is_changed_at_a_page_turn_is_noticed() {
    let tied = tied_over_the_turn();
    caught_in("a tie that leads nowhere over the turn", &tied, |document| {
        let place = outer_tie(&document.pages[1], false);
        on(&mut document.pages[1]).remove(place);
    });
    caught_in("a tie that comes from nowhere over the turn", &tied, |document| {
        let place = outer_tie(&document.pages[0], true);
        on(&mut document.pages[0]).remove(place);
    });
    let recipe = spread(false);
    caught_in("pages in the wrong order", &recipe, |document| document.pages.swap(0, 1));
    caught_in("second pages exchanged", &recipe, |document| document.pages.swap(1, 3));
    caught_in("a page left out", &recipe, |document| {
        document.pages.remove(1);
    });
    let signs = [Sign::AccidentalFlat, Sign::GClef];
    for sign in signs {
        caught_in("a sign left out on a second page", &recipe, |document| {
            let marks = on(&mut document.pages[1]);
            let place = marks.iter().position(|mark| is(mark, sign)).expect("a sign");
            marks.remove(place);
        });
    }
}

#[test]
fn a_booklet_that_is_folded_wrongly_is_noticed() {
    let recipe = spread(true);
    caught_in("sides exchanged", &recipe, |document| document.pages.swap(0, 1));
    caught_in("halves exchanged", &recipe, |document| {
        let page = &mut document.pages[1];
        let middle = page.size.width / 2.0;
        for mark in page.marks_mut() {
            let to = if mark.bounds().center().x < middle { middle } else { -middle };
            mark.shift(Vec2::new(to, 0.0));
        }
    });
    caught_in("a head moved in a booklet", &recipe, |document| {
        let black = |mark: &&mut Mark| is(mark, Sign::NoteheadBlack);
        let page = &mut document.pages[1];
        let head = page.marks_mut().filter(black).nth(20).expect("a head");
        let Mark::Trace(Trace::Sign { size, .. }, _) = head else { panic!("a sign") };
        let half = *size / 8.0;
        raise(head, half);
    });
    caught_in("a side not printed", &recipe, |document| {
        on(&mut document.pages[1]).clear();
    });
}

#[test]
fn triplets_and_sixteenths_are_read() {
    let recipes = crate::rhythms::recipes(&["E"]);
    let [triplets, sixteenths, ..] = &recipes[..] else { panic!("recipes") };
    let is_bracket = |mark: &Mark| match mark {
        Mark::Trace(Trace::Fill(path), _) => path.segments().count() == 6,
        _ => false,
    };
    let is_beam = |mark: &Mark| is_beam(mark, 20.0);
    let without = |pick: &dyn Fn(&Mark) -> bool, index: usize, document: &mut Document| {
        let marks = on(&mut document.pages[0]);
        let place = (0..marks.len()).filter(|at| pick(&marks[*at])).nth(index);
        marks.remove(place.expect("such a mark"));
    };
    for index in [0, 2] {
        caught_in("a triplet's digit left out", triplets, |document| {
            without(&|mark| is(mark, Sign::Tuplet3), index, document);
        });
        caught_in("half a bracket left out", triplets, |document| {
            without(&is_bracket, index, document);
        });
        caught_in("a beam left out", sixteenths, |document| without(&is_beam, index, document));
        caught_in("a second beam left out", sixteenths, |document| {
            without(&is_beam, index + 1, document);
        });
    }
    caught_in("a dot left out", sixteenths, |document| {
        without(&|mark| is(mark, Sign::AugmentationDot), 0, document);
    });
}

#[test]
fn accidentals_of_notes_are_read() {
    let recipes = crate::rhythms::recipes(&["E"]);
    let recipe = recipes.iter().find(|it| it.drill.starts_with("neighbours")).expect("a drill");
    let naturals =
        |mark: &Mark| is(mark, Sign::AccidentalDoubleSharp) || is(mark, Sign::AccidentalSharp);
    let count = document(recipe).pages[0].marks().filter(|mark| naturals(mark)).count();
    assert!(count > 12, "{count} sharps");
    for index in (0..count).step_by(3) {
        caught_in(&format!("sharp {index} left out"), recipe, |document| {
            let marks = on(&mut document.pages[0]);
            let place = (0..marks.len()).filter(|at| naturals(&marks[*at])).nth(index);
            marks.remove(place.expect("a sharp"));
        });
    }
}
