//! The numbers of the model, each with its reason.
//!
//! The unit is about the price of one secondary dominant. The numbers were set by ear and by
//! handbook and are kept round: each may be halved or doubled with little effect on the whole, so
//! nothing is to be tuned to a tune. The rows of the readings have theirs beside them, in `table`.

/// Added to an applied dominant or a substitute whose goal does not come.
pub(super) const UNRESOLVED: f64 = 1.0;

/// Added to the cost of a dominant for its related ii: a little, since the pair is one gesture.
pub(super) const RELATED_TWO: f64 = 0.3;

/// Added to a related ii whose dominant does not resolve.
pub(super) const RELATED_UNRESOLVED: f64 = 0.6;

/// Added to an applied dominant for its tritone substitute.
pub(super) const SUBSTITUTE: f64 = 0.5;

/// What the ii of a substitute, the minor chord a fifth above it, costs at least and at most.
pub(super) const SUBSTITUTE_TWO: [f64; 2] = [1.0, 1.3];

/// Added where a plain triad stands for an applied dominant seventh: as V costs more than V7.
pub(super) const PLAIN_TRIAD: f64 = 0.4;

/// A dominant of a root outside the key that resolves into a further link of a chain.
pub(super) const LINK: f64 = 2.2;

/// A dominant of a root outside the key.
pub(super) const OUTSIDE: f64 = 3.2;

/// What no row explains.
pub(super) const UNEXPLAINED: f64 = 3.6;

/// Added where a tritone partner stands in the place of the goal.
pub(super) const REPLACED: f64 = 0.2;

/// Added where the goal comes after its own preparation.
pub(super) const DELAYED: f64 = 0.3;

/// Added where the goal is prepared again before it comes.
pub(super) const PREPARED_AGAIN: f64 = 0.4;

/// How many harmonies ahead a goal is looked for: the next but two of a chain, counted anew where
/// the goal is prepared again.
pub(super) const LOOK_AHEAD: usize = 4;

/// How many harmonies ahead a goal is looked for that is prepared again and again.
pub(super) const LOOK_AHEAD_IN_ALL: usize = 12;

/// The least and the most that a chord weighs; in between it is the square root of its share of a
/// bar. By its length alone one long vamp would drown the form.
pub(super) const WEIGHT: [f64; 2] = [0.6, 1.5];

/// A change of key. More than an applied dominant with its ii, less than a phrase that cadences
/// and stays: only this balance makes areas neither too short nor too long.
pub(super) const CHANGE: f64 = 3.2;

/// Added to a change for each sign by which the signatures differ: next to nothing, since tunes go
/// to IV, ♭VI and ♭III and by thirds as readily as to V.
pub(super) const CHANGE_PER_SIGN: f64 = 0.1;

/// Off a change to the relative or to the parallel key.
pub(super) const KINDRED: f64 = 0.9;

/// A change between a major key and the blues on its tonic, in all.
pub(super) const TO_BLUES: f64 = 1.5;

/// Off a change in the first bar of eight.
pub(super) const AT_EIGHT: f64 = 0.7;

/// Off a change in the first bar of four.
pub(super) const AT_FOUR: f64 = 0.4;

/// Off a change where a written section begins.
pub(super) const AT_SECTION: f64 = 0.7;

/// Off a change at a ii-V that then arrives on the new tonic; half where it does not arrive.
pub(super) const AT_CADENCE: f64 = 0.9;

/// Off a change at a V7 that goes at once to a restful tonic, once for the V7 and again for the
/// tonic: else a tune that moves by major thirds would stay in one key with chords left
/// unexplained.
pub(super) const AT_DOMINANT: f64 = 0.9;

/// No change costs less.
pub(super) const LEAST_CHANGE: f64 = 0.5;

/// Being away from home, a bar.
pub(super) const AWAY: f64 = 0.1;

/// A first chord that is not I of home.
pub(super) const FIRST_ELSEWHERE: f64 = 1.4;

/// The part of a change that a start in another key costs.
pub(super) const START_ELSEWHERE: f64 = 0.8;

/// The part of a change that an end in another key costs.
pub(super) const END_ELSEWHERE: f64 = 0.6;

/// A last chord that is the major tonic of a minor key.
pub(super) const END_MAJOR_IN_MINOR: f64 = 0.8;

/// A turnaround at the end, behind a cadence on home in the last bars.
pub(super) const END_TURNAROUND: f64 = 0.4;

/// In how many last bars that cadence must arrive.
pub(super) const TURNAROUND_BARS: f64 = 4.0;

/// A last chord that is a dominant of home; less where the form begins on I of home.
pub(super) const END_DOMINANT: [f64; 2] = [2.2, 1.2];

/// A last chord that is neither, with I of home among the last harmonies.
pub(super) const END_NEAR: f64 = 2.2;

/// How many harmonies count as the last.
pub(super) const NEAR_HARMONIES: usize = 5;

/// Any other end.
pub(super) const END_ELSE: f64 = 4.5;

/// A second reading is told where it costs no more than this above the first.
pub(super) const NEAR: f64 = 1.0;

/// A tune without cadence says no more than this about its home.
pub(super) const MODAL_MARGIN: f64 = 0.9;
