//! The cover of a workbook.

use kurbo::{Point, Rect, Size};

use crate::book::error::{PageError, Whose};
use crate::book::plan::{COVER, DRILL_TITLE, DocumentPlan, in_drill};
use crate::book::sheet::header::{leading, lines};
use crate::book::sheet::ring::KeyRing;
use crate::canvas::board::{Board, RULE};
use crate::canvas::paper::MM;
use crate::canvas::{Ink, Kind, Mark, Page};
use crate::source::{DrillField, RecipeField};
use crate::theory::Key;
use crate::typeset::fit::{common_size, fit, paragraph};
use crate::typeset::line::{Phrase, Style};
use crate::typeset::{self, TextFace};

/// Largest picture, in points.
const LOGO: Size = Size::new(60.0 * MM, 24.0 * MM);
/// From the upper margin to the title where no picture stands above it.
const ABOVE_TITLE: f64 = 8.0 * MM;
/// White between picture and title.
const BELOW_LOGO: f64 = 10.0 * MM;
/// Widest lines of what the drill is.
const ABOUT_WIDTH: f64 = 140.0 * MM;
/// Most lines of what the drill is.
const MOST_ABOUT: usize = 5;
/// Most drills of a course in one column of its titles.
const MOST_IN_COLUMN: usize = 14;
/// Least width of the titles of two columns; one column does where they would be narrower.
const NARROWEST: f64 = 40.0 * MM;
/// From one of those titles to the next, in ems.
const DRILL_PITCH: f64 = 1.5;
/// Width of a drill's number, white after it and between columns, in points.
const NUMBER: f64 = 7.0 * MM;
const AFTER_NUMBER: f64 = 2.0 * MM;
const DRILL_GAP: f64 = 5.0 * MM;
/// Smallest type of a drill's title, in points.
const LEAST_TITLE: f64 = 7.5;
/// White between the two lines for names where they stand side by side, and from one to the
/// other where they stand one above the other.
const NAME_GAP: f64 = 10.0 * MM;
const NAME_PITCH: f64 = 22.0 * MM;
/// From what stands above it to the day, beyond a line, in ems.
const DATE_DOWN: f64 = 0.5;
/// Least white between the ring and words above or below it, or beside it.
const RING_AIR: f64 = 8.0 * MM;
const BESIDE_RING: f64 = 15.0 * MM;

/// Lays out the cover: on an upright page words, ring and names one below another, on a wide
/// one the ring at the right of what stands below the title.
pub(crate) fn lay_out(plan: &DocumentPlan<'_>) -> Result<Page, PageError> {
    let mut board = plan.board(COVER);
    let live = board.live;
    let across = plan.page.distances.cover_ring;
    if plan.is_wide() {
        let column = live.width() - across - BESIDE_RING;
        let Words { title_end, .. } = draw_words(&mut board, plan, column)?;
        draw_names(
            &mut board,
            plan,
            [NAME_PITCH, 0.0].map(|up| Point::new(live.x0, live.y0 + up)),
            column,
        )?;
        let room = Rect::new(live.x1 - across, live.y0, live.x1, title_end - RING_AIR);
        draw_ring(&mut board, plan, room);
    } else {
        let Words { end, .. } = draw_words(&mut board, plan, live.width())?;
        let half = (live.width() - NAME_GAP) / 2.0;
        let places = [live.x0, live.x0 + half + NAME_GAP].map(|left| Point::new(left, live.y0));
        let top = draw_names(&mut board, plan, places, half)?;
        // The middle of the page, but for room for binding.
        let aside = live.center().x - plan.page.live(plan.sheet()).center().x;
        let middle = plan.sheet().width / 2.0 + aside;
        let half = live.width() / 2.0;
        let room = Rect::new(middle - half, top + RING_AIR, middle + half, end - RING_AIR);
        draw_ring(&mut board, plan, room);
    }
    Ok(board.finish())
}

/// The baselines that would follow the title, and all words of the cover.
struct Words {
    title_end: f64,
    end: f64,
}

/// Picture, title and, no wider than `column`, what the drill is.
fn draw_words(board: &mut Board, plan: &DocumentPlan<'_>, column: f64) -> Result<Words, PageError> {
    let live = board.live;
    let sizes = &plan.page.sizes;
    let mut y = live.y1 - ABOVE_TITLE;
    if let Some(logo) = plan.logo {
        let size = logo.within(LOGO);
        let frame = Rect::from_origin_size((live.x0, live.y1 - size.height), size);
        board.begin_described(Kind::Figure, "the studio's picture");
        board.mark(Mark::Picture { index: logo.index, frame });
        y = frame.y0 - BELOW_LOGO;
    }
    let style = Style::new(TextFace::Bold, sizes.title);
    let (field, title) = &plan.title;
    let title = fit(*field, title, style, sizes.least_title, live.width(), 2)?;
    board.begin(Kind::Heading(1));
    y -= typeset::cap_height(style.face, title.style.size);
    // Each block begins a little more than its own line below the last baseline above it.
    let after = |next: f64, above: Style, below: Style| next + leading(above) - 2.3 * below.size;
    let mut above = title.style;
    y = lines(board, live.x0, y, &title);
    let title_end = y;
    if plan.options.is_course {
        let style = Style::new(TextFace::Regular, sizes.body);
        y = draw_drills(board, plan, after(y, above, style), (style, column))?;
        y = draw_date(board, plan, (y, column))?;
        return Ok(Words { title_end, end: y });
    }
    let width = ABOUT_WIDTH.min(column);
    let drill = plan.chapters[0].drill();
    if plan.options.title.is_some() {
        let style = Style::new(TextFace::Semibold, sizes.drill);
        let name = fit(DRILL_TITLE, &drill.title, style, sizes.body, width, 2)?;
        board.begin(Kind::Heading(2));
        y = lines(board, live.x0, after(y, above, name.style), &name);
        above = name.style;
    }
    if !drill.about.is_empty() {
        let style = Style::new(TextFace::Regular, sizes.drill - 1.5);
        let about = paragraph(
            Whose::Drill(DrillField::About),
            &drill.about,
            style,
            style.size,
            width,
            MOST_ABOUT,
        )?;
        board.begin(Kind::Paragraph);
        y = lines(board, live.x0, after(y, above, about.style), &about);
    }
    y = draw_date(board, plan, (y, column))?;
    Ok(Words { title_end, end: y })
}

/// The day, at a baseline and no wider than given, if it is told; returns where the words of the
/// cover end.
fn draw_date(
    board: &mut Board,
    plan: &DocumentPlan<'_>,
    (at, width): (f64, f64),
) -> Result<f64, PageError> {
    let Some(date) = &plan.options.date else { return Ok(at) };
    let style = Style::new(TextFace::Semibold, plan.page.sizes.body);
    let whose = Whose::Recipe(RecipeField::Date);
    let date = fit(whose, date, style, plan.page.sizes.least_header, width, 2)?;
    board.begin(Kind::Paragraph);
    Ok(lines(board, board.live.x0, at - DATE_DOWN * style.size, &date))
}

/// The titles of the drills of a course, in columns from a first baseline, all together no wider
/// than given; returns where they end.
fn draw_drills(
    board: &mut Board,
    plan: &DocumentPlan<'_>,
    first: f64,
    (style, width): (Style, f64),
) -> Result<f64, PageError> {
    let is_long = plan.chapters.len() > MOST_IN_COLUMN / 2;
    let titles: Vec<String> =
        plan.chapters.iter().map(|chapter| plan.listed_title(chapter)).collect();
    let set = |columns: usize| {
        let column = (width + DRILL_GAP) / columns as f64;
        let room = column - NUMBER - DRILL_GAP;
        let each = || titles.iter().map(String::as_str);
        let style = common_size(each(), style, LEAST_TITLE, room, 1);
        let fits = |title| Phrase::of(title, style).width() <= room;
        (columns, column, room, style, room >= NARROWEST && each().all(fits))
    };
    let two = Some(set(2)).filter(|(.., fits)| is_long && *fits);
    let (columns, column, room, style, _) = two.unwrap_or_else(|| set(1));
    let shown = plan.chapters.len().min(columns * MOST_IN_COLUMN);
    let rows = shown.div_ceil(columns);
    let pitch = DRILL_PITCH * style.size;
    let left_out = plan.chapters.len() - shown;
    for (place, chapter) in plan.chapters.iter().take(shown).enumerate() {
        let left = board.live.x0 + column * (place / rows) as f64;
        let y = first - pitch * (place % rows) as f64;
        board.begin(Kind::Paragraph);
        if left_out > 0 && place + 1 == shown {
            let words = format!("and {} more", left_out + 1);
            board.from(left + NUMBER, y, Phrase::of(&words, style));
            continue;
        }
        board.to(left + NUMBER - AFTER_NUMBER, y, Phrase::of(&chapter.number().to_string(), style));
        let words = &titles[chapter.index];
        let title = paragraph(DRILL_TITLE, words, style, style.size, room, 1)
            .map_err(|error| in_drill(error.into(), plan, chapter))?;
        lines(board, left + NUMBER, y, &title);
        let area = Rect::new(left, y - 0.4 * style.size, left + column - DRILL_GAP, y + style.size);
        board.link(area, chapter.start(), words.clone());
    }
    Ok(first - pitch * rows as f64)
}

/// Student and studio on a line each, whose label begins at the given place, to be filled in by
/// hand where they are not known; returns how high they reach.
fn draw_names(
    board: &mut Board,
    plan: &DocumentPlan<'_>,
    places: [Point; 2],
    width: f64,
) -> Result<f64, PageError> {
    let sizes = &plan.page.sizes;
    let label = Style::new(TextFace::Regular, sizes.note);
    let mut top = board.live.y0;
    let names = [
        (RecipeField::Student, "Student", &plan.options.student),
        (RecipeField::Studio, "Studio", &plan.options.studio),
    ];
    for ((field, title, name), place) in names.into_iter().zip(places) {
        let Point { x: left, y: baseline } = place;
        let rule = baseline + 1.3 * sizes.note;
        top = top.max(rule);
        board.begin(Kind::Paragraph);
        board.rule(left, left + width, rule, RULE, Ink::Black);
        board.from(left, baseline, Phrase::of(title, label));
        let Some(name) = name else { continue };
        let style = Style::new(TextFace::Semibold, sizes.drill + 2.0);
        let name = fit(Whose::Recipe(field), name, style, sizes.least_header, width, 2)?;
        let first = rule + 5.0 + leading(name.style) * (name.lines.len() - 1) as f64;
        lines(board, left, first, &name);
        top = top.max(first + name.style.size);
    }
    Ok(top)
}

/// The ring in the middle of its room, with a way to the page of each key.
fn draw_ring(board: &mut Board, plan: &DocumentPlan<'_>, room: Rect) {
    // It begins with the first key of the first drill.
    let chapter = &plan.chapters[0];
    let (all, here) = (plan.all_keys(), &plan.keys(chapter)[..1]);
    let keys: &[Key] = &all.iter().map(|(key, _)| *key).collect::<Vec<_>>();
    let across = plan.page.distances.cover_ring.min(room.width()).min(room.height());
    let (centre, radius) = (room.center(), across / 2.0);
    let ring = KeyRing { centre, radius, keys, here, next: Some(plan.next(chapter, 0).key) };
    board.begin_described(Kind::Figure, "the keys on their ring");
    ring.draw(board);
    for (key, page) in &all {
        let reach = ring.label_reach();
        let label = ring.label(key.place_in_round());
        let area = Rect::from_center_size(label, (2.0 * reach, 2.0 * reach));
        board.link(area, *page, key.words());
    }
    let figure = Style::new(TextFace::Bold, plan.page.sizes.title);
    let word = Style::new(TextFace::Regular, plan.page.sizes.drill);
    let cap = typeset::cap_height(figure.face, figure.size);
    let count = plan.counted_keys().len();
    let noun = if count == 1 { "key" } else { "keys" };
    board.about(centre.x, centre.y - 0.1 * cap, Phrase::of(&count.to_string(), figure));
    board.about(centre.x, centre.y - 0.1 * cap - 1.25 * word.size, Phrase::of(noun, word));
}
