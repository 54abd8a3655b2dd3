//! Several scores to a page: the keys of a short drill that share pages, all of them set alike.

use std::collections::BTreeMap;

use kurbo::Size;

use super::fill;
use super::rules::{self, Sp};
use super::set::{SMALLER, STAFF_STEP, Staves, TORN, rank, strain};
use super::{Cut, Layout, System, layout};

/// How much higher than guessed heights the true ones may be lower: a way that misses its room by
/// more is not drawn.
const MISJUDGED: f64 = 0.06;

/// A strain (see [`strain`]) that a line of a whole phrase may bear before keys would rather have
/// pages of their own.
const AT_EASE: f64 = 0.3;

/// A page that is to be shared.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SharedPage {
    /// How many scores stand on it.
    pub(crate) keys: usize,
    /// The room for them and their headings, in points.
    pub(crate) room: Size,
    /// The width and height of the heading over each, in points; the widest of them.
    pub(crate) heading: Size,
}

/// Scores set on shared pages.
pub(crate) struct SharedSet {
    /// The staff space in points.
    pub(crate) space: f64,
    /// The scores, in order.
    pub(crate) keys: Vec<SharedKey>,
}

/// One of them.
pub(crate) struct SharedKey {
    pub(crate) cut: Cut,
    pub(crate) systems: Vec<System>,
    /// How far below the top of the room the baseline of its heading stands, in staff spaces.
    pub(crate) heading: Sp,
    /// The same of the origins of its systems.
    pub(crate) origins: Vec<Sp>,
}

/// A score cut and drawn.
type DrawnScore = (Cut, Vec<System>);

/// Scores that may share pages.
pub(crate) struct Sharing<'a> {
    layouts: &'a [Layout<'a>],
    staves: Staves,
    /// How many bars a system is to have, where somebody asked.
    bars: Option<usize>,
    /// The cuts of every score, by how many steps smaller than the largest the staves are.
    cuts: BTreeMap<usize, Vec<Vec<Cut>>>,
    /// The scores drawn, by that number and by the number of systems of each; `None` where words
    /// would meet.
    drawn: BTreeMap<(usize, usize), Option<Vec<DrawnScore>>>,
}

/// A way to set all scores: on staves so many steps smaller, on so many systems each.
#[derive(Clone, Copy, Debug)]
struct SharedWay {
    trial: usize,
    count: usize,
    space: f64,
    cost: f64,
}

impl<'a> Sharing<'a> {
    /// Scores that have been measured, to be set on staves of these sizes.
    pub(crate) fn new(layouts: &'a [Layout<'a>], staves: Staves, bars: Option<usize>) -> Self {
        Self { layouts, staves, bars, cuts: BTreeMap::new(), drawn: BTreeMap::new() }
    }

    /// The scores set on the largest staves, or on ones so many steps smaller at the most, none
    /// of them crowded or torn; `None` where so many do not fit on a page.
    pub(crate) fn natural(&mut self, page: SharedPage, smaller: usize) -> Option<SharedSet> {
        let trials = 0..=smaller.min(self.steps());
        let mut ways: Vec<_> = trials.flat_map(|trial| self.ways(page, trial)).collect();
        ways.retain(|(_, strain)| *strain <= AT_EASE);
        self.first_that_fits(page, ways)
    }

    /// The scores set as well as can be, on smaller staves if need be; `None` where so many do
    /// not fit on a page.
    pub(crate) fn best(&mut self, page: SharedPage) -> Option<SharedSet> {
        let ways = (0..=self.steps()).flat_map(|trial| self.ways(page, trial)).collect();
        self.first_that_fits(page, ways)
    }

    /// How many steps smaller than the largest the staves may be.
    fn steps(&self) -> usize {
        ((self.staves.largest - self.staves.least) / STAFF_STEP + 1e-6).max(0.0) as usize
    }

    fn space(&self, trial: usize) -> f64 {
        (self.staves.largest - STAFF_STEP * trial as f64) / 4.0
    }

    /// The ways with staves of one size, with the strain of each, that may well fit.
    fn ways(&mut self, page: SharedPage, trial: usize) -> Vec<(SharedWay, f64)> {
        let space = self.space(trial);
        let smaller = SMALLER * libm::log(self.staves.largest / 4.0 / space);
        let layouts = self.layouts;
        let cuts = self.cuts.entry(trial).or_insert_with(|| {
            let all: Vec<&Layout<'_>> = layouts.iter().collect();
            let ways = layout::cuts_alike(&all, page.room.width / space, (usize::MAX, self.bars));
            let of = |key: usize| ways.iter().map(|cuts| cuts[key].clone()).collect();
            (0..layouts.len()).map(of).collect()
        });
        let guessed: Vec<_> = layouts.iter().map(Layout::guessed_heights).collect();
        let counts = cuts.iter().flatten().map(|cut| cut.systems.len());
        let most = counts.max().unwrap_or(0);
        let ways = (1..=most).filter_map(|count| {
            let own: Option<Vec<&Cut>> = cuts.iter().map(|cuts| on_systems(cuts, count)).collect();
            let own = own?;
            let strain = own.iter().map(|cut| strain((cut.tightest, cut.loosest)));
            let torn = own.first().map_or(0.0, |cut| cut.torn);
            let strain = strain.fold(0.0, f64::max);
            let heights: Vec<Sp> = own
                .iter()
                .zip(&guessed)
                .map(|(cut, guessed)| fill::least_height(&guessed.each(&cut.systems)))
                .collect();
            let room = page.room.height / space;
            let pages = heights.chunks(page.keys);
            let full = pages.map(|own| guessed_height(own) / room);
            let full = full.fold(0.0, f64::max);
            let cost = strain + smaller + TORN * torn + (1.0 - full).max(0.0);
            (full <= 1.0 + MISJUDGED).then_some((SharedWay { trial, count, space, cost }, strain))
        });
        ways.collect()
    }

    /// The best of some ways that does fit.
    fn first_that_fits(
        &mut self,
        page: SharedPage,
        mut ways: Vec<(SharedWay, f64)>,
    ) -> Option<SharedSet> {
        ways.sort_by(|(a, _), (b, _)| {
            rank(a.trial, a.cost).total_cmp(&rank(b.trial, b.cost)).then(a.count.cmp(&b.count))
        });
        ways.into_iter().find_map(|(way, _)| self.set(page, way))
    }

    /// The scores set in one way; `None` where they do not fit.
    fn set(&mut self, page: SharedPage, way: SharedWay) -> Option<SharedSet> {
        let (layouts, cuts) = (self.layouts, self.cuts.get(&way.trial)?);
        let drawn = self.drawn.entry((way.trial, way.count)).or_insert_with(|| {
            let draw = |(layout, cuts): (&Layout<'_>, &Vec<Cut>)| {
                let cut = on_systems(cuts, way.count)?;
                Some((cut.clone(), layout.draw(cut)?.0))
            };
            layouts.iter().zip(cuts).map(draw).collect()
        });
        let drawn = drawn.as_ref()?;
        let places = places(page, way.space, drawn)?;
        let key = |((cut, systems), (heading, origins)): (&DrawnScore, (Sp, Vec<Sp>))| SharedKey {
            cut: cut.clone(),
            systems: systems.clone(),
            heading,
            origins,
        };
        let keys = drawn.iter().zip(places).map(key).collect();
        Some(SharedSet { space: way.space, keys })
    }
}

/// The cut into so many systems.
fn on_systems(cuts: &[Cut], count: usize) -> Option<&Cut> {
    cuts.iter().find(|cut| cut.systems.len() == count)
}

/// What scores of these heights need on one page at the least, in staff spaces: their headings may
/// find room over their clefs.
fn guessed_height(heights: &[Sp]) -> Sp {
    let between = heights.len().saturating_sub(1) as Sp * rules::KEY_CLEARANCE;
    heights.iter().sum::<Sp>() + between
}

/// The least height of scores on one page, in staff spaces.
fn least_height(keys: &[Vec<InkReach>]) -> Sp {
    let between: Sp = keys.iter().rev().skip(1).map(|key| below(key)).sum();
    let within = |key: &Vec<InkReach>| {
        let inks: Sp = key.iter().map(|reach| reach.above + reach.below).sum();
        let gaps: Sp = key.windows(2).map(|pair| pair[0].apart.max(pair[1].apart)).sum();
        inks + gaps
    };
    keys.iter().map(within).sum::<Sp>() + between
}

/// The least white below a score that another one follows.
fn below(key: &[InkReach]) -> Sp {
    key.last().map_or(0.0, |last| last.apart).max(rules::KEY_CLEARANCE)
}

/// How far ink reaches above and below the origin of a system, and the least white beside it.
#[derive(Clone, Copy, Debug)]
struct InkReach {
    /// With the heading over it, where it has one.
    above: Sp,
    /// How far above the origin the baseline of that heading stands.
    heading: Sp,
    below: Sp,
    apart: Sp,
}

/// Where headings and systems stand; `None` where a page is higher than its room.
///
/// All pages are set alike: where every score has as many systems, each of them stands at one
/// height on all pages if the room allows it.
fn places(page: SharedPage, space: f64, drawn: &[DrawnScore]) -> Option<Vec<(Sp, Vec<Sp>)>> {
    let room = page.room.height / space;
    let own: Vec<Vec<InkReach>> =
        drawn.iter().map(|(_, systems)| reaches(page, space, systems)).collect();
    let alike = aligned(&own, page.keys);
    let fits =
        |keys: &[Vec<InkReach>]| keys.chunks(page.keys).all(|own| least_height(own) <= room + 1e-9);
    let keys = [alike, Some(own)].into_iter().flatten().find(|keys| fits(keys))?;
    // What is left of the fullest page is shared among its gaps, between keys twice as much.
    let spare = keys.chunks(page.keys).map(|own| {
        let left = room - least_height(own);
        let systems: usize = own.iter().map(Vec::len).sum();
        let gaps = systems - own.len() + 2 * (own.len() - 1);
        left / (gaps as f64 + ABOVE_FIRST + ABOVE_FOOT)
    });
    let spare = spare.fold(rules::MOST_SPARE, f64::min).max(0.0);
    let stand = |own: &[Vec<InkReach>]| {
        let mut at = ABOVE_FIRST * spare;
        let place = |key: &Vec<InkReach>| {
            let first = key.first().map_or(0.0, |first| first.above - first.heading);
            let baseline = at + first;
            let mut origins: Vec<Sp> = Vec::with_capacity(key.len());
            for (index, reach) in key.iter().enumerate() {
                if let Some(before) = index.checked_sub(1) {
                    at += key[before].apart.max(reach.apart) + spare;
                }
                origins.push(at + reach.above);
                at += reach.above + reach.below;
            }
            at += below(key) + 2.0 * spare;
            (baseline, origins)
        };
        own.iter().map(place).collect::<Vec<_>>()
    };
    Some(keys.chunks(page.keys).flat_map(stand).collect())
}

/// How much of what the gap between two systems gains is left above the first heading of a page,
/// and above its foot.
const ABOVE_FIRST: f64 = 1.2;
const ABOVE_FOOT: f64 = 0.6;

/// The reaches of a score's systems, with its heading over the first: over the clef and the
/// signature where it is short, else over the symbols too.
fn reaches(page: SharedPage, space: f64, systems: &[System]) -> Vec<InkReach> {
    let reach = |(index, system): (usize, &System)| {
        let (mut above, mut heading) = (system.top, system.top);
        if index == 0 {
            let right = page.heading.width / space + rules::HEADING_CLEARANCE;
            let under = system.marks.iter().map(|mark| mark.bounds());
            let under = under.filter(|ink| ink.x0 < right).map(|ink| ink.y1);
            heading = under.fold(2.0, Sp::max) + rules::HEADING_CLEARANCE;
            above = above.max(heading + page.heading.height / space);
        }
        InkReach { above, heading, below: -system.bottom, apart: system.apart }
    };
    systems.iter().enumerate().map(reach).collect()
}

/// The same with as much room for each system as the one at its place needs on any page; `None`
/// where not all scores have as many systems.
fn aligned(keys: &[Vec<InkReach>], each: usize) -> Option<Vec<Vec<InkReach>>> {
    let count = keys.first()?.len();
    if keys.iter().any(|key| key.len() != count) {
        return None;
    }
    let most = |place: usize, system: usize| {
        let same = keys.iter().skip(place).step_by(each).map(|key| key[system]);
        let none = InkReach { above: 0.0, heading: 0.0, below: 0.0, apart: 0.0 };
        same.fold(none, |most, reach| InkReach {
            above: most.above.max(reach.above),
            heading: most.heading.max(reach.heading),
            below: most.below.max(reach.below),
            apart: most.apart.max(reach.apart),
        })
    };
    let key = |index: usize| (0..count).map(|system| most(index % each, system)).collect();
    Some((0..keys.len()).map(key).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::{Choices, Template, realise};
    use crate::engrave::Look;
    use crate::score::Score;
    use crate::theory::Key;

    const FOUR: &str = r#"name = "four"
title = "Four bars"
about = ""
metre = "4/4"
feel = "even"
[[passage]]
progression = "ii-V-I"
beats = 4
figure = "1 3 5 7 9 7 5 3"
note = "eighth"
voicing = "guide-tones"
comping = "charleston"
"#;

    fn scores() -> Vec<Score> {
        let drill = Template::parse(FOUR, "four").unwrap();
        let keys = Key::round(crate::theory::Spelling::Customary).into_iter();
        keys.map(|key| realise(&drill, key, Choices::default())).collect()
    }

    fn layouts(scores: &[Score]) -> Vec<Layout<'_>> {
        scores.iter().map(|score| Layout::new(score, Look::default())).collect()
    }

    fn page(keys: usize) -> SharedPage {
        SharedPage { keys, room: Size::new(505.0, 600.0), heading: Size::new(45.0, 10.0) }
    }

    #[test]
    fn keys_stand_at_the_same_heights_on_all_pages() {
        let scores = scores();
        let layouts = layouts(&scores);
        let mut sharing = Sharing::new(&layouts, Staves { largest: 19.8, least: 17.0 }, None);
        for each in 2..=3 {
            let set = sharing.natural(page(each), 0).expect("short keys share a page");
            assert!((set.space - 19.8 / 4.0).abs() < 1e-9);
            for (index, key) in set.keys.iter().enumerate() {
                let first = &set.keys[index % each];
                assert_eq!((key.heading, &key.origins), (first.heading, &first.origins));
                assert_eq!(key.cut.systems.len(), first.cut.systems.len());
            }
        }
        assert!(sharing.best(page(12)).is_none());
    }

    #[test]
    fn keys_stand_further_apart_than_their_systems_and_within_the_room() {
        let scores = scores();
        let layouts = layouts(&scores);
        let mut sharing = Sharing::new(&layouts, Staves { largest: 19.8, least: 17.0 }, None);
        let narrow = SharedPage { room: Size::new(300.0, 700.0), ..page(2) };
        let set = sharing.best(narrow).expect("two keys on a page");
        let room = narrow.room.height / set.space;
        for own in set.keys.chunks(2) {
            let mut above: Option<Sp> = None;
            for key in own {
                assert!(key.systems.len() > 1);
                let mut white: Vec<Sp> = Vec::new();
                if let Some(end) = above {
                    white.push(key.heading - narrow.heading.height / set.space - end);
                }
                let right = narrow.heading.width / set.space;
                let under = key.systems[0].marks.iter().map(|mark| mark.bounds());
                let under = under.filter(|ink| ink.x0 < right).map(|ink| ink.y1);
                white.push(key.origins[0] - under.fold(2.0, Sp::max) - key.heading);
                let mut end = above.unwrap_or(0.0);
                for (system, origin) in key.systems.iter().zip(&key.origins) {
                    white.push(origin - system.top - end);
                    end = origin - system.bottom;
                }
                assert!(white.iter().all(|white| *white >= rules::HEADING_CLEARANCE - 1e-9));
                above = Some(end);
                assert!(end <= room + 1e-9, "{end} of {room}");
            }
        }
    }
}
