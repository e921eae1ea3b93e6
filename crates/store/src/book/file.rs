//! The chained table of a book: written line by line, and checked from its bytes alone.

use account::{Finding, Ledger, Numbered, Profile, Review};

use super::cells::{COLUMNS, COLUMNS_BEFORE, cells, read_cells};
use super::names::{LEFT_OUT, Unnamed};
use super::printed::{Printed, printed};
use super::{PAGE_FILE, TABLE_FILE, profile};

/// Names the layout of what a digest is taken over.
const DOMAIN: &str = "middlecut book, layout 1";
/// Most faults that are named.
const FAULTS_MAX: usize = 100;
/// What the last line begins with.
const END: &str = "end";

/// Something that does not fit in a book, and where.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{file}, line {line}: {what}")]
pub struct BookFault {
    /// Which file of the book.
    pub file: &'static str,
    /// Its line, from 1.
    pub line: usize,
    /// What is wrong.
    pub what: String,
}

/// What a book says of itself.
#[derive(Debug, Clone, PartialEq)]
pub struct BookReport {
    /// Entries read.
    pub entries: u64,
    /// The digest of its last line, which stands for all of it.
    pub head: String,
    /// Name of its profile.
    pub profile: String,
    /// Whether persons stand in it by number and not by name.
    pub names_left_out: bool,
    /// What does not fit; empty for a whole book.
    pub faults: Vec<BookFault>,
    /// What a reviewer would ask about.
    pub findings: Vec<Finding>,
}

/// A book that is whole.
#[derive(Debug, Clone)]
pub struct VerifiedBook {
    /// Its entries.
    pub entries: Vec<Numbered>,
    /// The account they make.
    pub ledger: Ledger,
    /// Its profile.
    pub profile: Profile,
    /// The digest of its last line.
    pub head: String,
    /// Whether persons stand in it by number and not by name.
    pub names_left_out: bool,
}

/// The head of a book with so many columns before the two digests.
fn header(columns: usize) -> String {
    format!("{},previous,digest", COLUMNS[..columns].join(","))
}

fn digest(previous: &str, content: &str) -> String {
    let mut hasher = blake3::Hasher::new();
    for text in [DOMAIN, previous, content] {
        hasher.update(&(text.len() as u64).to_le_bytes());
        hasher.update(text.as_bytes());
    }
    hasher.finalize().to_hex().to_string()
}

/// Cells as one line of a table, without its end.
fn joined(cells: &[String]) -> String {
    let quoted = |cell: &String| {
        if cell.contains([',', '"', '\'']) {
            format!("\"{}\"", cell.replace('"', "\"\""))
        } else {
            cell.clone()
        }
    };
    cells.iter().map(quoted).collect::<Vec<_>>().join(",")
}

/// Writes a table: `put` gets it piece by piece; gives the digest of its last line. `names_left_out`
/// has a number in the place of each person.
///
/// # Errors
/// What `put` or `entries` fail with.
pub fn write<E>(
    profile: &str,
    names_left_out: bool,
    put: &mut impl FnMut(&str) -> Result<(), E>,
    entries: impl FnOnce(&mut dyn FnMut(&Numbered) -> Result<(), E>) -> Result<(), E>,
) -> Result<String, E> {
    let header = header(COLUMNS.len());
    put(&header)?;
    put("\n")?;
    let (mut previous, mut count) = (digest("", &header), 0_u64);
    let mut line = |content: String, previous: &mut String| {
        let own = digest(previous, &content);
        put(&format!("{content},{previous},{own}\n"))?;
        *previous = own;
        Ok(())
    };
    let mut unnamed = names_left_out.then(Unnamed::default);
    entries(&mut |numbered| {
        count += 1;
        let without = unnamed.as_mut().map(|unnamed| unnamed.entry(numbered));
        line(joined(&cells(without.as_ref().unwrap_or(numbered))), &mut previous)
    })?;
    let names = if names_left_out { [",", LEFT_OUT].concat() } else { String::new() };
    line(format!("{END},{count},{profile}{names}"), &mut previous)?;
    Ok(previous)
}

/// A reading of a table from its bytes.
struct Reading {
    faults: Vec<BookFault>,
    entries: Vec<Numbered>,
    ledger: Ledger,
    profile: Option<Profile>,
    names_left_out: bool,
    previous: String,
    serial: u64,
    columns: usize,
}

impl Reading {
    fn fault(&mut self, line: usize, what: impl Into<String>) {
        if self.faults.len() < FAULTS_MAX {
            self.faults.push(BookFault { file: TABLE_FILE, line, what: what.into() });
        }
    }

    /// Takes the head: which columns there are.
    fn head(&mut self, text: &str) {
        match [COLUMNS.len(), COLUMNS_BEFORE].into_iter().find(|columns| header(*columns) == text) {
            Some(columns) => {
                self.columns = columns;
                self.previous = digest("", text);
            }
            None => self.fault(1, "is not the head of a book"),
        }
    }

    /// Takes one line: its chain first, then what it says.
    fn line(&mut self, number: usize, text: &str) {
        let mut parts = text.rsplitn(3, ',');
        let (own, previous, content) = (parts.next(), parts.next(), parts.next());
        let (Some(own), Some(previous), Some(content)) = (own, previous, content) else {
            self.fault(number, "is no line of a book");
            return;
        };
        if previous != self.previous {
            self.fault(number, "does not follow from the line before it");
        }
        if digest(previous, content) != own {
            self.fault(number, "was changed: its digest does not match its bytes");
        }
        own.clone_into(&mut self.previous);
        if let Some(end) = content.strip_prefix("end,") {
            self.end(number, end);
        } else if self.profile.is_some() {
            self.fault(number, "stands after the end of the book");
        } else {
            self.entry(number, content);
        }
    }

    fn entry(&mut self, number: usize, content: &str) {
        let mut reader =
            csv::ReaderBuilder::new().has_headers(false).from_reader(content.as_bytes());
        let read = reader.records().next().and_then(Result::ok);
        let line: Vec<String> = read.iter().flatten().map(str::to_owned).collect();
        if line.len() != self.columns {
            let expected = self.columns;
            return self
                .fault(number, format!("has {} columns, {expected} are expected", line.len()));
        }
        let numbered = match read_cells(&line) {
            Ok(numbered) => numbered,
            Err(what) => return self.fault(number, what),
        };
        if joined(&cells(&numbered)[..self.columns]) != content {
            self.fault(number, "is not written as a book is: a cell says the same in other signs");
        }
        let expected = self.serial + 1;
        if numbered.number != expected {
            let what = match numbered.number {
                found if found <= self.serial => format!("serial {found} stands there twice"),
                found => format!("serial {expected} is missing: {found} follows {}", self.serial),
            };
            self.fault(number, what);
        }
        self.serial = numbered.number;
        let next = self.ledger.length() + 1;
        let joins = Numbered { number: next, entry: numbered.entry.clone() };
        if let Err(error) = self.ledger.take(&joins) {
            self.fault(number, format!("does not fit the book before it: {error}"));
        }
        self.entries.push(numbered);
    }

    fn end(&mut self, number: usize, end: &str) {
        let (count, name) = end.split_once(',').unwrap_or((end, ""));
        let (name, names) = name.split_once(',').unwrap_or((name, ""));
        self.names_left_out = names == LEFT_OUT;
        if !names.is_empty() && !self.names_left_out {
            self.fault(number, format!("\"{names}\" is nothing the end of a book says"));
        }
        if count != self.entries.len().to_string() {
            let found = self.entries.len();
            self.fault(
                number,
                format!("the book was written with {count} entries, {found} are there"),
            );
        }
        match profile(name) {
            Some(profile) => self.profile = Some(profile),
            None => self.fault(number, format!("there is no profile \"{name}\"")),
        }
    }
}

fn reading(bytes: &[u8]) -> Reading {
    let mut reading = Reading {
        faults: Vec::new(),
        entries: Vec::new(),
        ledger: Ledger::default(),
        profile: None,
        names_left_out: false,
        previous: digest("", &header(COLUMNS.len())),
        serial: 0,
        columns: COLUMNS.len(),
    };
    let mut lines = 0;
    for (number, line) in (1..).zip(bytes.split_inclusive(|byte| *byte == b'\n')) {
        lines = number;
        let Some(line) = line.strip_suffix(b"\n") else {
            reading.fault(number, "is cut off");
            continue;
        };
        match std::str::from_utf8(line) {
            Err(_) => reading.fault(number, "was changed: it is no text any more"),
            Ok(text) if number == 1 => reading.head(text),
            Ok(text) => reading.line(number, text),
        }
    }
    if reading.profile.is_none() {
        reading.fault(lines + 1, "the end of the book is missing");
    }
    reading
}

/// Checks a book from its bytes: chain, serials, balances, and the page made from it where it is
/// given; then looks through it as a reviewer would.
#[must_use]
pub fn verify(table: &[u8], page: Option<&[u8]>, authorised: &[String], now_ms: i64) -> BookReport {
    let mut reading = reading(table);
    let whole = reading.faults.is_empty();
    let mut findings = Vec::new();
    if let Some(profile) = &reading.profile {
        let mut review = Review::new(profile, &reading.ledger, authorised);
        reading.entries.iter().for_each(|numbered| review.take(numbered));
        findings = review.finish(now_ms);
        if let Some(page) = page.filter(|_| whole) {
            let whole = Printed { names_left_out: reading.names_left_out, head: &reading.previous };
            let made = printed(&reading.entries, &reading.ledger, profile, whole);
            let same = made.as_bytes() == page;
            let apart = made.as_bytes().iter().zip(page).position(|(made, found)| made != found);
            let apart = apart.unwrap_or_else(|| made.len().min(page.len()));
            let line = page[..apart].split(|byte| *byte == b'\n').count();
            if !same {
                let what = format!("is not what the table says, from byte {apart} on");
                reading.faults.push(BookFault { file: PAGE_FILE, line, what });
            }
        }
    }
    BookReport {
        entries: reading.entries.len() as u64,
        head: reading.previous,
        names_left_out: reading.names_left_out,
        profile: reading.profile.map(|profile| profile.name).unwrap_or_default(),
        faults: reading.faults,
        findings,
    }
}

/// A book that is whole, from the bytes of its table.
///
/// # Errors
/// The first thing in it that does not fit.
pub fn read(table: &[u8]) -> Result<VerifiedBook, BookFault> {
    let Reading { faults, entries, ledger, profile, previous, names_left_out, .. } = reading(table);
    match (faults.into_iter().next(), profile) {
        (None, Some(profile)) => {
            Ok(VerifiedBook { entries, ledger, profile, head: previous, names_left_out })
        }
        (Some(fault), _) => Err(fault),
        (None, None) => Err(BookFault {
            file: TABLE_FILE,
            line: 1,
            what: "the end of the book is missing".into(),
        }),
    }
}

/// The page to print of a book that is whole, from the bytes of its table.
///
/// # Errors
/// As [`read`].
pub fn page(table: &[u8]) -> Result<String, BookFault> {
    let whole = read(table)?;
    let said = Printed { names_left_out: whole.names_left_out, head: &whole.head };
    Ok(printed(&whole.entries, &whole.ledger, &whole.profile, said))
}
