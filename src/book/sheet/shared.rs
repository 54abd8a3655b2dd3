//! Keys that share pages: how many to a page.

use super::header::{self, Header};
use super::measured::{Sheet, foot_of, room};
use kurbo::Size;

use crate::book::plan::Plan;
use crate::engrave::Layout;
use crate::engrave::shared::{SharedPage, SharedSet, Sharing};
use crate::parallel;
use crate::score::Score;
use crate::typeset::{self, TextFace};

/// How many steps smaller staves may be where nobody asked for a number of keys: half a millimetre.
const SMALLER: usize = 2;

/// The keys of a drill set on pages that they share, and how many stand on each; `None` where
/// each has pages of its own.
///
/// As many keys as were asked for. Where nobody asked, keys share where two of them stand on a page
/// with staves of the usual size and at their ease, which they do not where one fills half of it;
/// then as many as stand there on staves that are hardly smaller, evenly shared out.
pub(super) fn set(
    plan: &Plan<'_>,
    (header, rungs): (&Header, usize),
    (scores, sheets): (&[Score], &[Sheet]),
) -> Option<(usize, SharedSet)> {
    let wanted = plan.options.keys_a_page.unwrap_or(sheets.len()).min(sheets.len());
    if wanted < 2 {
        return None;
    }
    let page = |keys: usize| {
        let rooms = sheets.chunks(keys).map(|own| {
            let own: Vec<&Sheet> = own.iter().collect();
            room(plan, header, &foot_of(plan, &own, rungs), (0, 1))
        });
        // The header and the margins are the same on all pages.
        let room = rooms.min_by(|a, b| a.height.total_cmp(&b.height)).unwrap_or_default();
        SharedPage { keys, room, heading: heading(plan, sheets) }
    };
    if plan.options.keys_a_page.is_some() {
        let mut sharing = Sharing::new(layouts(plan, scores), plan.staves, plan.options.bars);
        return (2..=wanted).rev().find_map(|keys| Some((keys, sharing.best(page(keys))?)));
    }
    // Most drills are long: two keys alone tell that.
    let mut two = Sharing::new(layouts(plan, &scores[..2]), plan.staves, plan.options.bars);
    two.natural(page(2), 0)?;
    let mut sharing = Sharing::new(layouts(plan, scores), plan.staves, plan.options.bars);
    let most = (2..=wanted).rev().find(|keys| sharing.natural(page(*keys), SMALLER).is_some())?;
    let even = sheets.len().div_ceil(sheets.len().div_ceil(most));
    [even, most].into_iter().find_map(|keys| Some((keys, sharing.natural(page(keys), SMALLER)?)))
}

fn layouts<'a>(plan: &Plan<'_>, scores: &'a [Score]) -> Vec<Layout<'a>> {
    let look = plan.options.look;
    parallel::map(scores, |score| Layout::new(score, look))
}

/// The size of the headings of keys on pages that they share, in points: of the widest.
fn heading(plan: &Plan<'_>, sheets: &[Sheet]) -> Size {
    let widths = sheets.iter().map(|sheet| header::small(plan, sheet.key).width());
    Size::new(
        widths.fold(0.0, f64::max),
        typeset::cap_height(TextFace::Bold, plan.grown.sizes.body),
    )
}
