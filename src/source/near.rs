//! What was probably meant by a word that nobody knows.

/// Bytes of a word that may be a slip of the fingers.
const LONGEST: usize = 100;

/// How to mend a word that is not among the known ones.
pub(crate) fn advice(found: &str, known: &[&str]) -> String {
    match near(found, known).as_slice() {
        [] => format!("write one of {}", known.join(", ")),
        names => format!("did you mean {}?", either(names)),
    }
}

/// The same where something else may be written too.
pub(crate) fn advice_or(found: &str, known: &[&str], other: &str) -> String {
    match near(found, known).as_slice() {
        [] => format!("write one of {}, or {other}", known.join(", ")),
        names => format!("did you mean {}? Or {other}", either(names)),
    }
}

/// Names in words: `a`, `b` or `c`.
fn either(names: &[&str]) -> String {
    let names: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    match names.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, others)) => format!("{} or {last}", others.join(", ")),
        None => String::new(),
    }
}

/// The names that a word may have been meant for: those that it is a part of, as `rootless` is
/// of `rootless-a`, or else those that are as near as can be.
fn near<'a>(found: &str, known: &[&'a str]) -> Vec<&'a str> {
    if found.len() > LONGEST {
        return Vec::new();
    }
    let word = found.trim().to_lowercase();
    let is_part = |name: &str| {
        let name = format!("-{}-", name.to_lowercase());
        !word.is_empty() && name.contains(&format!("-{word}-"))
    };
    let whole: Vec<&str> = known.iter().copied().filter(|name| is_part(name)).collect();
    if !whole.is_empty() {
        return whole;
    }
    // Figures have no slips of the fingers: 7/4 is as far from 5/4 as from 3/4.
    if !word.contains(char::is_alphabetic) {
        return Vec::new();
    }
    let Some(best) = nearest(&word, known.iter().copied()) else { return Vec::new() };
    let as_near = |name: &&str| likeness(&word, name) >= likeness(&word, best);
    known.iter().copied().filter(as_near).collect()
}

/// The name nearest to `found`, if one is near enough to be a slip of the fingers.
pub fn nearest<'a>(found: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    /// Likeness below which a suggestion would puzzle more than help.
    const NEAR_ENOUGH: f64 = 0.75;
    if found.len() > LONGEST {
        return None;
    }
    known
        .map(|name| (likeness(found, name), name))
        .filter(|(likeness, _)| *likeness >= NEAR_ENOUGH)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, name)| name)
}

/// The name that a word was meant for, if no more than a letter or two differ: where a word of
/// somebody's own is as likely as a slip.
pub(crate) fn slip<'a>(found: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    /// Letters of a word in which two may be wrong, and not one alone.
    const LONG: usize = 6;
    if found.len() > LONGEST {
        return None;
    }
    let most = if found.chars().count() < LONG { 1 } else { 2 };
    known
        .map(|name| (strsim::osa_distance(found, name), name))
        .filter(|(distance, _)| *distance <= most)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

/// How much two words are alike in small letters, from 0 to 1 (Jaro-Winkler).
fn likeness(one: &str, other: &str) -> f64 {
    strsim::jaro_winkler(&one.to_lowercase(), &other.to_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn several_names_that_are_equally_near_are_all_named() {
        let known = ["major", "natural-minor", "harmonic-minor"];
        assert_eq!(advice("minor", &known), "did you mean `natural-minor` or `harmonic-minor`?");
        assert_eq!(advice("Major", &known), "did you mean `major`?");
        let known = ["drop-2", "drop-2-inverted"];
        assert_eq!(advice_or("drop2", &known, "write 1+5"), "did you mean `drop-2`? Or write 1+5");
        assert_eq!(advice_or("zz", &known, "3"), "write one of drop-2, drop-2-inverted, or 3");
        assert_eq!(advice("7/4", &["3/4", "5/4"]), "write one of 3/4, 5/4");
        assert_eq!(advice("", &["3/4", "5/4"]), "write one of 3/4, 5/4");
    }
}
