//! Accidentals: which notes need one, and how those of a chord are packed beside its heads.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use kurbo::{PathEl, Point, Rect, Shape as _};
use smallvec::SmallVec;

use super::mark::sign_box;
use super::position::{PerNote, height};
use super::rules::{self, Sp};
use crate::glyphs::{MusicFace, Sign};
use crate::score::{Event, Note, Ticks};
use crate::theory::Key;

/// An accidental that has found its place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Accidental {
    pub(super) sign: Sign,
    /// The staff position of its note.
    pub(super) position: i32,
    /// Its origin.
    pub(super) x: Sp,
}

impl Accidental {
    /// The box round its ink.
    pub(super) fn bounds(&self) -> Rect {
        sign_box(self.sign, Point::new(self.x, height(self.position)))
    }
}

/// What is known of some steps: few, so that they are looked through faster than a tree.
#[derive(Clone, Debug)]
struct BySteps<T>(Vec<(i32, T)>);

impl<T> Default for BySteps<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T: Copy> BySteps<T> {
    fn iter(&self) -> impl Iterator<Item = (i32, T)> {
        self.0.iter().copied()
    }

    fn get(&self, step: i32) -> Option<T> {
        self.iter().find_map(|(other, known)| (other == step).then_some(known))
    }

    /// Puts something down about a step; tells what was known of it before.
    fn insert(&mut self, step: i32, new: T) -> Option<T> {
        match self.0.iter_mut().find(|(other, _)| *other == step) {
            Some((_, known)) => Some(std::mem::replace(known, new)),
            None => {
                self.0.push((step, new));
                None
            }
        }
    }

    /// Forgets a step; tells what was known of it.
    fn remove(&mut self, step: i32) -> Option<T> {
        let place = self.0.iter().position(|(other, _)| *other == step)?;
        Some(self.0.swap_remove(place).1)
    }
}

/// The alterations in force on one staff since its last barline.
#[derive(Clone, Debug, Default)]
pub(super) struct InForce {
    by_staff_step: BySteps<i32>,
    /// What was in force in the clef before this one, in the same bar.
    in_last_clef: BySteps<i32>,
    /// What sounded last in this bar otherwise than its signature has it, tied in or not, by the
    /// step that sounds: the eye forgets with the clef, the ear does not.
    altered: BySteps<i32>,
    /// The same of the bar before, where it has not come again yet.
    altered_last_bar: BySteps<i32>,
    /// When each step that sounds came last in this bar.
    sounded: BySteps<Ticks>,
}

/// What the other hand plays in a bar, as far as signs remember it.
#[derive(Clone, Debug, Default)]
pub(super) struct OtherStaff {
    /// The step that sounds of each of its notes in order, when it begins, and its alteration.
    notes: Vec<(i32, Ticks, i32)>,
}

impl OtherStaff {
    /// That of the events of a bar.
    pub(super) fn of(events: &[Event]) -> Self {
        let of = |event: &'_ Event, note: &Note| {
            (note.pitch.staff_step(), event.at, note.pitch.name.alter)
        };
        let all = events.iter().flat_map(|event| event.notes.iter().map(move |it| of(event, it)));
        Self { notes: all.collect() }
    }

    /// The alteration of the last note on a step up to a moment, and when it began.
    fn last(&self, step: i32, at: Ticks) -> Option<(Ticks, i32)> {
        let last = self.notes.iter().rev().find(|(other, begin, _)| *other == step && *begin <= at);
        last.map(|(_, begin, alter)| (*begin, *alter))
    }
}

impl InForce {
    /// The next bar begins: nothing is in force there, but the eye remembers.
    pub(super) fn begin_bar(&mut self) {
        std::mem::swap(&mut self.altered, &mut self.altered_last_bar);
        for memory in [&mut self.by_staff_step, &mut self.in_last_clef, &mut self.altered] {
            memory.0.clear();
        }
        self.sounded.0.clear();
    }

    /// The clef changes: what was written on its lines and spaces is no longer seen there, so no
    /// sign holds beyond (common practice).
    pub(super) fn change_clef(&mut self) {
        for (step, alter) in self.by_staff_step.0.drain(..) {
            self.in_last_clef.insert(step, alter);
        }
    }

    /// Whether each note of `event` needs its sign. An accidental holds to the barline, in its own
    /// octave; a note of that letter in another octave, or in another clef, says what it is all the
    /// same, after a sign that is tied in too. A tied note needs none, but what follows it on its line
    /// or space in the same bar is told anew; and so, once, is what returns there in the next bar to
    /// what the signature says, and what the other hand had otherwise just before or at the same time
    /// (common practice; Gould).
    ///
    /// What is written sounds `octaves` higher.
    pub(super) fn signs(
        &mut self,
        key: Key,
        event: &Event,
        (octaves, other_hand): (i32, &OtherStaff),
    ) -> PerNote<bool> {
        let mut sign = |note: &crate::score::Note| {
            let name = note.pitch.name;
            let sounding = note.pitch.staff_step();
            let step = sounding - 7 * octaves;
            let is_altered = key.is_altered(name);
            if is_altered {
                self.altered.insert(sounding, name.alter);
            } else {
                self.altered.remove(sounding);
            }
            let was_altered = self.altered_last_bar.remove(sounding);
            let last = self.sounded.insert(sounding, event.at);
            let other = other_hand.last(sounding, event.at);
            let is_new = |at: Ticks| last.is_none_or(|last| at > last || at == event.at);
            let other = other.filter(|(at, _)| is_new(*at)).map(|(_, alter)| alter);
            if note.tied_in {
                if is_altered {
                    let known = self.by_staff_step.get(step);
                    self.by_staff_step.insert(step, known.unwrap_or(UNSETTLED));
                }
                return false;
            }
            // The first note on its line or space is told apart from one of another octave.
            let is_first = self.by_staff_step.get(step).is_none();
            let octaves = self.by_staff_step.iter().filter(|(other, _)| *other != step);
            let told_otherwise = octaves
                .chain(self.in_last_clef.iter())
                .any(|(other, alter)| (other - step) % 7 == 0 && alter != name.alter);
            let before = self.by_staff_step.insert(step, name.alter);
            let before = before.unwrap_or_else(|| key.signature_alter(name.letter));
            let told_otherwise =
                told_otherwise || was_altered.is_some_and(|alter| alter != name.alter);
            before != name.alter
                || is_first && told_otherwise
                || other.is_some_and(|alter| alter != name.alter)
        };
        event.notes.iter().map(&mut sign).collect()
    }
}

/// An alteration that no note has: a sign tied over the barline is heard but not written, so the
/// next note says which it is.
const UNSETTLED: i32 = i32::MIN;

/// The sign of an alteration in semitones.
pub(super) fn accidental_sign(alter: i32) -> Sign {
    match alter {
        ..=-2 => Sign::AccidentalDoubleFlat,
        -1 => Sign::AccidentalFlat,
        0 => Sign::AccidentalNatural,
        1 => Sign::AccidentalSharp,
        2.. => Sign::AccidentalDoubleSharp,
    }
}

/// Places the accidentals of a chord left of `obstacles`, its heads and ledger lines.
///
/// The highest comes first, then the lowest, then inward in turn; each goes as far right as its
/// outline lets it (Gould, Ross, Stone).
pub(super) fn pack(wanted: &[(i32, Sign)], obstacles: &[Rect]) -> PerNote<Accidental> {
    let mut order: PerNote<(i32, Sign)> = wanted.into();
    order.sort_by_key(|(position, _)| *position);
    let mut zigzag: PerNote<(i32, Sign)> = PerNote::new();
    while let Some(top) = order.pop() {
        zigzag.push(top);
        if !order.is_empty() {
            zigzag.push(order.remove(0));
        }
    }
    let mut taken: SmallVec<[(Rect, Sp); 48]> =
        obstacles.iter().map(|ink| (*ink, rules::ACCIDENTAL_TO_HEAD)).collect();
    let mut placed = PerNote::new();
    for (position, sign) in zigzag {
        let up = kurbo::Vec2::new(0.0, height(position));
        let slices = slices(sign).iter().map(|slice| *slice + up);
        let x = slices
            .clone()
            .flat_map(|slice| {
                taken
                    .iter()
                    .filter(move |(ink, _)| {
                        let air = rules::ACCIDENTAL_TO_ACCIDENTAL;
                        ink.y0 < slice.y1 + air && slice.y0 < ink.y1 + air
                    })
                    .map(move |(ink, gap)| ink.x0 - gap - slice.x1)
            })
            .fold(0.0, Sp::min);
        let shift = kurbo::Vec2::new(x, 0.0);
        taken.extend(slices.map(|slice| (slice + shift, rules::ACCIDENTAL_TO_ACCIDENTAL)));
        placed.push(Accidental { sign, position, x });
    }
    placed
}

/// The outline of an accidental as a pile of thin boxes.
fn slices(sign: Sign) -> &'static [Rect] {
    const SIGNS: [Sign; 5] = [
        Sign::AccidentalDoubleFlat,
        Sign::AccidentalFlat,
        Sign::AccidentalNatural,
        Sign::AccidentalSharp,
        Sign::AccidentalDoubleSharp,
    ];
    static SLICES: LazyLock<[Vec<Rect>; 5]> = LazyLock::new(|| SIGNS.map(slice));
    let row = SIGNS.iter().position(|known| *known == sign);
    row.map_or(&[], |row| &SLICES[row])
}

fn slice(sign: Sign) -> Vec<Rect> {
    /// Thin enough for the slope of a flat's bowl.
    const THICKNESS: Sp = 0.1;
    /// How finely curves are cut into chords.
    const TOLERANCE: Sp = 0.01;
    let outline = MusicFace::get().outline(sign);
    let mut points = Vec::new();
    let mut last = kurbo::Point::ZERO;
    kurbo::flatten(outline.path_elements(TOLERANCE), TOLERANCE, |element| match element {
        PathEl::MoveTo(point) => {
            points.push(point);
            last = point;
        }
        PathEl::LineTo(point) => {
            // Long straight edges cross many slices: leave a point in each.
            let steps = ((point - last).hypot() / (THICKNESS / 2.0)).ceil().max(1.0);
            points.extend((1..=steps as i32).map(|step| last.lerp(point, f64::from(step) / steps)));
            last = point;
        }
        _ => {}
    });
    let mut slices: BTreeMap<i32, Rect> = BTreeMap::new();
    for point in points {
        let row = (point.y / THICKNESS).floor();
        let cell = Rect::new(point.x, row * THICKNESS, point.x, (row + 1.0) * THICKNESS);
        slices.entry(row as i32).and_modify(|slice| *slice = slice.union(cell)).or_insert(cell);
    }
    slices.into_values().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::{Note, NoteValue};
    use crate::theory::{Letter, NoteName, Pitch};

    fn columns(wanted: &[(i32, Sign)]) -> Vec<Sp> {
        let head = Rect::new(0.0, -4.0, 1.25, 4.0);
        pack(wanted, &[head]).iter().map(|accidental| accidental.x).collect()
    }

    #[test]
    fn an_octave_shares_a_column_and_a_third_does_not() {
        let octave = columns(&[(-4, Sign::AccidentalSharp), (3, Sign::AccidentalSharp)]);
        assert!((octave[0] - octave[1]).abs() < 1e-9, "{octave:?}");
        let third = columns(&[(0, Sign::AccidentalSharp), (2, Sign::AccidentalSharp)]);
        assert!(third[1] < third[0] - 0.8, "{third:?}");
    }

    #[test]
    fn flats_pack_closer_than_their_boxes() {
        let sixth = columns(&[(-3, Sign::AccidentalFlat), (2, Sign::AccidentalFlat)]);
        let boxes = MusicFace::get().bounds(Sign::AccidentalFlat).width();
        assert!(sixth[0] - sixth[1] < boxes, "{sixth:?}");
    }

    /// The signs that the notes of an event in C need.
    fn signs_of(in_force: &mut InForce, event: &Event, octaves: i32) -> Vec<Option<Sign>> {
        let needs = in_force.signs("C".parse().unwrap(), event, (octaves, &OtherStaff::default()));
        let sign =
            |(note, needs): (&Note, bool)| needs.then(|| accidental_sign(note.pitch.name.alter));
        event.notes.iter().zip(needs).map(sign).collect()
    }

    /// The signs of notes one after another, the clef changing before some of them.
    fn signs(notes: &[(Note, bool)]) -> Vec<Option<Sign>> {
        let mut in_force = InForce::default();
        let event = |note: &Note| Event {
            at: 0,
            value: NoteValue::Eighth,
            notes: vec![*note],
            staccato: false,
            fermata: false,
            clef_change: None,
        };
        let sign = |(note, changes): &(Note, bool)| {
            if *changes {
                in_force.change_clef();
            }
            signs_of(&mut in_force, &event(note), 0)
        };
        notes.iter().flat_map(sign).collect()
    }

    fn note(alter: i32, octave: i32, tied_in: bool) -> Note {
        Note {
            pitch: Pitch::new(NoteName::new(Letter::C, alter), octave),
            tied_in,
            tied_out: false,
            finger: None,
            shows_finger: false,
        }
    }

    #[test]
    fn no_sign_holds_beyond_a_change_of_clef() {
        let (sharp, natural) = (Some(Sign::AccidentalSharp), Some(Sign::AccidentalNatural));
        let over_change = |alters: [i32; 2], octave: i32| {
            signs(&[(note(alters[0], 5, false), false), (note(alters[1], octave, false), true)])
        };
        assert_eq!(over_change([1, 1], 5), [sharp, sharp]);
        assert_eq!(over_change([1, 0], 5), [sharp, natural]);
        assert_eq!(over_change([1, 0], 4), [sharp, natural]);
        assert_eq!(over_change([0, 0], 5), [None, None]);
    }

    #[test]
    fn after_a_sign_that_was_tied_over_the_barline_the_next_note_says_what_it_is() {
        let signs = |notes: &[(i32, bool)]| {
            let notes: Vec<_> =
                notes.iter().map(|(alter, tied)| (note(*alter, 5, *tied), false)).collect();
            signs(&notes)
        };
        let (sharp, natural) = (Some(Sign::AccidentalSharp), Some(Sign::AccidentalNatural));
        assert_eq!(signs(&[(1, true), (1, false)]), [None, sharp]);
        assert_eq!(signs(&[(1, true), (0, false), (0, false)]), [None, natural, None]);
        assert_eq!(signs(&[(0, true), (0, false)]), [None, None]);
        let in_another_octave = [(note(1, 5, true), false), (note(0, 4, false), false)];
        assert_eq!(self::signs(&in_another_octave), [None, natural]);
        assert_eq!(signs(&[(1, false), (0, false), (1, false)]), [sharp, natural, sharp]);
    }

    /// What returns to the signature in the next bar says so, once, on its own line, and not after a
    /// bar between.
    #[test]
    fn what_was_altered_in_a_bar_is_told_again_in_the_next() {
        let c = "C".parse().unwrap();
        // Bars of alterations and octaves, each whether it is tied in.
        let signs = |bars: &[&[(i32, i32, bool)]]| {
            let mut in_force = InForce::default();
            let mut signs = Vec::new();
            for bar in bars {
                in_force.begin_bar();
                for (alter, octave, tied) in *bar {
                    let notes = vec![note(*alter, *octave, *tied)];
                    let event = Event { notes, ..Event::rest(0, NoteValue::Quarter) };
                    let shown = in_force.signs(c, &event, (0, &OtherStaff::default()));
                    signs.extend(shown.iter().map(|is| is.then(|| accidental_sign(*alter))));
                }
            }
            signs
        };
        let (sharp, natural) = (Some(Sign::AccidentalSharp), Some(Sign::AccidentalNatural));
        let (plain, altered) = ((0, 5, false), (1, 5, false));
        assert_eq!(signs(&[&[altered], &[plain, plain]]), [sharp, natural, None]);
        assert_eq!(signs(&[&[altered], &[altered]]), [sharp, sharp]);
        assert_eq!(signs(&[&[altered, plain], &[plain]]), [sharp, natural, None]);
        assert_eq!(signs(&[&[plain, altered], &[plain]]), [None, sharp, natural]);
        assert_eq!(signs(&[&[altered], &[(0, 4, false)]]), [sharp, None]);
        assert_eq!(signs(&[&[altered], &[], &[plain]]), [sharp, None]);
        // What was tied over was heard in the bar before all the same.
        assert_eq!(signs(&[&[altered], &[(1, 5, true)], &[plain]]), [sharp, None, natural]);
        assert_eq!(signs(&[&[(1, 5, true)], &[plain, plain]]), [None, natural, None]);
    }

    /// A key of the piano that the other hand has just had otherwise is told anew, once.
    #[test]
    fn what_the_other_hand_had_otherwise_is_told() {
        let at = |at: Ticks, alter: i32, octave: i32| Event {
            at,
            notes: vec![note(alter, octave, false)],
            ..Event::rest(0, NoteValue::Quarter)
        };
        let signs = |other: Event| {
            let other = OtherStaff::of(&[other]);
            let mut in_force = InForce::default();
            let own = [at(0, 0, 4), at(96, 0, 4), at(192, 0, 4)];
            let c = "C".parse().unwrap();
            own.map(|event| in_force.signs(c, &event, (0, &other))[0])
        };
        assert_eq!(signs(at(48, 1, 4)), [false, true, false]);
        assert_eq!(signs(at(96, 1, 4)), [false, true, false]);
        assert_eq!(signs(at(48, 0, 4)), [false; 3]);
        assert_eq!(signs(at(48, 1, 5)), [false; 3]);
    }

    /// What is written on one line sounds in two octaves: a sign holds for the line and octave alone
    /// in which it was seen, so the note after the change of octave says what it is.
    #[test]
    fn no_sign_holds_beyond_a_change_of_octave() {
        for (alter, sign) in [(1, Sign::AccidentalSharp), (0, Sign::AccidentalNatural)] {
            let mut in_force = InForce::default();
            let event = |notes: Vec<Note>| Event { notes, ..Event::rest(0, NoteValue::Quarter) };
            let low = event(vec![note(1, 5, false)]);
            assert_eq!(signs_of(&mut in_force, &low, 0), [Some(Sign::AccidentalSharp)]);
            in_force.change_clef();
            let high = event(vec![note(alter, 6, false)]);
            assert_eq!(signs_of(&mut in_force, &high, 1), [Some(sign)]);
        }
    }
}
