//! One plan a drill: in all its keys a drill is set with the same clefs, lines and staves, and its
//! lines end where phrases do.

use std::collections::BTreeMap;

use quintfall::book::PageError;
use quintfall::canvas::{Kind, Mark, Page, Trace};
use quintfall::desk::pipeline::{self, PipelineError};
use quintfall::drill::{MOST_LEDGER_LINES, Template};
use quintfall::recipe::{AskedKey, DocumentForm, FingeringMarks, Paper, Recipe, StaffSize};
use quintfall::score::{Clef, Hand, Score, Ticks};
use quintfall::theory::{Key, Pitch, Spelling, SymbolStyle};

use crate::clefs::hangs;
use crate::engraving::{every_look, whole_domain};
use crate::{drills, realised};

/// What a hand does about clefs: the one it opens with, and every change.
fn clefs(score: &Score, hand: Hand) -> Vec<(Ticks, Clef)> {
    let events = score.bars.iter().flat_map(|bar| &bar.staves[hand].events);
    let changes = events.filter_map(|event| Some((event.at, event.clef_change?)));
    [(Ticks::MIN, score.opening_clefs[hand])].into_iter().chain(changes).collect()
}

/// The most ledger lines that a hand would need from a moment to another in its usual clef.
fn most_in_usual_clef(score: &Score, hand: Hand, from: Ticks, to: Ticks) -> i32 {
    let events = score.bars.iter().flat_map(|bar| &bar.staves[hand].events);
    let notes =
        events.filter(|event| (from..to).contains(&event.at)).flat_map(|event| &event.notes);
    notes.map(|note| hand.usual_clef().ledger_lines(note.pitch)).max().unwrap_or(0)
}

fn first(score: &Score, hand: Hand) -> Pitch {
    let events = score.bars.iter().flat_map(|bar| &bar.staves[hand].events);
    let mut notes = events.flat_map(|event| &event.notes);
    notes.next().expect("a drill has notes").pitch
}

/// Whether a chord of a hand would hang off the other hand's clef from a moment to another.
fn would_hang(score: &Score, hand: Hand, from: Ticks, to: Ticks) -> bool {
    let other = hand.other().usual_clef();
    let events = score.bars.iter().flat_map(|bar| &bar.staves[hand].events);
    let mut within = events.filter(|event| (from..to).contains(&event.at));
    within.any(|event| hangs(hand, other, event))
}

/// All keys of a drill have one plan of clefs, or the lower ones have one and the higher ones
/// another, and in one drill at most there is a third for those between; where a plan leaves the usual clef, one of its
/// keys would need more ledger lines there than a student reads, and where it returns for a
/// while, a chord of one would hang off the other clef.
#[test]
fn a_drill_has_one_plan_of_clefs_or_one_for_low_keys_and_one_for_high() {
    let (mut ones, mut threes) = (0, 0);
    for template in drills() {
        let mut plans_of_drill = 1;
        for hand in Hand::BOTH {
            let keys = Key::all(template.mode);
            let mut scores: Vec<Score> =
                keys.map(|key| realised(&template, key, FingeringMarks::None)).collect();
            scores.sort_by_key(|score| first(score, hand).staff_step());
            let same = |a: &Score, b: &Score| clefs(a, hand) == clefs(b, hand);
            let groups: Vec<&[Score]> = scores.chunk_by(same).collect();
            assert!(groups.len() <= 3, "{}, {hand:?}: {} plans", template.name, groups.len());
            plans_of_drill = plans_of_drill.max(groups.len());
            for group in groups {
                let plan = clefs(&group[0], hand);
                let keys: Vec<String> = group.iter().map(|score| score.key.to_string()).collect();
                println!("{}, {hand:?}: {plan:?} in {}", template.name, keys.join(" "));
                for (index, (from, clef)) in plan.iter().enumerate() {
                    let to = plan.get(index + 1).map_or(Ticks::MAX, |(at, _)| *at);
                    if *clef == hand.usual_clef() {
                        let mut scores = group.iter();
                        let hangs = scores.any(|score| would_hang(score, hand, *from, to));
                        let is_outer = index == 0 || to == Ticks::MAX;
                        assert!(is_outer || hangs, "{}, {from}: for nothing", template.name);
                        continue;
                    }
                    let most = group.iter().map(|score| most_in_usual_clef(score, hand, *from, to));
                    let name = format!("{}, {hand:?}, {from} to {to}", template.name);
                    assert!(most.max() > Some(MOST_LEDGER_LINES), "{name}: for nothing");
                }
            }
        }
        ones += usize::from(plans_of_drill == 1);
        threes += usize::from(plans_of_drill == 3);
    }
    println!("{ones} drills have one plan of clefs, {threes} have three, the others two");
    assert!(threes <= 1, "{threes} drills have three plans of clefs");
    assert!(ones > 3, "only {ones} drills have one plan of clefs");
}

/// A set drill, key by key: the bars of its systems, and the height of its staves in hundredths of
/// a point.
fn plans(pages: &[Page]) -> BTreeMap<String, Vec<(String, i64)>> {
    let mut plans: BTreeMap<String, Vec<(String, i64)>> = BTreeMap::new();
    for block in pages.iter().flat_map(|page| &page.blocks) {
        if block.kind != Kind::System {
            continue;
        }
        let (key, bars) = block.words.split_once(", ").expect("a key and its bars");
        let mut heights: Vec<f64> = block
            .marks
            .iter()
            .filter_map(|mark| match mark {
                Mark::Trace(Trace::Line { from, to, .. }, _) if from.y == to.y => {
                    ((to.x - from.x).abs() > 100.0).then_some(from.y)
                }
                _ => None,
            })
            .collect();
        heights.sort_by(|a, b| b.total_cmp(a));
        assert!(heights.len() >= 10, "{key}, {bars}: {} staff lines", heights.len());
        let staff = ((heights[0] - heights[4]) * 100.0).round() as i64;
        plans.entry(key.to_owned()).or_default().push((bars.to_owned(), staff));
    }
    plans
}

/// The keys that every drill of a mode is tried in: the round, and both spellings of five keys.
fn asked_keys(template: &Template) -> Vec<AskedKey> {
    let keys = Key::all(template.mode);
    keys.map(asked).collect()
}

/// A key as it is asked for: the mode is that of the drill.
fn asked(key: Key) -> AskedKey {
    key.tonic().plain().parse().expect("a key can be asked for")
}

const STYLES: [SymbolStyle; 3] = [SymbolStyle::Letters, SymbolStyle::Signs, SymbolStyle::Mixed];

/// In all keys of a drill: the same bars a system, as many systems, staves of one size; on every
/// paper, with staves of every size, in every look.
#[test]
fn all_keys_of_a_drill_are_set_alike() {
    let staves = [None].into_iter().chain(StaffSize::all().map(Some));
    let ways: Vec<(Paper, Option<StaffSize>)> =
        staves.flat_map(|staff| Paper::ALL.map(|paper| (paper, staff))).collect();
    let looks = every_look();
    let (mut turn, mut set) = (0, 0);
    for template in drills() {
        for (index, (paper, staff)) in ways.iter().enumerate() {
            turn += 1;
            if !whole_domain() && !(index + turn / ways.len()).is_multiple_of(6) {
                continue;
            }
            let (look, fingering) = looks[turn % looks.len()];
            let recipe = Recipe {
                form: DocumentForm::Handout,
                drill: template.name.clone(),
                keys: asked_keys(&template),
                paper: *paper,
                staff: *staff,
                symbols: STYLES[turn % STYLES.len()],
                counts: look.counts,
                numerals: look.numerals,
                fingering,
                ..Recipe::default()
            };
            let name = format!("{} on {paper:?}, staves {staff:?}, {look:?}", template.name);
            let document = match pipeline::document(&recipe) {
                Err(PipelineError::Page(PageError::NoRoom { .. })) => continue,
                document => document.unwrap_or_else(|error| panic!("{name}: {error}")),
            };
            let plans = plans(&document.pages);
            assert_eq!(plans.len(), 15, "{name}");
            let (key, model) = plans.first_key_value().expect("keys");
            for (other, plan) in &plans {
                assert_eq!(model, plan, "{name}: {key} and {other}");
            }
            set += 1;
        }
    }
    println!("{set} drills set");
    assert!(set > 80, "only {set} drills were set");
}

/// A handout of one key is the page that a workbook has of it.
#[test]
fn a_handout_of_one_key_is_the_page_of_the_workbook() {
    for (index, template) in drills().into_iter().enumerate() {
        for paper in [Paper::A4, Paper::Letter] {
            // Keys of a short drill would share pages there.
            let drill = template.name.clone();
            let recipe = Recipe { drill, paper, keys_a_page: Some(1), ..Recipe::default() };
            let workbook = pipeline::document(&recipe).expect("a sound recipe");
            let key = Key::ring(template.mode)[index % 12];
            let keys = vec![asked(key)];
            let handout = Recipe { form: DocumentForm::Handout, keys, ..recipe };
            let handout = pipeline::document(&handout).expect("a sound recipe");
            let (own, all) = (plans(&handout.pages), plans(&workbook.pages));
            assert_eq!(own.len(), 1);
            for (key, plan) in own {
                let mm = plan[0].1 as f64 / 100.0 * 25.4 / 72.0;
                let lines: Vec<&str> = plan.iter().map(|(bars, _)| bars.as_str()).collect();
                println!("{} on {paper:?}: staves of {mm:.2} mm, {lines:?}", template.name);
                assert_eq!(Some(&plan), all.get(&key), "{} in {key} on {paper:?}", template.name);
            }
        }
    }
}

/// A drill of whole bars, each of which has one chord and a figure.
fn drill_of(bars: usize, phrase: Option<usize>, figure: &str, note: &str) -> String {
    let phrase = phrase.map(|bars| format!("phrase = {bars}\n")).unwrap_or_default();
    let degrees: Vec<String> = (0..bars).map(|bar| (bar % 7 + 1).to_string()).collect();
    format!(
        "name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\n{phrase}[[passage]]\n\
         degrees = [{}]\nbeats = 4\nnote = \"{note}\"\nfigure = \"{figure}\"\n\
         voicing = \"shell-7\"\ncomping = \"on-beat\"\n",
        degrees.join(", ")
    )
}

/// How many bars stand on each line of a drill in C, or why it cannot be set.
fn lines_of(text: &str, bars: Option<u32>) -> Result<Vec<usize>, PipelineError> {
    let keys = vec!["C".parse().expect("a key")];
    let template = Some(text.to_owned());
    let form = DocumentForm::Handout;
    let drill = "own".to_owned();
    let document =
        pipeline::document(&Recipe { form, drill, keys, template, bars, ..Recipe::default() })?;
    let plans = plans(&document.pages);
    let plan = plans.values().next().expect("a key");
    let count = |(bars, _): &(String, i64)| match bars.trim_start_matches(char::is_alphabetic) {
        one if !one.contains("to") => 1,
        more => {
            let (first, last) = more.trim().split_once(" to ").expect("bars from one to another");
            last.parse::<usize>().expect("a bar") - first.parse::<usize>().expect("a bar") + 1
        }
    };
    Ok(plan.iter().map(count).collect())
}

const EIGHTHS: (&str, &str) = ("1 3 5 7 5 3 1 3", "eighth");
const HALVES: (&str, &str) = ("1 5", "half");
const WHOLES: (&str, &str) = ("1", "whole");

#[test]
fn lines_end_where_phrases_do() {
    for (bars, phrase, (figure, note), lines) in [
        (4, None, EIGHTHS, vec![4]),
        (12, None, EIGHTHS, vec![4, 4, 4]),
        (12, None, HALVES, vec![4, 4, 4]),
        (32, None, HALVES, vec![4; 8]),
        (32, Some(8), WHOLES, vec![4; 8]),
        (12, Some(6), HALVES, vec![3; 4]),
        (9, None, HALVES, vec![3, 3, 3]),
        (10, Some(5), HALVES, vec![5, 5]),
    ] {
        let found = lines_of(&drill_of(bars, phrase, figure, note), None);
        assert_eq!(found, Ok(lines), "{bars} bars of {note}s, phrases of {phrase:?}");
    }
}

/// Where a phrase does not fit on a line it is cut in half.
#[test]
fn a_phrase_too_long_for_a_line_is_cut_in_half() {
    let figure = ["1:sixteenth 3:sixteenth 5:sixteenth 7:sixteenth"; 4].join(" ");
    let lines = lines_of(&drill_of(4, None, &figure, "eighth"), None);
    assert_eq!(lines, Ok(vec![2, 2]));
    let lines = lines_of(&drill_of(16, None, EIGHTHS.0, EIGHTHS.1), None);
    assert_eq!(lines, Ok(vec![4, 4, 4, 4]));
}

/// As many bars a line as were asked for, the last line perhaps fewer; or the most that fit are
/// named, and they do.
#[test]
fn lines_have_as_many_bars_as_were_asked_for() {
    let (mut kept, mut refused) = (0, 0);
    for (figure, note) in [EIGHTHS, HALVES] {
        let text = drill_of(12, None, figure, note);
        let mut most_of_all = None;
        for asked in 1..=12_u32 {
            match lines_of(&text, Some(asked)) {
                Ok(lines) => {
                    assert_eq!(most_of_all, None, "{asked} bars");
                    let (last, others) = lines.split_last().expect("lines");
                    let asked = asked as usize;
                    assert!(others.iter().all(|bars| *bars == asked), "{asked}: {lines:?}");
                    assert!(*last <= asked && lines.iter().sum::<usize>() == 12, "{lines:?}");
                    kept += 1;
                }
                Err(PipelineError::Page(error @ PageError::TooManyBars { most, .. })) => {
                    assert_eq!(most_of_all.unwrap_or(asked as usize - 1), most, "{error}");
                    most_of_all = Some(most);
                    assert!(error.to_string().contains(&format!("{asked} bars")), "{error}");
                    refused += 1;
                }
                Err(error) => panic!("{asked} bars: {error}"),
            }
        }
    }
    assert!(kept > 6 && refused > 6, "{kept} kept, {refused} refused");
}

/// The twelve keys that decide how a drill is set are those of the customary round.
#[test]
fn the_ring_has_every_pitch_class_in_its_simplest_spelling() {
    assert_eq!(Key::ring(quintfall::theory::Mode::Major), Key::round(Spelling::Customary));
    for template in drills() {
        for key in Key::ring(template.mode) {
            assert!(key.fifths().abs() <= 6, "{key}");
            assert_eq!(key.is_minor(), template.mode.is_minor());
        }
    }
}
