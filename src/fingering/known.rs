//! Figures that were fingered before: what is struck alike, wherever it lies on the keys, has the
//! same ways. Each thread remembers some.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use super::grips::GripWay;
use super::hand::{Measure, lattice};
use super::line::Moment;
use super::rules::{OCTAVE, Rules};

/// Moments of the longest figure that is remembered.
const LONGEST: usize = 32;
/// Figures that a thread remembers before it forgets all of them: some times what a drill has in
/// twelve keys, in a megabyte or so.
const MOST: usize = 512;

/// The ways to finger a figure, and whether there are no others in which the thumb passes.
pub(super) type Ways = (Rc<[GripWay]>, bool);

thread_local! {
    static KNOWN: RefCell<BTreeMap<Box<[u8]>, Ways>> = const { RefCell::new(BTreeMap::new()) };
}

/// What `find` gives for moments of a figure, or gave for others that are struck alike.
/// `thumb_passes` tells two questions about one figure apart.
pub(super) fn known(
    rules: &Rules,
    moments: &[Moment],
    thumb_passes: bool,
    find: impl FnOnce() -> (Vec<GripWay>, bool),
) -> Ways {
    let found = |(ways, passes): (Vec<GripWay>, bool)| (Rc::from(ways), passes);
    if moments.len() > LONGEST {
        return found(find());
    }
    let shape = shape(rules, moments, thumb_passes);
    let before = KNOWN.with_borrow(|known| known.get(shape.as_slice()).cloned());
    before.unwrap_or_else(|| {
        let ways = found(find());
        KNOWN.with_borrow_mut(|known| {
            if known.len() == MOST {
                known.clear();
            }
            known.insert(shape.into_boxed_slice(), ways.clone());
        });
        ways
    })
}

/// All that the choice looks at: the keys by how far they lie from the first one, in semitones
/// and on the row, which tells their colours too; in millimetres, by their places in the octave.
fn shape(rules: &Rules, moments: &[Moment], thumb_passes: bool) -> Vec<u8> {
    let first = moments[0].levers()[0];
    let octave = match rules.measure {
        Measure::Millimetres => first.semitones.rem_euclid(OCTAVE) as u8,
        Measure::Semitones | Measure::Lattice => OCTAVE as u8,
    };
    let mut shape = Vec::with_capacity(5 + 10 * moments.len());
    shape.extend([rules.size as u8, rules.measure as u8, octave, u8::from(first.black)]);
    shape.push(u8::from(thumb_passes));
    for (place, moment) in moments.iter().enumerate() {
        // Before the first moment anything may be.
        shape.push(u8::from(moment.rest && place > 0));
        shape.extend([moment.fresh, moment.count as u8]);
        for (at, lever) in moment.levers().iter().enumerate() {
            let semitones = lever.semitones - first.semitones;
            let on_row = lattice(lever.semitones) - lattice(first.semitones);
            shape.extend(semitones.to_le_bytes());
            shape.extend([(on_row - semitones) as u8, moment.held[at], moment.fixed[at]]);
        }
    }
    shape
}
