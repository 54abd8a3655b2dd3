//! Making the sheets of a class: a few at a time on all processors, into a spool, and from there to
//! their places once all of them are good.

use std::collections::BTreeSet;
use std::io::{self, BufWriter};
use std::ops::Range;
use std::path::{Path, PathBuf};

use super::entry::MOST_MISTAKES;
use super::plan::{Class, PlannedSheet, add, folder, told};
use crate::book::{Overview, OverviewRow};
use crate::canvas::About;
use crate::canvas::paper::Paper;
use crate::desk::Answer;
use crate::desk::commission::{Ready, counted};
use crate::desk::errand::Origin;
use crate::desk::place::{PlaceError, Put, Spots, Taken, begin_in};
use crate::desk::spool::{Spool, Spooled};
use crate::desk::{day, naming};
use crate::output::{self, Stack, StackError, StackPart, WriteError};
use crate::parallel;
use crate::source::{Advice, Complaint};

/// How many sheets are in the making at once: enough that no processor waits long for the others,
/// few enough that they take little memory.
const AT_ONCE: usize = 8;

/// What is asked for.
pub(crate) struct ClassErrand<'a> {
    /// The list, with what its rows leave open.
    pub(crate) class: Class<'a>,
    /// The folder that it goes to; without one, beside the list.
    pub(crate) folder: Option<&'a Path>,
    /// Whether files that have the names already may be replaced, whatever they are.
    pub(crate) force: bool,
    /// Whether good rows are printed though others are not.
    pub(crate) the_rest: bool,
    /// Told how many sheets are made of how many.
    pub(crate) progress: &'a (dyn Fn(usize, usize) + Sync),
}

/// A sheet that waits in the spool.
struct WaitingSheet<'a> {
    planned: PlannedSheet,
    sheet: Spooled<'a>,
}

/// All that was made.
struct MadeClass<'a> {
    waiting: Vec<WaitingSheet<'a>>,
    /// How many pages of the stack are blank.
    blanks: usize,
    remarks: Vec<Remark>,
}

/// What is to be said of sheets that became otherwise than it was written.
struct Remark {
    words: Advice,
    /// The place of the first that it is about, and how many others there are.
    first: String,
    others: usize,
}

impl Remark {
    fn said(self) -> Advice {
        match self.others {
            0 => self.words.and(format!(" ({})", self.first)),
            others => self.words.and(format!(" ({} and {others} more)", self.first)),
        }
    }
}

/// Makes the sheets of a class, the stack of them for the printer and the overview.
///
/// Errors with all that is wrong with the list; nothing is written then.
pub(crate) fn make(errand: &ClassErrand<'_>) -> Result<Answer, Vec<Complaint>> {
    let list = &errand.class.list;
    let one = |complaint: Complaint| vec![complaint];
    if !list.entries.mistakes.is_empty() {
        let (_, wrong) = errand.class.plan();
        return Err(told(wrong, &list.name()));
    }
    let (planned, mut wrong) = errand.class.plan();
    let may_go_on =
        |wrong: &[Complaint], good: usize| wrong.is_empty() || errand.the_rest && good > 0;
    if !may_go_on(&wrong, planned.len()) {
        // What only the pages of the other rows can tell is told with it.
        check(errand, planned, &mut wrong);
        return Err(told(wrong, &list.name()));
    }
    if errand.folder == Some(Path::new("-")) {
        let complaint = Complaint::new("a class goes to a folder, not to stdout");
        return Err(one(complaint.mend("name a folder")));
    }
    let out = errand.folder.map_or_else(|| folder(&list.path), Path::to_owned);
    let there = check_places(&out, &planned).map_err(|error| one(error.into()))?;
    let in_spool = |error: io::Error| one(spool_full(&there, error));
    let sheets = Spool::begin(&there).map_err(in_spool)?;
    let stack = Spool::begin(&there).map_err(in_spool)?;
    let MadeClass { waiting, blanks, remarks } =
        spooled(errand, planned, &sheets, &stack, &mut wrong)?;
    if !may_go_on(&wrong, waiting.len()) {
        return Err(told(wrong, &list.name()));
    }
    let overview = overview(list, &waiting, &there).map_err(in_spool)?;
    let mut answer = Answer::default();
    put(errand, &out, &waiting, &mut answer).map_err(|error| one(error.into()))?;
    let pages: usize = waiting.iter().map(|one| one.planned.row.pages).sum();
    let about = format!(
        "{} for the printer, {} blank, every student from a right page on",
        counted(pages + blanks, "page"),
        blanks
    );
    let parts =
        [("to-print", &stack, about), ("overview", &overview.0, counted(overview.1, "page"))];
    for (word, spool, about) in parts {
        let name = out.join(common_name(list, &waiting, word));
        let put = put_one(&name, spool, errand.force).map_err(|error| one(error.into()))?;
        answer.said.push(put.said(&about));
    }
    answer.said.extend(remarks.into_iter().map(Remark::said));
    answer.said.extend(of_dates(&waiting));
    answer.said.extend(passed_over(list).map(Advice::words));
    let left_out = list.entries.rows.len() - waiting.len();
    if left_out > 0 {
        let rows = counted(left_out, "row");
        answer.said.push(Advice::words(format!(
            "left out {rows} with mistakes; mend them, and make the class again"
        )));
    }
    answer.left_out = told(wrong, &list.name());
    Ok(answer)
}

/// Finds out before the work whether the places can be written to. Gives the nearest folder that
/// is there already.
fn check_places(out: &Path, planned: &[PlannedSheet]) -> Result<PathBuf, WriteError> {
    let there = out.ancestors().find(|part| part.exists() && !part.as_os_str().is_empty());
    let there = there.unwrap_or(Path::new("."));
    if !there.is_dir() {
        return Err(WriteError::FileForFolder { file: out.to_owned(), other: there.to_owned() });
    }
    begin_in(there, out)?;
    let folders: BTreeSet<&str> = planned.iter().map(|one| one.folder.as_str()).collect();
    for folder in folders {
        let folder = out.join(folder);
        if folder.symlink_metadata().is_ok() && !folder.is_dir() {
            return Err(WriteError::FileForFolder { file: folder.clone(), other: folder });
        }
        if folder.is_dir() {
            begin_in(&folder, &folder)?;
        }
    }
    Ok(there.to_owned())
}

/// Makes all sheets into one spool and the stack of them into another. What cannot be made is added
/// to what is wrong.
fn spooled<'a>(
    errand: &ClassErrand<'_>,
    planned: Vec<PlannedSheet>,
    sheets: &'a Spool,
    stack: &Spool,
    wrong: &mut Vec<Complaint>,
) -> Result<MadeClass<'a>, Vec<Complaint>> {
    let failed = |error: StackError| vec![stack_failed(error)];
    let in_spool = |error: io::Error| failed(error.into());
    let total = planned.len();
    let mut waiting: Vec<WaitingSheet<'a>> = Vec::with_capacity(total);
    let mut whole =
        Stack::begin(BufWriter::new(stack.handle().map_err(in_spool)?)).map_err(failed)?;
    let mut remarks: Vec<Remark> = Vec::new();
    let mut rest = planned.into_iter();
    let mut done = 0;
    (errand.progress)(done, total);
    loop {
        let some: Vec<PlannedSheet> = rest.by_ref().take(AT_ONCE).collect();
        if some.is_empty() {
            break;
        }
        done += some.len();
        let made = parallel::map(some, |planned| made(&errand.class, planned));
        let mut parts = Vec::with_capacity(made.len());
        for one in made {
            match one {
                Ok((mut planned, bytes, part, said)) => {
                    let place = &errand.class.list.entries.rows[planned.index].place;
                    said.into_iter().for_each(|words| remark(&mut remarks, words, place));
                    planned.row.pages = part.pages.len();
                    let sheet = sheets.add(&bytes).map_err(in_spool)?;
                    waiting.push(WaitingSheet { planned, sheet });
                    parts.push(part);
                }
                Err(complaint) => add(wrong, vec![complaint]),
            }
        }
        whole.add(parts).map_err(failed)?;
        (errand.progress)(done, total);
    }
    if waiting.is_empty() {
        return Ok(MadeClass { waiting, blanks: 0, remarks });
    }
    let pages: usize = waiting.iter().map(|one| one.planned.row.pages).sum();
    let title = format!("{}: sheets for the printer", title(&errand.class.list.path));
    let count = whole.finish(&about(title)).map_err(failed)?;
    Ok(MadeClass { waiting, blanks: count - pages, remarks })
}

/// Makes sheets and lets go of them, for what is wrong with them.
fn check(errand: &ClassErrand<'_>, planned: Vec<PlannedSheet>, wrong: &mut Vec<Complaint>) {
    let (mut done, total) = (0, planned.len());
    let mut rest = planned.into_iter();
    loop {
        let some: Vec<PlannedSheet> = rest.by_ref().take(AT_ONCE).collect();
        if some.is_empty() || wrong.len() > MOST_MISTAKES {
            break;
        }
        done += some.len();
        let refused = |planned| made(&errand.class, planned).err();
        add(wrong, parallel::map(some, refused).into_iter().flatten().collect());
        (errand.progress)(done, total);
    }
}

/// Adds a remark, or counts one more of it.
fn remark(remarks: &mut Vec<Remark>, words: Advice, place: &str) {
    match remarks.iter_mut().find(|remark| remark.words == words) {
        Some(remark) => remark.others += 1,
        None => remarks.push(Remark { words, first: place.to_owned(), others: 0 }),
    }
}

/// A sheet: its bytes, its pages for the stack, and what is to be said of it.
type ClassSheet = (PlannedSheet, Vec<u8>, StackPart, Vec<Advice>);

/// Makes one sheet.
fn made(class: &Class<'_>, planned: PlannedSheet) -> Result<ClassSheet, Complaint> {
    let (wish, _) = class.wish(planned.index);
    let make = || {
        let origin = Origin { source: &class.base, typed: &wish.typed };
        let ready = Ready::new(class.recipe(&wish)?, origin)?;
        ready.sheet()
    };
    let (printed, part, remarks) =
        make().map_err(|complaint| class.located(planned.index, complaint))?;
    Ok((planned, printed.bytes, part, remarks))
}

/// Puts the sheets in their places, a few at a time.
fn put(
    errand: &ClassErrand<'_>,
    out: &Path,
    waiting: &[WaitingSheet<'_>],
    answer: &mut Answer,
) -> Result<(), PlaceError> {
    let taken = Taken::as_typed(false, errand.force);
    let (mut same, mut beside) = (0, Vec::new());
    for some in waiting.chunks(AT_ONCE) {
        let put = parallel::map(some, |one| {
            let folder = out.join(&one.planned.folder);
            output::make_folder(&folder)?;
            let place = Spots::of_sheet(&folder.join(&one.planned.name), taken)?;
            place.put(std::slice::from_ref(&one.sheet))
        });
        for put in put {
            let put = put?;
            same += usize::from(put.same);
            beside.extend(put.beside.filter(|_| !put.same));
        }
    }
    let pages: usize = waiting.iter().map(|one| one.planned.row.pages).sum();
    let students: BTreeSet<&str> =
        waiting.iter().map(|one| one.planned.row.student.as_str()).collect();
    let sheets = counted(waiting.len(), "sheet");
    let about = format!("{}, {}", counted(students.len(), "student"), counted(pages, "page"));
    let said = match waiting.len() - same {
        0 => format!("kept {sheets} in {}, which are the same: {about}", out.display()),
        _ if same > 0 => {
            format!(
                "wrote {sheets} in {}, of which {same} are there already: {about}",
                out.display()
            )
        }
        _ => format!("wrote {sheets} in {}: {about}", out.display()),
    };
    answer.said.push(match beside.as_slice() {
        [] => Advice::words(said),
        [first, ..] => {
            let count = match beside.len() {
                1 => "1 of them takes".to_owned(),
                count => format!("{count} of them take"),
            };
            let said =
                format!("{said} ({count} the next number, since {} is another; ", first.display());
            Advice::words(said).part(crate::source::AdvicePart::Replace).and(" replaces it)")
        }
    });
    Ok(())
}

/// Puts all that is in a spool in its place.
fn put_one(path: &Path, spool: &Spool, force: bool) -> Result<Put, PlaceError> {
    let place = Spots::of_sheet(path, Taken::as_typed(false, force))?;
    let whole =
        spool.whole().map_err(|source| WriteError::System { file: path.to_owned(), source })?;
    place.put(&[whole])
}

/// The overview in a spool, and how many pages it has.
fn overview(
    list: &super::list::ClassList,
    waiting: &[WaitingSheet<'_>],
    there: &Path,
) -> io::Result<(Spool, usize)> {
    let rows: Vec<OverviewRow> = waiting.iter().map(|one| one.planned.row.clone()).collect();
    let title = match common_date(waiting) {
        Some(date) => format!("{}, {date}", title(&list.path)),
        None => title(&list.path),
    };
    let paper = waiting.first().map_or(Paper::default(), |one| one.planned.paper);
    let overview = Overview::plan(&title, paper, &rows);
    let spool = Spool::begin(there)?;
    let to_io = |error: StackError| match error {
        StackError::File(error) => error,
        StackError::Output(error) => io::Error::other(error),
    };
    let mut stack = Stack::begin(BufWriter::new(spool.handle()?)).map_err(to_io)?;
    let pages: Range<usize> = 0..overview.pages();
    let pages = pages.map(|index| output::ink(&overview.page(index))).collect();
    let part = StackPart { name: "Overview".to_owned(), pages, pictures: Vec::new() };
    stack.add(vec![part]).map_err(to_io)?;
    let count = stack.finish(&about(title)).map_err(to_io)?;
    Ok((spool, count))
}

fn about(title: String) -> About {
    About {
        title,
        author: None,
        language: "en".to_owned(),
        outline: Vec::new(),
        pictures: Vec::new(),
        recipe: String::new(),
    }
}

/// What a class is called: as its list is.
fn title(list: &Path) -> String {
    list.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}

/// What is to be said of days that can be read in two ways, so that names do not begin with year,
/// month and day.
fn of_dates(waiting: &[WaitingSheet<'_>]) -> Option<Advice> {
    let dates: BTreeSet<&str> =
        waiting.iter().filter_map(|one| one.planned.date.as_deref()).collect();
    let date = dates.into_iter().find(|date| day::fault(date) == Some(day::Fault::TwoWays))?;
    let name = naming::day(date);
    Some(Advice::words(format!(
        "the date {date} can be read in two ways, so names begin with {name} and do not stand in \
         the order of days; write it as in 2026-11-30"
    )))
}

/// The day of all sheets, if it is one.
fn common_date<'a>(waiting: &'a [WaitingSheet<'_>]) -> Option<&'a str> {
    let mut dates = waiting.iter().map(|one| one.planned.date.as_deref());
    let first = dates.next()??;
    dates.all(|date| date == Some(first)).then_some(first)
}

/// The name of a file that is of the whole class.
fn common_name(list: &super::list::ClassList, waiting: &[WaitingSheet<'_>], word: &str) -> String {
    let date = common_date(waiting).map(naming::day);
    let words = [date, Some(naming::folder(&title(&list.path))), Some(word.to_owned())];
    let words: Vec<String> = words.into_iter().flatten().filter(|word| !word.is_empty()).collect();
    format!("{}.pdf", words.join("-"))
}

/// What was passed over in the list.
fn passed_over(list: &super::list::ClassList) -> impl Iterator<Item = String> {
    let others = list.entries.others.join(", ");
    let columns = (!others.is_empty())
        .then(|| format!("left alone in the list: {others} (no such column is known here)"));
    let blank = list.entries.blank;
    let blank = (blank > 0).then(|| format!("passed over {}", counted(blank, "empty row")));
    columns.into_iter().chain(blank)
}

fn stack_failed(error: StackError) -> Complaint {
    match error {
        StackError::Output(error) => error.into(),
        StackError::File(error) => spool_full(Path::new("."), error),
    }
}

fn spool_full(folder: &Path, error: io::Error) -> Complaint {
    let file = folder.join("the sheets in the making");
    match error.kind() {
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
            WriteError::NoRoom { file }.into()
        }
        _ => WriteError::System { file, source: error }.into(),
    }
}
