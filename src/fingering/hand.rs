//! What a hand reaches: spans between two fingers, by the size of the hand.

use serde::{Deserialize, Serialize};

/// The size of a hand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HandSize {
    /// An octave is the most it spans.
    Small,
    /// A ninth is the most it spans.
    #[default]
    Medium,
    /// A major tenth is the most it spans.
    Large,
}

impl HandSize {
    /// Every size, small to large.
    pub const ALL: [Self; 3] = [Self::Small, Self::Medium, Self::Large];
}

/// How the distance of two keys is measured when the ease of a span is judged.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Measure {
    /// In semitones, as Parncutt and others measured in 1997.
    #[default]
    Semitones,
    /// In millimetres between the middles of the keys, as Jacobs corrected in 2001.
    Millimetres,
    /// On a row of keys in which black and white alternate, as Balliauw and others measured in
    /// 2017: one more key is imagined between E and F, and one between B and C.
    #[serde(rename = "alternating")]
    Lattice,
}

impl Measure {
    /// Every measure.
    pub const ALL: [Self; 3] = [Self::Semitones, Self::Millimetres, Self::Lattice];

    /// How far `to` lies above `from`, both counted in semitones from some C, in the units of
    /// the tables: semitones, or keys of the row.
    pub(super) fn distance(self, from: i32, to: i32) -> i32 {
        match self {
            Self::Semitones => to - from,
            Self::Lattice => lattice(to) - lattice(from),
            Self::Millimetres => nearest(place_of(to) - place_of(from), SEMITONE),
        }
    }
}

/// The place of a key in the row in which black and white alternate.
pub(super) fn lattice(lever: i32) -> i32 {
    const PLACES: [i32; 12] = [0, 1, 2, 3, 4, 6, 7, 8, 9, 10, 11, 12];
    14 * lever.div_euclid(12) + PLACES[lever.rem_euclid(12) as usize]
}

/// Middles of the keys from that of C, in tenths of a millimetre. A span takes the class of the
/// semitones whose mean width is nearest.
///
/// Source: J. P. Jacobs, "Refinements to the ergonomic model for keyboard fingering", Music
/// Perception 18(4), 2001, known here through two summaries.
fn place_of(lever: i32) -> i32 {
    const PLACES: [i32; 12] = [0, 95, 235, 375, 470, 705, 785, 940, 1055, 1170, 1325, 1405];
    1640 * lever.div_euclid(12) + PLACES[lever.rem_euclid(12) as usize]
}

/// The mean width of a semitone, in tenths of a millimetre.
const SEMITONE: i32 = 137;

/// `length` in whole `unit`s, halves away from zero, so that up and down are alike.
fn nearest(length: i32, unit: i32) -> i32 {
    length.signum() * ((2 * length.abs() + unit) / (2 * unit))
}

/// The limits of the span between two fingers, seen from the lower-numbered finger in the
/// right hand; negative where the thumb has crossed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Spans {
    pub(super) min_practical: i32,
    pub(super) min_comfort: i32,
    pub(super) min_relaxed: i32,
    pub(super) max_relaxed: i32,
    pub(super) max_comfort: i32,
    pub(super) max_practical: i32,
}

impl Spans {
    /// Units by which a span is too wide or too narrow for the hand at all.
    pub(super) const fn beyond_practical(self, span: i32) -> i32 {
        outside(span, self.min_practical, self.max_practical)
    }

    /// Units by which a span is wider or narrower than is comfortable.
    pub(super) const fn beyond_comfort(self, span: i32) -> i32 {
        outside(span, self.min_comfort, self.max_comfort)
    }
}

const fn outside(span: i32, least: i32, most: i32) -> i32 {
    if span > most {
        span - most
    } else if span < least {
        least - span
    } else {
        0
    }
}

/// Rows by pair of fingers; columns MinPrac MinComf MinRel MaxRel MaxComf MaxPrac.
type Rows = [[i32; 6]; 10];

/// Spans in semitones.
///
/// Source: R. Parncutt, J. A. Sloboda, E. F. Clarke, M. Raekallio, P. Desain, "An ergonomic
/// model of keyboard fingering for melodic fragments", Music Perception 14(4), 1997, known
/// here through two transcriptions that agree (but for 1-5 MaxRel, printed 11 in another).
const SEMITONES: Rows = [
    [-5, -3, 1, 5, 8, 10],  // 1-2
    [-4, -2, 3, 7, 10, 12], // 1-3
    [-3, -1, 5, 9, 12, 14], // 1-4
    [-1, 1, 7, 10, 13, 15], // 1-5
    [1, 1, 1, 2, 3, 5],     // 2-3
    [1, 1, 3, 4, 5, 7],     // 2-4
    [2, 2, 5, 6, 8, 10],    // 2-5
    [1, 1, 1, 2, 2, 4],     // 3-4
    [1, 1, 3, 4, 5, 7],     // 3-5
    [1, 1, 1, 2, 3, 5],     // 4-5
];

/// Spans in keys of the alternating row, for a small, a medium and a large hand.
///
/// Source: M. Balliauw, D. Herremans, D. Palhazi Cuervo, K. Sörensen, "A variable neighborhood
/// search algorithm to generate piano fingerings for polyphonic sheet music", International
/// Transactions in Operational Research 24(3), 2017, known here at second hand.
const BY_SIZE: [Rows; 3] = [
    [
        [-7, -5, 1, 3, 8, 10],
        [-6, -4, 3, 6, 10, 12],
        [-4, -2, 5, 8, 11, 13],
        [-2, 0, 7, 10, 12, 14],
        [1, 1, 1, 2, 4, 6],
        [1, 1, 3, 4, 6, 8],
        [2, 2, 5, 6, 8, 10],
        [1, 1, 1, 2, 2, 4],
        [1, 1, 3, 4, 6, 8],
        [1, 1, 1, 2, 4, 6],
    ],
    [
        [-8, -6, 1, 5, 8, 10],
        [-7, -5, 3, 9, 12, 14],
        [-5, -3, 5, 11, 13, 15],
        [-2, 0, 7, 12, 14, 16],
        [1, 1, 1, 2, 5, 7],
        [1, 1, 3, 4, 6, 8],
        [2, 2, 5, 6, 10, 12],
        [1, 1, 1, 2, 2, 4],
        [1, 1, 3, 4, 6, 8],
        [1, 1, 1, 2, 4, 6],
    ],
    [
        [-10, -8, 1, 6, 9, 11],
        [-8, -6, 3, 9, 13, 15],
        [-6, -4, 5, 11, 14, 16],
        [-2, 0, 7, 12, 16, 18],
        [1, 1, 1, 2, 5, 7],
        [1, 1, 3, 4, 6, 8],
        [2, 2, 5, 6, 10, 12],
        [1, 1, 1, 2, 2, 4],
        [1, 1, 3, 4, 6, 8],
        [1, 1, 1, 2, 4, 6],
    ],
];

/// The row of two different fingers, the smaller number first.
const fn row(low: usize, high: usize) -> usize {
    match (low, high) {
        (1, _) => high - 2,
        (2, _) => high + 1,
        (3, _) => high + 3,
        _ => 9,
    }
}

const fn spans(columns: [i32; 6]) -> Spans {
    let [min_practical, min_comfort, min_relaxed, max_relaxed, max_comfort, max_practical] =
        columns;
    Spans { min_practical, min_comfort, min_relaxed, max_relaxed, max_comfort, max_practical }
}

/// What a hand of a size can do, in keys of the alternating row: the limits that hold whatever
/// measure judges the ease. The smaller finger comes first.
pub(super) const fn limits(size: HandSize, low: usize, high: usize) -> Spans {
    spans(BY_SIZE[size as usize][row(low, high)])
}

/// The spans by which ease is judged, in the units of `measure`; the smaller finger first.
///
/// In semitones and millimetres a medium hand has the table of 1997, and the others differ from
/// it as the small and the large hand of 2017 differ from the medium one (ours: neither paper
/// joins the two).
pub(super) const fn ease(size: HandSize, measure: Measure, low: usize, high: usize) -> Spans {
    let row = row(low, high);
    if matches!(measure, Measure::Lattice) {
        return spans(BY_SIZE[size as usize][row]);
    }
    let mut columns = SEMITONES[row];
    let mut column = 0;
    while column < columns.len() {
        columns[column] +=
            BY_SIZE[size as usize][row][column] - BY_SIZE[HandSize::Medium as usize][row][column];
        column += 1;
    }
    spans(columns)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_nest_for_every_pair_size_and_measure() {
        for size in HandSize::ALL {
            for measure in Measure::ALL {
                for low in 1..5 {
                    for high in low + 1..=5 {
                        for spans in [limits(size, low, high), ease(size, measure, low, high)] {
                            let rising = [
                                spans.min_practical,
                                spans.min_comfort,
                                spans.min_relaxed,
                                spans.max_relaxed,
                                spans.max_comfort,
                                spans.max_practical,
                            ];
                            assert!(rising.is_sorted(), "{size:?} {measure:?} {low}-{high}");
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn no_larger_hand_reaches_less() {
        for low in 1..5 {
            for high in low + 1..=5 {
                for pair in HandSize::ALL.windows(2) {
                    let [less, more] = [pair[0], pair[1]].map(|size| limits(size, low, high));
                    assert!(less.max_practical <= more.max_practical, "{low}-{high}");
                    assert!(less.min_practical >= more.min_practical, "{low}-{high}");
                }
            }
        }
    }

    #[test]
    fn every_measure_is_the_same_seen_in_a_mirror_about_d() {
        for measure in Measure::ALL {
            for from in 0..24 {
                for to in 0..24 {
                    let here = measure.distance(from, to);
                    assert_eq!(here, measure.distance(4 - to, 4 - from), "{measure:?} {from} {to}");
                }
            }
        }
    }

    #[test]
    fn an_octave_is_twelve_semitones_of_either_kind_and_fourteen_keys() {
        for lever in 0..12 {
            assert_eq!(Measure::Millimetres.distance(lever, lever + 12), 12);
            assert_eq!(Measure::Lattice.distance(lever, lever + 12), 14);
        }
    }
}
