//! What leads back to the first chord: the cadence at the end of a part, and one, six, two, five.

use super::{Cadence, CadenceForm, HeldChord, Unfolded};
use crate::score::Ticks;
use crate::theory::{Chord, ChordFamily, NoteName};

/// Whether what comes of a cadence is the first chord of a part: the tonic, where a section begins;
/// or whatever began a part before, to which a repeat or the end of the tune leads back.
pub(super) fn leads_back(tune: &Unfolded, cadence: &Cadence, tonic: NoteName) -> bool {
    let Some(five) = tune.changes.iter().position(|change| change.at == cadence.dominant_at) else {
        return false;
    };
    let root = |change: &HeldChord| change.chord.map(|chord| chord.root.pitch_class());
    let own = root(&tune.changes[five]);
    let later = tune.changes[five + 1..].iter();
    let Some(goal) = later.into_iter().find(|it| it.chord.is_some() && root(it) != own) else {
        return true;
    };
    let bar = tune.metre.bar();
    let begins = goal.at % bar == 0 && tune.sections.contains(&((goal.at / bar) as usize));
    begins && root(goal) == Some(tonic.pitch_class()) || goal.written <= cadence.written[0]
}

/// When the chords begin that lead back to a tonic by way of its sixth degree, or of what stands in
/// its place, and of its ii and V: one, six, two, five, or three for one, a bar each at the most.
/// Nothing where what comes before the cadence is no such chord.
pub(super) fn turns_round(tune: &Unfolded, cadence: &Cadence, tonic: NoteName) -> Option<Ticks> {
    // iv and ♭VII, the back door, are another way round.
    if !cadence.kind.has_two() || cadence.form == CadenceForm::Backdoor {
        return None;
    }
    let two = tune.changes.iter().position(|change| change.at == cadence.at)?;
    let root = |change: &HeldChord| change.chord.map(|chord| chord.root.pitch_class());
    let before = |place: usize| {
        let own = root(&tune.changes[place]);
        let first = (0..place).rev().find(|other| root(&tune.changes[*other]) != own)?;
        // A chord that is written in several is one.
        let on = root(&tune.changes[first]);
        (0..=first).rev().take_while(|other| root(&tune.changes[*other]) == on).last()
    };
    let six = before(two)?;
    let one = before(six)?;
    let bar = tune.metre.bar();
    let chord = |place: usize| tune.changes[place].chord;
    let lasts = |from: usize, until: usize| tune.changes[until].at - tune.changes[from].at <= bar;
    let is_short = lasts(one, six) && lasts(six, two) && cadence.dominant_at - cadence.at <= bar;
    let above = |it: Chord| (it.root.pitch_class() - tonic.pitch_class()).rem_euclid(12);
    let leads = chord(six).is_some_and(|it| match above(it) {
        9 => it.kind.family() != ChordFamily::Major,
        8 => !it.kind.has_minor_third(),
        3 => matches!(it.kind.family(), ChordFamily::Diminished | ChordFamily::Dominant),
        1 => it.kind.family() == ChordFamily::Diminished,
        _ => false,
    });
    let begins = chord(one).is_some_and(|it| match above(it) {
        0 => true,
        4 => it.kind.has_minor_third(),
        _ => false,
    });
    (is_short && leads && begins).then(|| tune.changes[one].at)
}
