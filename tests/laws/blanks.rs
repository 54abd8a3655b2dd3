//! Laws of systems from which something is left out, to be written in.

use quintfall::engrave::{Blanks, Engraved, Look, MarkRole, System, engrave, rules};
use quintfall::recipe::FingeringMarks;
use quintfall::score::{ByHand, Score};
use quintfall::typeset::Trace;

use crate::{for_every_piece, for_every_score};

/// What is left out, one by one and together.
fn all_blanks() -> [Blanks; 7] {
    let none = Blanks::default();
    let hands = |right, left| ByHand { right, left };
    [
        Blanks { hands: hands(true, false), ..none },
        Blanks { hands: hands(false, true), ..none },
        Blanks { symbols: true, ..none },
        Blanks { numerals: true, ..none },
        Blanks { fingers: true, ..none },
        Blanks { counts: true, ..none },
        Blanks {
            hands: hands(true, true),
            symbols: true,
            numerals: true,
            fingers: true,
            counts: true,
        },
    ]
}

/// Whether a mark tells what a hand plays.
const PLAYED: [MarkRole; 13] = [
    MarkRole::Head,
    MarkRole::Ledger,
    MarkRole::Stem,
    MarkRole::Flag,
    MarkRole::Beam,
    MarkRole::Dot,
    MarkRole::Accidental,
    MarkRole::Tie,
    MarkRole::Rest,
    MarkRole::Articulation,
    MarkRole::Fermata,
    MarkRole::Tuplet,
    MarkRole::OctaveLine,
];

/// Whether a mark of a system whose staves stand `drop` apart is left out.
fn is_left_out(mark: &Engraved, blanks: &Blanks, drop: f64) -> bool {
    let is_upper = mark.bounds().center().y > -drop / 2.0;
    let hand = if is_upper { blanks.hands.right } else { blanks.hands.left };
    let either = blanks.hands.right || blanks.hands.left;
    match mark.role {
        MarkRole::Symbol => blanks.symbols,
        MarkRole::Numeral => blanks.numerals,
        MarkRole::Count => blanks.counts,
        MarkRole::Finger => blanks.fingers || hand,
        // What one hand plays may stand on the other's side of the middle.
        role if PLAYED.contains(&role) => hand || either && mark.bounds().center().y.abs() < drop,
        _ => false,
    }
}

fn is_rule(mark: &Engraved) -> bool {
    let in_row = matches!(mark.role, MarkRole::Symbol | MarkRole::Numeral);
    matches!(mark.trace, Trace::Line { width, .. } if in_row && width == rules::BLANK_LINE)
}

/// A system with blanks is the whole one without what is left out, and a rule for each symbol and
/// numeral; everything else stands where it stood.
#[test]
fn what_is_left_out_leaves_its_room_and_a_rule_to_write_on() {
    let (mut rules_seen, mut left_out) = (0, 0);
    let mut check = |name: &str, score: &Score| {
        let whole_look = Look::default();
        let count = (1..=score.bars.len())
            .find(|count| engrave(score, &whole_look, 100.0, *count).is_some());
        let Some(count) = count else { return };
        let whole = engrave(score, &whole_look, 100.0, count).unwrap();
        for blanks in all_blanks() {
            let look = Look { blanks, ..whole_look };
            let partial = engrave(score, &look, 100.0, count).expect("it has the same room");
            for (whole, partial) in whole.iter().zip(&partial) {
                let (seen, gone) = compared(name, whole, partial, &blanks);
                rules_seen += seen;
                left_out += gone;
            }
        }
    };
    for_every_piece(FingeringMarks::All, false, &mut check);
    for_every_score(FingeringMarks::All, &mut check);
    assert!(rules_seen > 5000 && left_out > 100_000, "{rules_seen} and {left_out}");
}

fn compared(name: &str, whole: &System, partial: &System, blanks: &Blanks) -> (usize, usize) {
    let of = |system: &System| (system.bars.clone(), system.top, system.bottom, system.drop);
    assert_eq!(of(whole), of(partial), "{name}");
    assert_eq!(whole.apart, partial.apart, "{name}");
    let mut kept = partial.marks.iter().filter(|mark| !is_rule(mark)).peekable();
    let mut gone = 0;
    for mark in &whole.marks {
        if kept.next_if(|other| *other == mark).is_none() {
            assert!(is_left_out(mark, blanks, whole.drop), "{name}: {mark:?} is missing");
            gone += 1;
        }
    }
    assert!(kept.next().is_none(), "{name}: {:?} is new or has moved", kept.next());
    let written: Vec<&Engraved> = partial.marks.iter().filter(|mark| is_rule(mark)).collect();
    let begins = |role: MarkRole, size: f64| {
        let own = |mark: &&Engraved| match &mark.trace {
            Trace::Text { size: own, text, .. } => {
                mark.role == role && *own == size && !text.starts_with('/')
            }
            _ => false,
        };
        whole.marks.iter().filter(own).count()
    };
    let rules_of = |role| written.iter().filter(|mark| mark.role == role).count();
    if blanks.symbols {
        // Letters of one symbol may be set in several runs.
        let symbols = rules_of(MarkRole::Symbol);
        assert!(symbols <= begins(MarkRole::Symbol, rules::SYMBOL_SIZE), "{name}");
        assert_eq!(symbols == 0, begins(MarkRole::Symbol, rules::SYMBOL_SIZE) == 0, "{name}");
    }
    for rule in &written {
        let ink = rule.bounds();
        for other in partial.marks.iter().filter(|other| *other != *rule) {
            let shared = other.bounds().inflate(0.2, 0.15).intersect(ink);
            let touch = shared.width() > 0.0 && shared.height() > 0.0;
            assert!(!touch, "{name}: {rule:?} on {other:?}");
        }
        assert!(ink.x1 - ink.x0 > 0.5, "{name}: {rule:?} is too short to write on");
    }
    (written.len(), gone)
}
