//! A key as read against the score that it was made from: every event of both hands, every word
//! of the rows, each at its place.

use quintfall::recipe::{Counts, Recipe};
use quintfall::score::{self, Event, Hand, Score};
use quintfall::theory::{ChordStyle, Pitch as Played, chord_symbol_over, plain_text};

use crate::music::{Column, Pitch, Sheet, Signature};
use crate::reader::Clef;
use crate::rhythm::QUARTER;
use crate::words::{Counted, Rows, Words};

/// Compares a key with its score; `recipe` says what was to be printed of it. Returns the
/// moments of the chords.
pub(crate) fn check(
    sheet: &Sheet,
    rows: &Rows,
    score: &Score,
    recipe: &Recipe,
) -> Result<Vec<i32>, String> {
    check_frame(sheet, score)?;
    for hand in Hand::BOTH {
        let fail = |what: String| format!("{hand:?} hand: {what}").to_lowercase();
        check_hand(sheet, score, hand).map_err(fail)?;
    }
    let style = ChordStyle::with(recipe.symbols, recipe.minor, recipe.major);
    let symbols = score
        .harmonies
        .iter()
        .map(|it| plain_text(&chord_symbol_over(it.chord, it.numeral.inversion, style)));
    let numerals =
        score.harmonies.iter().map(|it| plain_text(&it.numeral.parts(recipe.numerals, style)));
    let moments: Vec<i32> = score.harmonies.iter().map(|it| moment(it.at)).collect();
    check_row("symbol", &rows.symbols, symbols.collect(), &moments, (sheet, 0.6))?;
    check_row("numeral", &rows.numerals, numerals.collect(), &moments, (sheet, NUMERAL_REACH))?;
    check_counts(sheet, &rows.counts, score, recipe)?;
    Ok(moments)
}

/// A moment of the score as the reader counts it.
fn moment(ticks: score::Ticks) -> i32 {
    ticks * QUARTER / score::QUARTER
}

fn pitch(played: Played) -> Pitch {
    Pitch { step: played.staff_step(), alter: played.name.alter }
}

/// Signature, metre and number of bars.
fn check_frame(sheet: &Sheet, score: &Score) -> Result<(), String> {
    let signature: Vec<(i32, i32)> =
        score.key.signature().iter().map(|note| (note.letter.steps(), note.alter)).collect();
    if sheet.signature != signature {
        return Err(format!("signature {:?}, not {signature:?}", sheet.signature));
    }
    let metre = sheet.metre.map(|(count, unit)| format!("{count}/{unit}"));
    if metre != Some(score.metre.to_string()) {
        return Err(format!("metre {metre:?}, not {}", score.metre));
    }
    if sheet.bars != score.bars.len() {
        return Err(format!("{} bars, not {}", sheet.bars, score.bars.len()));
    }
    check_keys(sheet, score)?;
    let mut bar = 0;
    for system in &sheet.systems {
        let begins = score.barline_before(bar).begins_repeat();
        if system.begins_repeat != begins {
            return Err(format!("bar {}: a repeat begins: {}", bar + 1, system.begins_repeat));
        }
        let last = bar + system.barlines.len();
        for found in &system.barlines {
            bar += 1;
            let wanted = if bar == last {
                score.barline_ending_system(bar)
            } else {
                score.barline_before(bar)
            };
            if *found != wanted {
                return Err(format!("bar {bar} ends with {found:?}, not {wanted:?}"));
            }
        }
    }
    Ok(())
}

/// Every new key, where it begins.
fn check_keys(sheet: &Sheet, score: &Score) -> Result<(), String> {
    let new = (0..score.bars.len()).filter_map(|bar| Some((bar, score.new_key_at(bar)?)));
    let wanted: Vec<(usize, Signature)> = new
        .map(|(bar, key)| {
            let notes = key.signature();
            (bar, notes.iter().map(|note| (note.letter.steps(), note.alter)).collect())
        })
        .collect();
    if sheet.keys != wanted {
        return Err(format!("keys {:?}, not {wanted:?}", sheet.keys));
    }
    Ok(())
}

fn check_hand(sheet: &Sheet, score: &Score, hand: Hand) -> Result<(), String> {
    let mut columns = sheet.hands[hand as usize].iter();
    let mut clef = score.opening_clefs[hand];
    for event in score.bars.iter().flat_map(|bar| &bar.staves[hand].events) {
        clef = event.clef_change.unwrap_or(clef);
        let place = place(event.at, score);
        let column = columns.next().ok_or_else(|| format!("{place}: nothing is left"))?;
        let wrong = |what: &dyn std::fmt::Debug, wanted: &dyn std::fmt::Debug| {
            Err(format!("{place}: {what:?}, not {wanted:?}"))
        };
        let found = Read::column(column);
        let wanted = Read::event(event, clef);
        if found != wanted {
            return wrong(&found, &wanted);
        }
    }
    match columns.next() {
        Some(extra) => Err(format!("something past the end: {:?}", Read::column(extra))),
        None => Ok(()),
    }
}

/// What one event is, read or wanted.
#[derive(Debug, PartialEq)]
struct Read {
    at: i32,
    length: i32,
    is_dotted: bool,
    clef: Clef,
    /// Low to high: the pitch, and whether ties come in and go out.
    notes: Vec<(Pitch, bool, bool)>,
    fingers: Vec<u8>,
    staccato: bool,
    fermata: bool,
}

impl Read {
    fn column(column: &Column) -> Self {
        let note = |head: &crate::music::HeadRead| (head.pitch, head.tied_in, head.tied_out);
        Self {
            at: column.start,
            length: column.length,
            is_dotted: column.value.dots > 0,
            clef: column.clef,
            notes: column.heads.iter().map(note).collect(),
            fingers: column.fingers.clone(),
            staccato: column.staccato,
            fermata: column.fermata,
        }
    }

    fn event(event: &Event, clef: score::Clef) -> Self {
        let note = |note: &score::Note| (pitch(note.pitch), note.tied_in, note.tied_out);
        let shown = event.notes.iter().filter(|note| note.shows_finger);
        let clef = match clef {
            score::Clef::Treble => Clef::G,
            score::Clef::Bass => Clef::F,
        };
        Self {
            at: moment(event.at),
            length: moment(event.value.ticks()),
            is_dotted: event.value.is_dotted(),
            clef,
            notes: event.notes.iter().map(note).collect(),
            fingers: shown.filter_map(|note| note.finger).collect(),
            staccato: event.staccato,
            fermata: event.fermata,
        }
    }
}

/// A moment in words.
fn place(at: score::Ticks, score: &Score) -> String {
    let bar = score.metre.bar();
    let beat = f64::from(at.rem_euclid(bar)) / f64::from(score::QUARTER);
    format!("bar {}, {beat} quarters in", at.div_euclid(bar) + 1)
}

/// How far right of its chord a numeral may begin, in staff spaces: beside digits, a stem with its
/// flag, or a fermata, which hang down there.
const NUMERAL_REACH: f64 = 3.6;

/// A row of words, one for each chord, each where its chord is; so many spaces right of it at the
/// most.
fn check_row(
    name: &str,
    row: &[Words],
    wanted: Vec<String>,
    moments: &[i32],
    (sheet, reach): (&Sheet, f64),
) -> Result<(), String> {
    let found: Vec<&str> = row.iter().map(|words| words.text.as_str()).collect();
    if found != wanted {
        return Err(format!("{name}s {found:?}, not {wanted:?}"));
    }
    let next = row.iter().skip(1).map(Some).chain([None]);
    for ((words, at), next) in row.iter().zip(moments).zip(next) {
        let next = next.filter(|next| next.system == words.system);
        if !stands_at((words, next), *at, sheet, reach) {
            return Err(format!("{name} {:?} does not stand at its chord", words.text));
        }
    }
    Ok(())
}

/// Whether words begin where something begins at a moment; a little further left where the next ones
/// follow close, where the line ends, or where a rest stands in the middle of its bar.
fn stands_at((words, next): (&Words, Option<&Words>), at: i32, sheet: &Sheet, reach: f64) -> bool {
    let staff = &sheet.systems[words.system].upper;
    let begins = |column: &&Column| column.start == at && column.system == words.system;
    let near = |x: f64| (-0.6..reach).contains(&((words.left - x) / staff.space));
    let ends_line = words.right > staff.right - staff.space;
    let gives_way = next.is_some_and(|next| next.left - words.right < 1.6 * staff.space);
    sheet.hands.iter().flatten().filter(begins).any(|column| {
        let left = |x: f64| {
            let before = x - words.left;
            let most = match (ends_line, gives_way) {
                _ if column.heads.is_empty() => f64::INFINITY,
                (true, _) => 1.6,
                (false, true) => 1.1,
                (false, false) => 0.0,
            };
            before > 0.0 && before < most * staff.space
        };
        let heads = column.heads.iter().map(|head| head.x);
        heads.chain([column.x]).any(|x| near(x) || left(x))
    })
}

/// The counts that were asked for: their words, their wedges, their place.
fn check_counts(
    sheet: &Sheet,
    counts: &[Counted],
    score: &Score,
    recipe: &Recipe,
) -> Result<(), String> {
    let bars = match recipe.counts {
        Counts::All => score.bars.len() as i32,
        Counts::FirstBar => 1,
        Counts::None => 0,
    };
    let mut found = counts.iter();
    for count in score.counts.iter().filter(|count| count.at < bars * score.metre.bar()) {
        let place = place(count.at, score);
        let syllable = count.spoken();
        let wanted = if count.is_only_held() { format!("({syllable})") } else { syllable };
        let counted = found.next().ok_or_else(|| format!("{place}: no count"))?;
        if counted.words.text != wanted {
            return Err(format!("{place}: {:?}, not {wanted:?}", counted.words.text));
        }
        let hands = [count.strokes.right, count.strokes.left]
            .map(|stroke| stroke != score::CountStroke::None);
        if [counted.right, counted.left] != hands {
            return Err(format!("{place}: wedges {:?}", (counted.right, counted.left)));
        }
        stands_over(counted, moment(count.at), sheet).map_err(|what| format!("{place}: {what}"))?;
    }
    match found.next() {
        Some(extra) => Err(format!("{:?} is counted past the end", extra.words.text)),
        None => Ok(()),
    }
}

/// A count stands over every note that begins at its moment.
fn stands_over(counted: &Counted, at: i32, sheet: &Sheet) -> Result<(), String> {
    let words = &counted.words;
    let centre = (words.left + words.right) / 2.0;
    let space = sheet.systems[words.system].upper.space;
    for column in sheet.hands.iter().flatten().filter(|column| column.start == at) {
        let mut middles = column.heads.iter().map(|head| (head.x + head.right) / 2.0);
        let is_rest = column.heads.is_empty();
        let over = is_rest || middles.any(|middle| (middle - centre).abs() < 0.5 * space);
        if !over || column.system != words.system {
            return Err("the count stands beside its note".to_owned());
        }
    }
    Ok(())
}
