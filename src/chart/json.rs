//! The analysis of a tune for other programs; the fields are described in `templates/analysis.md`.

use std::collections::BTreeMap;

use serde::Serialize;

use super::{Analysis, Area, Cadence, ChordReading, NearKey, OtherReading, Unfolded};
use crate::score::{Metre, Ticks};
use crate::theory::{
    BorrowedTarget, Key, Numeral, NumeralStyle, SymbolStyle, chord_symbol, plain_text,
};

/// The name and the version of what is written. A field may be added without a new version; one
/// that changes its meaning or goes makes one.
pub const ANALYSIS_SCHEMA: &str = "quintfall-analysis/1";

/// What is written of a tune.
#[derive(Clone, Debug, Serialize)]
pub struct AnalysisJson {
    schema: &'static str,
    main_key: String,
    main_mode: &'static str,
    margin: f64,
    sureness: u32,
    second_key: Option<NearJson>,
    blues: bool,
    modal: bool,
    chords: Vec<ChordJson>,
    areas: Vec<AreaJson>,
    cadences: Vec<CadenceJson>,
}

#[derive(Clone, Debug, Serialize)]
struct NearJson {
    key: String,
    margin: f64,
}

#[derive(Clone, Debug, Serialize)]
struct PlaceJson {
    bar: Ticks,
    beat: f64,
}

#[derive(Clone, Debug, Serialize)]
struct ChordJson {
    bar: Ticks,
    beat: f64,
    heard: Vec<PlaceJson>,
    symbol: String,
    key: String,
    mode: &'static str,
    numeral: String,
    function: &'static str,
    target: Option<String>,
    goal: Option<String>,
    reason: String,
    margin: f64,
    other: Option<OtherJson>,
}

#[derive(Clone, Debug, Serialize)]
struct OtherJson {
    key: String,
    numeral: String,
    function: &'static str,
    margin: f64,
}

#[derive(Clone, Debug, Serialize)]
struct AreaJson {
    from: PlaceJson,
    first_bar: usize,
    last_bar: usize,
    key: String,
    mode: &'static str,
    stayed: bool,
    near: Option<NearJson>,
}

#[derive(Clone, Debug, Serialize)]
struct CadenceJson {
    bar: Ticks,
    beat: f64,
    dominant: PlaceJson,
    #[serde(rename = "type")]
    kind: &'static str,
    form: &'static str,
    resolved: bool,
    target: String,
    key: String,
}

impl AnalysisJson {
    /// What is written of an analysis and the tune that it is of.
    pub fn new(tune: &Unfolded, analysis: &Analysis) -> Self {
        let metre = tune.metre;
        let mut heard: BTreeMap<usize, Vec<PlaceJson>> = BTreeMap::new();
        for change in &tune.changes {
            heard.entry(change.written).or_default().push(spot(metre, change.at));
        }
        Self {
            schema: ANALYSIS_SCHEMA,
            main_key: tonality(analysis.home),
            main_mode: analysis.home.mode().word(),
            margin: rounded(analysis.margin),
            sureness: analysis.sureness(),
            second_key: analysis.second.map(near),
            blues: analysis.is_blues,
            modal: analysis.is_modal,
            chords: analysis
                .readings
                .iter()
                .map(|reading| {
                    let heard = heard.remove(&reading.written).unwrap_or_default();
                    chord(metre, reading, heard)
                })
                .collect(),
            areas: analysis.areas.iter().map(|it| area(metre, it)).collect(),
            cadences: analysis.cadences.iter().map(|it| cadence(metre, it)).collect(),
        }
    }

    /// The same as text, in lines.
    pub fn text(&self) -> String {
        serde_json::to_string_pretty(self).expect("numbers and words are always written")
    }
}

/// A key as major or minor by its third; its mode is told beside it.
fn tonality(key: Key) -> String {
    format!("{} {}", key.tonic().plain(), key.mode().tonality().word())
}

/// A margin to the hundredth.
fn rounded(margin: f64) -> f64 {
    (100.0 * margin).round() / 100.0
}

/// Bars and beats are counted from 1; a pick-up lies in bar 0.
fn spot(metre: Metre, at: Ticks) -> PlaceJson {
    let beat = f64::from(at.rem_euclid(metre.bar())) / f64::from(metre.count_unit());
    PlaceJson { bar: at.div_euclid(metre.bar()) + 1, beat: beat + 1.0 }
}

fn near(near: NearKey) -> NearJson {
    NearJson { key: tonality(near.key), margin: rounded(near.by) }
}

fn numeral(numeral: Numeral) -> String {
    plain_text(&numeral.parts(NumeralStyle::On, SymbolStyle::Mixed))
}

/// The degree that a chord is applied to.
fn goal(goal: BorrowedTarget) -> String {
    use crate::theory::ChordKind;
    let kind = if goal.is_minor { ChordKind::MINOR } else { ChordKind::MAJOR };
    numeral(Numeral { alter: goal.alter, ..Numeral::new(goal.degree, kind) })
}

fn chord(metre: Metre, reading: &ChordReading, heard: Vec<PlaceJson>) -> ChordJson {
    let PlaceJson { bar, beat } = spot(metre, reading.at);
    ChordJson {
        bar,
        beat,
        heard,
        symbol: plain_text(&chord_symbol(reading.chord, SymbolStyle::Letters)),
        key: tonality(reading.key),
        mode: reading.key.mode().word(),
        numeral: numeral(reading.numeral),
        function: reading.function.word(),
        target: reading.target.map(|target| target.plain()),
        goal: reading.goal.map(goal),
        reason: reading.reason.clone(),
        margin: rounded(reading.margin),
        other: reading.other.map(other),
    }
}

fn other(other: OtherReading) -> OtherJson {
    OtherJson {
        key: tonality(other.key),
        numeral: numeral(other.numeral),
        function: other.function.word(),
        margin: rounded(other.by),
    }
}

fn area(metre: Metre, area: &Area) -> AreaJson {
    AreaJson {
        from: spot(metre, area.from),
        first_bar: area.first_bar + 1,
        last_bar: area.last_bar + 1,
        key: tonality(area.key),
        mode: area.key.mode().word(),
        stayed: area.is_stayed,
        near: area.near.map(near),
    }
}

fn cadence(metre: Metre, cadence: &Cadence) -> CadenceJson {
    let PlaceJson { bar, beat } = spot(metre, cadence.at);
    CadenceJson {
        bar,
        beat,
        dominant: spot(metre, cadence.dominant_at),
        kind: cadence.kind.word(),
        form: cadence.form.word(),
        resolved: cadence.is_resolved,
        target: cadence.target.plain(),
        key: tonality(cadence.key),
    }
}
