//! What a file says is what the page shows, bar by bar and mark by mark.

use std::collections::BTreeMap;

use quintfall::engrave::{Blanks, Look, MarkRole};
use quintfall::score::ByHand;

use crate::{Case, case, drills, exercise, for_every_case};

/// How many marks of a role a system has.
fn drawn(own: &Case, role: MarkRole) -> Vec<usize> {
    let count = |system: &quintfall::engrave::System| {
        system.marks.iter().filter(|mark| mark.role == role).count()
    };
    own.systems.iter().map(count).collect()
}

/// How many of something events of each system have.
fn told(own: &Case, count: impl Fn(&crate::read::Sounding) -> usize) -> Vec<usize> {
    let bar = own.score.metre.bar();
    let of = |bars: &std::ops::Range<usize>| {
        let span = bars.start as i32 * bar..bars.end as i32 * bar;
        let events = own.told.hands.iter().flatten().filter(|it| span.contains(&it.at));
        events.map(&count).sum()
    };
    own.cut.systems.iter().map(of).collect()
}

/// Every accidental, stem, beam, flag, finger, figure of a triplet, dot over a head, fermata and rest
/// that is drawn on a system is told of its bars, and none besides.
#[test]
fn as_many_marks_are_told_as_are_drawn() {
    let mut seen: BTreeMap<MarkRole, usize> = BTreeMap::new();
    for_every_case(|own| {
        let mut same = |role: MarkRole, told: Vec<usize>| {
            assert_eq!(told, drawn(own, role), "{}: {role:?}", own.name);
            *seen.entry(role).or_default() += told.iter().sum::<usize>();
        };
        let notes = |it: &crate::read::Sounding| it.notes.len();
        same(MarkRole::Head, told(own, notes));
        same(
            MarkRole::Accidental,
            told(own, |it| it.notes.iter().filter(|note| note.accidental.is_some()).count()),
        );
        same(MarkRole::Stem, told(own, |it| usize::from(it.stem.is_some())));
        same(MarkRole::Rest, told(own, |it| usize::from(it.notes.is_empty())));
        same(MarkRole::Articulation, told(own, |it| usize::from(it.staccato)));
        same(MarkRole::Fermata, told(own, |it| usize::from(it.fermata)));
        same(
            MarkRole::Finger,
            told(own, |it| it.notes.iter().filter(|note| note.finger.is_some()).count()),
        );
        // A beam is drawn once where it begins, and a stump once.
        same(
            MarkRole::Beam,
            told(own, |it| {
                let drawn = ["begin", "forward hook", "backward hook"];
                it.beams.iter().filter(|part| drawn.contains(&part.as_str())).count()
            }),
        );
        same(
            MarkRole::Flag,
            told(own, |it| {
                let has_flag = matches!(it.kind.as_deref(), Some("16th" | "eighth"));
                usize::from(has_flag && !it.notes.is_empty() && it.beams.is_empty())
            }),
        );
        let symbols = |bars: &std::ops::Range<usize>| {
            let bar = own.score.metre.bar();
            let span = bars.start as i32 * bar..bars.end as i32 * bar;
            own.told.symbols.iter().filter(|it| span.contains(&it.at)).count()
        };
        let has_symbols: Vec<bool> = own.cut.systems.iter().map(|bars| symbols(bars) > 0).collect();
        let drawn_symbols: Vec<bool> =
            drawn(own, MarkRole::Symbol).into_iter().map(|count| count > 0).collect();
        assert_eq!(has_symbols, drawn_symbols, "{}", own.name);
    });
    for (role, count) in seen {
        assert!(count > 10, "{count} marks of {role:?}");
    }
}

/// A triplet has one figure where a beam joins it, and a figure and two arms where a bracket does.
#[test]
fn triplets_have_brackets_where_they_are_drawn() {
    let mut seen = [0; 2];
    for_every_case(|own| {
        let mut marks = 0;
        for tuplet in own.file.deep("tuplet") {
            if tuplet.attribute("type") == Some("start") {
                let bracket = tuplet.attribute("bracket") == Some("yes");
                marks += if bracket { 3 } else { 1 };
                seen[usize::from(bracket)] += 1;
            }
        }
        assert_eq!(marks, drawn(own, MarkRole::Tuplet).iter().sum::<usize>(), "{}", own.name);
    });
    assert!(seen.iter().all(|count| *count > 10), "{seen:?}");
}

/// Lines and pages begin where they do on paper.
#[test]
fn lines_begin_where_they_are_drawn() {
    for_every_case(|own| {
        let firsts = own.cut.systems.iter().map(|bars| bars.start);
        let lines: Vec<usize> = firsts.clone().skip(1).collect();
        assert_eq!(own.told.lines, lines, "{}", own.name);
        let pages: Vec<usize> = firsts.step_by(3).skip(1).collect();
        assert_eq!(own.told.pages, pages, "{}", own.name);
    });
}

/// What is left out of a page is not told either, and what is not left out is as it was.
#[test]
fn blanks_are_blank() {
    let own = exercise(drills().nth(1).expect("a drill"));
    let score = own.score(&own.drill(), own.keys[4]);
    let whole = case("whole".to_owned(), score.clone(), Look::default());
    let with = |blanks| {
        let look = Look { blanks, ..Look::default() };
        case("blank".to_owned(), score.clone(), look)
    };
    for nth in [0, 1] {
        let hands = ByHand { right: nth == 0, left: nth == 1 };
        let blank = with(Blanks { hands, ..Blanks::default() });
        let bars = vec![[score.metre.bar(); 3]; score.bars.len()];
        assert_eq!(blank.told.sums, bars);
        let own = &blank.told.hands[nth];
        assert!(own.iter().all(|it| it.notes.is_empty() && it.is_hidden));
        // Clefs stand where they did.
        for event in &whole.told.hands[nth] {
            let over = own.iter().rfind(|it| it.at <= event.at).expect("a rest");
            assert_eq!(over.clef, event.clef, "at {}", event.at);
        }
        assert_eq!(blank.told.hands[1 - nth], whole.told.hands[1 - nth]);
        assert_eq!(blank.told.symbols, whole.told.symbols);
        assert_eq!(blank.told.numerals, whole.told.numerals);
    }
    let blank = with(Blanks { symbols: true, numerals: true, fingers: true, ..Blanks::default() });
    assert_eq!(drawn(&blank, MarkRole::Finger).iter().sum::<usize>(), 0);
    assert!(blank.told.symbols.is_empty() && blank.told.numerals.is_empty());
    let fingers =
        |own: &Case| told(own, |it| it.notes.iter().filter_map(|note| note.finger).count());
    assert_eq!(fingers(&blank).iter().sum::<usize>(), 0);
    assert!(fingers(&whole).iter().sum::<usize>() > 20);
}
