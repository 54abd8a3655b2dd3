//! Nothing touches that should not.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use quintfall::chart::{Chart, analyse, demos};
use quintfall::drill::Template;
use quintfall::drill::over::{OverTune, OverWay, cadences};
use quintfall::engrave::{Engraved, Look, MarkRole, System, Watched, engrave, rules};
use quintfall::glyphs::Sign;
use quintfall::recipe::{Counts, FingeringMarks};
use quintfall::theory::Key;
use quintfall::typeset::Trace;

use crate::engraving::{WIDTHS, every_look, every_width, for_every_sheet, looks, whole_domain};
use crate::shapes::Shape;
use crate::{for_every_piece, realised};

/// Pairs further apart than this are not measured, in staff spaces.
const NEAR: f64 = 0.6;

/// What is read as words and figures, and never stands among the lines of a staff.
const WORDS: [MarkRole; 11] = [
    MarkRole::Finger,
    MarkRole::Count,
    MarkRole::Symbol,
    MarkRole::Numeral,
    MarkRole::BarNumber,
    MarkRole::Tuplet,
    MarkRole::Ending,
    MarkRole::SectionLetter,
    MarkRole::PassageTitle,
    MarkRole::OctaveLine,
    MarkRole::Watch,
];

/// Whether two kinds of marks may share ink wherever they meet, because one is drawn through or
/// onto the other.
fn may_touch(a: &Shape, b: &Shape) -> bool {
    use MarkRole as R;
    let pair = |one: MarkRole, two: MarkRole| {
        (a.role, b.role) == (one, two) || (a.role, b.role) == (two, one)
    };
    let any = |role: MarkRole| a.role == role || b.role == role;
    let in_row = |shape: &Shape| WORDS.contains(&shape.role);
    if a.group == b.group {
        return true;
    }
    if any(R::StaffLine) {
        return !in_row(a) && !in_row(b);
    }
    // A stem joins the heads, the beam and the flag at its own abscissa.
    if pair(R::Stem, R::Head) || pair(R::Stem, R::Flag) || pair(R::Stem, R::Beam) {
        let (stem, other) = if a.role == R::Stem { (a, b) } else { (b, a) };
        let (left, right) = (stem.bounds.x0, stem.bounds.x1);
        let at_an_edge =
            (other.bounds.x0 - left).abs() < 0.02 || (other.bounds.x1 - right).abs() < 0.02;
        let within = other.bounds.x0 <= left + 0.01 && other.bounds.x1 >= right - 0.01;
        return at_an_edge || (other.role == R::Beam && within);
    }
    // Heads of thirds in a chord meet; ledger lines run through heads and stems; the figures of
    // a time signature are two spaces tall each (SMuFL) and meet on the middle line.
    let stacked = (a.bounds.x0 - b.bounds.x0).abs() < 0.01;
    (pair(R::Head, R::Head) && (stacked || is_second(a, b)))
        || pair(R::TimeFigure, R::TimeFigure)
        || pair(R::Ledger, R::Head)
        || (pair(R::Ledger, R::Ledger) && stacked)
        || pair(R::Ledger, R::Stem)
        || pair(R::Ledger, R::Tie)
        || pair(R::Tie, R::Barline)
        // A tie runs on through what stands at a barline.
        || pair(R::Tie, R::KeySign)
        || pair(R::Tie, R::RepeatDot)
        || pair(R::Barline, R::Barline)
        // Dashes between the staves cross the barlines that join them; a figure does not.
        || (pair(R::OctaveLine, R::Barline) && a.bounds.height().min(b.bounds.height()) < 1.1)
}

/// Whether two heads stand on either side of one stem, a step apart.
fn is_second(a: &Shape, b: &Shape) -> bool {
    let (left, right) = if a.bounds.x0 < b.bounds.x0 { (a, b) } else { (b, a) };
    let share_a_stem = (left.bounds.x1 - right.bounds.x0 - rules::STEM).abs() < 0.02;
    let rise = right.bounds.center().y - left.bounds.center().y;
    share_a_stem && (rise.abs() - 0.5).abs() < 0.02
}

/// The shapes of a system; the marks of a symbol, numeral or count share a group.
fn shapes(system: &System) -> Vec<Shape> {
    let mut group = 0;
    let mut before: Option<&Engraved> = None;
    let mut shapes = Vec::with_capacity(system.marks.len());
    for mark in &system.marks {
        group += usize::from(begins(mark, before));
        shapes.push(Shape::new(mark, group));
        before = Some(mark);
    }
    shapes
}

/// Whether a mark begins a group, given the one before it.
fn begins(mark: &Engraved, before: Option<&Engraved>) -> bool {
    // The accidental of a numeral's degree stands before its letters, at their size.
    let leads = |mark: &Engraved| {
        mark.role == MarkRole::Numeral
            && match mark.trace {
                Trace::Sign { sign, size, .. } => {
                    let signs = [Sign::CsymAccidentalFlat, Sign::CsymAccidentalSharp];
                    signs.contains(&sign) && size == rules::NUMERAL_SIZE
                }
                _ => false,
            }
    };
    match (&mark.trace, mark.role) {
        (Trace::Text { size, text, .. }, MarkRole::Symbol) => {
            *size == rules::SYMBOL_SIZE && !text.starts_with('/')
        }
        (Trace::Text { size, text, .. }, MarkRole::Numeral) => {
            *size == rules::NUMERAL_SIZE && !text.starts_with('/') && !before.is_some_and(leads)
        }
        (Trace::Text { .. }, MarkRole::Count) => true,
        // The words and accidentals of a title follow one another closely.
        (_, MarkRole::PassageTitle) => before.is_none_or(|before| {
            let white = mark.bounds().x0 - before.bounds().x1;
            before.role != MarkRole::PassageTitle || !(-0.1..1.0).contains(&white)
        }),
        // The accidental of what it leads to follows its stroke.
        (_, MarkRole::Numeral) => {
            let ends = |before: &Engraved| matches!(&before.trace, Trace::Text { text, .. } if text.ends_with('/'));
            leads(mark) && !before.is_some_and(ends)
        }
        (_, MarkRole::Symbol | MarkRole::Count) => false,
        _ => true,
    }
}

#[derive(Default)]
struct Tally {
    systems: usize,
    pairs: usize,
    measured: usize,
    least: BTreeMap<(MarkRole, MarkRole), (f64, String)>,
    touching: BTreeMap<(MarkRole, MarkRole), Vec<String>>,
}

impl Tally {
    fn look_at(&mut self, name: &str, system: &System) {
        self.systems += 1;
        let mut shapes = shapes(system);
        shapes.sort_by(|a, b| a.bounds.x0.total_cmp(&b.bounds.x0));
        for (index, a) in shapes.iter().enumerate() {
            let others = &shapes[index + 1..];
            self.pairs += others.len();
            // Sorted by their left ends, all after the first that is far to the right are far.
            let near = others.iter().take_while(|b| b.bounds.x0 <= a.bounds.x1 + NEAR);
            for b in near {
                if a.box_distance(b) > NEAR || may_touch(a, b) {
                    continue;
                }
                self.measured += 1;
                self.note(name, system, a, b);
            }
        }
    }

    fn note(&mut self, name: &str, system: &System, a: &Shape, b: &Shape) {
        let distance = a.distance(b);
        let kinds = (a.role.min(b.role), a.role.max(b.role));
        let place = || {
            let (x, y) = (a.bounds.center().x, a.bounds.center().y);
            let (first, last) = (system.bars.start + 1, system.bars.end);
            format!("{name}, bars {first}-{last}, x {x:.1} y {y:.1}")
        };
        let least = self.least.entry(kinds).or_insert((f64::INFINITY, String::new()));
        if distance < least.0 {
            *least = (distance, place());
        }
        if distance == 0.0 {
            self.touching.entry(kinds).or_default().push(place());
        }
    }

    fn join(&mut self, other: Self) {
        self.systems += other.systems;
        self.pairs += other.pairs;
        self.measured += other.measured;
        for (kinds, found) in other.least {
            let least = self.least.entry(kinds).or_insert((f64::INFINITY, String::new()));
            if found.0 < least.0 {
                *least = found;
            }
        }
        for (kinds, places) in other.touching {
            self.touching.entry(kinds).or_default().extend(places);
        }
    }

    /// Fails where something touches or comes too near.
    fn judge(&self) {
        assert!(self.touching.is_empty(), "{}", self.report());
        for ((a, b), (least, place)) in &self.least {
            let of_words = WORDS.contains(a) || WORDS.contains(b);
            // The digits of a chord are one stack.
            let is_stack = (*a, *b) == (MarkRole::Finger, MarkRole::Finger);
            let floor = if of_words && !is_stack { LEAST_WHITE_OF_WORDS } else { LEAST_WHITE };
            assert!(*least >= floor, "{a:?}-{b:?}: {least:.3} at {place}");
        }
    }

    fn report(&self) -> String {
        let systems = self.systems;
        let (pairs, measured) = (self.pairs, self.measured);
        let mut text =
            format!("{systems} systems, {pairs} pairs looked at, {measured} of them measured\n");
        for ((a, b), (least, place)) in &self.least {
            let _ = writeln!(text, "{a:?}-{b:?}: least {least:.3} ({place})");
        }
        for ((a, b), places) in &self.touching {
            let _ = writeln!(text, "TOUCHING {a:?}-{b:?}: {} times", places.len());
            for place in places.iter().take(4) {
                let _ = writeln!(text, "    {place}");
            }
        }
        text
    }
}

/// Least white between two marks of any kind that may not touch: a tie and its head, the
/// nearest of all (see `rules::TIE_TO_HEAD`).
const LEAST_WHITE: f64 = rules::TIE_TO_HEAD - 0.005;
/// Least white between words and anything else (tables of engraving practice: 0.35 to 0.5).
const LEAST_WHITE_OF_WORDS: f64 = 0.35;

/// A spread of the domain in every run; all of it where `QUINTFALL_LAWS=whole` asks for that.
#[test]
fn nothing_touches_that_should_not_and_clearances_hold() {
    let (looks, widths) = if whole_domain() {
        (every_look(), every_width())
    } else {
        (looks(), WIDTHS[..1].to_vec())
    };
    let judge = |widths: &[f64]| {
        let mut tally = Tally::default();
        for look in &looks {
            for_every_sheet(*look, widths, |name, _, systems| {
                for system in systems {
                    tally.look_at(name, system);
                }
            });
        }
        tally
    };
    let (one, other) = widths.split_at(widths.len() / 2);
    let tally = std::thread::scope(|scope| {
        let one = scope.spawn(|| judge(one));
        let mut all = judge(other);
        all.join(one.join().expect("a judge that panics has said why"));
        all
    });
    let report = tally.report();
    println!("{report}");
    assert!(tally.pairs > 100_000, "only {} pairs were looked at", tally.pairs);
    tally.judge();
}

/// Scores with signs of form and of reading, each in every key of the written pieces, with counts
/// and fingers and without, on as few systems as hold it and on one and two more.
#[test]
fn signs_of_form_and_octaves_touch_nothing() {
    let mut tally = Tally::default();
    let mut seen: BTreeMap<MarkRole, usize> = BTreeMap::new();
    for (counts, fingering) in [
        (Counts::All, FingeringMarks::All),
        (Counts::FirstBar, FingeringMarks::Changes),
        (Counts::None, FingeringMarks::None),
    ] {
        let look = Look { counts, watch: Watched::of([0, 2, 3, 5]), ..Look::default() };
        for_every_piece(fingering, true, |name, score| {
            if score.signs.is_plain() && !name.contains("triplets over") {
                return;
            }
            let counts = 1..=score.bars.len();
            let sheets = counts.filter_map(|count| engrave(score, &look, WIDTHS[0], count));
            let mut fits = false;
            for systems in sheets.take(3) {
                fits = true;
                for system in &systems {
                    tally.look_at(name, system);
                    for mark in &system.marks {
                        *seen.entry(mark.role).or_default() += 1;
                    }
                }
            }
            assert!(fits, "{name} fits on no lines");
        });
    }
    let report = tally.report();
    println!("{report}");
    tally.judge();
    let wanted = [
        MarkRole::RepeatDot,
        MarkRole::Ending,
        MarkRole::SectionLetter,
        MarkRole::PassageTitle,
        MarkRole::Watch,
        MarkRole::OctaveLine,
        MarkRole::KeySign,
        MarkRole::Tuplet,
    ];
    for role in wanted {
        assert!(seen.get(&role).is_some_and(|count| *count > 50), "few of {role:?} in {seen:?}");
    }
}

/// What is said at the end of a section and the letter of the next one are not read as one: so many
/// pairs in one row.
fn words_keep_off_letters(name: &str, system: &System) -> usize {
    const AIR: f64 = 1.2;
    let of = |role: MarkRole| {
        let own = system.marks.iter().filter(move |mark| mark.role == role);
        own.map(Engraved::bounds).collect::<Vec<_>>()
    };
    let mut met = 0;
    for letter in of(MarkRole::SectionLetter) {
        for words in of(MarkRole::PassageTitle) {
            let is_level = words.y0 < letter.y1 && letter.y0 < words.y1;
            if is_level && words.x0 < letter.x0 {
                let white = letter.x0 - words.x1;
                assert!(white >= AIR, "{name}: {white} between words and a letter");
                met += 1;
            }
        }
    }
    met
}

/// Every demo tune in every way of playing over it, in its own key and in another, which goes round.
#[test]
fn what_is_played_over_a_tune_touches_nothing() {
    let mut tally = Tally::default();
    let mut letters = 0;
    let others: Vec<Key> = Key::majors().collect();
    let look = Look { counts: Counts::All, ..Look::default() };
    for (index, (name, text)) in demos().enumerate() {
        let chart = Chart::parse(text, name).unwrap();
        let analysis = analyse(&chart.unfolded()).unwrap();
        let over = OverTune { chart: &chart, analysis: &analysis };
        let drills = OverWay::ALL.into_iter().flat_map(|way| over.drills(way));
        for (nth, drill) in drills.chain(cadences(&over, |_| true)).enumerate() {
            let template = Template::parse(&drill.text, &drill.name).unwrap();
            let other = others[(7 * index + 3 * nth) % others.len()].in_mode(template.mode);
            for key in [over.home(), other] {
                let score = realised(&template, key, FingeringMarks::Changes);
                let name = format!("{} in {key}", drill.name);
                let mut counts = 1..=score.bars.len();
                let systems = counts.find_map(|count| engrave(&score, &look, WIDTHS[0], count));
                for system in &systems.unwrap_or_else(|| panic!("{name} fits on no lines")) {
                    tally.look_at(&name, system);
                    letters += words_keep_off_letters(&name, system);
                }
            }
        }
    }
    println!("{}", tally.report());
    assert!(letters > 10, "{letters} pairs of words and letters");
    assert!(tally.systems > 300, "{}", tally.systems);
    tally.judge();
}

/// The law can fail: a flat pushed onto a head is found.
#[test]
fn an_accidental_pushed_onto_a_head_is_found() {
    use kurbo::Point;
    use quintfall::glyphs::Sign;
    let system = |x: f64| System {
        bars: 0..1,
        top: 2.0,
        bottom: -2.0,
        drop: 11.0,
        apart: rules::SYSTEM_CLEARANCE,
        force: 1.0,
        marks: vec![
            Engraved::sign(MarkRole::Head, Sign::NoteheadBlack, Point::new(5.0, 0.0)),
            Engraved::sign(MarkRole::Accidental, Sign::AccidentalFlat, Point::new(x, 0.0)),
        ],
    };
    for (x, touches) in [(3.0, false), (4.6, true), (5.2, true)] {
        let mut tally = Tally::default();
        tally.look_at("by hand", &system(x));
        assert_eq!(tally.touching.len(), usize::from(touches), "a flat at {x}");
    }
}
