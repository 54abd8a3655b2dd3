//! The charts that come with the program; all of them were made up for it.

macro_rules! charts {
    ($($name:literal),* $(,)?) => {
        [$(($name, include_str!(concat!("../../templates/charts/", $name, ".toml")))),*]
    };
}

/// Every chart, by its name, with its text.
const CHARTS: [(&str, &str); 10] = charts![
    "harbour-stairs",
    "copper-kettle",
    "slate-roof",
    "paper-carousel",
    "long-way-down",
    "three-windows",
    "low-tide",
    "letters-unsent",
    "garden-of-ana",
    "night-bus",
];

/// The charts that come with the program, each with its name and its text.
pub fn demos() -> impl Iterator<Item = (&'static str, &'static str)> {
    CHARTS.into_iter()
}
