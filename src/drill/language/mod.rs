//! The language of drills: the words of a template, each read and each with its meaning.

pub(crate) mod comping;
pub(crate) mod degree_words;
pub(crate) mod figure;
pub(crate) mod harmony;
pub(crate) mod judge;
pub(crate) mod spelling;
pub(crate) mod value;
pub(crate) mod voicing;
