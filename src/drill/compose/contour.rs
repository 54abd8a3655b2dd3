//! The contour of a bass that walks: how far it goes one way, and how it comes back.

/// The longest way in one direction, in semitones: an octave and a half (ours; more of it is a scale
/// and no line).
const LONGEST_RUN: i32 = 18;
/// The same by leaps alone: an octave, an arpeggio of one chord.
const LONGEST_LEAPS: i32 = 12;
/// From how many semitones on a step is a leap, and from how many on it wants to be made good: by a
/// step back, at once or one note later (common practice, no source).
const LEAP: i32 = 3;
const WIDE: i32 = 8;
const LATEST: usize = 2;
const OCTAVE: i32 = 12;
const TRITONE: i32 = 6;
/// How many chords of two notes in a row may have one figure.
const MOST_ALIKE: usize = 2;

/// A note of a bass with what its chord rests on, in semitones.
#[derive(Clone, Copy, Debug)]
pub(super) struct ContourNote {
    /// The chord, by index.
    pub(super) chord: usize,
    pub(super) foot: i32,
    pub(super) at: i32,
}

/// The notes of a line, by place, that would better be others.
pub(super) fn faults(line: &[ContourNote]) -> Vec<usize> {
    let steps: Vec<i32> = line.windows(2).map(|pair| pair[1].at - pair[0].at).collect();
    let mut faults = too_far(&steps, |_| true, LONGEST_RUN);
    faults.extend(too_far(&steps, |step| step.abs() >= LEAP, LONGEST_LEAPS));
    faults.extend(not_made_good(&steps));
    faults.extend(alike(line));
    faults.extend(to_and_fro(line));
    faults.extend(pumped(&steps));
    faults.extend(tritones(&steps));
    faults
}

/// The last notes of tritones to the semitone above what comes next that follow one another within a bar.
fn tritones(steps: &[i32]) -> impl Iterator<Item = usize> {
    let is_own = |place: usize| steps[place].abs() == TRITONE && steps.get(place + 1) == Some(&-1);
    let is_bad =
        move |place: &usize| is_own(*place) && (place.saturating_sub(LATEST)..*place).any(is_own);
    (0..steps.len()).filter(is_bad).map(|place| place + 1)
}

/// The last of four notes that go to and fro between two.
fn to_and_fro(line: &[ContourNote]) -> impl Iterator<Item = usize> {
    let is_bad = |four: &[ContourNote]| four[0].at == four[2].at && four[1].at == four[3].at;
    let found = line.windows(4).enumerate().filter(move |(_, four)| is_bad(four));
    found.map(|(place, _)| place + 3)
}

/// The last notes of octaves that come right after another or with one step between them.
fn pumped(steps: &[i32]) -> impl Iterator<Item = usize> {
    let is_octave = |step: &i32| step.abs() == OCTAVE;
    let is_bad = move |place: &usize| {
        let before = &steps[place.saturating_sub(LATEST)..*place];
        is_octave(&steps[*place]) && before.iter().any(is_octave)
    };
    (0..steps.len()).filter(is_bad).map(|place| place + 1)
}

/// Where steps of a kind go on in one direction for too long.
fn too_far(steps: &[i32], is_own: impl Fn(i32) -> bool, most: i32) -> Vec<usize> {
    let mut found = Vec::new();
    let goes_on = |a: &i32, b: &i32| a.signum() == b.signum() && is_own(*a) && is_own(*b);
    let mut from = 0;
    for run in steps.chunk_by(goes_on) {
        let mut way = 0;
        for (index, step) in run.iter().enumerate() {
            way += step;
            if run.len() > 1 && way.abs() > most {
                // Either it turned back before this note, or this one lies elsewhere.
                found.extend([from + index, from + index + 1]);
                break;
            }
        }
        from += run.len();
    }
    found
}

/// Where a wide leap lands that no step back follows.
fn not_made_good(steps: &[i32]) -> Vec<usize> {
    let is_step_back = |leap: i32, step: i32| step * leap < 0 && step.abs() < LEAP;
    let is_bad = |place: &usize| {
        let leap = steps[*place];
        // At the end nothing follows.
        let next = steps.get(place + 1..place + 1 + LATEST);
        leap.abs() >= WIDE
            && next.is_some_and(|next| !next.iter().any(|step| is_step_back(leap, *step)))
    };
    (0..steps.len()).filter(is_bad).map(|place| place + 1).collect()
}

/// The second notes of chords that have the figure of the chords of two notes before them.
fn alike(line: &[ContourNote]) -> Vec<usize> {
    let mut found = Vec::new();
    let mut known: (Vec<i32>, usize) = (Vec::new(), 0);
    let mut from = 0;
    for own in line.chunk_by(|a, b| a.chord == b.chord) {
        let figure: Vec<i32> = own.iter().map(|note| note.at - own[0].at).collect();
        let has_root = (own[0].at - own[0].foot).rem_euclid(12) == 0;
        known = match figure == known.0 && has_root {
            true => (figure, known.1 + 1),
            false => (figure, 1),
        };
        if own.len() == 2 && known.1 > MOST_ALIKE {
            found.push(from + 1);
        }
        from += own.len();
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn faults_of(notes: &[i32]) -> Vec<usize> {
        let chord = |(chord, at): (usize, &i32)| ContourNote { chord, foot: 0, at: *at };
        faults(&notes.iter().enumerate().map(chord).collect::<Vec<_>>())
    }

    #[test]
    fn what_goes_too_far_and_what_does_not_come_back_is_told() {
        assert_eq!(faults_of(&[0, 2, 4, 5, 7, 9, 11, 12]), [0; 0]);
        assert_eq!(faults_of(&[0, 2, 4, 7, 9, 12, 14, 16, 19]), [7, 8]);
        // Three leaps one way, an octave and more.
        assert_eq!(faults_of(&[17, 12, 8, 3, 5]), [2, 3]);
        assert_eq!(faults_of(&[12, 8, 5, 0, 2]), [0; 0]);
        // A ninth up and down by leaps; a step comes in time in the second.
        assert_eq!(faults_of(&[0, 9, 5, 1, 2]), [1]);
        assert_eq!(faults_of(&[0, 9, 5, 4, 2]), [0; 0]);
    }

    #[test]
    fn chords_of_two_notes_are_not_all_alike() {
        let note = |place: usize| {
            let chord = place / 2;
            let foot = -(chord as i32);
            ContourNote { chord, foot, at: foot - 2 * (place % 2) as i32 }
        };
        assert_eq!(faults(&(0..4).map(note).collect::<Vec<_>>()), [0; 0]);
        assert_eq!(faults(&(0..8).map(note).collect::<Vec<_>>()), [5, 7]);
    }
}
