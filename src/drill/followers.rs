//! Which passage is heard after which, with repeats and endings played out.

use super::template::Passage;

/// The passages that are heard right after each, by index: with repeats and endings played out.
pub(super) fn followers(passages: &[Passage]) -> Vec<Vec<usize>> {
    let is_ending =
        |index: usize| passages.get(index).is_some_and(|passage| !passage.form.ending.is_empty());
    let start_of =
        |index: usize| (0..=index).rev().find(|it| passages[*it].form.begins_repeat()).unwrap_or(0);
    let of = |index: usize| {
        let mut next = Vec::new();
        let turns_back = match is_ending(index) {
            // From the last ending the music goes on.
            true => is_ending(index + 1),
            false => passages[index].form.ends_repeat(),
        };
        if turns_back {
            next.push(start_of(index));
        }
        let mut after = index + 1;
        if is_ending(index) {
            if turns_back {
                return next;
            }
        } else {
            while is_ending(after) {
                next.push(after);
                after += 1;
            }
            if after > index + 1 {
                return next;
            }
        }
        next.extend((after < passages.len()).then_some(after));
        next
    };
    (0..passages.len()).map(of).collect()
}

/// Whether the music comes to rest at the end of a passage: nothing is heard after it, there or elsewhere.
pub(super) fn comes_to_rest(passages: &[Passage], index: usize) -> bool {
    followers(passages)[index].is_empty() && passages[index].form.way_on.is_none()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::language::comping::Comping;
    use crate::drill::{Template, library};

    /// A bass that walks leads to one chord: where a drill of the library goes on in two ways, each has
    /// a bar of its own.
    #[test]
    fn a_walking_bass_knows_where_it_goes() {
        let mut met = 0;
        for (name, text) in library::all() {
            let template = Template::parse(text, name).unwrap();
            let followers = followers(&template.passages);
            for (passage, next) in template.passages.iter().zip(followers) {
                if passage.comping != Comping::Walking {
                    continue;
                }
                let first = |index: usize| {
                    let passage = &template.passages[index];
                    passage.degrees[0].chord(passage.home).map(|chord| chord.foot())
                };
                let mut goals: Vec<_> = next.into_iter().map(first).collect();
                goals.dedup();
                assert!(goals.len() < 2, "{name}: {goals:?}");
                met += 1;
            }
        }
        assert!(met > 0);
    }
}
