//! Laws that hold over the whole domain: every key, drill and choice.

mod engraving;
mod pages;
mod score;
mod shapes;
mod touching;

use quintfall::drill::{self, Choices, Template, library};
use quintfall::recipe::FingeringMarks;
use quintfall::score::Score;
use quintfall::theory::Key;

/// Every choice of fingers.
pub(crate) const FINGERINGS: [FingeringMarks; 3] =
    [FingeringMarks::All, FingeringMarks::Changes, FingeringMarks::None];

/// The drills of the library.
pub(crate) fn drills() -> Vec<Template> {
    let read = |(name, text)| Template::parse(text, name).expect("library drills are sound");
    library::all().map(read).collect()
}

/// A drill in a key.
pub(crate) fn realised(template: &Template, key: Key, fingering: FingeringMarks) -> Score {
    drill::realise(template, key, Choices { fingering, ..Choices::default() })
}

/// Calls `check` with every drill in every major key, with a name for messages.
pub(crate) fn for_every_score(fingering: FingeringMarks, mut check: impl FnMut(&str, &Score)) {
    for template in drills() {
        for key in Key::majors() {
            let name = format!("{} in {key}", template.name);
            check(&name, &realised(&template, key, fingering));
        }
    }
}
