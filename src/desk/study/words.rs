//! What a packet says of a tune, for a student: its keys, its cadences, and the chords that are not
//! of their key.

use super::tune::Studied;
use crate::book::{Leaf, LeafBlock, LeafRow, LeafTable};
use crate::chart::{
    Analysis, Cadence, CadenceForm, CadenceKind, ChordReading, Function, KeyShare, is_same,
    key_shares,
};
use crate::theory::{
    ChordStyle, Key, Mode, Numeral, NumeralStyle, Scale, Seventh, chord_symbol, plain_text,
};

/// Below this margin home is told with the key that it might be instead, in the unit of costs.
const NEAR: f64 = 2.0;

/// The page on what the changes of a tune say.
pub(super) fn reasons(tune: &Studied, symbols: ChordStyle) -> Leaf {
    let title = &tune.chart.title;
    let mut blocks = vec![
        LeafBlock::Head(title.clone()),
        LeafBlock::Text(format!("{} {}", home(&tune.analysis), how_to_read(tune))),
        LeafBlock::Head("Its keys".to_owned()),
        LeafBlock::Table(keys(tune)),
    ];
    blocks.push(LeafBlock::Head("Its cadences".to_owned()));
    let cadences = cadences(tune);
    if cadences.rows.is_empty() {
        blocks.push(LeafBlock::Text("There is none: no dominant resolves.".to_owned()));
    } else {
        blocks.push(LeafBlock::Table(cadences));
    }
    blocks.push(LeafBlock::Head("Chords that are not of their key".to_owned()));
    let outside = outside(tune, symbols);
    if outside.rows.is_empty() {
        blocks.push(LeafBlock::Text("There is none: every chord is one of its key.".to_owned()));
    } else {
        blocks.push(LeafBlock::Table(outside));
    }
    Leaf {
        heading: "What the changes say".to_owned(),
        listed: format!("{title}: what the changes say"),
        blocks,
    }
}

/// Where home is, and how sure that is.
fn home(analysis: &Analysis) -> String {
    let home = analysis.home.words();
    let sure = analysis.sureness();
    let mut words = match (analysis.is_modal, analysis.is_blues) {
        (true, _) => format!("No cadence says where home is; the longest rest does: {home}."),
        (false, true) => format!("This is a blues in {}.", analysis.home.tonic()),
        (false, false) => format!("Home is {home}."),
    };
    let near = analysis.second.filter(|near| near.by < NEAR);
    match near {
        Some(near) => words.push_str(&format!(
            " It may also be heard in {}: where two keys are as near as that, the first is right in \
             about {sure} tunes of a hundred.",
            near.key.words()
        )),
        None => words.push_str(&format!(
            " Where the changes say it so clearly, that is right in about {sure} tunes of a hundred."
        )),
    }
    words
}

/// Places, as many as a student would look up.
fn told(places: &[String]) -> String {
    const MOST: usize = 16;
    let more = if places.len() > MOST { " \u{2026}" } else { "" };
    let places: Vec<&str> = places.iter().take(MOST).map(String::as_str).collect();
    format!("{}{more}", places.join(", "))
}

/// How places are told, and from where numerals count.
fn how_to_read(tune: &Studied) -> String {
    let home = tune.chart.key.unwrap_or(tune.analysis.home);
    let is_home = |key: Key| key.tonic().pitch_class() == home.tonic().pitch_class();
    let numerals = if tune.analysis.areas.iter().all(|area| is_home(area.key)) {
        String::new()
    } else {
        format!(
            " Here and on the chart numerals count from the key of their bars; on the sheets over the \
             tune all count from home, {}.",
            home.words()
        )
    };
    let places = match tune.chart.sections.as_slice() {
        [_] => "Bars are counted as they are written.".to_owned(),
        sections => {
            let name = &sections[0].name;
            format!("{name}\u{a0}3 is the third bar of section {name}, as it is written.")
        }
    };
    format!("{places}{numerals}")
}

fn keys(tune: &Studied) -> LeafTable {
    let shares = key_shares(&tune.unfolded, &tune.analysis);
    let all: f64 = shares.iter().map(|share| share.bars).sum();
    let row = |share: &KeyShare| {
        let own = tune.analysis.areas.iter().filter(|area| is_same(area.key, share.key));
        let places = tune.stretches(own.map(|area| area.from..area.until));
        let bars = share.bars;
        let whole = if (bars - bars.round()).abs() < 0.01 {
            format!("{bars:.0}")
        } else {
            format!("{bars:.1}")
        };
        let stays = if share.is_stayed { "stays" } else { "only touched" };
        let percent = format!("{:.0} %", 100.0 * bars / all.max(1.0));
        let cells = [share.key.words(), whole, percent, stays.to_owned(), told(&places)];
        LeafRow { cells: cells.into(), sheets: Vec::new() }
    };
    LeafTable {
        columns: vec![
            ("Key", 2.2),
            ("Bars", 0.9),
            ("Share", 1.0),
            ("The tune", 1.8),
            ("Where", 6.0),
        ],
        has_pages: false,
        has_boxes: false,
        rows: shares.iter().map(row).collect(),
    }
}

/// Cadences that are alike, with where they stand; then the dominants without a ii that lead to what
/// is itself on the way.
pub(super) fn cadences(tune: &Studied) -> LeafTable {
    let mut rows: Vec<([String; 3], Vec<String>)> = Vec::new();
    let mut add = |cells: [String; 3], place: String| match rows
        .iter_mut()
        .find(|(known, _)| *known == cells)
    {
        Some((_, places)) if places.contains(&place) => {}
        Some((_, places)) => places.push(place),
        None => rows.push((cells, vec![place])),
    };
    for cadence in tune.analysis.written_cadences() {
        let form = match cadence.form {
            CadenceForm::Fifth => "",
            CadenceForm::Tritone => ", by the tritone substitute",
            CadenceForm::Backdoor => ", by the back door",
        };
        let comes = if cadence.is_resolved { "its goal" } else { "another chord" };
        let kind = cadence.kind.word().to_owned();
        let hearing = hearing(tune, cadence);
        let cells = [kind, points_to(cadence), format!("{comes}{form}{hearing}")];
        add(cells, tune.place(cadence.written[0]));
    }
    for reading in tune.analysis.readings.iter().filter(|it| leads_on(tune, it)) {
        let target = reading.target.map_or_else(String::new, |it| it.to_string());
        let comes = "its goal, on the way to another".to_owned();
        add(["V".to_owned(), target, comes], tune.place(reading.written));
    }
    let row = |(cells, places): ([String; 3], Vec<String>)| LeafRow {
        cells: cells.into_iter().chain([told(&places)]).collect(),
        sheets: Vec::new(),
    };
    LeafTable {
        columns: vec![("Cadence", 1.5), ("Points to", 1.6), ("What comes", 4.0), ("Where", 5.0)],
        has_pages: false,
        has_boxes: false,
        rows: rows.into_iter().map(row).collect(),
    }
}

/// The key that a cadence is heard in, where another is near.
fn hearing(tune: &Studied, cadence: &Cadence) -> String {
    let other = tune.analysis.reading(cadence.written[1]).and_then(|reading| reading.other);
    let other = other.filter(|other| other.key != cadence.key);
    other.map_or_else(String::new, |other| {
        format!(", heard in {}, nearly in {}", cadence.key.words(), other.key.words())
    })
}

/// Whether a chord is a dominant that stands in no cadence and whose goal comes next, a fifth lower.
fn leads_on(tune: &Studied, reading: &ChordReading) -> bool {
    const FIFTH_DOWN: i32 = 5;
    let is_minor = reading.chord.kind.has_minor_third();
    let is_five = reading.function == Function::Dominant && !is_minor;
    let Some(target) = reading.target.filter(|_| is_five) else {
        return false;
    };
    let root = reading.chord.root.pitch_class();
    let falls = (target.pitch_class() - root).rem_euclid(12) == FIFTH_DOWN;
    // What is suspended before is the same dominant.
    let earlier = tune.unfolded.changes.iter().rev().filter(|it| it.at <= reading.at);
    let own = earlier.take_while(|it| it.chord.is_some_and(|it| it.root.pitch_class() == root));
    let own: Vec<usize> = own.map(|it| it.written).collect();
    let is_known = |it: &Cadence| own.contains(&it.written[1]);
    let later = tune.unfolded.changes.iter().filter(|it| it.at > reading.at);
    let next = later.chain(&tune.unfolded.changes).find_map(|it| it.chord);
    let comes = next.is_some_and(|it| {
        it.root.pitch_class() == target.pitch_class() && it.kind.has_minor_third()
    });
    falls && comes && !tune.analysis.cadences.iter().any(is_known)
}

/// The goal of a cadence: a key where it arrives on a chord of rest, else a root.
fn points_to(cadence: &Cadence) -> String {
    let tonality = match cadence.kind {
        CadenceKind::TwoFiveOneMajor | CadenceKind::FiveOneMajor => " major",
        CadenceKind::TwoFiveOneMinor | CadenceKind::FiveOneMinor => " minor",
        CadenceKind::TwoFive => "",
    };
    format!("{}{tonality}", cadence.target)
}

/// Whether a chord has notes that its key has not; a minor key has its leading tone too.
fn is_outside(reading: &ChordReading) -> bool {
    let key = reading.key;
    let scale = Scale { tonic: key.tonic(), mode: key.mode() };
    let mut own: Vec<i32> =
        (1..=7).map(|degree| key.tonic().up(scale.interval(degree)).pitch_class()).collect();
    if key.mode() == Mode::NaturalMinor {
        own.push((key.tonic().pitch_class() + 11).rem_euclid(12));
    }
    let chord = reading.chord;
    let is_strange =
        |tone: crate::theory::Interval| !own.contains(&chord.root.up(tone).pitch_class());
    // A sixth over a minor tonic is the colour of a minor key at rest.
    let is_six = chord.kind.seventh() == Seventh::Sixth && reading.numeral.degree == 1;
    let frame = chord.kind.frame().into_iter().take(if is_six { 3 } else { 4 });
    reading.goal.is_some() || frame.flatten().any(is_strange)
}

/// The chords that are not of their key, with a reason each.
fn outside(tune: &Studied, symbols: ChordStyle) -> LeafTable {
    let mut rows: Vec<([String; 4], Vec<String>)> = Vec::new();
    // In a blues the sevenths on one and four are at home.
    let is_home = |reading: &ChordReading| {
        let Numeral { degree, alter, of, .. } = reading.numeral;
        tune.analysis.is_blues && of.is_none() && alter == 0 && [1, 4].contains(&degree)
    };
    let readings = tune.analysis.readings.iter();
    for reading in readings.filter(|reading| is_outside(reading) && !is_home(reading)) {
        let symbol = plain_text(&chord_symbol(reading.chord, symbols));
        let numeral = plain_text(&reading.numeral.parts(NumeralStyle::On, symbols));
        let in_key = reading.key.words();
        let mut reason = reading.reason.clone();
        // What differs in its function alone has no other name to tell.
        let other = reading.other;
        let other = other.filter(|it| (it.key, it.numeral) != (reading.key, reading.numeral));
        if let Some(other) = other {
            let numeral = plain_text(&other.numeral.parts(NumeralStyle::On, symbols));
            reason.push_str(&format!("; nearly {numeral} of {}", other.key.words()));
        }
        let place = tune.place(reading.written);
        let cells = [symbol, numeral, in_key, reason];
        match rows.iter_mut().find(|(known, _)| *known == cells) {
            Some((_, places)) if places.contains(&place) => {}
            Some((_, places)) => places.push(place),
            None => rows.push((cells, vec![place])),
        }
    }
    let row = |([symbol, numeral, key, reason], places): ([String; 4], Vec<String>)| LeafRow {
        cells: vec![symbol, told(&places), format!("{numeral} in {key}"), reason],
        sheets: Vec::new(),
    };
    LeafTable {
        columns: vec![("Chord", 1.5), ("Where", 1.7), ("Read as", 2.6), ("Because", 6.0)],
        has_pages: false,
        has_boxes: false,
        rows: rows.into_iter().map(row).collect(),
    }
}
