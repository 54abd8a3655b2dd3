//! How the value of a field is usually written: what has to be known of it to say what was meant by
//! a line that cannot be read.

/// How a value is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sort {
    /// In quotation marks.
    Text,
    /// In figures.
    Whole,
    /// In figures, perhaps with a point.
    Number,
    /// As `true` or `false`.
    Flag,
    /// In square brackets.
    List,
    /// The same, of figures.
    Figures,
    /// The same, or under headings of double brackets.
    ListOrHeadings,
    /// Under headings of double brackets.
    Headings,
}

/// How the value of a field is written, with one that can stand there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Usual {
    pub(crate) sort: Sort,
    pub(crate) example: String,
}

impl Usual {
    pub(crate) fn of(sort: Sort, example: impl Into<String>) -> Self {
        Self { sort, example: example.into() }
    }

    /// Words in the place of a value as they were probably meant to be written.
    pub(crate) fn written(&self, words: &str) -> String {
        match self.sort {
            Sort::Text => quotes(words),
            Sort::Whole | Sort::Number => {
                let has_point = self.sort == Sort::Number;
                number(words, has_point).unwrap_or_else(|| self.example.clone())
            }
            Sort::Flag => yes_or_no(words).map_or(self.example.clone(), |flag| flag.to_string()),
            Sort::List | Sort::ListOrHeadings => list(words),
            Sort::Figures => {
                let items = words.split(|c: char| !c.is_ascii_digit());
                let items: Vec<String> = items.filter_map(|item| number(item, false)).collect();
                let is_list = !items.is_empty();
                if is_list { format!("[{}]", items.join(", ")) } else { self.example.clone() }
            }
            Sort::Headings => self.example.clone(),
        }
    }
}

/// What is known of a field by its name; nothing of one that is none.
pub(crate) type UsualOf = fn(&str) -> Option<Usual>;

/// Whether a word stands for yes or no.
pub(crate) fn yes_or_no(word: &str) -> Option<bool> {
    match word.trim_matches(['"', '\'']).to_lowercase().as_str() {
        "yes" | "on" | "true" => Some(true),
        "no" | "off" | "false" => Some(false),
        _ => None,
    }
}

/// The number that words begin with, without zeros that it does not need.
fn number(words: &str, has_point: bool) -> Option<String> {
    let is_part = |c: &char| c.is_ascii_digit() || has_point && matches!(c, '.' | ',');
    let figures: String =
        words.trim_start_matches(['"', '\'']).chars().take_while(is_part).collect();
    let figures = figures.replace(',', ".");
    let figures = figures.trim_end_matches('.').trim_start_matches('0');
    let figures = if figures.starts_with('.') { format!("0{figures}") } else { figures.to_owned() };
    figures.parse::<f64>().is_ok().then_some(figures)
}

/// A text as TOML holds it, whatever is in it.
pub(crate) fn text(words: &str) -> String {
    toml::Value::String(words.to_owned()).to_string()
}

/// Words as the items of a list.
pub(crate) fn list(words: &str) -> String {
    let items = words.trim_matches(['[', ']', '(', ')', '{', '}', ' ']);
    let items: Vec<String> =
        items.split([',', ' ']).filter(|item| !item.is_empty()).map(quoted).collect();
    format!("[{}]", items.join(", "))
}

/// Words in quotation marks, which they may have already, unless they can stand without.
pub(crate) fn quoted(words: &str) -> String {
    let is_number = !words.is_empty() && words.bytes().all(|byte| byte.is_ascii_digit());
    let is_ready =
        is_number || words.starts_with(['"', '[']) || words == "true" || words == "false";
    if is_ready { words.to_owned() } else { quotes(words) }
}

fn quotes(words: &str) -> String {
    format!("\"{}\"", words.trim_matches(['"', '\'', '`', '\u{b4}']))
}
