//! What the account costs as it grows: prints the table of docs/benchmark/account.md.
#![expect(clippy::print_stdout, reason = "the table goes to standard output")]

use std::hint::black_box;
use std::path::Path;
use std::process::Command;

use account::{Entry, EntryKind, Ledger, Leg, Name, Place, PureAlcohol, Span};
use store::Store;

/// Sizes of the book.
const SIZES: [usize; 3] = [1_000, 10_000, 100_000];
/// How often a question is asked; the slowest answer counts.
const ASKED: usize = 5;
/// Jars of a run.
const JARS: usize = 8;
/// Batches that fill the cask before anything is taken out.
const FILLED_FIRST: usize = 20;
/// First act, ms of UTC: in 2026.
const FIRST_MS: i64 = 1_780_000_000_000;

const MEASURE: &str = "measure";
const READ_ANEW: &str = "read-anew";
/// What a process of its own is asked for.
type Apart = (&'static str, fn(&Path) -> String);
const ASKED_APART: [Apart; 2] = [(MEASURE, measure), (READ_ANEW, read_anew)];

fn leg(place: &str, lot: &str, nanolitres: i64) -> Leg {
    let lot = (!lot.is_empty()).then(|| Name::new(lot).expect("a name"));
    Leg::new(Place::of_text(place).expect("a place"), lot, PureAlcohol::of_nanolitres(nanolitres))
}

/// A house that makes batch after batch, carries its feints into the next charge and its hearts
/// through one cask, so that a jar of the first batch is in everything after it: the farthest a
/// recall can reach.
struct House {
    entries: Vec<Entry>,
    batch: usize,
    feints: i64,
}

impl House {
    fn put(&mut self, kind: EntryKind, from: Vec<Leg>, to: Vec<Leg>) {
        let minute = i64::try_from(self.entries.len()).expect("few");
        let mut entry = Entry::new(kind, FIRST_MS + minute * 3_600_000, "Ada");
        entry.from = from;
        entry.to = to;
        self.entries.push(entry);
    }

    fn batch(&mut self) {
        self.batch += 1;
        let (n, litre) = (self.batch, 1_000_000_000_i64);
        let (wash, charge) = (format!("W{n}"), format!("C{n}"));
        let feints = std::mem::take(&mut self.feints);
        self.put(
            EntryKind::Ferment,
            vec![leg("fermented", "", 3 * litre)],
            vec![leg("wash:F1", &wash, 3 * litre)],
        );
        let mut from = vec![leg("wash:F1", &wash, 3 * litre)];
        if feints > 0 {
            from.push(leg("feints:F", "F", feints));
        }
        let charged = 3 * litre + feints;
        self.put(EntryKind::Charge, from, vec![leg("pot:P", &charge, charged)]);
        let jar = charged / 10;
        let mut to: Vec<Leg> =
            (1..=JARS).map(|j| leg(&format!("jar:{j}"), &format!("J{n}-{j}"), jar)).collect();
        let jars = jar * i64::try_from(JARS).expect("few");
        to.push(leg("loss:residue", "", (charged - jars) / 2));
        to.push(leg("loss:vapour", "", charged - jars - (charged - jars) / 2));
        self.put(EntryKind::Distil, vec![leg("pot:P", &charge, charged)], to);
        let some = |jars: std::ops::RangeInclusive<usize>| {
            jars.map(|j| leg(&format!("jar:{j}"), &format!("J{n}-{j}"), jar)).collect::<Vec<_>>()
        };
        let (hearts, made) = (format!("H{n}"), format!("R{n}"));
        let kept = 5 * jar;
        self.put(EntryKind::Blend, some(3..=7), vec![leg("tank:T1", &hearts, kept)]);
        let tails = [some(1..=2), some(8..=8)].concat();
        self.feints = 3 * jar;
        self.put(EntryKind::Feints, tails, vec![leg("feints:F", "F", 3 * jar)]);
        // A cask that is never empty: what went into it is in everything that comes out after.
        self.put(
            EntryKind::FillCask,
            vec![leg("tank:T1", &hearts, kept)],
            vec![leg("cask:S", "S", kept)],
        );
        if n <= FILLED_FIRST {
            return;
        }
        self.put(
            EntryKind::DumpCask,
            vec![leg("cask:S", "S", kept)],
            vec![leg("tank:T2", &made, kept)],
        );
        let bottles = format!("B{n}");
        let lost = kept / 100;
        let mut filled = leg("bottles:shelf", &bottles, kept - lost);
        filled.bottles = Some(5);
        filled.bottle_ml = Some(700.0);
        self.put(
            EntryKind::Bottle,
            vec![leg("tank:T2", &made, kept)],
            vec![filled, leg("loss:bottling", "", lost)],
        );
        for _ in 0..3 {
            let one = (kept - lost) / 5;
            self.put(
                EntryKind::Remove,
                vec![leg("bottles:shelf", &bottles, one)],
                vec![leg("removed:sold", "", one)],
            );
        }
    }
}

fn house(entries: usize) -> Vec<Entry> {
    let mut house = House { entries: Vec::new(), batch: 0, feints: 0 };
    while house.entries.len() < entries {
        house.batch();
    }
    house.entries.truncate(entries);
    house.entries
}

/// Processor time of this thread so far, ns; what others do on the machine is not in it.
fn processor_ns() -> u64 {
    let read = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    read.split(' ').next().and_then(|first| first.parse().ok()).unwrap_or_default()
}

/// Processor time that some work takes, ms.
fn milliseconds(work: impl FnOnce()) -> f64 {
    let begun = processor_ns();
    work();
    (processor_ns() - begun) as f64 / 1e6
}

/// The slowest of some tries, ms.
fn slowest(mut work: impl FnMut()) -> f64 {
    (0..ASKED).map(|_| milliseconds(&mut work)).fold(0.0, f64::max)
}

/// What this process holds in memory now, MB; 0 where nobody says.
fn memory_mb() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
    let kb = line.and_then(|line| line.trim().trim_end_matches(" kB").trim().parse::<f64>().ok());
    kb.unwrap_or_default() / 1024.0
}

/// Fills a record; gives the processor time of entering, ms.
fn fill(dir: &Path, size: usize) -> f64 {
    let entries = house(size);
    let store = Store::open(dir).expect("a record");
    milliseconds(|| {
        for some in entries.chunks(20_000) {
            store.enter_all(some, FIRST_MS).expect("entries that fit");
        }
    })
}

/// What the first question of a process that reads every entry takes, ms.
fn read_anew(dir: &Path) -> String {
    let opened = milliseconds(|| drop(first_question(dir)));
    format!("{opened:.0}")
}

/// Opens the record for reading, as `middlecut balance` and `middlecut lots` do, and asks.
fn first_question(dir: &Path) -> Store {
    let store = Store::open_read_only(dir).expect("a record");
    assert!(store.account(Ledger::length).expect("a book") > 0);
    store
}

/// Measures what a process that only opens the record needs: the rest of a row.
fn measure(dir: &Path) -> String {
    let before = memory_mb();
    let mut store = None;
    let opened = milliseconds(|| store = Some(first_question(dir)));
    let held = memory_mb() - before;
    let store = store.expect("a record");
    let size = store.account(Ledger::length).expect("a book");
    let size = usize::try_from(size).expect("few");
    let last = house(size).into_iter().rev().find(|entry| entry.kind == EntryKind::Bottle);
    let last = last.and_then(|entry| entry.to[0].lot.clone()).expect("bottles that were filled");
    let first = Name::new("J1-5").expect("a name");
    let answers = store.account(|ledger| {
        let mut reached = (0, 0);
        let balance = slowest(|| drop(black_box(ledger.balance(Span::ALL))));
        let went = slowest(|| reached.0 = ledger.went_to(&first).entries.len());
        let made = slowest(|| reached.1 = ledger.made_of(&last).entries.len());
        (balance, went, made, reached)
    });
    let (balance, went, made, (to, of)) = answers.expect("a book");
    let [first_balance, first_recall] = [opened + balance, opened + went + made];
    drop(store);
    let store = Store::open(dir).expect("a record");
    let one = house(size + 1).pop().expect("one more");
    // Asked before: what making the house left behind in memory is no cost of the entry.
    store.account(|ledger| ledger.judge(&one)).expect("a book").expect("it fits");
    let entered = milliseconds(|| drop(store.enter(|_| Ok(one), FIRST_MS).expect("it fits")));
    format!(
        "{first_balance:.0} | {first_recall:.0} | {balance:.1} | {went:.1} ({to}) | {made:.1} ({of}) | {entered:.1} | {held:.0}",
    )
}

/// How large the database and the account beside it are, MB.
fn sizes(dir: &Path) -> [f64; 2] {
    ["middlecut.sqlite", "middlecut.account"]
        .map(|name| dir.join(name).metadata().map_or(0.0, |found| found.len() as f64 / 1e6))
}

fn main() {
    // A process of its own measures, so that what filling took does not hide what opening holds.
    let told: Vec<String> = std::env::args().collect();
    if let [_, ask, dir, ..] = &told[..]
        && let Some(ask) = ASKED_APART.into_iter().find(|(name, _)| name == ask)
    {
        println!("{}", ask.1(Path::new(dir)));
        return;
    }
    let own = std::env::current_exe().expect("this program");
    let apart = |ask: &str, dir: &Path| {
        let said = Command::new(&own).arg(ask).arg(dir).output().expect("it can be started");
        String::from_utf8(said.stdout).expect("text").trim().to_owned()
    };
    println!(
        "| entries | enter all, ms | first balance, ms | first recall both ways, ms | balance, ms | went to, ms (entries) | made of, ms (entries) | enter one, ms | memory, MB | read anew, ms | record, MB | account beside, MB |\n|---|---|---|---|---|---|---|---|---|---|---|---|"
    );
    for size in SIZES {
        let dir = tempfile::tempdir().expect("a folder");
        let entered = fill(dir.path(), size);
        let [record, beside] = sizes(dir.path());
        let rest = apart(MEASURE, dir.path());
        drop(std::fs::remove_file(dir.path().join("middlecut.account")));
        let anew = apart(READ_ANEW, dir.path());
        println!("| {size} | {entered:.0} | {rest} | {anew} | {record:.1} | {beside:.1} |");
    }
}
