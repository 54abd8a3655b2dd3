//! One plan a drill: in all its keys a drill is set with the same clefs, lines and staves.

use std::collections::{BTreeMap, BTreeSet};

use quintfall::canvas::{Kind, Page};
use quintfall::desk::pipeline;
use quintfall::recipe::{FingeringMarks, Paper, Recipe};
use quintfall::score::{Clef, Hand, Score, Ticks};
use quintfall::theory::{Key, Spelling};

use crate::{drills, realised};

/// The clefs of a score: what each staff opens with, and every change.
fn clefs(score: &Score) -> Vec<(Hand, Ticks, Clef)> {
    let mut clefs = Vec::new();
    for hand in Hand::BOTH {
        clefs.push((hand, -1, score.opening_clefs[hand]));
        let events = score.bars.iter().flat_map(|bar| &bar.staves[hand].events);
        let changes = events.filter_map(|event| Some((hand, event.at, event.clef_change?)));
        clefs.extend(changes);
    }
    clefs
}

#[test]
fn clefs_by_drill() {
    for template in drills() {
        let mut plans: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for key in Key::round(Spelling::Customary) {
            let score = realised(&template, key, FingeringMarks::None);
            let lowest = Hand::BOTH.map(|hand| {
                let events = score.bars.iter().flat_map(|bar| &bar.staves[hand].events);
                let notes = events.flat_map(|event| &event.notes);
                notes.map(|note| note.pitch.midi()).min().unwrap_or(0)
            });
            let at = |at: Ticks| {
                format!("{}.{}", at / score.metre.bar() + 1, at.rem_euclid(score.metre.bar()) / 24)
            };
            let plan: Vec<String> = clefs(&score)
                .into_iter()
                .map(|(hand, t, clef)| {
                    format!("{hand:?}@{}={clef:?}", if t < 0 { "0".into() } else { at(t) })
                })
                .collect();
            plans
                .entry(plan.join(" "))
                .or_default()
                .push(format!("{key}({},{})", lowest[1], lowest[0]));
        }
        println!("{}: {} plans", template.name, plans.len());
        for (plan, keys) in plans {
            println!("    {plan}: {}", keys.join(" "));
        }
    }
}

/// The systems of each key, in order: which bars, and the height of its staves.
fn cuts(pages: &[Page]) -> BTreeMap<String, Vec<String>> {
    let mut cuts: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for block in pages.iter().flat_map(|page| &page.blocks) {
        if block.kind == Kind::System {
            let words = block.words.as_str();
            let (key, bars) = words.split_once(", ").expect("a key and its bars");
            cuts.entry(key.to_owned()).or_default().push(bars.to_owned());
        }
    }
    cuts
}

#[test]
fn lines_by_drill() {
    for template in drills() {
        for paper in [Paper::A4, Paper::Letter] {
            let recipe = Recipe { drill: template.name.clone(), paper, ..Recipe::default() };
            let document = pipeline::document(&recipe).expect("a sound recipe");
            let cuts = cuts(&document.pages);
            let kinds: BTreeSet<&Vec<String>> = cuts.values().collect();
            println!("{} on {paper:?}: {} cuts {:?}", template.name, kinds.len(), kinds);
        }
    }
}
