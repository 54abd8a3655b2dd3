//! Ties: which heads go on from which, within a system, and over a line or a page.

use kurbo::{Point, Vec2};

use crate::music::{Column, Pitch};
use crate::reader::Reader;

/// How far a tie's tips stand beside the middle of their head, in spaces.
const TIP: f64 = 0.28;

/// A head: its column and its place in it.
type At = (usize, usize);

impl Reader {
    /// Joins ties to heads. Returns the steps of the heads that ties bring in from the system
    /// before.
    pub(crate) fn tie(&self, columns: &mut [Column]) -> Result<Vec<i32>, String> {
        let sounding: Vec<usize> =
            (0..columns.len()).filter(|index| !columns[*index].heads.is_empty()).collect();
        let (first, last) = (sounding.first().copied(), sounding.last().copied());
        let mut incoming = Vec::new();
        for tie in &self.part.ties {
            // A tie begins and ends on the side of its heads to which it bows.
            let aside = Vec2::new(0.0, if tie.up { -TIP } else { TIP } * self.staff.space);
            let (left, right) = (tie.left + aside, tie.right + aside);
            let from = self.head_before(columns, left);
            let to = self.head_after(columns, right);
            let stray = || Err(format!("a tie at x {:.1} meets no head", left.x));
            match (from, to) {
                (Some(a), Some(b)) => {
                    let (one, two) = (&columns[a.0], &columns[b.0]);
                    let steps = (one.heads[a.1].pitch.step, two.heads[b.1].pitch.step);
                    let follows = one.start + one.length == two.start;
                    if b.0 != a.0 + 1 || steps.0 != steps.1 || !follows {
                        return Err(format!("a tie joins two notes at x {:.1}", left.x));
                    }
                    mark(columns, Some(a), Some(b))?;
                }
                (Some(a), None) if Some(a.0) == last && a.0 + 1 == columns.len() => {
                    mark(columns, Some(a), None)?;
                }
                (None, Some(b)) if Some(b.0) == first && b.0 == 0 => {
                    incoming.push(columns[b.0].heads[b.1].pitch.step);
                    mark(columns, None, Some(b))?;
                }
                _ => return stray(),
            }
        }
        incoming.sort_unstable();
        Ok(incoming)
    }

    /// The head whose tie may begin at a point: left of it, with no column between.
    fn head_before(&self, columns: &[Column], tip: Point) -> Option<At> {
        let space = self.staff.space;
        let column = columns
            .iter()
            .rposition(|it| !it.heads.is_empty() && it.right <= tip.x + 0.05 * space)?;
        let head = nearest(&columns[column], tip, space)?;
        // A dot may stand between a head and its tie.
        (tip.x - columns[column].right < 1.8 * space).then_some((column, head))
    }

    /// The head whose tie may end at a point: right of it, with no column between.
    fn head_after(&self, columns: &[Column], tip: Point) -> Option<At> {
        let space = self.staff.space;
        let column =
            columns.iter().position(|it| !it.heads.is_empty() && it.x >= tip.x - 0.05 * space)?;
        let head = nearest(&columns[column], tip, space)?;
        // So may accidentals that a new system tells again, in up to three columns.
        let has_signs = columns[column].heads.iter().any(|head| head.sign.is_some());
        let most = if column == 0 && has_signs { 3.9 } else { 1.0 };
        (columns[column].x - tip.x < most * space).then_some((column, head))
    }
}

/// The head of a column nearest to a tip, if it is near.
fn nearest(column: &Column, tip: Point, space: f64) -> Option<usize> {
    let off = |head: usize| (column.heads[head].y - tip.y).abs();
    let best = (0..column.heads.len()).min_by(|a, b| off(*a).total_cmp(&off(*b)));
    best.filter(|head| off(*head) < 0.24 * space)
}

/// Marks the two ends of a tie; no head has two ties on one side.
fn mark(columns: &mut [Column], from: Option<At>, to: Option<At>) -> Result<(), String> {
    let mut twice = false;
    if let Some((column, head)) = from {
        twice |= std::mem::replace(&mut columns[column].heads[head].tied_out, true);
    }
    if let Some((column, head)) = to {
        twice |= std::mem::replace(&mut columns[column].heads[head].tied_in, true);
    }
    if twice { Err("two ties at one side of a head".to_owned()) } else { Ok(()) }
}

/// The pitches that heads tied out at the end of a system have.
pub(crate) fn leaving(columns: &[Column]) -> Vec<Pitch> {
    let last = columns.last().map_or(&[][..], |column| &column.heads[..]);
    let mut pitches: Vec<Pitch> =
        last.iter().filter(|head| head.tied_out).map(|head| head.pitch).collect();
    pitches.sort();
    pitches
}
