//! Keys that share pages: how many to a page.

use std::ops::Range;

use kurbo::Size;

use super::header;
use crate::book::plan::DocumentPlan;
use crate::engrave::Layout;
use crate::engrave::shared::{SharedPage, SharedSet, Sharing};
use crate::score::Score;
use crate::typeset::{self, TextFace};

/// How many steps smaller staves may be where nobody asked for a number of keys: half a millimetre.
const SMALLER: usize = 2;

/// The keys of a drill set on pages that they share, and how many stand on each; `None` where
/// each has pages of its own. `layouts` are those of the scores.
///
/// As many keys as were asked for. Where nobody asked, keys share where two of them stand on a page
/// with staves of the usual size and at their ease, which they do not where one fills half of it;
/// then as many as stand there on staves that are hardly smaller, evenly shared out. `room` is what
/// a page has for the keys of a range.
pub(super) fn set(
    plan: &DocumentPlan<'_>,
    scores: &[Score],
    layouts: &[Layout<'_>],
    room: impl Fn(Range<usize>) -> Size,
) -> Option<(usize, SharedSet)> {
    let count = scores.len();
    let wanted = plan.options.keys_a_page.unwrap_or(count).min(count);
    if wanted < 2 {
        return None;
    }
    let page = |keys: usize| {
        let firsts = (0..count).step_by(keys);
        let rooms = firsts.map(|first| room(first..(first + keys).min(count)));
        // The header and the margins are the same on all pages.
        let room = rooms.min_by(|a, b| a.height.total_cmp(&b.height)).unwrap_or_default();
        SharedPage { keys, room, heading: heading(plan, scores) }
    };
    if plan.options.keys_a_page.is_some() {
        let mut sharing = Sharing::new(layouts, plan.staves, plan.options.bars);
        return (2..=wanted).rev().find_map(|keys| Some((keys, sharing.best(page(keys))?)));
    }
    // Most drills are long: two keys alone tell that.
    let mut two = Sharing::new(&layouts[..2], plan.staves, plan.options.bars);
    two.natural(page(2), 0)?;
    let mut sharing = Sharing::new(layouts, plan.staves, plan.options.bars);
    let most = (2..=wanted).rev().find(|keys| sharing.natural(page(*keys), SMALLER).is_some())?;
    let even = count.div_ceil(count.div_ceil(most));
    [even, most].into_iter().find_map(|keys| Some((keys, sharing.natural(page(keys), SMALLER)?)))
}

/// The size of the headings of keys on pages that they share, in points: of the widest.
fn heading(plan: &DocumentPlan<'_>, scores: &[Score]) -> Size {
    let widths = scores.iter().map(|score| header::small(plan, score.key).width());
    let height = typeset::cap_height(TextFace::Bold, plan.grown.sizes.body);
    Size::new(widths.fold(0.0, f64::max), height)
}
