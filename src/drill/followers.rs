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
