//! The numbers of the engraver: what a music copyist would argue about, in one place.
//!
//! Unit: staff spaces ([`Sp`]) unless a name or comment says otherwise. Sources, by tag:
//!
//! - SMuFL: W3C Community Group Final Report "Standard Music Font Layout 1.4".
//! - MPA: Music Publishers' Association, *Standard Music Notation Practice*, 1966/1993.
//! - Gould: E. Gould, *Behind Bars*, 2011, p. 14 as quoted by others; other pages from memory.
//! - Ross: T. Ross, *The Art of Music Engraving and Processing*, 1970, from memory.
//! - Gourlay: J. S. Gourlay, "Spacing a line of music", Ohio State University, 1987, from memory.
//! - common: common practice, no source.
//! - ours: a choice of this project.

use crate::typeset::Wedge;

/// A length in staff spaces: the distance between the centres of neighbouring staff lines.
pub type Sp = f64;

// --- Lines -------------------------------------------------------------------------------

/// Staff line. Thin lines read better: 0.4 mm gave twice the reading errors of 0.1 mm
/// (Wilkins & Kiff, "On the clarity of the music stave", abstract). 0.19 mm at 7 mm staves.
pub const STAFF_LINE: Sp = 0.11;
/// Stem: no thicker than the staff line (Gould).
pub const STEM: Sp = 0.11;
/// Ledger line: somewhat thicker than the staff line (SMuFL).
pub const LEDGER_LINE: Sp = 0.15;
/// How far a ledger line reaches past the head on each side (common).
pub const LEDGER_REACH: Sp = 0.33;
/// Thin barline: thicker than the staff line (common).
pub const THIN_BARLINE: Sp = 0.18;
/// Thick barline of a final bar: as a beam (Ross).
pub const THICK_BARLINE: Sp = 0.5;
/// White between the two lines of a final bar (common).
pub const BARLINE_GAP: Sp = 0.45;
/// Dots of a repeat, across (common, 0.4 to 0.5).
pub const REPEAT_DOT: Sp = 0.45;
/// White between those dots and their line (common, 0.3 to 0.6).
pub const REPEAT_DOTS_TO_LINE: Sp = 0.4;
/// Beam (Gould; SMuFL).
pub const BEAM: Sp = 0.5;
/// Tie at its tips and in its middle (common).
pub const TIE_TIP: Sp = 0.08;
/// See [`TIE_TIP`].
pub const TIE_MIDDLE: Sp = 0.2;

// --- Heads, stems, dots ------------------------------------------------------------------

/// Stem: an octave, from the centre of the head (Gould p. 14).
pub const STEM_LENGTH: Sp = 3.5;
/// White between a flag and the heads it hangs over: its stem grows until there is as much
/// (ours).
pub const FLAG_TO_HEAD: Sp = 0.25;
/// The flag of an upward stem, from the centre of the head whose tie bows toward it (ours).
pub const FLAG_TO_TIE: Sp = 1.15;
/// Shortest stem from the innermost head to the beam's inner edge (Gould, Ross).
pub const SHORTEST_BEAMED_STEM: Sp = 2.5;
/// White between a head, or its flag, and its augmentation dot (common).
pub const DOT_GAP: Sp = 0.45;
/// From the centre of a head in a space to its staccato dot; 0.5 more from a line, so that the
/// dot stands in a space (Gould).
pub const STACCATO_DISTANCE: Sp = 1.0;
/// White between a fermata and the chord or staff that it belongs to (common).
pub const FERMATA_GAP: Sp = 1.0;

// --- Beams -------------------------------------------------------------------------------

/// Rise of a beam by the outer interval in steps, unison to octave (Gould, about; handbooks
/// differ by a quarter).
pub const BEAM_RISE: [Sp; 8] = [0.0, 0.25, 0.5, 0.75, 1.0, 1.0, 1.25, 1.5];
/// White between the two beams of sixteenths (Gould; SMuFL).
pub const BEAM_GAP: Sp = 0.25;
/// Shortest stem from the innermost head to the inner edge of the second beam: the two beams
/// grow into a stem of one octave (common, 2.0 at the least).
pub const SHORTEST_STEM_OF_TWO_BEAMS: Sp = 2.0;
/// Length of a partial beam (common, 1.0 to 1.25).
pub const PARTIAL_BEAM: Sp = 1.15;
/// Steepest slope: rise over run (ours, after Ross's shallow slants on short beams).
pub const BEAM_STEEPEST: f64 = 0.16;
/// Grid of beam positions outside the staff, and of rises (ours).
pub const BEAM_GRID: Sp = 0.25;

// --- Tuplets -----------------------------------------------------------------------------

/// White between a tuplet's figure and its beam, or other ink (common).
pub const TUPLET_TO_BEAM: Sp = 0.45;
/// White between the staff and a tuplet's figure or hooks, which never stand among its lines
/// (common).
pub const TUPLET_TO_STAFF: Sp = 0.5;
/// Thickness of a tuplet's bracket (common, 0.10 to 0.16).
pub const TUPLET_BRACKET: Sp = 0.12;
/// Length of the hooks of a bracket (common, 0.75 to 1.0).
pub const TUPLET_HOOK: Sp = 0.75;
/// White between the line of a bracket and the ink that it spans (common, 0.75 at the least).
pub const TUPLET_BRACKET_TO_INK: Sp = 0.8;
/// White between a hook and the ink that it points to (common).
pub const TUPLET_HOOK_TO_INK: Sp = 0.4;
/// White at either side of the figure in its bracket (common).
pub const TUPLET_GAP: Sp = 0.4;

// --- Accidentals -------------------------------------------------------------------------

/// From an accidental to its head (Gould; common).
pub const ACCIDENTAL_TO_HEAD: Sp = 0.25;
/// Between the outlines of two accidentals of a chord, and above and below the outline of any
/// (common).
pub const ACCIDENTAL_TO_ACCIDENTAL: Sp = 0.2;

// --- Clef, key, time ---------------------------------------------------------------------

/// Staff edge to clef (Gould, about 1).
pub const EDGE_TO_CLEF: Sp = 0.75;
/// Clef to key signature (Gould, Ross).
pub const CLEF_TO_KEY: Sp = 0.9;
/// Clef or key signature to time signature (common).
pub const KEY_TO_TIME: Sp = 0.9;
/// Time signature, key signature or clef to the sign of a repeat that begins with a system
/// (common).
pub const PREFIX_TO_REPEAT: Sp = 0.9;
/// Barline to the signature of a new key (common).
pub const BARLINE_TO_KEY: Sp = 0.8;
/// Signature of a new key to the first head (common).
pub const NEW_KEY_TO_NOTE: Sp = 1.7;
/// A signature that warns of a new key to the end of its system (common).
pub const KEY_TO_END: Sp = 0.5;
/// White between the signs of a key signature (Ross).
pub const KEY_SIGN_GAP: Sp = 0.08;
/// White between naturals that cancel one, whose stems stand side by side (common).
pub const CANCELLING_SIGN_GAP: Sp = 0.22;
/// Time signature to first head (Gould).
pub const TIME_TO_NOTE: Sp = 2.0;
/// Key signature, or clef, to first head where no time signature stands (common).
pub const KEY_TO_NOTE: Sp = 2.4;
/// A change of clef to the head or barline that follows (common).
pub const CLEF_CHANGE_AFTER: Sp = 0.6;
/// A change of clef from what stands before it (common).
pub const CLEF_CHANGE_BEFORE: Sp = 0.6;

// --- Spacing -----------------------------------------------------------------------------

/// Ideal space of the shortest note, an eighth: roomy, for students (ours; 2.5 in trade).
pub const EIGHTH_SPACE: Sp = 3.0;
/// Share of an eighth's space that half its duration keeps: notes shorter than the eighth follow
/// a geometric law, because the logarithm would leave a sixteenth too little (common, 0.67 to
/// 0.8).
pub const SPACE_SHRINKAGE: f64 = 0.75;
/// Growth of space with duration: W = E (1 + a log2(d/e)) (Gourlay; common).
pub const SPACE_GROWTH: f64 = 0.6;
/// White between the ink of neighbouring columns (common).
pub const COLUMN_GAP: Sp = 0.5;
/// White between words of neighbouring columns in one row (ours).
pub const WORD_GAP: Sp = 0.5;
/// White between neighbouring chord symbols (common, 1.0 to 1.5).
pub const SYMBOL_GAP: Sp = 1.15;
/// White between neighbouring numerals (common, 1.0 to 1.5).
pub const NUMERAL_GAP: Sp = 1.0;
/// Barline to the first head (Gould, Ross).
pub const BARLINE_TO_NOTE: Sp = 1.4;
/// Barline to an accidental of the first head (common).
pub const BARLINE_TO_ACCIDENTAL: Sp = 0.7;
/// The last column's ink to the barline (common).
pub const NOTE_TO_BARLINE: Sp = 1.0;
/// How much less than its ideal space the last column keeps from the barline (common).
pub const LESS_BEFORE_BARLINE: Sp = 0.5;
/// Extra air at the half bar, to show beat 3 to a learner (ours).
pub const HALF_BAR_AIR: Sp = 0.4;
/// Optical correction where an upward stem stands before a downward one: the two stems are
/// nearer than their heads (after Chlapik's principle, read in summary; the number ours).
pub const UP_BEFORE_DOWN: Sp = 0.35;
/// The same where a downward stem stands before an upward one.
pub const DOWN_BEFORE_UP: Sp = -0.25;
/// Shortest tie: spacing widens before a tie gets shorter (Gould).
pub const SHORTEST_TIE: Sp = 1.5;
/// A last system whose natural width is less than this share of the line is left short (common,
/// 70 to 75 %).
pub const SHORT_LAST: f64 = 0.72;
/// A system tighter than this share of its ideal spaces is not set.
pub const TIGHTEST: f64 = 0.72;

// --- Ties --------------------------------------------------------------------------------

/// From the edge of a head to the tip of its tie (Gould).
pub const TIE_TO_HEAD: Sp = 0.2;
/// Height of a tie's tips above the centre of its head, toward its bow (common).
pub const TIE_TIP_HEIGHT: Sp = 0.28;
/// Height of an arch by its length: base, growth and limits (ours, after Gould's shallow arch).
pub const TIE_ARCH: [f64; 4] = [0.30, 0.07, 0.42, 0.9];
/// White between the arches of two ties of a chord (common).
pub const TIE_TO_TIE: Sp = 0.25;
/// A tie that goes on over a system break ends so far before the barline (common).
pub const TIE_TO_BARLINE: Sp = 0.6;
/// A tie that comes in over a system break begins so far before its head (common).
pub const BROKEN_TIE: Sp = 2.0;
/// White between the prefix of a system and a tie that comes in (common).
pub const PREFIX_TO_TIE: Sp = 0.5;

// --- Rows --------------------------------------------------------------------------------

/// Least white between any row and the ink that it clears (ours).
pub const ROW_CLEARANCE: Sp = 0.6;
/// White between counts and the ink of the staves: more than elsewhere, so that no dot is read
/// as part of a count (ours).
pub const COUNT_CLEARANCE: Sp = 0.65;
/// White between numerals and what stands above them (common, 1.0 between bands).
pub const NUMERAL_CLEARANCE: Sp = 1.0;
/// White between symbols and the ink below them, so that none is read in one stack with a digit
/// (common, 1.0 between bands).
pub const SYMBOL_CLEARANCE: Sp = 0.9;
/// How far a symbol clears ink at either side of it, so that it is not read in one line with a
/// digit (ours).
pub const SYMBOL_SIDE: Sp = 2.6;
/// How far left of its column a symbol or numeral may begin where its system ends, so that it ends
/// with the staff: less than half an eighth's space, so that it stays nearest to its own column
/// (ours). What is missing beyond that is given to the spaces between.
pub const LEFT_OF_COLUMN: Sp = 1.4;
/// How far left of its column a symbol may begin so that it clears the next one and equal notes under
/// it keep equal spaces: over its own head still, and never left of its barline (ours).
pub const SYMBOL_LEFT: Sp = 1.0;
/// Em of chord symbols: capitals of 1.8 (common, 1.7 to 2.0).
pub const SYMBOL_SIZE: Sp = 2.75;
/// Lowest baseline of chord symbols above the middle line of the upper staff (common).
pub const SYMBOL_BASELINE: Sp = 4.2;
/// Em of numerals (common).
pub const NUMERAL_SIZE: Sp = 2.35;
/// Highest baseline of numerals below the middle line of the lower staff (common).
pub const NUMERAL_BASELINE: Sp = 5.2;
/// Em of counts (ours: about 9 points at 7 mm).
pub const COUNT_SIZE: Sp = 1.95;
/// The wedge that points to the hand that strikes, with the tail of a pushed stroke (ours).
pub const WEDGE: Wedge = Wedge { width: 0.93, height: 0.75, tail: 1.5, thickness: 0.24 };
/// White between a count and its wedges (ours).
pub const WEDGE_TO_COUNT: Sp = 0.3;
/// Distance of stacked digits, baseline to baseline: compact, so that a chord's four read as one
/// (ours).
pub const FINGER_LEADING: Sp = 1.28;
/// Size of finger digits beside that of the music face: 1.08 spaces high, 8 point type on staves of
/// 7 mm (ours; common 1.2 to 1.4 where they do not stand in stacks).
pub const FINGER_SCALE: f64 = 0.81;
/// Air at either side of a finger digit: ink nearer than that it stands above or below, so that
/// no sharp beside it is read with it (ours).
pub const FINGER_SIDE: Sp = 0.6;
/// White between the digits of a chord, or what hangs below the staff, and the numeral that stands
/// right of them (ours).
pub const NUMERAL_BESIDE: Sp = 0.9;
/// How far a numeral clears ink at either side of it, but for the digits that it stands beside, so
/// that it is not read in one line with a digit (ours).
pub const NUMERAL_SIDE: Sp = 2.0;
/// The same where it would else have to go below the digits of a chord beside it (ours).
pub const NUMERAL_LEAST_SIDE: Sp = 0.6;
/// White between a numeral and the digits of chords at either side, where it would else have to go
/// below them (ours).
pub const NUMERAL_NEAREST: Sp = 0.5;
/// How much two columns are widened at the most so that a numeral stands between their digits and not
/// below them (ours).
pub const NUMERAL_WIDENS: Sp = 0.6;
/// How far a numeral goes down beyond the level of its row to stand below a stem, under its own note:
/// where that asks for more it stands right of the stem (ours).
pub const NUMERAL_UNDER_STEM: Sp = 2.6;
/// How far the symbols or numerals of a bar are lifted beyond their need, squared, before that is as bad
/// as a row that changes its level once: eleven spaces for one bar, about five for each of four (ours,
/// by eye).
pub const ROW_LIFT: f64 = 120.0;
/// White between a finger digit and the ink that it clears (common).
pub const FINGER_GAP: Sp = 0.5;
/// Em of bar numbers (common).
pub const BAR_NUMBER_SIZE: Sp = 1.7;

/// Thickness of a rule to write a symbol or numeral on, and how far below their baseline it lies
/// (ours).
pub const BLANK_LINE: Sp = 0.12;
/// See [`BLANK_LINE`].
pub const BLANK_DOWN: Sp = 0.25;
/// How long such a rule is where nothing is in the way, and the least white after it (ours: a
/// symbol written by hand is wider than a printed one).
pub const BLANK_LENGTH: Sp = 6.0;
/// See [`BLANK_LENGTH`].
pub const BLANK_TO_NEXT: Sp = 0.9;

// --- Form --------------------------------------------------------------------------------

/// Thickness of the line over an ending (SMuFL names it; common, 0.14).
pub const ENDING_LINE: Sp = 0.14;
/// Length of the jog at either end of it (common, about 2).
pub const ENDING_JOG: Sp = 2.0;
/// Em of the number in it (ours).
pub const ENDING_SIZE: Sp = 2.1;
/// White between the line and its number (ours).
pub const ENDING_TO_WORDS: Sp = 0.45;
/// From the prefix to an ending that begins with a system, or goes on there (ours).
pub const ENDING_AFTER_PREFIX: Sp = 0.4;
/// How far before its barline an ending stops inside a system, so that the next one stands apart
/// (ours).
pub const ENDING_TO_ENDING: Sp = 0.55;
/// White between signs of form and what is below them (common, 1.0 between bands).
pub const FORM_CLEARANCE: Sp = 0.9;
/// How far a sign of form clears what is at either side of it (ours).
pub const FORM_SIDE: Sp = 0.6;
/// The same of a letter or title, so that it is not read in one line with a symbol or digits beside
/// it (ours).
pub const HEADING_SIDE: Sp = 2.6;
/// White between two signs of form in one row (ours).
pub const FORM_TO_FORM: Sp = 0.4;
/// White between words or letters in one row, so that `end here` and the box of the next section are
/// not read as one (ours).
pub const WORDS_TO_LETTER: Sp = 1.6;
/// Em of the letter of a section (ours).
pub const LETTER_SIZE: Sp = 2.7;
/// Outline of the box round it (common, 0.10 to 0.16).
pub const LETTER_BOX: Sp = 0.12;
/// White inside that box (common, 0.4 to 0.6).
pub const LETTER_PAD: Sp = 0.5;
/// White between that box and a title (ours).
pub const LETTER_TO_TITLE: Sp = 1.0;
/// Em of the title of a passage (ours).
pub const TITLE_SIZE: Sp = 2.6;
/// Thickness of the bracket over bars to watch: heavier than an ending's, which it is not (ours).
pub const WATCH_LINE: Sp = 0.24;
/// Length of the jog at either end of it (ours: half an ending's).
pub const WATCH_JOG: Sp = 1.0;
/// Em of the word in it (ours).
pub const WATCH_SIZE: Sp = 2.1;
/// White at either side of that word, and the least line beyond that, without which there is no
/// word (ours).
pub const WATCH_TO_WORD: Sp = 0.5;
/// See [`WATCH_TO_WORD`].
pub const WATCH_LEAST: Sp = 1.2;

// --- Octaves -----------------------------------------------------------------------------

/// Thickness of an octave line (SMuFL names it; common, 0.14).
pub const OCTAVE_LINE: Sp = 0.14;
/// Length of its dashes, and the least white between them (common).
pub const OCTAVE_DASH: Sp = 0.9;
/// See [`OCTAVE_DASH`].
pub const OCTAVE_DASH_GAP: Sp = 0.6;
/// Length of the hook at its end (common, 0.75 to 1.0).
pub const OCTAVE_HOOK: Sp = 1.0;
/// Em of its figure (ours).
pub const OCTAVE_SIZE: Sp = 2.3;
/// White between its figure and the first dash (ours).
pub const OCTAVE_TO_DASH: Sp = 0.45;
/// How far left of the first head its figure begins (ours).
pub const OCTAVE_BEFORE_HEAD: Sp = 0.3;
/// How far right of the last head it ends (ours).
pub const OCTAVE_AFTER_HEAD: Sp = 0.3;
/// White between a prefix and an octave line (ours).
pub const OCTAVE_AFTER_PREFIX: Sp = 0.5;
/// White between an octave line and the ink that it clears (common, 0.5 at the least).
pub const OCTAVE_CLEARANCE: Sp = 0.7;

// --- Staves ------------------------------------------------------------------------------

/// Least gap between the staves of a grand staff, inner line to inner line (Ross, Gould).
pub const LEAST_INNER_GAP: Sp = 7.0;
/// White between the brace and the line at the left of the system (common).
pub const BRACE_GAP: Sp = 0.35;
/// Least white between the ink of neighbouring systems (ours).
pub const SYSTEM_CLEARANCE: Sp = 3.0;
/// How much more white stands between two systems than anywhere inside one of them, and than
/// between a numeral and its own staff (ours).
pub const MORE_BETWEEN_SYSTEMS: Sp = 0.5;
/// How far the white between two systems may grow; what height is left over then stays at the
/// foot (ours; tables of engraving practice give up to 40 % of the distance of the staves).
pub const MOST_BETWEEN_SYSTEMS: Sp = 16.0;

/// White between the last system of a key and the heading of the next key on a page that keys
/// share, at the least (ours: a heading belongs to what stands below it).
pub const KEY_CLEARANCE: Sp = 3.2;
/// White between such a heading and its music (ours).
pub const HEADING_CLEARANCE: Sp = 0.9;
/// The most by which the white between systems grows there; that between keys grows twice as much
/// (ours).
pub const MOST_SPARE: Sp = 4.0;
