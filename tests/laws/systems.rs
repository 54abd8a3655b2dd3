//! What single systems show: digits on their axes, fermatas, signs told again.

use std::collections::BTreeMap;

use kurbo::Rect;
use quintfall::drill::{Choices, Template, library, realise};
use quintfall::engrave::{Engraved, Look, MarkRole, System, engrave, rules};
use quintfall::fingering::FingeringMarks;
use quintfall::score::{Counts, Hand, Note};
use quintfall::theory::Key;
use quintfall::typeset::Trace;

use crate::for_every_score;

/// The digits of a chord stand on one axis: that of the stem that points to them, or else the
/// middle of the heads.
#[test]
fn the_digits_of_a_chord_stand_on_one_axis() {
    let look = Look { counts: Counts::None, ..Look::default() };
    let (mut at_tips, mut at_heads) = (0, 0);
    for_every_score(FingeringMarks::All, |name, score| {
        let Some(systems) = engrave(score, &look, 100.0, score.bars.len().div_ceil(2)) else {
            return;
        };
        for system in systems {
            let below = |role: MarkRole| {
                let marks = system.marks.iter().filter(move |mark| mark.role == role);
                marks.map(|mark| mark.bounds()).filter(|ink| ink.y0 < -system.drop)
            };
            let digits: Vec<Rect> = below(MarkRole::Finger).collect();
            for digit in &digits {
                let next = digits.iter().find(|other| {
                    let up = other.y0 - digit.y0;
                    (up - rules::FINGER_LEADING).abs() < 0.1 && (other.x0 - digit.x0).abs() < 0.7
                });
                let Some(next) = next else { continue };
                let axis = digit.center().x;
                let off = (next.center().x - axis).abs();
                assert!(off < 1e-6, "{name}, bar {}: {digit:?} {next:?}", system.bars.start + 1);
                let is_at_tip = below(MarkRole::Stem)
                    .any(|stem| (stem.center().x - axis).abs() < 1e-6 && stem.y0 > digit.y1);
                if is_at_tip { at_tips += 1 } else { at_heads += 1 }
            }
        }
    });
    assert!(at_tips > 100 && at_heads > 100, "{at_tips} at tips, {at_heads} at heads");
}

/// The last chord of a drill is held, and nobody needs to be told how: it has digits only where
/// all have, and a fermata stands nearer to it than they.
#[test]
fn no_digit_stands_between_a_chord_and_its_fermata() {
    let look = Look { counts: Counts::None, ..Look::default() };
    let mut fermatas = 0;
    for fingering in [FingeringMarks::All, FingeringMarks::Changes] {
        for_every_score(fingering, |name, score| {
            let Some(systems) = engrave(score, &look, 100.0, score.bars.len().div_ceil(2)) else {
                return;
            };
            for system in systems {
                let inks = |role: MarkRole| {
                    let marks = system.marks.iter().filter(move |mark| mark.role == role);
                    marks.map(|mark| mark.bounds())
                };
                for fermata in inks(MarkRole::Fermata) {
                    fermatas += 1;
                    let above = fermata.y0 > -system.drop / 2.0;
                    let near = inks(MarkRole::Finger).filter(|digit| {
                        (digit.center().x - fermata.center().x).abs() < fermata.width() / 2.0
                            && (digit.y0 > -system.drop / 2.0) == above
                    });
                    for digit in near {
                        let is_outside =
                            if above { digit.y0 > fermata.y1 } else { digit.y1 < fermata.y0 };
                        assert_eq!(fingering, FingeringMarks::All, "{name}: {digit:?}");
                        assert!(is_outside, "{name}: {digit:?} {fermata:?}");
                    }
                }
            }
        });
    }
    assert!(fermatas > 100, "{fermatas}");
}

/// A sign holds for what is seen: each note after a change of clef says what it is where the
/// signature alone would have it otherwise.
#[test]
fn no_accidental_holds_beyond_a_change_of_clef() {
    let look = Look { counts: Counts::None, ..Look::default() };
    let mut needed = 0;
    for_every_score(FingeringMarks::None, |name, score| {
        // The notes that need a sign, by what is seen alone.
        let mut least = 0;
        for hand in Hand::BOTH {
            for bar in &score.bars {
                let mut seen = BTreeMap::new();
                let mut clef_changed = false;
                for event in &bar.staves[hand].events {
                    if event.clef_change.is_some() {
                        seen.clear();
                        clef_changed = true;
                    }
                    for note in event.notes.iter().filter(|note| !note.tied_in) {
                        let pitch = note.pitch;
                        let before = seen.insert(pitch.staff_step(), pitch.name.alter);
                        let before = before.unwrap_or(score.key.signature_alter(pitch.name.letter));
                        let needs = before != pitch.name.alter;
                        least += usize::from(needs);
                        needed += usize::from(needs && clef_changed);
                    }
                }
            }
        }
        let systems = engrave(score, &look, 300.0, 1).or_else(|| engrave(score, &look, 300.0, 2));
        let Some(systems) = systems else { return };
        let signs = systems.iter().flat_map(|system| &system.marks);
        let printed = signs.filter(|mark| mark.role == MarkRole::Accidental).count();
        assert!(printed >= least, "{name}: {printed} signs, and {least} are needed");
    });
    assert!(needed > 0, "no note needs a sign after a change of clef");
}

/// What was altered in a bar and returns in the next, on its line and in its clef, to what the
/// signature says has a sign that says so; what comes a second time has none for that reason.
#[test]
fn what_was_altered_in_the_last_bar_is_told_again() {
    let look = Look { counts: Counts::None, ..Look::default() };
    let (mut told, mut again) = (0, 0);
    for_every_score(FingeringMarks::None, |name, score| {
        for hand in Hand::BOTH {
            // The other hand is silent, so that every head is this one's.
            let mut own = score.clone();
            let other = Hand::BOTH.into_iter().find(|other| *other != hand).expect("two hands");
            let events = own.bars.iter_mut().flat_map(|bar| &mut bar.staves[other].events);
            events.for_each(|event| event.notes.clear());
            let systems = engrave(&own, &look, 400.0, 1).or_else(|| engrave(&own, &look, 400.0, 2));
            let Some(systems) = systems else { continue };
            let mut signs = systems.iter().flat_map(signs_at_heads);
            // By line or space: what sounded last, if that was altered, and in which bar.
            let mut before: BTreeMap<i32, (Option<i32>, usize)> = BTreeMap::new();
            let mut octaves = 0;
            for (index, bar) in own.bars.iter().enumerate() {
                let key = own.key_at(index);
                for event in &bar.staves[hand].events {
                    let here = own.octaves_at(hand, event.at);
                    if event.clef_change.is_some() || here != octaves {
                        (before, octaves) = (BTreeMap::new(), here);
                    }
                    let mut notes: Vec<&Note> = event.notes.iter().collect();
                    notes.sort_by_key(|note| note.pitch.staff_step());
                    for note in notes {
                        let has_sign = signs.next().expect("a head for each note");
                        let is_altered = key.is_altered(note.pitch.name);
                        let alter = note.pitch.name.alter;
                        let own = (is_altered.then_some(alter), index);
                        let was = before.insert(note.pitch.staff_step(), own);
                        let returns = was.is_some_and(|(was, bar)| {
                            was.is_some_and(|was| was != alter) && bar + 1 == index
                        });
                        if is_altered || note.tied_in {
                            continue;
                        }
                        let at = format!("{name}, {hand:?}, bar {}", index + 1);
                        assert!(has_sign || !returns, "{at}: {} says nothing", note.pitch);
                        told += usize::from(returns);
                        let again_in_bar =
                            was.is_some_and(|(was, bar)| was.is_none() && bar == index);
                        again += usize::from(again_in_bar && !has_sign);
                    }
                }
            }
        }
    });
    assert!(told > 100 && again > 100, "{told} told again, {again} not");
}

/// Of each head of a system, from left to right and from low to high, whether a sign stands beside it.
fn signs_at_heads(system: &System) -> Vec<bool> {
    let of = |role: MarkRole| system.marks.iter().filter(move |mark| mark.role == role);
    let mut heads: Vec<Rect> = of(MarkRole::Head).map(|head| head.bounds()).collect();
    heads.sort_by(|one, other| one.x0.total_cmp(&other.x0));
    let mut all = Vec::with_capacity(heads.len());
    let mut from = f64::NEG_INFINITY;
    // Heads on both sides of a stem are one chord.
    for chord in heads.chunk_by_mut(|one, other| other.x0 - one.x0 < 2.0) {
        chord.sort_by(|one, other| one.center().y.total_cmp(&other.center().y));
        for head in chord.iter() {
            let is_beside = |sign: &Engraved| {
                let Trace::Sign { at, .. } = sign.trace else { return false };
                at.x > from && at.x < head.x0 && (at.y - head.center().y).abs() < 0.1
            };
            all.push(of(MarkRole::Accidental).any(is_beside));
        }
        from = chord.iter().map(|head| head.x1).fold(from, f64::max);
    }
    all
}

/// An accidental that is tied over the end of a system stands again at the start of the next.
#[test]
fn tied_accidentals_are_told_again_where_a_system_begins() {
    let template = Template::parse(library::find("harmonic-minor").unwrap(), "minor").unwrap();
    let look = Look { counts: Counts::None, ..Look::default() };
    let (mut told, mut plain) = (0, 0);
    for key in Key::majors() {
        let score = realise(&template, key, Choices::default());
        for system in (2..6).filter_map(|count| engrave(&score, &look, 100.0, count)).flatten() {
            let first = &score.bars[system.bars.start].staves.left.events[0];
            if system.bars.start == 0 || !first.is_tied_in() {
                continue;
            }
            let altered = |note: &&Note| score.key.is_altered(note.pitch.name);
            let expected = first.notes.iter().filter(altered).count();
            let below = |role: MarkRole| {
                let marks = system.marks.iter().filter(move |mark| mark.role == role);
                marks.map(|mark| mark.bounds()).filter(|ink| ink.y0 < -system.drop / 2.0)
            };
            let head = below(MarkRole::Head).map(|ink| ink.x0).fold(f64::INFINITY, f64::min);
            let signs = below(MarkRole::Accidental).filter(|ink| ink.x1 < head).count();
            assert_eq!(signs, expected, "{key}, bar {}", system.bars.start + 1);
            let ties = below(MarkRole::Tie).filter(|ink| ink.x0 < head);
            let right = ties.map(|ink| ink.x1).fold(f64::NEG_INFINITY, f64::max);
            let left = below(MarkRole::Accidental).map(|ink| ink.x0).fold(head, f64::min);
            assert!(right < left, "{key}: ties end at {right}, signs begin at {left}");
            if expected > 0 { told += 1 } else { plain += 1 }
        }
    }
    assert!(told > 3 && plain > 3, "{told} with signs, {plain} without");
}
