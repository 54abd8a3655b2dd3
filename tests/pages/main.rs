//! Whole documents: what stands on which page, where, and what leads where.

use kurbo::Rect;
use quintfall::book::PageError;
use quintfall::canvas::paper;
use quintfall::canvas::{Document, Mark, Page, Trace};
use quintfall::desk::pipeline::{self, PipelineError};
use quintfall::drill::library;
use quintfall::glyphs::Sign;
use quintfall::recipe::{Binding, DocumentForm, Orientation, Paper, Recipe, StaffSize};
use quintfall::score::NOTCHES;
use quintfall::source::Complaint;
use quintfall::theory::{AskedKey, Key, Spelling};

mod leads;
mod shared;
#[path = "../short/mod.rs"]
mod short;
mod teacher;
mod titles;

#[track_caller]
fn document(recipe: &Recipe) -> Document {
    pipeline::document(recipe).unwrap_or_else(|error| panic!("{error}"))
}

/// The words of a page, in painting order.
fn words(page: &Page) -> Vec<&str> {
    let words = page.marks().filter_map(|mark| match mark {
        Mark::Trace(Trace::Text { text, .. }, _) => Some(text.as_str()),
        _ => None,
    });
    words.collect()
}

/// The largest words of a page.
fn heading(page: &Page) -> &str {
    let sized = page.marks().filter_map(|mark| match mark {
        Mark::Trace(Trace::Text { text, size, .. }, _) => Some((text.as_str(), *size)),
        _ => None,
    });
    sized.reduce(|a, b| if b.1 > a.1 { b } else { a }).map_or("", |(text, _)| text)
}

/// A picture of 60 by 20 pixels, half transparent, in base64.
fn logo() -> String {
    use base64::Engine as _;
    let image = image::RgbaImage::from_pixel(60, 20, image::Rgba([0, 0, 0, 128]));
    let mut bytes = std::io::Cursor::new(Vec::new());
    image.write_to(&mut bytes, image::ImageFormat::Png).unwrap();
    base64::engine::general_purpose::STANDARD.encode(bytes.into_inner())
}

/// Whether a page is half a sheet of the usual papers.
fn is_small(paper: Paper) -> bool {
    matches!(paper, Paper::A5 | Paper::HalfLetter)
}

/// Recipes of every drill on every paper in every spelling, plain and with all that a header
/// can hold.
fn recipes() -> impl Iterator<Item = Recipe> {
    let drills: Vec<&str> = library::all().map(|(name, _)| name).collect();
    let spellings = [Spelling::Customary, Spelling::Sharps, Spelling::Flats];
    drills.into_iter().enumerate().flat_map(move |(index, drill)| {
        Paper::ALL.into_iter().flat_map(move |paper| {
            // On small pages each drill in one spelling, by turns.
            let turn = move |place: usize| !is_small(paper) || place == index % spellings.len();
            let spellings = spellings.into_iter().enumerate();
            spellings.filter(move |(place, _)| turn(*place)).flat_map(move |(_, spelling)| {
                let keys = AskedKey::round(spelling).to_vec();
                let plain = Recipe { drill: drill.to_owned(), paper, keys, ..Recipe::default() };
                let full = Recipe {
                    title: Some("Evening sevenths".to_owned()),
                    student: Some("Ana Łódź-Müller".to_owned()),
                    studio: Some("Room 4".to_owned()),
                    logo_data: Some(logo()),
                    ..plain.clone()
                };
                [plain, full].into_iter().flat_map(|recipe| {
                    let handout = Recipe { form: DocumentForm::Handout, ..recipe.clone() };
                    let wide = Recipe { orientation: Orientation::Landscape, ..recipe.clone() };
                    [recipe, handout, wide]
                })
            })
        })
    })
}

/// One test, since laying these documents out takes far longer than looking at them.
#[test]
fn every_drill_on_every_paper_keeps_the_laws_of_pages() {
    for recipe in recipes() {
        let document = document(&recipe);
        every_mark_and_link_keeps_off_the_unprinted_edge(&recipe, &document);
        leads::links_and_bookmarks_lead_where_they_say(&recipe, &document);
        if recipe.form == DocumentForm::Workbook {
            words_outside_the_music_keep_apart(&document);
        }
    }
}

fn every_mark_and_link_keeps_off_the_unprinted_edge(recipe: &Recipe, document: &Document) {
    let size = paper::size(recipe.paper, recipe.orientation);
    let safe = size.to_rect().inset(-paper::UNPRINTED);
    for page in &document.pages {
        assert_eq!(page.size, size);
        for mark in page.marks() {
            let ink = mark.bounds();
            assert!(ink.is_finite() && safe.contains_rect(ink), "page {}: {mark:?}", page.label);
        }
        for link in &page.links {
            assert!(size.to_rect().contains_rect(link.area), "page {}: {link:?}", page.label);
        }
    }
}

/// Every size of staff on every paper, both ways up, with and without room for binding.
fn layouts() -> impl Iterator<Item = Recipe> {
    let papers = Paper::ALL;
    let bindings = [Binding::None, Binding::Left, Binding::Duplex];
    StaffSize::all().flat_map(move |staff| {
        papers.into_iter().flat_map(move |paper| {
            bindings.into_iter().flat_map(move |binding| {
                let workbook = Recipe { staff: Some(staff), paper, binding, ..Recipe::default() };
                let handout = Recipe { form: DocumentForm::Handout, ..workbook.clone() };
                let wide = |recipe: &Recipe| Recipe {
                    orientation: Orientation::Landscape,
                    ..recipe.clone()
                };
                [wide(&workbook), wide(&handout), workbook, handout]
            })
        })
    })
}

#[test]
fn every_size_and_paper_prints_at_its_size_or_names_one_that_does() {
    let mut printed = 0;
    for recipe in layouts() {
        let asked = recipe.staff.unwrap();
        let document = match pipeline::document(&recipe) {
            Ok(document) => document,
            Err(PipelineError::Page(PageError::NoRoom { nearest, .. })) => {
                // A key takes as many pages as it needs, but one system may be too high.
                assert_eq!(recipe.orientation, Orientation::Landscape, "{asked} mm");
                let nearest = nearest.expect("a smaller staff has room");
                assert!(nearest.mm() < asked.mm());
                let smaller = Recipe { staff: Some(nearest), ..recipe };
                assert!(pipeline::document(&smaller).is_ok(), "{nearest} was said to do");
                continue;
            }
            Err(error) => panic!("{error}"),
        };
        printed += 1;
        let size = paper::size(recipe.paper, recipe.orientation);
        let safe = size.to_rect().inset(-paper::UNPRINTED);
        for (index, page) in document.pages.iter().enumerate() {
            for mark in page.marks() {
                let (paper, label) = (recipe.paper, &page.label);
                let within = safe.contains_rect(mark.bounds());
                assert!(within, "{asked} mm on {paper:?}, page {label}: {mark:?}");
            }
            let clefs = page.marks().filter_map(|mark| match mark {
                Mark::Trace(Trace::Sign { sign: Sign::GClef, size, .. }, _) => Some(*size),
                _ => None,
            });
            for em in clefs {
                assert!((em - asked.mm() * paper::MM).abs() < 1e-6, "{em}");
            }
            let bound_left = match recipe.binding {
                Binding::None => false,
                Binding::Left => true,
                Binding::Duplex => index % 2 == 0,
            };
            if bound_left && page.label.to_string() != "i" {
                let left = page.marks().map(|mark| mark.bounds().x0).fold(f64::MAX, f64::min);
                let least = if is_small(recipe.paper) { 17.0 } else { 19.9 };
                assert!(left >= least * paper::MM, "page {}: {}", page.label, left / paper::MM);
            }
        }
    }
    println!("{printed} layouts printed as asked");
    assert!(printed > 180, "{printed}");
}

#[test]
fn a_large_print_key_takes_a_left_page_and_the_right_one_beside_it() {
    let staff = StaffSize::of_mm(9.5).ok();
    let document = document(&Recipe { staff, ..Recipe::default() });
    assert_eq!(document.pages.len(), 5 + 2 * 12);
    let keys = &document.about.outline.iter().find(|entry| entry.title == "Keys").unwrap().children;
    for (index, key) in keys.iter().enumerate() {
        assert_eq!(key.page, 5 + 2 * index, "{}", key.title);
        assert_eq!(document.pages[key.page].label.to_string(), (2 * index + 2).to_string());
    }
}

/// The legend, the ladder, the page number and the names grow with the staves.
#[test]
fn what_surrounds_large_staves_is_large_too() {
    let largest = |staff: f64, starts: &str| {
        let recipe = Recipe {
            form: DocumentForm::Handout,
            staff: StaffSize::of_mm(staff).ok(),
            student: Some("Mira".to_owned()),
            ..Recipe::default()
        };
        let document = document(&recipe);
        let sizes = document.pages.iter().flat_map(Page::marks).filter_map(|mark| match mark {
            Mark::Trace(Trace::Text { text, size, .. }, _) if text.starts_with(starts) => {
                Some(*size)
            }
            _ => None,
        });
        sizes.reduce(f64::max).unwrap_or_else(|| panic!("no {starts}"))
    };
    for words in ["right hand strikes", "Tick after", "Mira", "12"] {
        let [usual, large, largest] = [7.0, 8.0, 9.5].map(|staff| largest(staff, words));
        assert!(large / usual > 1.1 && largest / large > 1.1, "{words}: {usual} {large} {largest}");
    }
}

/// The keys whose close chords reach below the low-interval limits of arranging handbooks: only
/// where the left hand begins on F2, G♭2 or G2.
#[test]
fn a_sheet_whose_chords_lie_low_says_so_and_no_other_does() {
    let document = document(&Recipe { form: DocumentForm::Handout, ..Recipe::default() });
    for (page, key) in document.pages.iter().zip(Key::round(Spelling::Customary)) {
        let says =
            words(page).iter().any(|words| words.contains("Low down the left hand leaves out"));
        assert_eq!(says, ["F", "G", "Gb"].contains(&key.tonic().plain().as_str()), "{key}");
    }
}

#[test]
fn a_booklet_holds_what_its_pages_hold() {
    let plain = document(&Recipe::default());
    let booklet = document(&Recipe { booklet: true, ..Recipe::default() });
    assert_eq!(booklet.pages.len(), 10);
    let count =
        |document: &Document| document.pages.iter().map(|p| p.marks().count()).sum::<usize>();
    assert_eq!(count(&booklet), count(&plain));
    let width = plain.pages[0].size.width;
    assert!(booklet.pages.iter().all(|page| page.size.width == 2.0 * width));
    // Seventeen pages fill five sheets but for three blanks: the cover's neighbour is blank.
    assert_eq!(booklet.pages[0].label.to_string(), "i");
    assert_eq!(booklet.pages[3].label.to_string(), "iv 13");
}

fn words_outside_the_music_keep_apart(document: &Document) {
    let front = document.pages.iter().filter(|page| page.label.to_string().starts_with(['i', 'v']));
    for page in front.chain(document.pages.last()) {
        let inks: Vec<Rect> = page
            .marks()
            .filter(|mark| {
                matches!(mark, Mark::Trace(Trace::Text { .. }, _) | Mark::Picture { .. })
            })
            .map(Mark::bounds)
            .collect();
        for (index, ink) in inks.iter().enumerate() {
            for other in &inks[index + 1..] {
                let shared = ink.intersect(*other);
                // Raised figures stand close to the letters before them.
                let touch = shared.width() > 0.3 && shared.height() > 0.3;
                assert!(!touch, "page {}: {ink:?} and {other:?}", page.label);
            }
        }
    }
}

/// Lines of about 75 characters at the most are easy to follow (common practice in book design).
#[test]
fn no_line_of_a_wide_page_is_too_long_to_read() {
    for paper in [Paper::A4, Paper::Letter] {
        for binding in [Binding::None, Binding::Left] {
            let orientation = Orientation::Landscape;
            let recipe = Recipe { orientation, paper, binding, ..Recipe::default() };
            let document = document(&recipe);
            let mut longest = 0;
            for page in &document.pages[..4] {
                assert!(page.size.width > page.size.height);
                let lines = words(page).into_iter().map(|words| words.chars().count());
                longest = longest.max(lines.max().unwrap_or(0));
            }
            assert!((40..=75).contains(&longest), "{paper:?}: {longest} characters");
        }
    }
}

/// On a wide page steps and cautions stand side by side, and the keys in two columns.
#[test]
fn a_wide_page_is_set_in_two_columns() {
    let recipe = Recipe { orientation: Orientation::Landscape, ..Recipe::default() };
    let document = document(&recipe);
    let place = |page: usize, words: &str| {
        let found = document.pages[page].marks().find_map(|mark| match mark {
            Mark::Trace(Trace::Text { text, at, .. }, _) if text.ends_with(words) => Some(*at),
            _ => None,
        });
        found.unwrap_or_else(|| panic!("{words} on page {page}"))
    };
    let (step, caution) = (place(2, "Name it"), place(2, "Look after your hands"));
    assert!(step.y == caution.y && caution.x > document.pages[2].size.width / 2.0);
    let targets: Vec<Rect> = document.pages[1].links.iter().map(|link| link.area).collect();
    // After the two pages before them, six keys in each column.
    let (first, seventh) = (targets[2], targets[8]);
    assert!(first.y0 == seventh.y0 && first.x1 < seventh.x0, "{first} {seventh}");
}

#[test]
fn a_workbook_has_its_pages_in_order_and_numbered_as_readers_show_them() {
    let document = document(&Recipe::default());
    let labels: Vec<String> = document.pages.iter().map(|page| page.label.to_string()).collect();
    let expected = [
        "i", "ii", "iii", "iv", "1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12", "13",
    ];
    assert_eq!(labels, expected);
    for (page, expected) in [
        (1, "Contents"),
        (2, "How to practise"),
        (3, "The chords, spelled"),
        (4, "C"),
        (16, "Practice log"),
    ] {
        assert_eq!(heading(&document.pages[page]), expected, "page {page}");
    }
    for page in &document.pages[1..] {
        assert!(
            words(page).contains(&page.label.to_string().as_str()),
            "page {} shows its number",
            page.label
        );
    }
}

#[test]
fn a_handout_is_the_pages_of_its_keys_alone() {
    let recipe = Recipe {
        form: DocumentForm::Handout,
        keys: ["Eb", "F#"].map(|key| key.parse().unwrap()).to_vec(),
        student: Some("Mira".to_owned()),
        ..Recipe::default()
    };
    let document = document(&recipe);
    let labels: Vec<String> = document.pages.iter().map(|page| page.label.to_string()).collect();
    assert_eq!(labels, ["1", "2"]);
    assert!(document.pages.iter().all(|page| words(page).contains(&"Mira")));
    let titles: Vec<&str> =
        document.about.outline.iter().map(|entry| entry.title.as_str()).collect();
    assert_eq!(titles, ["E♭ major", "F♯ major"]);
}

#[test]
fn a_sheet_shows_rising_tempi_of_the_metronome() {
    for (tempo, goal) in [(40, 200), (63, 120), (80, 160), (132, 208)] {
        let recipe = Recipe {
            form: DocumentForm::Handout,
            keys: vec!["C".parse().unwrap()],
            tempo,
            goal: Some(goal),
            ..Recipe::default()
        };
        let document = document(&recipe);
        let rungs: Vec<u16> = words(&document.pages[0])
            .into_iter()
            .skip_while(|words| !words.starts_with("Tick"))
            .skip(1)
            .map_while(|words| words.parse().ok())
            .collect();
        assert_eq!((rungs.first(), rungs.last()), (Some(&tempo), Some(&goal)), "{rungs:?}");
        assert!(rungs.len() <= 12 && rungs.is_sorted_by(|a, b| a < b), "{rungs:?}");
        assert!(rungs.iter().all(|rung| NOTCHES.contains(rung)), "{rungs:?}");
    }
}

#[test]
fn another_tempo_changes_the_tempo_mark_and_the_ladder_alone() {
    let slow = document(&Recipe::default());
    let fast = document(&Recipe { tempo: 132, goal: Some(176), ..Recipe::default() });
    assert_ne!(slow.about.recipe, fast.about.recipe);
    for (before, after) in slow.pages.iter().zip(&fast.pages) {
        let kept = |page: &Page, other: &Page| -> Vec<Mark> {
            page.marks().filter(|mark| !other.marks().any(|own| own == *mark)).cloned().collect()
        };
        let changed = [kept(before, after), kept(after, before)].concat();
        if before.label.to_string().contains('i') || before.label.to_string() == "13" {
            assert_eq!(changed, [], "page {}", before.label);
        }
        // The baseline of the tempo mark and that of the ladder, and the boxes about the latter.
        let baselines = changed.iter().map(|mark| match mark {
            Mark::Trace(Trace::Text { at, .. } | Trace::Sign { at, .. }, _) => at.y,
            other => {
                assert!(
                    matches!(other, Mark::Trace(Trace::Stroke { .. }, _)),
                    "page {}: {other:?}",
                    before.label
                );
                other.bounds().center().y
            }
        });
        for y in baselines {
            let from_foot = y - 31.2;
            let of_ladder = (10.0..40.0).contains(&from_foot);
            let of_mark = y > before.size.height - 140.0;
            assert!(of_ladder || of_mark, "page {}: {y}", before.label);
        }
        assert_eq!(before.links, after.links);
    }
    assert_eq!(slow.about.outline, fast.about.outline);
}

#[test]
fn the_document_carries_its_recipe_with_the_drill_in_it() {
    let recipe = Recipe { student: Some("Mira".to_owned()), ..Recipe::default() };
    let first = document(&recipe);
    let carried = Recipe::from_json(&first.about.recipe, "the document").unwrap();
    let text = library::find(&recipe.drill).unwrap().to_owned();
    assert_eq!(carried, Recipe { template: Some(text), ..recipe });
    assert!(document(&carried) == first, "the carried recipe makes the same document");
}

/// Of one drill, twice as long as it can be in print: on as many pages as it needs.
#[test]
fn a_drill_longer_than_two_pages_takes_more_of_them() {
    let text = library::find("pushed").unwrap();
    let degrees = "[1, 2, 3, 4, 5, 6, 7, 8]";
    let long = format!("[{}]", ["1, 2, 3, 4, 5, 6, 7, 8"; 6].join(", "));
    let template = Some(text.replace(degrees, &long));
    let orientation = Orientation::Landscape;
    let keys = ["C", "Db"].map(|key| key.parse().unwrap()).to_vec();
    let staff = StaffSize::of_mm(9.5).ok();
    let paper = Paper::Letter;
    let recipe = Recipe { template, keys, paper, orientation, staff, ..Recipe::default() };
    let handout = document(&Recipe { form: DocumentForm::Handout, ..recipe.clone() });
    let each = handout.pages.len() / 2;
    assert!(each > 2 && handout.pages.len() == 2 * each, "{} pages", handout.pages.len());
    let starts: Vec<usize> = handout.about.outline.iter().map(|entry| entry.page).collect();
    assert_eq!(starts, [0, each]);
    for (index, page) in handout.pages.iter().enumerate() {
        let said = format!("{} of {each}", index % each + 1);
        assert!(words(page).iter().any(|words| words.ends_with(&said)), "{said}");
    }
    // The foot stands under the last of them, for there the run ends.
    let feet = handout
        .pages
        .iter()
        .filter(|page| words(page).iter().any(|words| words.starts_with("Tick after")));
    assert_eq!(feet.count(), 2);
}

#[test]
fn a_bar_larger_than_a_page_is_refused_with_key_and_paper() {
    let (paper, orientation) = (Paper::A5, Orientation::Landscape);
    let staff = StaffSize::of_mm(9.5).ok();
    let mut refusals = 0;
    for (drill, _) in library::all() {
        let drill = drill.to_owned();
        let recipe = Recipe { drill, paper, orientation, staff, ..Recipe::default() };
        let Err(error) = pipeline::document(&recipe) else { continue };
        let told = Complaint::from(error).to_string();
        assert!(
            told.contains(": a bar of it is larger than a page of A5; with staves of"),
            "{told}"
        );
        refusals += 1;
    }
    assert!(refusals > 0);
}

/// Each drill of the library, and each made short, on each paper upright in large print.
#[test]
fn no_drill_is_refused_for_its_length() {
    let mut wide_bars = 0;
    let library = library::all().map(|(name, text)| (name.to_owned(), text.to_owned()));
    for (index, (drill, text)) in library.chain(short::drills()).enumerate() {
        for paper in Paper::ALL {
            // The papers by turns in other sizes.
            let others: Vec<StaffSize> = StaffSize::all().collect();
            let turn = others[(index + paper as usize) % others.len()];
            for staff in [StaffSize::of_mm(9.5).ok(), Some(turn), None] {
                let (drill, template) = (drill.clone(), Some(text.clone()));
                let recipe = Recipe { drill, template, paper, staff, ..Recipe::default() };
                let commission = pipeline::commission(&recipe).expect("a sound recipe");
                match commission.book() {
                    Ok(_) => {}
                    // On half a sheet a single bar of many signs may be wider than the page.
                    Err(PipelineError::Page(PageError::NoRoom { nearest: Some(_), .. }))
                        if is_small(paper) && staff == StaffSize::of_mm(9.5).ok() =>
                    {
                        wide_bars += 1;
                    }
                    Err(error) => panic!("{} on {paper:?}: {error}", recipe.drill),
                }
            }
        }
    }
    assert!(wide_bars < 5, "{wide_bars} drills have a bar wider than a small page");
}
