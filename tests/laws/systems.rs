//! What single systems show: digits beside stems, signs told again.

use quintfall::drill::{Choices, Template, library, realise};
use quintfall::engrave::{Look, Role, engrave, rules};
use quintfall::fingering::FingeringMarks;
use quintfall::score::{Counts, Note};
use quintfall::theory::Key;

/// In A flat the first chord lies low in its staff: its digits stand left of the stem and
/// above the stem's end. In B flat the second chord's stem ends near the lowest line: its
/// digits stand under the heads.
#[test]
fn fingers_stand_beside_a_long_stem() {
    let template = Template::parse(library::find("pushed").unwrap(), "pushed").unwrap();
    let choices = Choices { fingering: FingeringMarks::All, ..Choices::default() };
    let look = Look { counts: Counts::None, ..Look::default() };
    let (mut beside, mut under) = (0, 0);
    for key in ["Ab", "Bb"] {
        let score = realise(&template, key.parse().unwrap(), choices);
        for system in engrave(&score, &look, 100.0, 3).unwrap() {
            let below = |role: Role| {
                let marks = system.marks.iter().filter(move |mark| mark.role == role);
                marks.map(|mark| mark.bounds()).filter(|ink| ink.y0 < -system.drop)
            };
            for digit in below(Role::Finger) {
                let stem = below(Role::Stem)
                    .find(|stem| (-0.1..2.0).contains(&(stem.x0 - digit.center().x)));
                let Some(stem) = stem.filter(|stem| stem.x0 > digit.x1) else {
                    under += 1;
                    continue;
                };
                let lowest_line = -system.drop - 2.0;
                assert!(stem.y0 <= lowest_line - rules::STEM_BESIDE_FINGERS + 0.1, "{stem:?}");
                assert!(stem.x0 - digit.x1 >= rules::FINGER_TO_STEM - 1e-9, "{digit:?}");
                beside += 1;
            }
        }
    }
    assert!(beside >= 4 && under >= 4, "{beside} beside stems, {under} under heads");
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
            let below = |role: Role| {
                let marks = system.marks.iter().filter(move |mark| mark.role == role);
                marks.map(|mark| mark.bounds()).filter(|ink| ink.y0 < -system.drop / 2.0)
            };
            let head = below(Role::Head).map(|ink| ink.x0).fold(f64::INFINITY, f64::min);
            let signs = below(Role::Accidental).filter(|ink| ink.x1 < head).count();
            assert_eq!(signs, expected, "{key}, bar {}", system.bars.start + 1);
            let ties = below(Role::Tie).filter(|ink| ink.x0 < head);
            let right = ties.map(|ink| ink.x1).fold(f64::NEG_INFINITY, f64::max);
            let left = below(Role::Accidental).map(|ink| ink.x0).fold(head, f64::min);
            assert!(right < left, "{key}: ties end at {right}, signs begin at {left}");
            if expected > 0 { told += 1 } else { plain += 1 }
        }
    }
    assert!(told > 3 && plain > 3, "{told} with signs, {plain} without");
}
