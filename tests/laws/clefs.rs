//! Laws of clefs: when a hand leaves its own, for how long, and when it returns.

use quintfall::drill::{MOST_LEDGER_LINES, Template};
use quintfall::recipe::FingeringMarks;
use quintfall::score::{Clef, Event, Hand, QUARTER, Score, Ticks};
use quintfall::theory::Key;

use crate::{drills, for_every_score, realised};

/// Bars that a clef holds at the least (common practice, no source: a change is worth it where it
/// spares several ledger lines for several notes).
const FEWEST_BARS: Ticks = 2;

/// Ledger lines that face the staff of the hand's own clef where a chord hangs off the other.
const LEDGER_LINES_TO_HANG: i32 = 3;

/// Ledger lines with which a hand's own clef serves in any case.
const LEDGER_LINES_THAT_SERVE: i32 = 2;

/// The events of a hand.
fn events(score: &Score, hand: Hand) -> impl Iterator<Item = &Event> {
    score.bars.iter().flat_map(move |bar| &bar.staves[hand].events)
}

/// Every sounding event with the clef it is read in.
fn with_clefs(score: &Score, hand: Hand) -> Vec<(Clef, &Event)> {
    let mut clef = score.opening_clefs[hand];
    let read = events(score, hand).map(|event| {
        clef = event.clef_change.unwrap_or(clef);
        (clef, event)
    });
    read.filter(|(_, event)| !event.notes.is_empty()).collect()
}

/// The most ledger lines of an event in a clef.
fn ledger_lines(clef: Clef, event: &Event) -> i32 {
    event.notes.iter().map(|note| clef.ledger_lines(note.pitch)).max().unwrap_or(0)
}

/// Whether a chord hangs off a clef that is not its hand's own, on the side of that one, which
/// would take it with fewer ledger lines.
pub(crate) fn hangs(hand: Hand, clef: Clef, event: &Event) -> bool {
    if clef == hand.usual_clef() || event.notes.len() < 2 {
        return false;
    }
    let pitches = || event.notes.iter().map(|note| note.pitch);
    let by_height = |pitch: &quintfall::theory::Pitch| pitch.staff_step();
    let facing = match hand {
        Hand::Left => pitches().min_by_key(by_height),
        Hand::Right => pitches().max_by_key(by_height),
    };
    let lines = facing.map_or(0, |pitch| clef.ledger_lines(pitch));
    lines >= LEDGER_LINES_TO_HANG && ledger_lines(hand.usual_clef(), event) < lines
}

/// What a hand plays from one change of clef to the next, in all keys that share its plan.
struct Stay<'a> {
    clef: Clef,
    from: Ticks,
    to: Ticks,
    /// The events of each key.
    keys: Vec<Vec<&'a Event>>,
}

impl Stay<'_> {
    /// The most ledger lines that a key would need in a clef.
    fn most_in(&self, clef: Clef) -> i32 {
        let events = self.keys.iter().flatten();
        events.map(|event| ledger_lines(clef, event)).max().unwrap_or(0)
    }
}

fn other(clef: Clef) -> Clef {
    if clef == Clef::Treble { Clef::Bass } else { Clef::Treble }
}

/// The scores of a drill in all its keys, those together whose hand has the same clefs throughout.
fn by_plan(template: &Template, hand: Hand) -> Vec<Vec<Score>> {
    let plan = |score: &Score| -> Vec<(Clef, Ticks)> {
        with_clefs(score, hand).iter().map(|(clef, event)| (*clef, event.at)).collect()
    };
    let mut plans: Vec<Vec<Score>> = Vec::new();
    for key in Key::all(template.mode) {
        let score = realised(template, key, FingeringMarks::None);
        match plans.iter_mut().find(|others| plan(&others[0]) == plan(&score)) {
            Some(others) => others.push(score),
            None => plans.push(vec![score]),
        }
    }
    plans
}

/// The stays of a hand in keys that share its plan.
fn stays(scores: &[Score], hand: Hand) -> Vec<Stay<'_>> {
    let keys: Vec<Vec<(Clef, &Event)>> =
        scores.iter().map(|score| with_clefs(score, hand)).collect();
    let end = scores[0].bars.len() as Ticks * scores[0].metre.bar();
    let mut first = 0;
    let mut stays = Vec::new();
    for own in keys[0].chunk_by(|a, b| a.0 == b.0) {
        let after = first + own.len();
        let to = keys[0].get(after).map_or(end, |(_, event)| event.at);
        let events = keys.iter().map(|key| key[first..after].iter().map(|(_, event)| *event));
        let keys = events.map(Iterator::collect).collect();
        stays.push(Stay { clef: own[0].0, from: own[0].1.at, to, keys });
        first = after;
    }
    stays
}

/// Calls `check` with the stays of each hand in the keys that share a plan, for drills.
fn for_every_plan(
    templates: impl IntoIterator<Item = Template>,
    mut check: impl FnMut(&str, &[Score], Hand, &[Stay<'_>]),
) {
    for template in templates {
        for hand in Hand::BOTH {
            for scores in by_plan(&template, hand) {
                let keys: Vec<String> = scores.iter().map(|score| score.key.to_string()).collect();
                let name = format!("{}, {hand:?}, {}", template.name, keys.join(" "));
                check(&name, &scores, hand, &stays(&scores, hand));
            }
        }
    }
}

const FIGURES: [&str; 6] = [
    "1 3 5 7 9 11 13 15",
    "1 8 10 15 10 8 5 3",
    "low5 1 5 1 low5 low3 low5 1",
    "1:quarter 7 9 11:quarter 13 15",
    "1+3+5+7:half rest:quarter 8+10+12+14:quarter",
    "rest:half 3 5 7 9",
];
const VOICINGS: [&str; 5] = ["close", "rootless-a", "1+5+10", "8+10+12+14", "third-inversion"];
const RHYTHMS: [&str; 4] = ["on-beat", "charleston", "anticipated", "off-beats"];
const CHORDS: [&str; 6] = [
    "progression = \"scale-up\"",
    "degrees = [1, 8, 1, 8]",
    "degrees = [8, 8, \"low5\", \"low5\"]",
    "degrees = [1, 5, 8, 5]",
    "progression = \"fourths\"",
    "degrees = [7, \"low5\", 7, \"low5\", 7, \"low5\"]",
];

fn is_leaping(name: &str) -> bool {
    name.starts_with("leaping")
}

/// Drills that leap about as no drill of the library does, of two passages each.
fn leaping() -> impl Iterator<Item = Template> {
    let passage = |number: usize| {
        let pick = |from: &[&'static str], stride: usize| from[number * stride / 5 % from.len()];
        format!(
            "[[passage]]\n{}\nbeats = 4\nfigure = \"{}\"\nnote = \"eighth\"\n\
             voicing = \"{}\"\ncomping = \"{}\"\nhands = \"{}\"\n",
            pick(&CHORDS, 7),
            pick(&FIGURES, 11),
            pick(&VOICINGS, 13),
            pick(&RHYTHMS, 17),
            pick(&["as-usual", "swapped"], 19),
        )
    };
    (0..90).map(move |number| {
        let text = format!(
            "name = \"leaping-{number}\"\ntitle = \"Own\"\nmetre = \"4/4\"\n{}{}",
            passage(number),
            passage(number * 23 + 3)
        );
        Template::parse(&text, "own").unwrap_or_else(|error| panic!("{error:?}\n{text}"))
    })
}

/// A clef holds for two bars, less an eighth where one is pushed, unless a key of the plan would
/// need more ledger lines in the other clef than a student reads. A line that begins at home may
/// leave it for less.
#[test]
fn a_clef_holds_for_two_bars() {
    let (mut held, mut short) = (0, 0);
    for_every_plan(drills().into_iter().chain(leaping()), |name, scores, hand, stays| {
        for (index, stay) in stays.iter().enumerate().filter(|_| stays.len() > 1) {
            let bars = FEWEST_BARS * scores[0].metre.bar();
            if stay.to - stay.from >= bars - QUARTER / 2 {
                held += 1;
                continue;
            }
            let name = format!("{name}: {} to {}", stay.from, stay.to);
            let begins_at_home = index == 0 && stay.clef == hand.usual_clef();
            let bearable = MOST_LEDGER_LINES - i32::from(begins_at_home);
            assert!(stay.most_in(other(stay.clef)) > bearable, "{name}");
            if !is_leaping(&name) {
                println!("{name}: less than {FEWEST_BARS} bars");
                short += 1;
            }
        }
    });
    println!("{held} stays of two bars or more; in the library {short} shorter ones");
    assert!(held > 100 && short <= 2);
}

/// Each change is for a chord that needs it: within a bar of it a chord of some key has fewer ledger
/// lines than it would have without; or it is a return to the hand's own clef, where two serve.
#[test]
fn a_change_of_clef_is_for_a_chord_that_needs_it() {
    let mut changes = 0;
    for_every_plan(drills().into_iter().chain(leaping()), |name, scores, hand, stays| {
        for stay in stays.iter().skip(1) {
            let is_near = |event: &&&Event| event.at - stay.from <= scores[0].metre.bar();
            let mut near = stay.keys.iter().flat_map(|key| key.iter().take_while(is_near));
            let serving = if stay.clef == hand.usual_clef() { LEDGER_LINES_THAT_SERVE } else { 0 };
            let gains = |event: &Event| {
                let lines = ledger_lines(stay.clef, event);
                lines <= serving || lines < ledger_lines(other(stay.clef), event)
            };
            assert!(near.any(|event| gains(event)), "{name}: at {}", stay.from);
            changes += 1;
        }
    });
    assert!(changes > 100, "only {changes} changes");
}

/// A hand whose chords hang off the other's clef returns to its own where that serves all keys of
/// the plan for four bars.
#[test]
fn a_hand_returns_to_its_own_clef_where_that_serves_for_four_bars() {
    let (mut hanging, mut all) = (0, 0);
    for_every_plan(drills().into_iter().chain(leaping()), |name, scores, hand, stays| {
        for stay in stays.iter().filter(|stay| stay.clef != hand.usual_clef()) {
            let count = stay.keys[0].len();
            let serves = |index: &usize| {
                let mut keys = stay.keys.iter();
                keys.all(|key| ledger_lines(hand.usual_clef(), key[*index]) <= MOST_LEDGER_LINES)
            };
            let hangs = |index: usize| {
                stay.keys.iter().filter(|key| hangs(hand, stay.clef, key[index])).count()
            };
            let serving: Vec<usize> = (0..count).filter(serves).collect();
            for run in serving.chunk_by(|a, b| a + 1 == *b) {
                let own = run.iter().filter(|index| 2 * hangs(**index) > stay.keys.len()).count();
                let first = stay.keys[0][run[0]];
                let last = stay.keys[0][run[run.len() - 1]];
                let bars = f64::from(last.end() - first.at) / f64::from(scores[0].metre.bar());
                hanging += own;
                assert!(own < 4 || bars < 4.0, "{name}: {} to {}", first.at, last.end());
            }
            all += count;
        }
    });
    println!("{hanging} of {all} chords hang off the other hand's clef in most keys of their plan");
    assert!(hanging * 20 < all, "{hanging} of {all}");
}

/// Ledger lines from which on a chord needs another clef that has fewer.
const LEDGER_LINES_OF_NEED: i32 = 2;

/// A change of clef serves what needs it whole: inside a phrase, in most keys of the plan, no chord right
/// before it has two ledger lines or more where the clef that it changes to has fewer, and none right
/// after it where the clef that it leaves has, unless a clef would then hold for less than two bars.
#[test]
fn a_change_of_clef_serves_the_whole_of_what_needs_it() {
    let (mut beside, mut all) = (0, 0);
    for_every_plan(drills(), |name, scores, _, stays| {
        let bar = scores[0].metre.bar();
        let mut bars = 0;
        let start = |phrase: &usize| {
            bars += phrase;
            (bars - phrase) as Ticks * bar
        };
        let phrases: Vec<Ticks> = scores[0].phrases.iter().map(start).collect();
        for pair in stays.windows(2) {
            let (last, first) = (pair[0].keys[0].last(), pair[1].keys[0].first());
            let (Some(last), Some(first)) = (last, first) else { continue };
            // What is pushed into a phrase begins it.
            let goes_on = first.notes.iter().any(|note| note.tied_out);
            let end = first.end() + Ticks::from(goes_on);
            if phrases.iter().any(|start| last.end() <= *start && *start < end) {
                continue;
            }
            // A clef that holds for two bars need not hold for less.
            let least = FEWEST_BARS * bar - QUARTER / 2;
            let [is_long_before, is_long_after] =
                [last.at - pair[0].from, pair[1].to - first.end()].map(|rest| rest >= least);
            let needs = |event: &Event, read: Clef, other: Clef| {
                let lines = ledger_lines(read, event);
                lines >= LEDGER_LINES_OF_NEED && ledger_lines(other, event) < lines
            };
            let keys = pair[0].keys.iter().zip(&pair[1].keys);
            let late = keys.filter(|(before, after)| {
                let [left, right] = [pair[0].clef, pair[1].clef];
                let is_late = before.last().is_some_and(|event| needs(event, left, right));
                let is_early = after.first().is_some_and(|event| needs(event, right, left));
                is_late && is_long_before || is_early && is_long_after
            });
            let late = late.count();
            let from = pair[1].from;
            assert!(2 * late <= scores.len(), "{name}: {late} keys at {from}");
            beside += late;
            all += scores.len();
        }
    });
    println!("{beside} of {all} changes inside phrases stand beside a chord of need");
    assert!(all > 50 && 3 * beside < all, "{beside} of {all}");
}

/// Where rests lead a bar up to what is read in another clef, the clef stands before the barline,
/// and the rests with it.
#[test]
fn no_clef_changes_after_rests_that_lead_a_bar() {
    let mut led = 0;
    let mut check = |name: &str, score: &Score| {
        let staves = score.bars.iter().flat_map(|bar| bar.staves.iter());
        for staff in staves {
            let is_rest = |event: &&Event| event.notes.is_empty();
            let rests = staff.events.iter().take_while(is_rest).count();
            let Some(sound) = staff.events.get(rests).filter(|_| rests > 0) else { continue };
            assert_eq!(sound.clef_change, None, "{name}: at {}", sound.at);
            led += usize::from(staff.events[0].clef_change.is_some());
        }
    };
    for_every_score(FingeringMarks::None, &mut check);
    for template in leaping() {
        check(
            &template.name,
            &realised(&template, "E".parse().expect("a key"), FingeringMarks::None),
        );
    }
    assert!(led > 0);
}

/// Two changes of clef serve every sheet of the library, since a hand that climbs comes down
/// again; a drill that leaps has at most one a bar.
#[test]
fn a_staff_seldom_changes_its_clef() {
    let (mut staves, mut changing, mut all) = (0, 0, 0);
    for_every_plan(drills().into_iter().chain(leaping()), |name, scores, _, stays| {
        let changes = stays.len().saturating_sub(1);
        let bars = scores[0].bars.len();
        let most = if is_leaping(name) { bars } else { 2 };
        assert!(changes <= most, "{name}: {changes} changes in {bars} bars");
        if !is_leaping(name) {
            staves += scores.len();
            changing += if changes > 0 { scores.len() } else { 0 };
            all += changes * scores.len();
        }
    });
    println!("{changing} of {staves} staves change their clef, {all} times together");
    assert!(changing * 5 < staves, "{changing} of {staves}");
}
