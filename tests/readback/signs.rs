//! Made-up scores with signs of every kind, printed and read back: every event as it sounds, every
//! barline, key, ending and heading.

use quintfall::engrave::{Look, engrave};
use quintfall::output;
use quintfall::recipe::{Counts, FingeringMarks, Recipe};
use quintfall::score::{Barline, Score};
use quintfall::theory::Key;

use crate::form::{self, Form};
use crate::ink;
use crate::music::{self, Sheet};
use crate::paged;
use crate::signed::{SIGNED, with_signs};
use crate::staff::systems;
use crate::{against, words, written};

/// Prints a score on `count` systems and reads it back; `None` where it does not fit.
fn check(score: &Score, count: usize, counts: Counts) -> Option<Result<Sheet, String>> {
    let look = Look { counts, ..Look::default() };
    let systems = engrave(score, &look, 100.8, count)?;
    let pdf = output::pdf(&paged::document(&systems)).expect("a sound document");
    let page = ink::pages(&pdf).remove(0);
    Some(read(&page, score, counts))
}

fn read(page: &ink::Ink, score: &Score, counts: Counts) -> Result<Sheet, String> {
    let (plain, form) = form::take(page, &systems(page, 0)?);
    let pages = [&plain];
    let mut sheet = music::read(&pages)?;
    form.sound(&mut sheet)?;
    let rows = words::rows(&pages, &sheet);
    let recipe = Recipe { counts, ..Recipe::default() };
    against::check(&sheet, &rows, score, &recipe)?;
    check_form(&form, &sheet, score)?;
    Ok(sheet)
}

/// Letters, titles and endings stand at their bars.
fn check_form(form: &Form, sheet: &Sheet, score: &Score) -> Result<(), String> {
    let mut letters = form.letters.clone();
    letters.sort_by(|a, b| b.1.y.total_cmp(&a.1.y).then(a.1.x.total_cmp(&b.1.x)));
    let found: Vec<(usize, String)> =
        letters.into_iter().map(|(letter, at)| (bar_at(sheet, at.x, at.y), letter)).collect();
    let letter = |(bar, heading): (&usize, &quintfall::score::Heading)| {
        Some((*bar, heading.letter.clone()?))
    };
    let mut wanted: Vec<(usize, String)> = score.signs.headings.iter().filter_map(letter).collect();
    wanted.sort();
    let mut sorted = found;
    sorted.sort();
    if sorted != wanted {
        return Err(format!("letters {sorted:?}, not {wanted:?}"));
    }
    let said: String = form.titles.iter().map(|(title, _)| title.as_str()).collect();
    for title in score.signs.headings.values().filter_map(|heading| heading.title.as_ref()) {
        let plain = |words: &str| words.replace([' ', '♭', '♮', '♯'], "");
        if !plain(&said).contains(&plain(title).chars().take(12).collect::<String>()) {
            return Err(format!("no title {title:?} among {said:?}"));
        }
    }
    for ending in &score.signs.endings {
        let own = form.endings.iter().filter(|bracket| bracket.words == ending.words());
        let begins = own.clone().find(|bracket| {
            let space = sheet.systems[0].upper.space;
            bar_at(sheet, bracket.ink.x0 + 0.6 * space, bracket.ink.y0) == ending.bars.start
        });
        let begins = begins.ok_or_else(|| format!("no bracket for {ending:?}"))?;
        if !begins.jogs[0] {
            return Err(format!("{ending:?} does not begin"));
        }
        // The last bracket of it is the one that closes.
        let ends = form.endings.iter().find(|bracket| {
            let space = sheet.systems[0].upper.space;
            bar_at(sheet, bracket.ink.x1 - 2.0 * space, bracket.ink.y0) + 1 == ending.bars.end
        });
        let ends = ends.ok_or_else(|| format!("no end of {ending:?}"))?;
        if ends.jogs[1] == ending.is_open {
            return Err(format!("{ending:?} ends with {:?}", ends.jogs));
        }
    }
    let numbered = form.endings.iter().filter(|bracket| !bracket.words.is_empty()).count();
    if numbered != score.signs.endings.len() {
        return Err(format!("{numbered} numbers of endings"));
    }
    Ok(())
}

/// The bar over which something stands: that of the nearest system below it.
fn bar_at(sheet: &Sheet, x: f64, y: f64) -> usize {
    let mut first = 0;
    let mut last = 0;
    for system in &sheet.systems {
        if system.upper.middle < y {
            let before = system.bar_ends.iter().filter(|end| **end <= x + 1.5 * system.upper.space);
            return first + before.count().min(system.bar_ends.len() - 1);
        }
        first += system.bar_ends.len();
        last = first;
    }
    last
}

#[test]
fn scores_with_signs_are_read_as_they_sound() {
    let drills = quintfall::drill::library::all().next().expect("a library");
    let template = quintfall::drill::Template::parse(drills.1, drills.0).expect("sound");
    let (mut sheets, mut barlines, mut keys) = (0, 0, 0);
    for (index, signed) in SIGNED.iter().enumerate() {
        for key in ["C", "F#", "Db", "A", "Bb"] {
            let key: Key = key.parse().expect("a key");
            let model = quintfall::drill::realise(&template, key, Default::default());
            let fingering = if index % 2 == 0 { FingeringMarks::All } else { FingeringMarks::None };
            let score = written::write(&signed.piece, key, fingering, &model);
            let score = with_signs(signed, score);
            for counts in [Counts::All, Counts::None] {
                let cuts =
                    (1..=score.bars.len()).filter_map(|it| Some((it, check(&score, it, counts)?)));
                for (count, found) in cuts.take(3) {
                    let sheet = found.unwrap_or_else(|what| {
                        panic!(
                            "{} in {key} on {count} systems, {counts:?}: {what}",
                            signed.piece.name
                        )
                    });
                    sheets += 1;
                    let ends = sheet.systems.iter().flat_map(|system| &system.barlines);
                    barlines += ends.filter(|kind| **kind != Barline::Single).count();
                    keys += sheet.keys.len();
                }
            }
        }
    }
    println!("{sheets} sheets, {barlines} barlines that say something, {keys} new keys");
    assert!(sheets > 200 && barlines > 500 && keys > 100, "{sheets}, {barlines}, {keys}");
}
