//! Drills over the changes of tunes, read back like those of the library.

use quintfall::chart::{Chart, analyse, demos};
use quintfall::drill::over::{OverTune, OverWay, cadences};
use quintfall::recipe::{AskedKey, DocumentForm, Paper, Recipe};
use quintfall::theory::Key;

use crate::book::keys;
use crate::papers::read_all;

/// How a key is asked for: a church mode by its tonic, since the tune has it.
fn asked(key: Key) -> String {
    let name = key.plain();
    let is_known = name.parse::<AskedKey>().is_ok();
    if is_known { name } else { key.tonic().plain() }
}

/// Every demo tune in every way, in its own key and in another, which goes round.
#[test]
fn what_is_played_over_a_tune_reads_back() {
    let mut recipes = Vec::new();
    let all: Vec<Key> = Key::majors().collect();
    for (index, (name, text)) in demos().enumerate() {
        let chart = Chart::parse(text, name).unwrap();
        let analysis = analyse(&chart.unfolded()).unwrap();
        let over = OverTune { chart: &chart, analysis: &analysis };
        let drills = OverWay::ALL.into_iter().flat_map(|way| over.drills(way));
        for (nth, drill) in drills.chain(cadences(&over, |_| true)).enumerate() {
            let home = over.home();
            let other = all[(5 * index + 2 * nth) % all.len()].in_mode(home.mode());
            let mut names = vec![asked(home)];
            if other.place_in_round() != home.place_in_round() {
                names.push(asked(other));
            }
            let names: Vec<&str> = names.iter().map(String::as_str).collect();
            recipes.push(Recipe {
                form: DocumentForm::Handout,
                drill: drill.name,
                template: Some(drill.text),
                keys: keys(&names),
                paper: if nth % 2 == 0 { Paper::A4 } else { Paper::Letter },
                ..Recipe::default()
            });
        }
    }
    let found = read_all(&recipes);
    assert!(recipes.len() > 70 && found.heads > 15_000, "{found:?}");
}
