//! The teacher's own words: whatever they are, they stand in their place or are refused.

use kurbo::Rect;
use proptest::prelude::*;
use quintfall::book::PageError;
use quintfall::canvas::{Kind, Mark, Page, Trace, paper};
use quintfall::desk::pipeline::{self, PipelineError};
use quintfall::drill::library;
use quintfall::recipe::{
    AskedKey, Binding, DocumentForm, Orientation, Paper, Recipe, StaffSize, WriteIn,
};
use quintfall::theory::Spelling;

use super::{document, words};

/// Words of any length, of one or more.
fn some_words(most: usize) -> impl Strategy<Value = Option<String>> {
    let word = "[A-Za-zÀ-ÿ.,♭♯'-]{1,14}";
    let words = proptest::collection::vec(word, 1..most);
    proptest::option::weighted(0.8, words.prop_map(|words| words.join(" ")))
}

fn note() -> impl Strategy<Value = Option<String>> {
    let line = some_words(12).prop_map(Option::unwrap_or_default);
    let lines = proptest::collection::vec(line, 0..=3);
    lines.prop_map(|lines| Some(lines.join("\n")).filter(|note| !note.trim().is_empty()))
}

fn recipes() -> impl Strategy<Value = Recipe> {
    let paper = proptest::sample::select(Paper::ALL.to_vec());
    let staff =
        proptest::sample::select(StaffSize::all().map(Some).chain([None]).collect::<Vec<_>>());
    let binding = proptest::sample::select(vec![Binding::None, Binding::Left, Binding::Duplex]);
    let drill = proptest::sample::select(library::all().map(|(name, _)| name).collect::<Vec<_>>());
    let forms = vec![
        DocumentForm::Workbook,
        DocumentForm::Handout,
        DocumentForm::Handout,
        DocumentForm::Review,
    ];
    let form = proptest::sample::select(forms);
    let page = (paper, staff, binding, any::<bool>(), form);
    let words = (some_words(8), some_words(8), some_words(8), note(), some_words(6));
    let parts = [WriteIn::Right, WriteIn::Left, WriteIn::Symbols, WriteIn::Numerals];
    let parts = [&parts[..], &[WriteIn::Fingers, WriteIn::Counts]].concat();
    let parts = proptest::sample::subsequence(parts, 0..=6);
    let partial = proptest::option::weighted(0.3, (parts, any::<bool>()));
    let key = (0..12_usize, 1..3_usize);
    let watch = proptest::collection::vec(1..9_u32, 0..4);
    (page, words, drill, key, any::<bool>(), watch, partial).prop_map(
        |(page, words, drill, (key, keys), slip, watch, partial)| {
            let (leave_out, answers) = partial.unwrap_or_default();
            let (paper, staff, binding, is_wide, form) = page;
            let (title, student, studio, note, date) = words;
            let ring = AskedKey::round(Spelling::Customary);
            Recipe {
                form,
                orientation: if is_wide { Orientation::Landscape } else { Orientation::Portrait },
                drill: drill.to_owned(),
                keys: ring.into_iter().cycle().skip(key).take(keys).collect(),
                date: date.map(|date| date.chars().take(40).collect()),
                note: note.map(|note| note.chars().take(240).collect()),
                title,
                student,
                studio,
                answers: answers && !leave_out.is_empty(),
                leave_out,
                slip,
                watch,
                paper,
                staff,
                binding,
                ..Recipe::default()
            }
        },
    )
}

/// The boxes round the ink of words outside the music, no two of one line of type.
fn inks(page: &Page) -> Vec<(String, Rect)> {
    let outside = page.blocks.iter().filter(|block| block.kind != Kind::System);
    let marks = outside.flat_map(|block| &block.marks);
    let words = marks.filter_map(|mark| match mark {
        Mark::Trace(Trace::Text { text, .. }, _) => Some((text.to_string(), mark.bounds())),
        _ => None,
    });
    words.filter(|(text, _)| !text.trim().is_empty()).collect()
}

fn stand_in_their_places(recipe: &Recipe, page: &Page) {
    let size = paper::size(recipe.paper, recipe.orientation);
    let safe = size.to_rect().inset(-paper::UNPRINTED);
    for mark in page.marks() {
        assert!(safe.contains_rect(mark.bounds()), "page {}: {mark:?}", page.label);
    }
    let inks = inks(page);
    for (index, (words, ink)) in inks.iter().enumerate() {
        for (others, near) in &inks[index + 1..] {
            let shared = ink.intersect(*near);
            let touch = shared.width() > 0.3 && shared.height() > 0.3;
            assert!(!touch, "page {}: `{words}` on `{others}`", page.label);
        }
    }
    if page.blocks.iter().all(|block| block.kind != Kind::System) {
        return;
    }
    let is_music = |kind| matches!(kind, Kind::System | Kind::Heading(3));
    let music = page.blocks.iter().filter(|block| is_music(block.kind));
    let Some(music) =
        music.flat_map(|block| &block.marks).map(Mark::bounds).reduce(|a, b| a.union(b))
    else {
        return;
    };
    // The boxes of a review stand round their music.
    let is_box = |kind| recipe.form == DocumentForm::Review && kind == Kind::Artifact;
    for block in page.blocks.iter().filter(|it| !is_music(it.kind) && !is_box(it.kind)) {
        for mark in &block.marks {
            let ink = mark.bounds();
            let clear = ink.y0 >= music.y1 || ink.y1 <= music.y0;
            assert!(clear, "page {}: {mark:?} in the music", page.label);
        }
    }
}

/// Whose words they may be that are too long.
const FIELDS: [&str; 5] = ["title", "student", "studio", "note", "date"];

/// Random words on all papers, both ways up, in large print and small: they stand where nothing
/// else does, or the field that is too long is named.
#[test]
fn words_of_a_teacher_stand_in_their_places_or_are_refused() {
    let mut runner = proptest::test_runner::TestRunner::new(ProptestConfig {
        cases: 400,
        failure_persistence: None,
        ..ProptestConfig::default()
    });
    let (stood, slips) = (std::cell::Cell::new(0), std::cell::Cell::new(0));
    let tried = runner.run(&recipes(), |recipe| {
        let Ok(recipe) = recipe.checked() else { return Ok(()) };
        let mut error = match pipeline::document(&recipe) {
            Ok(document) => {
                for page in &document.pages {
                    stand_in_their_places(&recipe, page);
                }
                stood.set(stood.get() + 1);
                slips.set(slips.get() + usize::from(recipe.slip));
                return Ok(());
            }
            Err(PipelineError::Page(error)) => error,
            Err(PipelineError::NoSuchBar { .. }) => return Ok(()),
            Err(error) => panic!("{error}"),
        };
        while let PageError::InDrill { error: own, .. } = error {
            error = *own;
        }
        match error {
            PageError::TooLong { whose } => {
                let field = whose.field().map(|field| field.name());
                assert!(field.is_some_and(|field| FIELDS.contains(&field)), "{whose}");
            }
            PageError::LongNote { length, room } => {
                let note = recipe.note.as_deref().unwrap_or_default();
                assert!(room < length && length == note.chars().count(), "{room} of {length}");
                // What is said to have room has it.
                let short: String = note.chars().take(room).collect();
                let shorter = Recipe { note: Some(short), ..recipe.clone() }.checked();
                let again = shorter.ok().map(|recipe| pipeline::document(&recipe));
                let is_long = |error: &PipelineError| error.to_string().contains("note is too");
                assert!(!again.is_some_and(|made| made.as_ref().err().is_some_and(is_long)));
            }
            PageError::NoRoom { .. } => {}
            other => panic!("{other}"),
        }
        Ok(())
    });
    tried.unwrap_or_else(|error| panic!("{error}"));
    assert!(stood.get() > 100 && slips.get() > 40, "{} and {}", stood.get(), slips.get());
}

/// What is printed round the music of each drill, on each paper, both ways up.
#[test]
fn our_own_words_stand_in_their_places_on_every_paper() {
    let mut workbooks = 0;
    for (drill, _) in library::all() {
        for paper in Paper::ALL {
            for orientation in [Orientation::Portrait, Orientation::Landscape] {
                let key = vec!["Gb".parse().unwrap()];
                let drill = drill.to_owned();
                let recipe = Recipe { drill, paper, orientation, keys: key, ..Recipe::default() };
                let Ok(document) = pipeline::document(&recipe) else { continue };
                for page in &document.pages {
                    stand_in_their_places(&recipe, page);
                }
                workbooks += 1;
            }
        }
    }
    assert!(workbooks > library::all().count() * Paper::ALL.len(), "{workbooks}");
}

fn handout(change: impl FnOnce(&mut Recipe)) -> Recipe {
    let mut recipe = Recipe {
        form: DocumentForm::Handout,
        keys: vec!["Db".parse().unwrap()],
        student: Some("Ada Brook".to_owned()),
        date: Some("2026-11-30".to_owned()),
        slip: true,
        ..Recipe::default()
    };
    change(&mut recipe);
    recipe
}

/// What a slip says is what was practised, in the order of a class list.
#[test]
fn a_slip_tells_what_was_practised_and_asks_how_it_went() {
    let sheet = document(&handout(|_| {}));
    assert_eq!(sheet.pages.len(), 1);
    let page = &sheet.pages[0];
    let slip = page.blocks.iter().find(|block| block.kind == Kind::Table).expect("a slip");
    let told: Vec<&str> = slip
        .marks
        .iter()
        .filter_map(|mark| match mark {
            Mark::Trace(Trace::Text { text, .. }, _) => Some(text.as_str()),
            _ => None,
        })
        .collect();
    let words = [
        "Name",
        "Ada Brook",
        "Drill",
        "Diatonic sevenths, pushed",
        "Keys",
        "D",
        "major",
        "Tempo",
        "80",
        "Date",
        "2026-11-30",
        "Clean tempo",
        "Went well",
        "yes",
        "no",
        "What went wrong",
    ];
    assert_eq!(told, words);
    // It is cut off below everything else.
    let top = slip.marks.iter().map(|mark| mark.bounds().y1).fold(0.0, f64::max);
    let others = page.blocks.iter().filter(|block| block.kind != Kind::Table);
    let lowest = others.flat_map(|block| &block.marks).map(|mark| mark.bounds().y0);
    assert!(lowest.fold(f64::INFINITY, f64::min) > top);
}

/// A slip never costs its sheet a page: it has one of its own where there is no room.
#[test]
fn a_slip_without_room_has_a_page_of_its_own() {
    let mut own = 0;
    for (drill, _) in library::all() {
        for orientation in [Orientation::Portrait, Orientation::Landscape] {
            let with = handout(|recipe| {
                (recipe.drill, recipe.orientation) = (drill.to_owned(), orientation);
            });
            let without = Recipe { slip: false, ..with.clone() };
            let (with, without) = (document(&with), document(&without));
            let more = with.pages.len() - without.pages.len();
            assert!(more <= 1, "{drill}");
            let is_slip = |page: &Page| words(page).contains(&"Went well");
            let slips = with.pages.iter().filter(|page| is_slip(page)).count();
            assert_eq!(slips, 1, "{drill}");
            assert!(more == 0 || with.pages.last().is_some_and(is_slip), "{drill}");
            own += more;
        }
    }
    assert!(own > 0);
}

/// The music of a page, each mark by its trace.
fn music(page: &Page) -> Vec<&Mark> {
    let systems = page.blocks.iter().filter(|block| block.kind == Kind::System);
    systems.flat_map(|block| &block.marks).collect()
}

/// Answers are the sheet before them with everything on it: what is printed there stands here in its
/// place, and what is missing there is here.
#[test]
fn answers_are_the_sheet_before_them_with_everything_on_it() {
    use WriteIn as W;
    let lists: [&[WriteIn]; 5] = [
        &[W::Right],
        &[W::Left, W::Symbols],
        &[W::Numerals, W::Counts],
        &[W::Fingers],
        &[W::Right, W::Left, W::Symbols, W::Numerals, W::Fingers, W::Counts],
    ];
    let mut missing = 0;
    for (index, (drill, _)) in library::all().enumerate() {
        let leave_out = lists[index % lists.len()].to_vec();
        let paper = Paper::ALL[index % Paper::ALL.len()];
        let keys = vec!["Db".parse().unwrap(), "A".parse().unwrap()];
        let (drill, slip) = (drill.to_owned(), index % 3 == 0);
        let own = |recipe: &mut Recipe| {
            *recipe =
                Recipe { drill, paper, keys, slip, answers: true, leave_out, ..recipe.clone() };
        };
        let recipe = handout(own).checked().unwrap();
        let sheet = document(&recipe);
        let pages: Vec<&Page> = sheet.pages.iter().filter(|page| !music(page).is_empty()).collect();
        // The pages of each key, then its answers.
        let is_answers = |page: &&&Page| words(page).iter().any(|words| words.contains("answers"));
        let answers: Vec<&&Page> = pages.iter().filter(is_answers).collect();
        let questions: Vec<&&Page> = pages.iter().filter(|page| !is_answers(page)).collect();
        assert_eq!((answers.len(), answers.len() * 2), (questions.len(), pages.len()));
        for (question, answer) in questions.iter().zip(&answers) {
            let mut rest = music(answer);
            for mark in music(question) {
                let is_rule = matches!(mark, Mark::Trace(Trace::Line { .. }, _));
                match rest.iter().position(|other| *other == mark) {
                    Some(place) => drop(rest.swap_remove(place)),
                    None => assert!(is_rule, "{}: {mark:?} has no answer", recipe.drill),
                }
            }
            let is_finger = recipe.leave_out == [W::Fingers];
            assert!(is_finger || !rest.is_empty(), "{}: nothing is left out", recipe.drill);
            missing += rest.len();
        }
    }
    assert!(missing > 1000, "{missing}");
}
