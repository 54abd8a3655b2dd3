//! What a book's maker chose about it.

use crate::book::{DocumentForm, Packet, WriteIn};
use crate::canvas::Picture;
use crate::canvas::paper::{Binding, Orientation, Paper};
use crate::drill::Hands;
use crate::engrave::{Look, StaffSize};
use crate::theory::Key;

/// What a book's maker chose about it, apart from what is practised.
#[derive(Clone, Debug)]
pub struct BookOptions {
    /// Workbook or handout.
    pub form: DocumentForm,
    /// Title in place of the drill's own.
    pub title: Option<String>,
    /// Who practises.
    pub student: Option<String>,
    /// Who teaches.
    pub studio: Option<String>,
    /// The teacher's own words, on lines of their own.
    pub note: Option<String>,
    /// The day, as it is printed.
    pub date: Option<String>,
    /// The names of the tracks to play along to.
    pub tracks: Option<String>,
    /// The address of the folder where those are.
    pub tracks_at: Option<String>,
    /// Whether there are slips to be cut off and handed back.
    pub slip: bool,
    /// What is left out, to be written in.
    pub leave_out: Vec<WriteIn>,
    /// Whether each sheet is followed by the same one with everything on it.
    pub answers: bool,
    /// How many boxes a review has, `None` for as many as are usual, and what they are drawn by.
    pub boxes: Option<usize>,
    /// See [`BookOptions::boxes`].
    pub seed: u32,
    /// The studio's picture.
    pub picture: Option<Picture>,
    /// The paper.
    pub paper: Paper,
    /// Which side of it is up.
    pub orientation: Orientation,
    /// Where room is left for binding.
    pub binding: Binding,
    /// Whether pages are put together in pairs, to be folded.
    pub booklet: bool,
    /// The height of the staves; `None` leaves it to the page.
    pub staff: Option<StaffSize>,
    /// How many keys share a page at the most; `None` leaves it to the length of the drill.
    pub keys_a_page: Option<usize>,
    /// How many bars stand on a line; `None` leaves it to their width and to the phrases.
    pub bars: Option<usize>,
    /// How the music looks, what is left out of it apart.
    pub look: Look,
    /// Which hands play.
    pub hands: Hands,
    /// The look and the hands of each drill, in order; where it is short, those above.
    pub own: Vec<(Look, Hands)>,
    /// How many weeks the term has that a workbook has a plan of.
    pub term: Option<usize>,
    /// After how many sheets each there is a page of the practice log.
    pub log_every: Option<usize>,
    /// The keys that any drill has, in the order in which they are printed; at least one.
    pub keys: Vec<Key>,
    /// Whether the keys fall in fifths, so that the round says what comes after the last.
    pub in_round: bool,
    /// Whether the drills are a course, with what belongs to one, even if it is one alone.
    pub is_course: bool,
    /// What stands before the drills of a study packet: its charts and what they say.
    pub packet: Option<Packet>,
    /// What travels inside the document, so that it can be made again.
    pub carried: String,
}

impl BookOptions {
    /// The plainest handout in these keys.
    pub fn handout(keys: Vec<Key>) -> Self {
        Self {
            form: DocumentForm::Handout,
            title: None,
            student: None,
            studio: None,
            note: None,
            date: None,
            tracks: None,
            tracks_at: None,
            slip: false,
            leave_out: Vec::new(),
            answers: false,
            boxes: None,
            seed: 0,
            picture: None,
            paper: Paper::default(),
            orientation: Orientation::default(),
            binding: Binding::default(),
            booklet: false,
            staff: None,
            keys_a_page: None,
            bars: None,
            look: Look::default(),
            hands: Hands::default(),
            own: Vec::new(),
            term: None,
            log_every: None,
            keys,
            in_round: true,
            is_course: false,
            packet: None,
            carried: String::new(),
        }
    }
}
