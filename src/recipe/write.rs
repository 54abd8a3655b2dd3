//! Writing recipes: TOML to be edited by hand, JSON to travel inside a PDF.

use std::fmt::Write as _;

use super::fields::row;
use super::{Recipe, StaffSize, TEMPI};
use crate::source::RecipeField as Field;

impl Recipe {
    /// The recipe as JSON, to travel inside the sheet it made.
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self).expect("a recipe has nothing that JSON has not")
    }

    /// The recipe as a TOML file with comments, ready to be edited and fed back.
    pub fn to_toml(&self) -> String {
        let mut file = TomlFile { recipe: self, text: String::new() };
        file.comment("A Quintfall recipe. Edit it, then make the sheet with");
        file.comment(&format!("quintfall {} THIS-FILE.toml", self.form.word()));
        file.fields(&[Field::Quintfall, Field::Form]);
        file.gap("What stands on the sheet.");
        file.fields(&[Field::Title, Field::Student, Field::Studio, Field::Date]);
        file.gap("A note of up to three lines; bars to watch; a slip to be handed back.");
        file.fields(&[Field::Note, Field::Watch, Field::Slip]);
        file.gap(
            "The names of the tracks that go with the sheet, and the address of their folder.",
        );
        file.fields(&[Field::Tracks, Field::TracksAt]);
        file.gap("What is left out, to be written in, and whether the answers follow:");
        file.comment(&format!("{}.", row(Field::LeaveOut).words().join(", ")));
        file.fields(&[Field::LeaveOut, Field::Answers]);
        file.gap("How many boxes a review has; the seed below draws what stands in them.");
        file.fields(&[Field::Boxes]);
        file.gap("After how many sheets there is a page of the practice log; the weeks of a term,");
        file.comment("of which a workbook then has a plan.");
        file.fields(&[Field::LogEvery, Field::Term]);
        let carried =
            self.course.iter().any(|part| part.template.is_some() || !part.own.is_empty());
        if carried {
            file.gap("The drills stand at the end of this file.");
        } else if self.is_course() {
            file.gap("Names of drills or paths of drill files; \"all\" is the whole library.");
            file.fields(&[Field::Course]);
        } else {
            file.gap("The name of a drill or the path of a drill file. For several drills write");
            file.comment("course = [\"on-the-beat\", \"pushed\"] in its place.");
            file.fields(&[Field::Drill]);
        }
        file.gap("In the order in which they are printed, unless an order is given:");
        file.comment("falling-fifths, rising-fifths, chromatic, or shuffled from a seed.");
        file.fields(&[Field::Keys, Field::Order, Field::Seed]);
        file.gap(&format!("{}: it fills in tempo, symbols,", either(row(Field::Level).words())));
        file.comment("counts, fingering and hands where they are left out.");
        file.fields(&[Field::Level]);
        let tempi = format!("{} to {}", TEMPI.start(), TEMPI.end());
        file.gap(&format!("Beats a minute, {tempi}; the goal is no slower than the tempo."));
        file.fields(&[Field::Tempo, Field::Goal]);
        let feels = either(row(Field::Feel).words());
        file.gap(&format!("{feels}; without it the drill decides."));
        file.fields(&[Field::Feel]);
        file.gap(&choices(&[Field::Paper, Field::Symbols]));
        file.comment(&choices(&[Field::Minor, Field::Major]));
        file.comment("(without them symbols decides)");
        file.comment(&choices(&[Field::Numerals]));
        file.comment(&choices(&[Field::Counts, Field::Fingering]));
        file.comment(&choices(&[Field::Hand, Field::Hands]));
        file.comment(&choices(&[Field::Spans]));
        file.fields(&[Field::Paper, Field::Symbols, Field::Minor, Field::Major]);
        file.fields(&[Field::Numerals, Field::Counts]);
        file.fields(&[Field::Fingering, Field::Hand, Field::Spans, Field::Hands]);
        file.gap(&choices(&[Field::Orientation, Field::Binding]));
        let sizes: Vec<String> = StaffSize::all().map(|size| size.to_string()).collect();
        let sizes = either(&sizes.iter().map(String::as_str).collect::<Vec<_>>());
        file.comment(&format!("staff: millimetres, {sizes}; without it the page decides."));
        file.comment("bars: how many stand on a line; without it lines end where phrases do.");
        file.comment(
            "keys-a-page: how many keys share a page; without it the drill's length decides.",
        );
        file.fields(&[
            Field::Orientation,
            Field::Staff,
            Field::Bars,
            Field::KeysAPage,
            Field::Binding,
            Field::Booklet,
        ]);
        file.gap("The path of a PNG or JPEG picture.");
        file.fields(&[Field::Logo]);
        if self.logo_data.is_some() {
            file.gap(
                "The picture itself. While it stands here, the file named by logo is not read.",
            );
            file.fields(&[Field::LogoData]);
        }
        if let Some(template) = &self.template {
            file.gap(
                "The drill itself. While it stands here, this is what is printed; take it out",
            );
            file.comment("to have the drill that is named above.");
            file.block(template);
        }
        if carried {
            file.drills();
        }
        file.text
    }
}

/// Words of which one is to be chosen.
fn either(words: &[&str]) -> String {
    match words.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, others)) => format!("{} or {last}", others.join(", ")),
        None => String::new(),
    }
}

/// What some fields may hold.
fn choices(fields: &[Field]) -> String {
    let each = fields.iter().map(|field| format!("{field}: {}.", row(*field).words().join(", ")));
    each.collect::<Vec<_>>().join(" ")
}

/// A TOML file in the making.
struct TomlFile<'a> {
    recipe: &'a Recipe,
    text: String,
}

impl TomlFile<'_> {
    fn comment(&mut self, words: &str) {
        let _ = writeln!(self.text, "# {words}");
    }

    /// An empty line, then a comment.
    fn gap(&mut self, words: &str) {
        self.text.push('\n');
        self.comment(words);
    }

    /// Fields, each with what the recipe has of it, or an example in a comment.
    fn fields(&mut self, fields: &[Field]) {
        for field in fields {
            let row = row(*field);
            match row.get(self.recipe) {
                Some(value) => self.line(*field, &value),
                None => self.comment(&format!("{field} = {}", row.example)),
            }
        }
    }

    fn line(&mut self, field: Field, value: &toml::Value) {
        let _ = writeln!(self.text, "{field} = {value}");
    }

    /// The drills of a course, each with its text.
    fn drills(&mut self) {
        self.gap("The drills of the course. While a template stands here, it is what is printed;");
        self.comment("take it out to have the drill that is named above it.");
        let recipe = self.recipe;
        for part in &recipe.course {
            self.text.push_str("\n[[course]]\n");
            self.line(Field::Drill, &toml::Value::String(part.drill.clone()));
            if let Ok(toml::Value::Table(own)) = toml::Value::try_from(&part.own) {
                for (name, value) in &own {
                    let _ = writeln!(self.text, "{name} = {value}");
                }
            }
            if let Some(template) = &part.template {
                self.block(template);
            }
        }
    }

    /// A text of several lines, as it is where TOML allows that, so that it can be edited.
    fn block(&mut self, text: &str) {
        let plain = |c: char| c == '\n' || c == '\t' || !c.is_control();
        if text.chars().all(plain) && !text.contains("'''") && !text.ends_with('\'') {
            let _ = writeln!(self.text, "{} = '''\n{text}'''", Field::Template);
        } else {
            self.line(Field::Template, &toml::Value::String(text.to_owned()));
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::fingering::{HandSize, Measure};
    use crate::recipe::fields::FIELDS;
    use crate::recipe::{
        Binding, Counts, CourseDrill, DocumentForm, Feel, FingeringMarks, Hands, KeyOrder, Level,
        Orientation, OwnSettings, Paper, StaffSize,
    };
    use crate::source::word::choice;
    use crate::theory::{AskedKey, Spelling, SymbolStyle, Tonality};

    fn keys() -> impl Strategy<Value = Vec<AskedKey>> {
        let spelling =
            prop_oneof![Just(Spelling::Customary), Just(Spelling::Sharps), Just(Spelling::Flats)];
        spelling.prop_flat_map(|spelling| {
            let said = |key: AskedKey, way| AskedKey::of(key.tonic(), way).unwrap_or(key);
            let keys = proptest::sample::subsequence(AskedKey::round(spelling).to_vec(), 1..=12);
            let ways =
                proptest::sample::select(vec![None, Some(Tonality::Major), Some(Tonality::Minor)]);
            let ways = proptest::collection::vec(ways, 12);
            (keys.prop_shuffle(), ways).prop_map(move |(keys, ways)| {
                let each = keys.into_iter().zip(ways);
                each.map(|(key, way)| way.map_or(key, |way| said(key, way))).collect()
            })
        })
    }

    fn line() -> impl Strategy<Value = Option<String>> {
        proptest::option::of("\\PC{0,40}")
    }

    fn block() -> impl Strategy<Value = Option<String>> {
        proptest::option::of("([\\PC\n\t'\"\\\\]|'''|\r|\u{1}){0,60}")
    }

    fn note() -> impl Strategy<Value = Option<String>> {
        proptest::option::of("\\PC{0,40}(\n\\PC{0,40}){0,2}")
    }

    /// One drill, or several.
    fn drills() -> impl Strategy<Value = Recipe> {
        let name = "[a-z/.\"' ]{1,12}";
        let one = (name, block()).prop_map(|(drill, template)| Recipe {
            drill,
            template,
            ..Recipe::default()
        });
        let own = proptest::option::weighted(
            0.5,
            (proptest::option::of(keys()), 20_u16..200, 0_u16..100, 0_usize..9),
        );
        let own = own.prop_map(|own| {
            let Some((keys, tempo, way, which)) = own else { return OwnSettings::default() };
            OwnSettings {
                keys: keys.unwrap_or_default(),
                level: (which % 3 == 1).then_some(Level::Beginner),
                tempo: (which != 4).then_some(tempo),
                goal: (which > 5).then_some(tempo + way),
                hands: (which % 2 == 1).then_some(Hands::Left),
            }
        });
        let part = (name, block(), own).prop_map(|(drill, template, own)| CourseDrill {
            drill,
            template,
            own,
        });
        let several = proptest::collection::vec(part, 1..4).prop_map(|course| Recipe {
            drill: String::new(),
            course,
            ..Recipe::default()
        });
        prop_oneof![one, several]
    }

    fn words() -> impl Strategy<Value = Recipe> {
        let logo_data = proptest::option::of("[A-Za-z0-9+/]{4,40}");
        let watch = proptest::collection::vec(1_u32..=128, 0..5);
        let own = (note(), line(), watch, proptest::bool::ANY);
        (line(), line(), line(), drills(), (line(), logo_data), own).prop_map(
            |(title, student, studio, drills, (logo, logo_data), (note, date, watch, slip))| {
                Recipe {
                    note,
                    date,
                    watch,
                    slip,
                    title,
                    student,
                    studio,
                    logo,
                    logo_data,
                    ..drills
                }
            },
        )
    }

    /// What a lesson asks for.
    fn lessons() -> impl Strategy<Value = Recipe> {
        let order = prop_oneof![
            Just((None, None)),
            Just((Some(KeyOrder::FallingFifths), None)),
            Just((Some(KeyOrder::RisingFifths), None)),
            Just((Some(KeyOrder::Chromatic), None)),
            Just((Some(KeyOrder::Shuffled), None)),
            (0_u32..=u32::MAX).prop_map(|seed| (Some(KeyOrder::Shuffled), Some(seed))),
        ];
        let level =
            prop_oneof![Just(None), Just(Some(Level::FirstLesson)), Just(Some(Level::Advanced))];
        let hand =
            prop_oneof![Just(HandSize::Small), Just(HandSize::Medium), Just(HandSize::Large)];
        let spans = (0..Measure::ALL.len()).prop_map(|index| Measure::ALL[index]);
        let hands = prop_oneof![Just(Hands::Together), Just(Hands::Right), Just(Hands::Left)];
        let counts = prop_oneof![Just(Counts::All), Just(Counts::FirstBar), Just(Counts::None)];
        let fingering = prop_oneof![
            Just(FingeringMarks::All),
            Just(FingeringMarks::FirstBars),
            Just(FingeringMarks::Changes),
            Just(FingeringMarks::None)
        ];
        (words(), order, level, hand, spans, hands, counts, fingering).prop_map(
            |(words, (order, seed), level, hand, spans, hands, counts, fingering)| Recipe {
                order,
                seed,
                level,
                hand,
                spans,
                hands,
                counts,
                fingering,
                ..words
            },
        )
    }

    fn recipes() -> impl Strategy<Value = Recipe> {
        let form = prop_oneof![Just(DocumentForm::Workbook), Just(DocumentForm::Handout)];
        let feel = prop_oneof![Just(None), Just(Some(Feel::Swing)), Just(Some(Feel::Even))];
        let paper = (0..Paper::ALL.len()).prop_map(|index| Paper::ALL[index]);
        let shared = proptest::option::of(1_u32..=12);
        let bars = proptest::option::of(1_u32..=16);
        let symbols = prop_oneof![
            Just(SymbolStyle::Letters),
            Just(SymbolStyle::Signs),
            Just(SymbolStyle::Mixed)
        ];
        let staff =
            proptest::option::of(proptest::sample::select(StaffSize::all().collect::<Vec<_>>()));
        let orientation = prop_oneof![Just(Orientation::Portrait), Just(Orientation::Landscape)];
        let binding = prop_oneof![Just(Binding::None), Just(Binding::Left), Just(Binding::Duplex)];
        let layout = (staff, (bars, shared), orientation, binding, proptest::bool::ANY);
        let tempi = (20_u16..=400, proptest::option::of(0_u16..100));
        let words = |of: &'static [&'static str]| proptest::sample::select(of);
        let minor = proptest::option::of(words(row(Field::Minor).words()));
        let major = proptest::option::of(words(row(Field::Major).words()));
        let numerals = words(row(Field::Numerals).words());
        let symbols = (symbols, minor, major, numerals);
        (lessons(), keys(), tempi, form, feel, (paper, layout), symbols).prop_map(
            |(lesson, keys, (tempo, above), form, feel, (paper, layout), symbols)| {
                let (symbols, minor, major, numerals) = symbols;
                let (staff, (bars, keys_a_page), orientation, binding, booklet) = layout;
                let goal = above.map(|above| (tempo + above).min(400));
                Recipe {
                    form,
                    keys,
                    tempo,
                    goal,
                    feel,
                    paper,
                    orientation,
                    staff,
                    bars,
                    keys_a_page,
                    binding,
                    booklet,
                    symbols,
                    minor: minor.and_then(choice),
                    major: major.and_then(choice),
                    numerals: choice(numerals).expect("one of its words"),
                    ..lesson
                }
            },
        )
    }

    proptest! {
        #[test]
        fn a_written_recipe_reads_back_the_same(recipe in recipes()) {
            if let Ok(recipe) = recipe.checked() {
                let toml = recipe.to_toml();
                prop_assert_eq!(Recipe::from_toml(&toml, "it"), Ok(recipe.clone()), "{}", toml);
                let json = Recipe::from_json(&recipe.to_json(), "it");
                match recipe.named_file() {
                    None => prop_assert_eq!(json, Ok(recipe)),
                    Some((_, path)) => {
                        let refusal = json.expect_err("a sheet opens no files").to_string();
                        prop_assert!(refusal.contains("without holding it"), "{path}: {refusal}");
                    }
                }
            }
        }
    }

    #[test]
    fn a_template_is_written_as_it_is_to_be_edited() {
        let template = "name = \"mine\"\n\n[[passage]]\n".to_owned();
        let recipe = Recipe { template: Some(template.clone()), ..Recipe::default() };
        assert!(recipe.to_toml().ends_with(&format!("template = '''\n{template}'''\n")));
    }

    /// So that whoever edits the file finds all that can be chosen.
    #[test]
    fn every_field_that_can_be_typed_is_in_the_written_file() {
        let toml = Recipe::default().to_toml();
        for row in FIELDS.iter().filter(|row| !row.help.is_empty()) {
            assert!(toml.contains(&format!("{} = ", row.field)), "{} in\n{toml}", row.field);
        }
    }

    #[test]
    fn fields_left_out_are_shown_as_examples() {
        let toml = Recipe::default().to_toml();
        for example in ["# student = ", "# goal = ", "# feel = ", "# logo = ", "# order = "] {
            assert!(toml.contains(example), "{example} in\n{toml}");
        }
        let uncommented: String = toml
            .lines()
            .map(|line| match line.strip_prefix("# ") {
                Some(field) if field.contains(" = ") && !field.starts_with("course") => {
                    format!("{field}\n")
                }
                _ => format!("{line}\n"),
            })
            .collect();
        let recipe = Recipe::from_toml(&uncommented, "it").unwrap();
        assert_eq!(recipe.goal, Some(120));
    }
}
