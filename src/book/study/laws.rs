//! Laws of a chart on paper, over the charts that come with the program and over such as nobody
//! would write, with readings that take the most room.

use std::collections::BTreeSet;

use kurbo::Rect;

use super::piece::{ChartPiece, PieceRole};
use super::{ChartBook, ChartLook, ReaderTune};
use crate::book::PageTemplate;
use crate::canvas::paper::{self, Orientation, Paper};
use crate::canvas::{Kind, Mark, Trace};
use crate::chart::{
    Analysis, Area, Cadence, CadenceForm, CadenceKind, Chart, ChordReading, Function, analyse,
    demos,
};
use crate::glyphs::Sign;
use crate::theory::{
    BorrowedTarget, Chord, ChordKind, ChordStyle, Key, Numeral, chord_symbol, read_chord,
};
use crate::typeset::TextFace;
use crate::typeset::line::{Phrase, Style};

/// A chart of sections in a metre.
fn of(head: &str, sections: &[(&str, String)]) -> Chart {
    let mut text = format!("title = \"A title\"\n{head}\n");
    for (name, bars) in sections {
        text.push_str(&format!("[[section]]\nname = \"{name}\"\nbars = \"\"\"\n{bars}\n\"\"\"\n"));
    }
    Chart::parse(&text, "x").unwrap_or_else(|error| panic!("{error}: {text}"))
}

/// The widest symbols that there are, on roots with signs.
fn widest() -> Vec<Chord> {
    let root = read_chord("Ab").unwrap().root;
    let bass = read_chord("Gb").unwrap().root;
    let width = |chord: &Chord| {
        let parts = chord_symbol(*chord, ChordStyle::default());
        Phrase::harmony(&parts, Style::new(TextFace::Semibold, 1.0)).width()
    };
    let mut all: Vec<Chord> =
        ChordKind::all().map(|kind| Chord::new(root, kind).over(bass)).collect();
    all.sort_by(|a, b| width(b).total_cmp(&width(a)));
    all.truncate(8);
    all
}

/// Charts that have what charts can have, in full measure.
fn unlikely() -> Vec<Chart> {
    let mut wide = of(
        "metre = \"4/4\"\nform = \"AABA\"\npick-up = \"C C C\"",
        &[("A", "| C C C C | C C C |\n".repeat(6)), ("B", "| C C | C C C C |\n".repeat(2))],
    );
    let stands = wide.sections.iter_mut().flat_map(|section| &mut section.bars);
    let stands = stands.flat_map(|bar| &mut bar.changes);
    let widest = widest();
    for (stand, chord) in wide.pick_up.iter_mut().chain(stands).zip(widest.iter().cycle()) {
        stand.chord = Some(*chord);
    }
    let signs = "|: Ebmaj7 | % |1.2. Bbm7 / / Eb7 | Ab to-coda :|3. Db7alt |4.5. %:|";
    let signs = signs.replace("|4.5. %:|", "| % |: F#m7b5/E :|x9 N.C. |: C | D :|: E :|");
    let long = "| Dm7 | G7sus4 | Cmaj7 | A7b9 |\n".repeat(24);
    let names = [("Interlude", signs.clone()), ("Coda", "| C6/9 | % |".to_owned())];
    vec![
        wide,
        of("metre = \"4/4\"\nform = \"Interlude Coda\"", &names),
        of(
            "metre = \"5/4\"",
            &[("A", "|: Gm9 / Eb / D7 |1. C :|2. D | E | F | G | A |".to_owned())],
        ),
        of(
            "metre = \"6/8\"\npick-up = \"G7\"",
            &[("X", "| Am / / / / G7 | F C Dm E7 |".to_owned())],
        ),
        of("metre = \"3/4\"", &[("A", long.clone()), ("B", long)]),
        of("metre = \"4/4\"", &[("A", "N.C.".to_owned())]),
    ]
}

fn all() -> Vec<Chart> {
    let demos = demos().map(|(name, text)| Chart::parse(text, name).unwrap());
    demos.chain(unlikely()).collect()
}

/// Readings that take much room: keys that change every few chords, numerals with all they can
/// have, a cadence at every pair.
fn crowded(chart: &Chart, every: usize) -> Analysis {
    let keys = ["Gb major", "C minor", "Db major", "B minor"].map(|key| {
        let (tonic, word) = key.split_once(' ').unwrap();
        let tonic: Key = tonic.parse().unwrap();
        if word == "minor" { Key::minor(tonic.tonic()).unwrap() } else { tonic }
    });
    let unfolded = chart.unfolded();
    let first = |written: usize| unfolded.changes.iter().find(|it| it.written == written);
    let mut readings = Vec::new();
    let mut areas: Vec<Area> = Vec::new();
    let mut cadences = Vec::new();
    for (written, stand) in chart.written().enumerate() {
        let Some(chord) = stand.chord else { continue };
        // What comes after the way to the coda may never be heard.
        let Some(change) = first(written) else { continue };
        let nth = written / every;
        let key = keys[nth % keys.len()];
        let goal = Some(BorrowedTarget { degree: 7, alter: -1, is_minor: written % 2 == 0 });
        let numeral = Numeral { alter: -1, of: goal, ..Numeral::new(7, chord.kind) };
        readings.push(ChordReading {
            written,
            at: change.at,
            heard: 1,
            chord,
            key,
            numeral,
            function: Function::Dominant,
            target: None,
            goal,
            reason: String::new(),
            margin: 0.0,
            other: None,
        });
        areas.push(Area {
            from: change.at,
            until: change.at + change.length,
            first_bar: 0,
            last_bar: 0,
            key,
            is_stayed: nth.is_multiple_of(2),
            near: None,
        });
        if written % 2 == 1 {
            cadences.push(Cadence {
                at: change.at,
                dominant_at: change.at,
                written: [written - 1, written],
                kind: CadenceKind::TwoFiveOneMajor,
                form: CadenceForm::Fifth,
                is_resolved: true,
                target: chord.root,
                key,
            });
        }
    }
    Analysis {
        home: keys[0],
        margin: 0.5,
        second: Some(crate::chart::NearKey { key: keys[1], by: 0.4 }),
        is_blues: true,
        is_modal: true,
        readings,
        areas,
        cadences,
    }
}

/// Every chart on every paper, without readings and with those that take most room.
fn for_every_book(mut law: impl FnMut(&ChartBook<'_>, &Chart, Rect, &str)) {
    for chart in all() {
        for every in [0, 1, 3] {
            let analysis = (every > 0).then(|| crowded(&chart, every));
            for paper in Paper::ALL {
                for orientation in [Orientation::Portrait, Orientation::Landscape] {
                    let look = ChartLook { paper, orientation, ..ChartLook::default() };
                    let analysis = analysis.as_ref();
                    let tune = ReaderTune { chart: &chart, analysis, horn: None, sounding: None };
                    let book = ChartBook::measure(tune, look, String::new()).unwrap();
                    let live = PageTemplate::of(paper).live(paper::size(paper, orientation));
                    let about = format!("{} {paper:?} {orientation:?} {every}", chart.title);
                    law(&book, &chart, live, &about);
                }
            }
        }
    }
}

fn boxes(piece: &ChartPiece) -> impl Iterator<Item = Rect> + '_ {
    piece.traces.iter().map(|(trace, _)| trace.bounds())
}

fn overlap(a: Rect, b: Rect) -> bool {
    const TOUCH: f64 = 0.01;
    let both = a.intersect(b);
    both.x1 - both.x0 > TOUCH && both.y1 - both.y0 > TOUCH
}

#[test]
fn no_two_pieces_share_ink() {
    let mut pairs = 0;
    for_every_book(|book, _, live, about| {
        for page in 0..book.pages() {
            let lines = book.lines(live, page);
            let pieces: Vec<&ChartPiece> = lines.iter().flat_map(|(pieces, _)| pieces).collect();
            let whole = |piece: &ChartPiece| boxes(piece).reduce(|all, ink| all.union(ink));
            let wholes: Vec<Option<Rect>> = pieces.iter().map(|piece| whole(piece)).collect();
            for (index, one) in pieces.iter().enumerate() {
                for (other, own) in pieces[index + 1..].iter().zip(&wholes[index + 1..]) {
                    let near = wholes[index].zip(*own).is_some_and(|(a, b)| overlap(a, b));
                    if !near {
                        continue;
                    }
                    pairs += 1;
                    let meets = boxes(one).any(|a| boxes(other).any(|b| overlap(a, b)));
                    assert!(!meets, "{about}: {one:?}\nmeets {other:?}");
                }
            }
        }
    });
    assert!(pairs > 1000, "{pairs}");
}

/// Charts of lines of four bars that end on a ii, in a section and before an ending.
fn torn() -> Vec<Chart> {
    let head = "metre = \"4/4\"\nform = \"A A\"";
    [
        "| C6 | Am7 | D7 | Dm7 | G7 | Cmaj7 | F6 Gm7 | C7 Bm7b5 | E7 | Am7 | D7 | G7 |",
        "| Eb6 | % | Cm7 | Fm7 | Bb7 Bbm7 | Eb7 | Ab6 | Am7b5 | D7b9 | Gm7 | C7 | Fm7 Bb7 |",
        "| Dm6 | % | % | Em7b5 | A7 | Dm7 G7 | C6 | Em7b5 |1. A7 | Dm6 :|2. A7 | Dm6 |",
    ]
    .map(|bars| of(head, &[("A", bars.to_owned())]))
    .into()
}

/// A ii at the end of a line is joined to the V at the beginning of the next, by two halves that are open
/// there.
#[test]
fn a_ii_is_joined_to_a_v_on_the_next_line() {
    let mut met = 0;
    for chart in all().into_iter().chain(torn()) {
        let Some(analysis) = analyse(&chart.unfolded()) else { continue };
        for paper in Paper::ALL {
            let tune =
                ReaderTune { chart: &chart, analysis: Some(&analysis), horn: None, sounding: None };
            let look = ChartLook { paper, ..ChartLook::default() };
            let book = ChartBook::measure(tune, look, String::new()).unwrap();
            let live = PageTemplate::of(paper).live(paper::size(paper, Orientation::Portrait));
            let pages = (0..book.pages()).flat_map(|page| book.lines(live, page));
            let lines: Vec<Vec<ChartPiece>> = pages.map(|(pieces, _)| pieces).collect();
            let mut written = 0;
            for (one, next) in lines.iter().zip(lines.iter().skip(1)) {
                let is_chord = |it: &&ChartPiece| it.role == PieceRole::Symbol && symbol(it) != "%";
                written += one.iter().filter(is_chord).count();
                let is_torn =
                    |it: &Cadence| it.kind.has_two() && it.written == [written - 1, written];
                if written == 0 || !analysis.written_cadences().any(is_torn) {
                    continue;
                }
                let shelf = |line: &[ChartPiece]| {
                    let frame = line.iter().find(|it| it.role == PieceRole::Frame).unwrap();
                    boxes(frame).reduce(|all, ink| all.union(ink)).unwrap()
                };
                let marks = |line: &[ChartPiece]| -> Vec<Rect> {
                    let own = line.iter().filter(|it| it.role == PieceRole::Cadence);
                    own.filter_map(|it| boxes(it).reduce(|all, ink| all.union(ink))).collect()
                };
                let em = book.room.sizes.symbol;
                let ends = marks(one).iter().any(|it| shelf(one).x1 - it.x1 < em);
                let begins = marks(next).iter().any(|it| it.x0 - shelf(next).x0 < em);
                assert!(ends && begins, "{}, {paper:?}, chord {written}", chart.title);
                met += 1;
            }
        }
    }
    assert!(met > 10, "{met}");
}

#[test]
fn everything_stands_inside_the_margins_and_apart_from_head_and_foot() {
    for_every_book(|book, _, live, about| {
        for index in 0..book.pages() {
            let page = book.page(index);
            // Letters may hang out of their column by what a slant takes.
            let wide = live.inflate(1.5, 0.01);
            let mut blocks: Vec<(Kind, Rect)> = Vec::new();
            for block in &page.blocks {
                let ink = block.marks.iter().map(Mark::bounds).reduce(|all, ink| all.union(ink));
                let ink = ink.expect("a block has marks");
                assert!(
                    wide.contains_rect(ink),
                    "{about}: {ink:?} out of {live:?}: {:?}",
                    block.kind
                );
                assert!(block.kind != Kind::Row || !block.words.is_empty());
                blocks.push((block.kind, ink));
            }
            for (place, (kind, ink)) in blocks.iter().enumerate() {
                for (other_kind, other) in &blocks[place + 1..] {
                    assert!(
                        !overlap(*ink, *other),
                        "{about}: {kind:?} {ink:?} meets {other_kind:?} {other:?}"
                    );
                }
            }
        }
    });
}

/// A symbol as it is read from its marks, left to right.
fn symbol(piece: &ChartPiece) -> String {
    let mut parts: Vec<(f64, String)> = Vec::new();
    for (trace, _) in &piece.traces {
        let (at, words) = match trace {
            Trace::Text { text, at, .. } => (at.x, text.to_string()),
            Trace::Sign { sign, at, .. } => {
                let words = match sign {
                    Sign::CsymAccidentalFlat => "b",
                    Sign::CsymAccidentalSharp => "#",
                    Sign::CsymAccidentalDoubleFlat => "bb",
                    Sign::CsymAccidentalDoubleSharp => "##",
                    Sign::CsymDiminished => "\u{b0}",
                    Sign::CsymHalfDiminished => "\u{f8}",
                    Sign::CsymAugmented => "+",
                    Sign::CsymMinor => "-",
                    Sign::CsymMajorSeventh => "\u{25b3}",
                    other => panic!("{other:?} in a symbol"),
                };
                (at.x, words.to_owned())
            }
            // The sign of a bar that repeats the one before has neither.
            _ => continue,
        };
        parts.push((at, words));
    }
    parts.sort_by(|a, b| a.0.total_cmp(&b.0));
    let words: String = parts.into_iter().map(|(_, words)| words).collect();
    if words.is_empty() { "%".to_owned() } else { words }
}

/// The places where bars end, as the barlines of a line have them, from left to right.
fn bar_ends(frame: &ChartPiece, em: f64) -> Vec<f64> {
    let lines = frame.traces.iter().filter_map(|(trace, _)| match trace {
        Trace::Line { from, to, .. } if from.x == to.x && (to.y - from.y).abs() > 0.5 * em => {
            Some(from.x)
        }
        _ => None,
    });
    let mut all: Vec<f64> = lines.collect();
    all.sort_by(f64::total_cmp);
    let mut ends: Vec<f64> = Vec::new();
    for x in all {
        if ends.last().is_none_or(|last| x - last > 0.6 * em) {
            ends.push(x);
        }
    }
    ends
}

/// Every line that goes on in its section has the number of its first bar beside it, so that what is
/// said of `A 13` is found; and the page ends with a final barline only where the tune does.
#[test]
fn lines_are_numbered_and_say_where_sections_lead() {
    let (mut numbers, mut ways) = (0, 0);
    for_every_book(|book, chart, live, about| {
        for page in 0..book.pages() {
            let lines = book.pages[page].clone().map(|line| &book.room.lines[line]);
            for ((pieces, words), line) in book.lines(live, page).iter().zip(lines) {
                let has = |role: PieceRole| pieces.iter().any(|piece| piece.role == role);
                let goes_on = line.section.is_some() && !line.begins_section();
                assert_eq!(has(PieceRole::Number), goes_on, "{about}: {words}");
                numbers += usize::from(goes_on);
                let Some(section) = line.section else { continue };
                let is_end = line.bars.end == chart.sections[section].bars.len();
                if let Some(way) = chart.way_on(section).filter(|_| is_end) {
                    assert!(has(PieceRole::Coda) && words.contains(&way), "{about}: {words}");
                    ways += 1;
                }
            }
        }
    });
    assert!(numbers > 20 && ways > 5, "{numbers} numbers, {ways} ways on");
}

#[test]
fn what_is_printed_reads_back_bar_by_bar() {
    for_every_book(|book, chart, live, about| {
        let em = book.room.sizes.symbol;
        let mut read: Vec<Vec<String>> = Vec::new();
        for page in 0..book.pages() {
            for (pieces, _) in book.lines(live, page) {
                let frame = pieces.iter().find(|piece| piece.role == PieceRole::Frame).unwrap();
                let ends = bar_ends(frame, em);
                let mut bars = vec![Vec::new(); ends.len() - 1];
                for piece in pieces.iter().filter(|piece| piece.role == PieceRole::Symbol) {
                    let ink = boxes(piece).reduce(|all, ink| all.union(ink)).unwrap();
                    let bar = ends.iter().rposition(|end| *end < ink.x0).unwrap();
                    assert!(ink.x1 < ends[bar + 1], "{about}: a symbol crosses its barline");
                    bars[bar].push((ink.x0, symbol(piece)));
                }
                read.extend(bars.into_iter().map(|mut bar| {
                    bar.sort_by(|a: &(f64, String), b| a.0.total_cmp(&b.0));
                    bar.into_iter().map(|(_, words)| words).collect()
                }));
            }
        }
        let bars = chart.sections.iter().flat_map(|section| &section.bars);
        let pick_up = (!chart.pick_up.is_empty()).then_some(&chart.pick_up);
        let written: Vec<_> = pick_up.into_iter().chain(bars.map(|bar| &bar.changes)).collect();
        assert_eq!(read.len(), written.len(), "{about}: bars");
        for (read, written) in read.iter().zip(written) {
            if written.is_empty() {
                assert_eq!(read, &["%"], "{about}");
                continue;
            }
            let chords: Vec<Option<Chord>> = read
                .iter()
                .map(|it| {
                    (it != "N.C.").then(|| read_chord(it).unwrap_or_else(|e| panic!("{it}: {e}")))
                })
                .collect();
            let wanted: Vec<Option<Chord>> = written.iter().map(|stand| stand.chord).collect();
            assert_eq!(chords, wanted, "{about}: {read:?}");
        }
    });
}

#[test]
fn bars_are_alike_in_width_and_line_up() {
    for_every_book(|book, _, live, about| {
        let mut widths: BTreeSet<i64> = BTreeSet::new();
        for page in 0..book.pages() {
            for (pieces, _) in book.lines(live, page) {
                let frame = pieces.iter().find(|piece| piece.role == PieceRole::Frame).unwrap();
                let shelf = frame.traces.iter().find_map(|(trace, _)| match trace {
                    Trace::Line { from, to, .. } if from.y == to.y => Some([from.x, to.x]),
                    _ => None,
                });
                let [from, to] = shelf.expect("a rule below the chords");
                let start = live.x0 + book.room.letter;
                for x in [from, to] {
                    let columns = (x - start) / book.room.cell;
                    assert!((columns - columns.round()).abs() < 1e-6, "{about}: {x}");
                }
                widths.insert((1e6 * book.room.cell) as i64);
            }
        }
        assert_eq!(widths.len(), 1);
    });
}

/// The charts that come with the program take one page each, at a size to be read from a stand.
#[test]
fn a_chart_takes_one_page_where_it_can() {
    for (name, text) in demos() {
        let chart = Chart::parse(text, name).unwrap();
        let analysis = analyse(&chart.unfolded()).expect("there are chords");
        for (paper, least) in [(Paper::A4, 11.0), (Paper::Letter, 11.0), (Paper::A5, 9.0)] {
            let tune =
                ReaderTune { chart: &chart, analysis: Some(&analysis), horn: None, sounding: None };
            let look = ChartLook { paper, ..ChartLook::default() };
            let book = ChartBook::measure(tune, look, String::new()).unwrap();
            assert_eq!(book.pages(), 1, "{name} on {paper:?}");
            let size = book.room.sizes.symbol;
            assert!(size >= least, "{name} on {paper:?}: {size}");
        }
    }
}
