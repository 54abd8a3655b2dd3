//! Where the tune goes on from the end of a section, in words, where the page does not show it: the
//! next section does not stand below, or the tune ends there the last time.

use super::model::Chart;

impl Chart {
    /// What is said at the end of a section, by its place among those that are written; nothing where
    /// the tune goes on to the section below, or ends with the last one.
    ///
    /// What a mark leads to the coda for is said there.
    pub fn way_on(&self, place: usize) -> Option<String> {
        if self.sections.len() < 2 {
            return None;
        }
        let section = self.sections.get(place)?;
        let is_marked = section.bars.iter().any(|bar| bar.to_coda);
        let stays = self.form.iter().enumerate().filter(|(_, own)| **own == place);
        let next = |(at, _): (usize, &usize)| self.form.get(at + 1).copied();
        let to_coda = |next: &Option<usize>| {
            let coda = next.and_then(|next| self.sections.get(next));
            is_marked && coda.is_some_and(|next| next.is_coda())
        };
        let mut ways: Vec<Option<usize>> = Vec::new();
        for way in stays.map(next).filter(|next| !to_coda(next)) {
            if !ways.contains(&way) {
                ways.push(way);
            }
        }
        let ends = ways.contains(&None);
        let on: Vec<usize> = ways.into_iter().flatten().collect();
        let name = |next: usize| self.sections[next].name.as_str();
        match (on.as_slice(), ends) {
            ([], true) if place + 1 == self.sections.len() => None,
            ([], true) => Some("end here".to_owned()),
            ([next], false) if *next == place + 1 => None,
            ([next], false) if *next <= place => Some(format!("back to {}", name(*next))),
            ([next], false) => Some(format!("on to {}", name(*next))),
            ([next], true) if *next < place => {
                Some(format!("back to {}; last time end here", name(*next)))
            }
            (_, true) => Some("last time end here".to_owned()),
            // The form over the chart says in which order.
            _ => None,
        }
    }

    /// Whether the page ends where the tune does: with the section that is written last.
    pub fn ends_below(&self, place: usize) -> bool {
        let is_last = place + 1 == self.sections.len();
        is_last && self.form.last() == Some(&place) && self.way_on(place).is_none()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ways(form: &str, names: &[&str]) -> Vec<Option<String>> {
        let section = |name: &&str| {
            let coda = if *name == "V" { " to-coda" } else { "" };
            format!("[[section]]\nname = \"{name}\"\nbars = \"| C{coda} | D |\"\n")
        };
        let sections: String = names.iter().map(section).collect();
        let head = format!("title = \"x\"\nmetre = \"4/4\"\nform = \"{form}\"\n");
        let chart = Chart::parse(&format!("{head}{sections}"), "x").unwrap();
        (0..names.len()).map(|place| chart.way_on(place)).collect()
    }

    #[test]
    fn where_a_section_leads_is_said_where_the_page_does_not_show_it() {
        let said = |words: &[&str]| -> Vec<Option<String>> {
            words.iter().map(|it| (!it.is_empty()).then(|| (*it).to_owned())).collect()
        };
        assert_eq!(ways("A B C", &["A", "B", "C"]), said(&["", "", ""]));
        assert_eq!(ways("A A B A", &["A", "B"]), said(&["last time end here", "back to A"]));
        assert_eq!(ways("A B A C", &["A", "B", "C"]), said(&["", "back to A", ""]));
        assert_eq!(ways("A C B", &["A", "B", "C"]), said(&["on to C", "end here", "back to B"]));
        assert_eq!(ways("A B A B", &["A", "B"]), said(&["", "back to A; last time end here"]));
        assert_eq!(ways("V B V Coda", &["V", "B", "Coda"]), said(&["", "back to V", ""]));
        assert_eq!(ways("A", &["A"]), said(&[""]));
    }
}
