//! Page templates: TOML with the margins, sizes and distances of a sheet, read and judged.

use std::ops::RangeInclusive;
use std::sync::LazyLock;

use kurbo::{Rect, Size};
use serde::Deserialize;
use toml::Spanned;

use crate::canvas::paper::Paper;
use crate::canvas::paper::{self, MM};
use crate::engrave::BRACE_REACH;
use crate::source::{SourceError, from_toml};

/// The least height of staves that are chosen by readers who need large print, in points.
const LEAST_LARGE_STAFF: f64 = 8.0 * MM;

/// How the pages of a document are laid out. Every length is in points.
#[derive(Clone, Debug, PartialEq)]
pub struct PageTemplate {
    /// White at the edges.
    pub margins: Margins,
    /// Height of a staff, lowest line to highest.
    pub staff: f64,
    /// Height that the staves of a long drill may shrink to.
    pub least_staff: f64,
    /// Sizes of type.
    pub sizes: TypeSizes,
    /// Other distances.
    pub distances: Distances,
}

/// White at the edges, in points.
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(missing_docs, reason = "the sides name themselves")]
pub struct Margins {
    pub top: f64,
    pub bottom: f64,
    pub left: f64,
    pub right: f64,
}

/// Sizes of type, in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TypeSizes {
    /// The title on the cover.
    pub title: f64,
    /// What a long title may shrink to.
    pub least_title: f64,
    /// Headings of the pages without music.
    pub heading: f64,
    /// The key of a sheet.
    pub key: f64,
    /// The drill's name on a sheet.
    pub drill: f64,
    /// The tempo mark.
    pub tempo: f64,
    /// Running text.
    pub body: f64,
    /// Legends, the tempo ladder, tables.
    pub note: f64,
    /// Student and studio in a header.
    pub header: f64,
    /// What a long name may shrink to.
    pub least_header: f64,
    /// Page numbers.
    pub folio: f64,
}

/// Other distances, in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Distances {
    /// Across the ring of a sheet.
    pub ring: f64,
    /// Across the ring of the cover.
    pub cover_ring: f64,
    /// Width of the column of side heads.
    pub label_column: f64,
    /// From the header of a sheet to its tempo mark.
    pub after_header: f64,
    /// Least white above the foot of a sheet.
    pub before_foot: f64,
    /// Height of a picture in a header.
    pub logo_height: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct RawTemplate {
    margins: RawMargins,
    staff: RawStaff,
    r#type: RawTypes,
    distance: RawDistances,
}

type Number = Spanned<f64>;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawMargins {
    top: Number,
    bottom: Number,
    left: Number,
    right: Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawStaff {
    size: Number,
    least: Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct RawTypes {
    title: Number,
    least_title: Number,
    heading: Number,
    key: Number,
    drill: Number,
    tempo: Number,
    body: Number,
    note: Number,
    header: Number,
    least_header: Number,
    folio: Number,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
struct RawDistances {
    ring: Number,
    cover_ring: Number,
    label_column: Number,
    after_header: Number,
    before_foot: Number,
    logo_height: Number,
}

impl PageTemplate {
    /// The template that comes with the program for a sheet.
    pub fn of(paper: Paper) -> &'static Self {
        static A4: LazyLock<PageTemplate> =
            LazyLock::new(|| own(include_str!("../../templates/pages/a4.toml"), "a4.toml"));
        static LETTER: LazyLock<PageTemplate> =
            LazyLock::new(|| own(include_str!("../../templates/pages/letter.toml"), "letter.toml"));
        match paper {
            Paper::A4 => &A4,
            Paper::Letter => &LETTER,
        }
    }

    /// Reads and judges a template. `origin` names it in errors.
    pub fn parse(text: &str, origin: &str) -> Result<Self, SourceError> {
        let raw: RawTemplate = from_toml(text, origin)?;
        let judge = Judge { text, origin };
        let (sizes, distances) = (&raw.r#type, &raw.distance);
        let least_staff = judge.mm("least", &raw.staff.least, 5.0..=9.0)?;
        let staff = judge.mm("size", &raw.staff.size, (least_staff / MM)..=9.0)?;
        // The brace hangs out into the left margin.
        let brace = BRACE_REACH * staff / 4.0 / MM;
        let edge = paper::UNPRINTED / MM;
        let margin = |name, number, least| judge.mm(name, number, least..=40.0);
        let type_size = |name, number: &Number, least| judge.within(name, number, least..=72.0);
        let least_title = type_size("least-title", &sizes.least_title, 10.0)?;
        let least_header = type_size("least-header", &sizes.least_header, 7.0)?;
        Ok(Self {
            margins: Margins {
                top: margin("top", &raw.margins.top, edge)?,
                bottom: margin("bottom", &raw.margins.bottom, edge)?,
                left: margin("left", &raw.margins.left, edge + brace)?,
                right: margin("right", &raw.margins.right, edge)?,
            },
            staff,
            least_staff,
            sizes: TypeSizes {
                title: type_size("title", &sizes.title, least_title)?,
                least_title,
                heading: type_size("heading", &sizes.heading, 12.0)?,
                key: type_size("key", &sizes.key, 18.0)?,
                drill: type_size("drill", &sizes.drill, 10.0)?,
                tempo: type_size("tempo", &sizes.tempo, 10.0)?,
                body: type_size("body", &sizes.body, 10.0)?,
                note: type_size("note", &sizes.note, 9.0)?,
                header: type_size("header", &sizes.header, least_header)?,
                least_header,
                folio: type_size("folio", &sizes.folio, 7.0)?,
            },
            distances: Distances {
                ring: judge.mm("ring", &distances.ring, 24.0..=50.0)?,
                cover_ring: judge.mm("cover-ring", &distances.cover_ring, 60.0..=140.0)?,
                label_column: judge.mm("label-column", &distances.label_column, 25.0..=60.0)?,
                after_header: judge.mm("after-header", &distances.after_header, 2.0..=20.0)?,
                before_foot: judge.mm("before-foot", &distances.before_foot, 2.0..=20.0)?,
                logo_height: judge.mm("logo-height", &distances.logo_height, 5.0..=30.0)?,
            },
        })
    }

    /// How much larger than usual is what surrounds staves of a height: from the least large
    /// one up it grows with them.
    pub fn growth(&self, staff: f64) -> f64 {
        if staff >= LEAST_LARGE_STAFF - 1e-6 { (staff / self.staff).max(1.0) } else { 1.0 }
    }

    /// The same template with the type and the ring of a sheet, but for its key, grown.
    pub fn grown(&self, growth: f64) -> Self {
        let TypeSizes { drill, tempo, body, note, header, folio, .. } = self.sizes;
        let [drill, tempo, body, note, header, folio] =
            [drill, tempo, body, note, header, folio].map(|size| size * growth);
        Self {
            sizes: TypeSizes { drill, tempo, body, note, header, folio, ..self.sizes },
            distances: Distances { ring: self.distances.ring * growth, ..self.distances },
            ..self.clone()
        }
    }

    /// The part of a sheet inside the margins.
    pub fn live(&self, sheet: Size) -> Rect {
        let Margins { top, bottom, left, right } = self.margins;
        Rect::new(left, bottom, sheet.width - right, sheet.height - top)
    }
}

/// A template that is part of the program; that it reads is for the tests to say.
fn own(text: &str, origin: &str) -> PageTemplate {
    PageTemplate::parse(text, origin).unwrap_or_else(|error| panic!("{error}"))
}

/// Judges a template against its own text, so that errors know their line.
struct Judge<'a> {
    text: &'a str,
    origin: &'a str,
}

impl Judge<'_> {
    fn within(
        &self,
        field: &str,
        number: &Number,
        range: RangeInclusive<f64>,
    ) -> Result<f64, SourceError> {
        let value = *number.get_ref();
        if range.contains(&value) {
            return Ok(value);
        }
        let problem = format!("field `{field}` is {value}");
        let (least, most) = (round_up(*range.start()), *range.end());
        Err(SourceError::at(self.origin, self.text, Some(number.span()), problem)
            .mend(format!("write {least} to {most}")))
    }

    /// A length given in millimetres, in points.
    fn mm(
        &self,
        field: &str,
        number: &Number,
        range: RangeInclusive<f64>,
    ) -> Result<f64, SourceError> {
        self.within(field, number, range).map(|value| value * MM)
    }
}

/// A limit as a message gives it: to a tenth, and never one that would be refused.
fn round_up(limit: f64) -> f64 {
    libm::ceil(limit * 10.0 - 1e-6) / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::Orientation;

    const GOOD: &str = include_str!("../../templates/pages/a4.toml");

    #[track_caller]
    fn fails(change: (&str, &str), expected: &str) {
        let text = GOOD.replacen(change.0, change.1, 1);
        assert_ne!(text, GOOD, "the change must change something");
        assert_eq!(PageTemplate::parse(&text, "my.toml").unwrap_err().to_string(), expected);
    }

    #[test]
    fn both_sheets_have_their_template() {
        for paper in [Paper::A4, Paper::Letter] {
            let template = PageTemplate::of(paper);
            let live = template.live(paper::size(paper, Orientation::Portrait));
            assert!(live.width() > 170.0 * MM && live.height() > 240.0 * MM, "{paper:?}");
        }
    }

    #[test]
    fn the_sizes_of_type_fall_in_clear_steps() {
        for paper in [Paper::A4, Paper::Letter] {
            let s = PageTemplate::of(paper).sizes;
            for (large, small) in [(s.key, s.heading), (s.heading, s.drill), (s.drill, s.body)] {
                assert!(large >= 1.2 * small, "{large} beside {small}");
            }
        }
    }

    #[test]
    fn type_grows_with_large_staves_alone() {
        let template = PageTemplate::of(Paper::A4);
        for (mm, expected) in [(6.5, 1.0), (7.5, 1.0), (8.0, 8.0 / 7.0), (9.5, 9.5 / 7.0)] {
            let growth = template.growth(mm * MM);
            assert!((growth - expected).abs() < 1e-9, "{mm}: {growth}");
            let (own, grown) = (template.sizes, template.grown(growth).sizes);
            assert!((grown.note - growth * own.note).abs() < 1e-9);
            assert!((grown.folio - growth * own.folio).abs() < 1e-9);
            assert!(grown.key == own.key && grown.key > grown.drill);
        }
    }

    #[test]
    fn a_brace_in_the_unprinted_edge_is_refused() {
        fails(("left = 17", "left = 10"), "my.toml, line 6: field `left` is 10; write 10.7 to 40");
    }

    #[test]
    fn type_too_small_to_read_is_refused() {
        fails(("body = 11", "body = 6"), "my.toml, line 20: field `body` is 6; write 10 to 72");
        fails(("folio = 8.5", "folio = 5"), "my.toml, line 24: field `folio` is 5; write 7 to 72");
    }

    #[test]
    fn a_misspelled_field_is_refused() {
        fails(
            ("heading =", "headings ="),
            "my.toml, line 16: unknown field `headings`; did you mean `heading`?",
        );
    }
}
