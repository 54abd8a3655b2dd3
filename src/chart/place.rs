//! Where a written change stands, as one finds it on the page.

use super::model::Chart;

/// A bar as one finds it on the page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BarPlace {
    /// The section; none where a tune has but one.
    pub section: Option<String>,
    /// The bar in it, counted from 1; 0 of a pick-up.
    pub bar: usize,
}

impl BarPlace {
    /// In words: the third bar of section B is `B 3`.
    pub fn words(&self) -> String {
        match (&self.section, self.bar) {
            (_, 0) => "pick-up".to_owned(),
            (None, bar) => format!("bar\u{a0}{bar}"),
            (Some(section), bar) => format!("{section}\u{a0}{bar}"),
        }
    }

    /// So many bars later.
    #[must_use]
    pub fn later(self, bars: usize) -> Self {
        Self { bar: self.bar + bars, ..self }
    }
}

impl Chart {
    /// Where each written change stands, by its place among all that are written.
    pub fn places(&self) -> Vec<BarPlace> {
        let mut places = vec![BarPlace { section: None, bar: 0 }; self.pick_up.len()];
        let is_one = self.sections.len() == 1;
        for section in &self.sections {
            let name = (!is_one).then(|| section.name.clone());
            for (index, bar) in section.bars.iter().enumerate() {
                let own = BarPlace { section: name.clone(), bar: index + 1 };
                places.extend(std::iter::repeat_n(own, bar.changes.len()));
            }
        }
        places
    }
}
