//! What a hand reaches.

/// The spans between two fingers, in semitones, seen from the lower-numbered finger in the
/// right hand; negative where the thumb has crossed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spans {
    pub(super) min_comfort: i32,
    pub(super) min_relaxed: i32,
    pub(super) max_relaxed: i32,
    pub(super) max_comfort: i32,
    pub(super) max_practical: i32,
}

/// One row a pair of fingers: the pair, then MinComf MinRel MaxRel MaxComf MaxPrac.
///
/// Source: R. Parncutt, J. A. Sloboda, E. F. Clarke, M. Raekallio, P. Desain, "An ergonomic
/// model of keyboard fingering for melodic fragments", Music Perception 14(4), 1997, known
/// here through two transcriptions that agree (but for 1-5 MaxRel, printed 11 in another).
const SPANS: [((u8, u8), [i32; 5]); 10] = [
    ((1, 2), [-3, 1, 5, 8, 10]),
    ((1, 3), [-2, 3, 7, 10, 12]),
    ((1, 4), [-1, 5, 9, 12, 14]),
    ((1, 5), [1, 7, 10, 13, 15]),
    ((2, 3), [1, 1, 2, 3, 5]),
    ((2, 4), [1, 3, 4, 5, 7]),
    ((2, 5), [2, 5, 6, 8, 10]),
    ((3, 4), [1, 1, 2, 2, 4]),
    ((3, 5), [1, 3, 4, 5, 7]),
    ((4, 5), [1, 1, 2, 3, 5]),
];

/// The spans of two different fingers, the smaller number first.
pub(super) fn spans(low: u8, high: u8) -> Spans {
    let row = SPANS
        .iter()
        .find(|(pair, _)| *pair == (low, high))
        .map(|(_, row)| *row)
        .expect("two different fingers of one hand have a row");
    let [min_comfort, min_relaxed, max_relaxed, max_comfort, max_practical] = row;
    Spans { min_comfort, min_relaxed, max_relaxed, max_comfort, max_practical }
}
