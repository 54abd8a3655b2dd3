//! Numbers that can be chosen of a track.

/// The fewest and the most bars that are counted in.
pub(crate) const COUNT_IN: [usize; 2] = [0, 2];
/// How often a key is played.
pub(crate) const CHORUSES: [usize; 2] = [1, 999];
/// By how many beats a minute each time is faster than the one before.
pub(crate) const RISE: [usize; 2] = [0, 60];

/// A whole number within limits. Errors with what to write.
pub(crate) fn number(text: &str, what: &str, [least, most]: [usize; 2]) -> Result<usize, String> {
    let known = text.trim().parse().ok().filter(|number| (least..=most).contains(number));
    known.ok_or_else(|| format!("{what} is `{text}`; write a whole number from {least} to {most}"))
}
