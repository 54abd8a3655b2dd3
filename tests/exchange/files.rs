//! Whole files: the same bytes each time, packed and plain alike, with titles, names and tempi.

use std::io::Read as _;

use quintfall::desk::pipeline;
use quintfall::exchange::{MXL_START, XML_START, musicxml, mxl};
use quintfall::recipe::{CourseDrill, DocumentForm, Recipe};

use crate::tree::{Node, parse};

fn course() -> Recipe {
    let course = ["solid", "pushed", "jazz-waltz"].map(CourseDrill::named).to_vec();
    let keys = ["C", "Gb"].map(|key| key.parse().expect("a key")).to_vec();
    let student = Some("Zoë & <Łuczak>".to_owned());
    let title = Some("Sevenths \"& more\"".to_owned());
    Recipe {
        form: DocumentForm::Handout,
        drill: String::new(),
        course,
        keys,
        student,
        title,
        ..Recipe::default()
    }
}

fn files(recipe: &Recipe) -> [Vec<u8>; 2] {
    let commission = pipeline::commission(recipe).expect("a sound recipe");
    let book = commission.book().expect("room for it");
    let piece = commission.piece(&book);
    [musicxml(&piece), mxl(&piece)]
}

#[test]
fn the_same_recipe_gives_the_same_bytes() {
    let [plain, packed] = files(&course());
    assert_eq!([plain.clone(), packed.clone()], files(&course()));
    assert!(plain.starts_with(XML_START) && packed.starts_with(MXL_START));
}

/// The files of a zip, by its table at the end.
fn unpacked(zip: &[u8]) -> Vec<(String, Vec<u8>)> {
    let half = |at: usize| u16::from_le_bytes([zip[at], zip[at + 1]]) as usize;
    let whole = |at: usize| half(at) + (half(at + 2) << 16);
    let end = zip.len() - 22;
    assert_eq!(&zip[end..end + 4], b"PK\x05\x06");
    let (count, mut at) = (half(end + 10), whole(end + 16));
    assert_eq!(at + whole(end + 12), end, "the table ends where the end begins");
    let mut files = Vec::new();
    for _ in 0..count {
        assert_eq!(&zip[at..at + 4], b"PK\x01\x02");
        let (method, crc) = (half(at + 10), whole(at + 16));
        let (packed, size, name) = (whole(at + 20), whole(at + 24), half(at + 28));
        let start = whole(at + 42);
        assert_eq!(&zip[start + 14..start + 30], &zip[at + 16..at + 32], "both say the same");
        let data = &zip[start + 30 + name..start + 30 + name + packed];
        let data = match method {
            0 => data.to_vec(),
            _ => {
                let mut inner = Vec::new();
                flate2::read::DeflateDecoder::new(data).read_to_end(&mut inner).expect("deflated");
                inner
            }
        };
        assert_eq!(data.len(), size);
        let mut sum = flate2::Crc::new();
        sum.update(&data);
        assert_eq!(sum.sum() as usize, crc);
        let name = String::from_utf8(zip[at + 46..at + 46 + name].to_vec()).expect("a name");
        at += 46 + name.len();
        files.push((name, data));
    }
    files
}

#[test]
fn the_packed_file_holds_the_plain_one() {
    let [plain, packed] = files(&course());
    let files = unpacked(&packed);
    let names: Vec<&str> = files.iter().map(|(name, _)| &**name).collect();
    assert_eq!(names, ["mimetype", "META-INF/container.xml", "score.musicxml"]);
    let container = parse(&files[1].1);
    let place = container.find(&["rootfiles", "rootfile"]).expect("a place");
    assert_eq!(place.attribute("full-path"), Some(names[2]));
    assert_eq!(files[2].1, plain);
    assert!(packed.len() * 10 < plain.len());
}

#[test]
fn names_and_tempi_are_told() {
    let [plain, _] = files(&course());
    let file = parse(&plain);
    assert_eq!(file.text(&["work", "work-title"]), Some("Sevenths \"& more\""));
    let creator = file.find(&["identification", "creator"]).expect("a student");
    assert_eq!((creator.attribute("type"), &*creator.text), (Some("student"), "Zoë & <Łuczak>"));
    assert_eq!(
        file.find(&["part"]).map(|part| part.all("measure").count()),
        Some({
            let commission = pipeline::commission(&course()).expect("a sound recipe");
            let bars = commission.course.exercises.iter().map(|it| it.template.bars());
            bars.sum::<usize>() * 2
        })
    );
    let words: Vec<String> = file.deep("words").into_iter().map(|it| it.text.clone()).collect();
    for told in ["C major", "G♭ major", "Swing"] {
        assert!(words.iter().any(|word| word == told), "{told}");
    }
    let sounds: Vec<&Node> = file.deep("sound");
    assert_eq!(sounds.len(), 6, "a tempo for each key of each drill");
    assert!(sounds.iter().all(|it| it.attribute("tempo") == Some("80")));
    assert!(sounds.iter().any(|it| it.number(&["swing", "first"]) == Some(2)));
    // Pages begin with keys, but for the first.
    let part = file.find(&["part"]).expect("a part");
    let firsts = part.all("measure").filter(|it| it.attribute("number") == Some("1"));
    let firsts: Vec<&Node> = firsts.skip(1).collect();
    let page =
        |it: &&Node| it.find(&["print"]).and_then(|it| it.attribute("new-page")) == Some("yes");
    assert!(firsts.len() == 5 && firsts.iter().any(page));
}

/// A review has boxes and no notes.
#[test]
fn a_review_has_nothing_to_write_down() {
    let recipe = Recipe { form: DocumentForm::Review, ..course() };
    let commission = pipeline::commission(&recipe).expect("a sound recipe");
    let book = commission.book().expect("room for it");
    assert!(commission.piece(&book).movements.is_empty());
}
