//! Page templates: TOML with the margins, sizes and distances of a sheet, read and judged.

use std::ops::RangeInclusive;
use std::sync::LazyLock;

use kurbo::{Rect, Size};
use toml::de::DeTable;

use crate::canvas::paper::{self, MM, Paper};
use crate::engrave::BRACE_REACH;
use crate::source::fields::{Fields, Mistakes, as_number};
use crate::source::{Complaint, PageField as Field, Place};

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

impl PageTemplate {
    /// The template that comes with the program for a sheet.
    pub fn of(paper: Paper) -> &'static Self {
        static A4: LazyLock<PageTemplate> =
            LazyLock::new(|| own(include_str!("../../templates/pages/a4.toml"), "a4.toml"));
        static LETTER: LazyLock<PageTemplate> =
            LazyLock::new(|| own(include_str!("../../templates/pages/letter.toml"), "letter.toml"));
        static A5: LazyLock<PageTemplate> =
            LazyLock::new(|| own(include_str!("../../templates/pages/a5.toml"), "a5.toml"));
        static HALF_LETTER: LazyLock<PageTemplate> = LazyLock::new(|| {
            own(include_str!("../../templates/pages/half-letter.toml"), "half-letter.toml")
        });
        match paper {
            Paper::A4 => &A4,
            Paper::Letter => &LETTER,
            Paper::A5 => &A5,
            Paper::HalfLetter => &HALF_LETTER,
        }
    }

    /// Reads and judges a template. `name` names it in errors; the first one is given.
    pub fn parse(text: &str, name: &str) -> Result<Self, Complaint> {
        let mut mistakes = Mistakes::of(name, text);
        let table = mistakes.table();
        let read = mistakes.is_empty().then(|| read(table.get_ref(), &mut mistakes)).flatten();
        match (read, mistakes.into_sorted().into_iter().next()) {
            (Some(template), None) => Ok(template),
            (_, Some(first)) => Err(first),
            (None, None) => Err(Complaint::new("it cannot be read").at(Place::of(name))),
        }
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

/// Reads a template. What is wrong with it is added to `mistakes`.
fn read(table: &DeTable<'_>, mistakes: &mut Mistakes<'_>) -> Option<PageTemplate> {
    let mut fields = Fields::of(table, 0..0);
    let margins = inner(&mut fields, Field::Margins, mistakes);
    let staves = inner(&mut fields, Field::Staff, mistakes);
    let sizes = inner(&mut fields, Field::Type, mistakes);
    let distances = inner(&mut fields, Field::Distance, mistakes);
    fields.finish(mistakes);
    let (mut margins, mut staves) = (Numbers { fields: margins? }, Numbers { fields: staves? });
    let (mut sizes, mut distances) = (Numbers { fields: sizes? }, Numbers { fields: distances? });
    // Every number is asked for before one that is missing ends the reading.
    let least_staff = staves.mm(Field::Least, 5.0..=9.0, mistakes);
    let least_size = least_staff.map_or(5.0, |least| least / MM);
    let staff = staves.mm(Field::Size, least_size..=9.0, mistakes);
    // The brace hangs out into the left margin.
    let brace = BRACE_REACH * staff.unwrap_or(0.0) / 4.0 / MM;
    let edge = paper::UNPRINTED / MM;
    let [top, bottom, left, right] = [
        (Field::Top, edge),
        (Field::Bottom, edge),
        (Field::Left, edge + brace),
        (Field::Right, edge),
    ]
    .map(|(field, least)| margins.mm(field, least..=40.0, mistakes));
    let mut size = |field, least: f64| sizes.within(field, least..=72.0, mistakes);
    let least_title = size(Field::LeastTitle, 10.0);
    let least_header = size(Field::LeastHeader, 7.0);
    let title = size(Field::Title, least_title.unwrap_or(0.0));
    let header = size(Field::Header, least_header.unwrap_or(0.0));
    let [heading, key, drill, tempo, body, note, folio] = [
        (Field::Heading, 12.0),
        (Field::Key, 18.0),
        (Field::Drill, 10.0),
        (Field::Tempo, 10.0),
        (Field::Body, 10.0),
        (Field::Note, 9.0),
        (Field::Folio, 7.0),
    ]
    .map(|(field, least)| size(field, least));
    let [ring, cover_ring, label_column, after_header, before_foot, logo_height] = [
        (Field::Ring, 24.0..=50.0),
        (Field::CoverRing, 60.0..=140.0),
        (Field::LabelColumn, 25.0..=60.0),
        (Field::AfterHeader, 2.0..=20.0),
        (Field::BeforeFoot, 2.0..=20.0),
        (Field::LogoHeight, 5.0..=30.0),
    ]
    .map(|(field, range)| distances.mm(field, range, mistakes));
    for numbers in [margins, staves, sizes, distances] {
        numbers.fields.finish(mistakes);
    }
    let [title, least_title, heading, key] = [title?, least_title?, heading?, key?];
    let [drill, tempo, body, note] = [drill?, tempo?, body?, note?];
    let [header, least_header, folio] = [header?, least_header?, folio?];
    Some(PageTemplate {
        margins: Margins { top: top?, bottom: bottom?, left: left?, right: right? },
        staff: staff?,
        least_staff: least_staff?,
        sizes: TypeSizes {
            title,
            least_title,
            heading,
            key,
            drill,
            tempo,
            body,
            note,
            header,
            least_header,
            folio,
        },
        distances: Distances {
            ring: ring?,
            cover_ring: cover_ring?,
            label_column: label_column?,
            after_header: after_header?,
            before_foot: before_foot?,
            logo_height: logo_height?,
        },
    })
}

/// The fields of a table that must be there.
fn inner<'a>(
    fields: &mut Fields<'a>,
    field: Field,
    mistakes: &mut Mistakes<'_>,
) -> Option<Fields<'a>> {
    let value = fields.value(field);
    let table = value.and_then(|value| Some(Fields::of(value.get_ref().as_table()?, value.span())));
    if table.is_none() {
        let span = value.map_or(fields.span(), |value| value.span());
        let problem = format!("the table `{}` is missing", field.name());
        mistakes.add(span, problem, format!("write [{}] above its fields", field.name()));
    }
    table
}

/// The numbers of a table.
struct Numbers<'a> {
    fields: Fields<'a>,
}

impl Numbers<'_> {
    /// A number that must be there.
    fn within(
        &mut self,
        field: Field,
        range: RangeInclusive<f64>,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<f64> {
        let (least, most) = (round_up(*range.start()), *range.end());
        let mend = format!("write {least} to {most}");
        let value = self.fields.required(field, &least.to_string())?;
        let number = *as_number(field, value, &mend, mistakes)?.get_ref();
        if !range.contains(&number) {
            mistakes.add(value.span(), format!("field `{}` is {number}", field.name()), mend);
            return None;
        }
        Some(number)
    }

    /// A length given in millimetres, in points.
    fn mm(
        &mut self,
        field: Field,
        range: RangeInclusive<f64>,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<f64> {
        self.within(field, range, mistakes).map(|value| value * MM)
    }
}

/// A limit as a message gives it: to a tenth, and never one that would be refused.
fn round_up(limit: f64) -> f64 {
    libm::ceil(limit * 10.0 - 1e-6) / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::canvas::paper::Orientation;

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
