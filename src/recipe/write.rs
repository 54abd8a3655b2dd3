//! Writing recipes: TOML to be edited by hand, JSON to travel inside a PDF.

use std::fmt::Write as _;

use serde::Serialize;

use super::{Recipe, TEMPI};

impl Recipe {
    /// The recipe as JSON, to travel inside the sheet it made.
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self).expect("a recipe has nothing that JSON has not")
    }

    /// The recipe as a TOML file with comments, ready to be edited and fed back.
    pub fn to_toml(&self) -> String {
        let mut file = TomlFile::default();
        file.comment("A Quintfall recipe. Edit it, then make the sheet with");
        file.comment(&format!("quintfall {} THIS-FILE.toml", self.form.word()));
        file.field("quintfall", &self.quintfall);
        file.field("form", &self.form);
        file.gap("What stands on the sheet.");
        file.maybe("title", self.title.as_ref(), "\"Seventh chords\"");
        file.maybe("student", self.student.as_ref(), "\"Name\"");
        file.maybe("studio", self.studio.as_ref(), "\"Name of the studio\"");
        let carried = self.course.iter().any(|part| part.template.is_some());
        if carried {
            file.gap("The drills stand at the end of this file.");
        } else if self.is_course() {
            file.gap("Names of drills or paths of drill files; \"all\" is the whole library.");
            file.field("course", &self.course);
        } else {
            file.gap("The name of a drill or the path of a drill file. For several drills write");
            file.comment("course = [\"on-the-beat\", \"pushed\"] in its place.");
            file.field("drill", &self.drill);
        }
        file.gap("In the order in which they are printed, unless an order is given:");
        file.comment("falling-fifths, rising-fifths, chromatic, or shuffled from a seed.");
        file.field("keys", &self.keys);
        file.maybe("order", self.order.as_ref(), "\"shuffled\"");
        file.maybe("seed", self.seed.as_ref(), "1");
        file.gap("first-lesson, beginner, intermediate or advanced: it fills in tempo, symbols,");
        file.comment("counts, fingering and hands where they are left out.");
        file.maybe("level", self.level.as_ref(), "\"beginner\"");
        let tempi = format!("{} to {}", TEMPI.start(), TEMPI.end());
        file.gap(&format!(
            "Quarter notes a minute, {tempi}; the goal is no slower than the tempo."
        ));
        file.field("tempo", &self.tempo);
        file.maybe("goal", self.goal.as_ref(), "120");
        file.gap("swing or even; without it the drill decides.");
        file.maybe("feel", self.feel.as_ref(), "\"swing\"");
        file.gap("paper: a4, letter. symbols: letters, signs, mixed.");
        file.comment("counts: all, first-bar, none. fingering: all, first-bars, changes, none.");
        file.comment("hand: small, medium, large. hands: together, right, left.");
        file.comment("spans: semitones, millimetres, alternating.");
        file.field("paper", &self.paper);
        file.field("symbols", &self.symbols);
        file.field("counts", &self.counts);
        file.field("fingering", &self.fingering);
        file.field("hand", &self.hand);
        file.field("spans", &self.spans);
        file.field("hands", &self.hands);
        file.gap("orientation: portrait, landscape. binding: none, left, duplex.");
        file.comment("staff: millimetres, 6.5, 7.0, 7.5, 8.0 or 9.5; without it the page decides.");
        file.field("orientation", &self.orientation);
        file.maybe("staff", self.staff.as_ref(), "8.0");
        file.field("binding", &self.binding);
        file.field("booklet", &self.booklet);
        file.gap("The path of a PNG or JPEG picture.");
        file.maybe("logo", self.logo.as_ref(), "\"logo.png\"");
        if let Some(data) = &self.logo_data {
            file.gap(
                "The picture itself. While it stands here, the file named by logo is not read.",
            );
            file.field("logo_data", data);
        }
        if let Some(template) = &self.template {
            file.gap(
                "The drill itself. While it stands here, this is what is printed; take it out",
            );
            file.comment("to have the drill that is named above.");
            file.block("template", template);
        }
        if carried {
            file.gap(
                "The drills of the course. While a template stands here, it is what is printed;",
            );
            file.comment("take it out to have the drill that is named above it.");
            for part in &self.course {
                file.text.push_str("\n[[course]]\n");
                file.field("drill", &part.drill);
                if let Some(template) = &part.template {
                    file.block("template", template);
                }
            }
        }
        file.text
    }
}

/// A TOML file in the making.
#[derive(Default)]
struct TomlFile {
    text: String,
}

impl TomlFile {
    fn comment(&mut self, words: &str) {
        let _ = writeln!(self.text, "# {words}");
    }

    /// An empty line, then a comment.
    fn gap(&mut self, words: &str) {
        self.text.push('\n');
        self.comment(words);
    }

    fn field(&mut self, name: &str, value: &impl Serialize) {
        let value = toml::Value::try_from(value).expect("a field of a recipe is a TOML value");
        let _ = writeln!(self.text, "{name} = {value}");
    }

    /// A field, or an example of it in a comment.
    fn maybe(&mut self, name: &str, value: Option<&impl Serialize>, example: &str) {
        match value {
            Some(value) => self.field(name, value),
            None => self.comment(&format!("{name} = {example}")),
        }
    }

    /// A text of several lines, as it is where TOML allows that, so that it can be edited.
    fn block(&mut self, name: &str, text: &str) {
        let plain = |c: char| c == '\n' || c == '\t' || !c.is_control();
        if text.chars().all(plain) && !text.contains("'''") && !text.ends_with('\'') {
            let _ = writeln!(self.text, "{name} = '''\n{text}'''");
        } else {
            self.field(name, &text);
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::fingering::{HandSize, Measure};
    use crate::recipe::{
        Binding, Counts, CourseDrill, Feel, FingeringMarks, Form, Hands, KeyOrder, Level,
        Orientation, Paper, StaffSize,
    };
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

    /// One drill, or several.
    fn drills() -> impl Strategy<Value = Recipe> {
        let name = "[a-z/.\"' ]{1,12}";
        let one = (name, block()).prop_map(|(drill, template)| Recipe {
            drill,
            template,
            ..Recipe::default()
        });
        let part = (name, block()).prop_map(|(drill, template)| CourseDrill { drill, template });
        let several = proptest::collection::vec(part, 1..4).prop_map(|course| Recipe {
            drill: String::new(),
            course,
            ..Recipe::default()
        });
        prop_oneof![one, several]
    }

    fn words() -> impl Strategy<Value = Recipe> {
        let logo_data = proptest::option::of("[A-Za-z0-9+/]{4,40}");
        (line(), line(), line(), drills(), line(), logo_data).prop_map(
            |(title, student, studio, drills, logo, logo_data)| Recipe {
                title,
                student,
                studio,
                logo,
                logo_data,
                ..drills
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
        let form = prop_oneof![Just(Form::Workbook), Just(Form::Handout)];
        let feel = prop_oneof![Just(None), Just(Some(Feel::Swing)), Just(Some(Feel::Even))];
        let paper = prop_oneof![Just(Paper::A4), Just(Paper::Letter)];
        let symbols = prop_oneof![
            Just(SymbolStyle::Letters),
            Just(SymbolStyle::Signs),
            Just(SymbolStyle::Mixed)
        ];
        let staff =
            proptest::option::of(proptest::sample::select(StaffSize::all().collect::<Vec<_>>()));
        let orientation = prop_oneof![Just(Orientation::Portrait), Just(Orientation::Landscape)];
        let binding = prop_oneof![Just(Binding::None), Just(Binding::Left), Just(Binding::Duplex)];
        let layout = (staff, orientation, binding, proptest::bool::ANY);
        let tempi = (20_u16..=400, proptest::option::of(0_u16..100));
        (lessons(), keys(), tempi, form, feel, (paper, layout), symbols).prop_map(
            |(lesson, keys, (tempo, above), form, feel, (paper, layout), symbols)| {
                let (staff, orientation, binding, booklet) = layout;
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
                    binding,
                    booklet,
                    symbols,
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
