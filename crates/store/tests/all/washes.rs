//! Washes in the record: written, struck through, ended, and out and in again as folders.

use ferment::{
    Fermentable, Kind, Material, Nutrient, Reading, Recipe, Room, Tasted, Yeast, YeastKind,
};
use store::folder::{WashFolder, read_wash_notes};
use store::rows::{WashAct, WashFloat, WashReading};
use store::{
    RunId, Store, StoreError, Struck, WashBy, WashCharge, WashDone, WashEnd, WashEntry,
    WashFloated, WashRead, WashState, WashWithdrawn,
};

/// 2026-09-14T16:00:00Z, and a month later.
const START_MS: i64 = 1_789_401_600_000;
const NOW_MS: i64 = START_MS + 30 * 24 * HOUR_MS;
const HOUR_MS: i64 = 3_600_000;

/// Makes a recipe one that cannot be.
type Change = fn(&mut Recipe);

fn recipe() -> Recipe {
    let juice = Fermentable {
        name: Material::FruitJuice,
        kg: None,
        sugar_percent: None,
        extract_percent: None,
        mash_efficiency_percent: None,
        mash_c: None,
        enzyme: None,
        litres: Some(25.0),
        brix: Some(14.5),
    };
    Recipe {
        format: 1,
        title: "Plum".to_owned(),
        start: "2026-09-14T18:00:00+02:00".to_owned(),
        kind: Kind::Fruit,
        litres: 25.0,
        fermentables: vec![juice],
        yeast: Yeast { kind: YeastKind::Wine, grams: 20.0 },
        nutrients: vec![Nutrient {
            at_h: 0.0,
            name: "DAP".to_owned(),
            grams: 12.0,
            yan_mg_per_g: 212.0,
        }],
        buffer: None,
        room: Room {
            ambient_c: 19.0,
            insulated: false,
            heater_c: None,
            heater_w: None,
            volume_m3: Some(30.0),
        },
        reading: Reading {
            hydrometer_true_at_c: 20.0,
            hydrometer_step: 0.001,
            sample_discarded_ml: 0.0,
            fermenter_empty_kg: None,
        },
    }
}

fn by(key: &str) -> WashBy {
    WashBy { by: Some("Wren".to_owned()), key: Some(key.to_owned()) }
}

fn read(hours: i64, gravity: f64) -> WashRead {
    let row =
        WashReading { gravity: Some(gravity), temperature_c: Some(21.0), ..WashReading::default() };
    WashRead {
        at_ms: START_MS + hours * HOUR_MS,
        row,
        corrects: None,
        units: Vec::new(),
        by: WashBy::default(),
    }
}

fn act(action: &str, value: Option<f64>) -> WashEntry {
    let row = WashAct { action: action.to_owned(), value, note: String::new() };
    let (at_ms, by) = (START_MS + 30 * HOUR_MS, WashBy::default());
    WashEntry::Done(WashDone { at_ms, row, corrects: None, by })
}

fn withdrawn(entry: i64) -> WashEntry {
    let (reason, by) = ("read on another one".to_owned(), WashBy::default());
    WashEntry::Withdrawn(WashWithdrawn { entry, reason, by })
}

fn ended(charge: Option<WashCharge>, reason: &str) -> WashEntry {
    let (reason, by) = (reason.to_owned(), WashBy::default());
    WashEntry::Ended(WashEnd { at_ms: NOW_MS, charge, reason, by })
}

fn house() -> (tempfile::TempDir, Store, RunId) {
    let dir = tempfile::tempdir().expect("a folder");
    let store = Store::open(dir.path()).expect("a record");
    let id = store.open_wash(recipe(), by("w"), NOW_MS).expect("a wash");
    (dir, store, id)
}

fn put(store: &Store, id: &RunId, entry: WashEntry) -> WashState {
    store.write_wash(id, vec![entry], NOW_MS).expect("it is written")
}

#[test]
fn what_is_struck_through_stays_and_counts_no_more() {
    let (dir, store, id) = house();
    assert_eq!(store.open_wash(recipe(), by("w"), NOW_MS).unwrap(), id, "sent again");
    put(&store, &id, WashEntry::Read(WashRead { by: by("a"), ..read(20, 1.050) }));
    let again = WashEntry::Read(WashRead { by: by("a"), ..read(20, 1.050) });
    assert_eq!(put(&store, &id, again).last_entry, 2, "sent again");
    put(&store, &id, WashEntry::Read(read(40, 1.3)));
    put(&store, &id, WashEntry::Read(WashRead { corrects: Some(3), ..read(40, 1.030) }));
    put(&store, &id, act("nutrient", Some(5.0)));
    let state = put(&store, &id, withdrawn(5));
    assert_eq!(state.lines[2].struck, Some(Struck::Corrected(4)));
    assert!(
        matches!(&state.lines[4].struck, Some(Struck::Withdrawn(why, None)) if why == "read on another one")
    );
    let log = state.log(100.0);
    let seen: Vec<_> = log.glass.iter().map(|row| (row.time_h, row.gravity)).collect();
    assert_eq!(seen, [(20.0, Some(1.050)), (40.0, Some(1.030))]);
    assert!(log.acts.is_empty());
    assert_eq!(state.log(39.9).glass.len(), 1, "nothing after the moment");
    drop(store);
    let store = Store::open_read_only(dir.path()).unwrap();
    assert_eq!(store.wash(&id).unwrap(), state, "as it was written");
    assert!(store.runs(false).unwrap().is_empty(), "a wash is no run");
    assert_eq!(store.verify().unwrap().entries, 6);
}

#[test]
fn an_end_closes_the_log_until_it_is_taken_back() {
    let (_dir, store, id) = house();
    let lot = "W1".to_owned();
    let charge =
        WashCharge { litres: 24.0, litres_sd: 0.5, strength_vol: 8.0, strength_sd: 0.1, lot };
    let state = put(&store, &id, ended(Some(charge), ""));
    assert!(state.ended.is_some());
    let late = store.write_wash(&id, vec![WashEntry::Read(read(40, 1.03))], NOW_MS);
    assert!(matches!(late, Err(StoreError::WashOver { .. })), "{late:?}");
    let state = put(&store, &id, withdrawn(2));
    assert_eq!(state.ended, None);
    put(&store, &id, WashEntry::Read(read(40, 1.03)));
}

#[test]
fn words_of_a_note_that_count_are_those_very_words() {
    let noted = |tasted| WashReading::noted(true, tasted, " a remark ");
    let tasted = Tasted { no_sugar: Some(true), gas_stopped: Some(false) };
    let row = WashReading { note: noted(tasted), ..WashReading::default() };
    assert_eq!(row.note, "sample cooled; no taste of sugar; gas still comes; a remark");
    assert_eq!((row.is_cooled(), row.tasted()), (true, tasted));
    let other = WashReading { note: "perhaps no taste of sugar".into(), ..WashReading::default() };
    assert_eq!(other.tasted(), Tasted::default());
}

#[test]
fn prop_out_and_in_and_out_again_is_the_same_bytes() {
    let (_dir, store, id) = house();
    let mut entries = Vec::new();
    // Moments of no round hour, one before the yeast, notes with commas, quotes and line ends.
    for step in 0..40_i64 {
        let at_ms = START_MS - 600_000 + step * 11_234_567;
        let note = if step % 7 == 0 { "foam, \"high\";\nsample cooled" } else { "" };
        let row = WashReading {
            gravity: Some(1.06 - 0.0013 * step as f64),
            temperature_c: (step % 3 > 0).then_some(20.25),
            weight_kg: None,
            ph: None,
            note: note.to_owned(),
        };
        entries.push(WashEntry::Read(WashRead { at_ms, row, ..read(0, 1.0) }));
    }
    store.write_wash(&id, entries, NOW_MS).unwrap();
    put(&store, &id, act("heater", Some(27.5)));
    let row = WashFloat { gravity: Some(1.0463), temperature_c: None };
    let rows = (0..30).map(|step| (START_MS + step * 900_001, row)).collect();
    put(
        &store,
        &id,
        WashEntry::Floated(WashFloated { rows, units: Vec::new(), by: WashBy::default() }),
    );
    let first = store.wash(&id).unwrap().folder();
    let out = tempfile::tempdir().unwrap();
    first.write(&out.path().join("a")).unwrap();
    let back = WashFolder::read(&out.path().join("a"), f64::INFINITY).unwrap();
    assert_eq!(back, first);
    let again = store.take_wash_in(back.clone(), by("in"), NOW_MS);
    assert!(matches!(again, Err(StoreError::AlreadyThere { .. })), "{again:?}");
    let other = tempfile::tempdir().unwrap();
    let other = Store::open(other.path()).unwrap();
    let there = other.take_wash_in(back, by("in"), NOW_MS).unwrap();
    let second = other.wash(&there).unwrap().folder();
    assert_eq!(second.files().unwrap(), first.files().unwrap());
    let sent = first.files().unwrap().into_iter();
    let sent = sent.map(|(name, bytes)| (name.to_owned(), String::from_utf8(bytes).unwrap()));
    assert_eq!(WashFolder::of_files(&sent.collect()).unwrap(), first);
}

/// Each cannot be, and the error says which field and what is allowed.
#[test]
fn what_cannot_be_is_refused_by_name() {
    let (_dir, store, id) = house();
    put(&store, &id, WashEntry::Read(read(20, 1.050)));
    let at = |hours| WashEntry::Read(read(hours, 1.03));
    let row = |row: WashReading| WashEntry::Read(WashRead { row, ..read(40, 1.0) });
    let number = |of: fn(f64) -> WashReading, value| row(of(value));
    let corrects = |entry| WashEntry::Read(WashRead { corrects: Some(entry), ..read(20, 1.05) });
    let key = by(&"k".repeat(65));
    let ph = |ph| WashReading { ph: Some(ph), ..WashReading::default() };
    let kg = |kg| WashReading { weight_kg: Some(kg), ..WashReading::default() };
    let sg = |sg| WashReading { gravity: Some(sg), ..WashReading::default() };
    let charge = |litres, vol| {
        let lot = "W 1".to_owned();
        WashCharge { litres, litres_sd: 0.5, strength_vol: vol, strength_sd: 0.1, lot }
    };
    let table = [
        (number(sg, 1050.0), "gravity = 1050: must lie from 0.95 to 1.3"),
        (number(sg, f64::NAN), "gravity = NaN"),
        (number(ph, 15.0), "ph = 15: must lie from 0 to 14"),
        (number(kg, -1.0), "weight_kg = -1"),
        (row(WashReading::default()), "gravity = : must not be empty"),
        (at(-25), "a day before the yeast was pitched"),
        (at(24 * 31), "must not be ahead of now"),
        (act("stir", None), "action = stir: is unknown"),
        (act("nutrient", None), "value = : must be given in g for nutrient"),
        (act("heater", Some(80.0)), "value = 80: must lie from 0 to 50 C"),
        (act("moved", Some(3.0)), "value = 3: must lie from 0 to 0"),
        (withdrawn(1), "must be the number of a reading"),
        (withdrawn(99), "entry = 99"),
        (corrects(7), "entry = 7"),
        (ended(None, " "), "reason = empty: must say why"),
        (ended(Some(charge(0.0, 8.0)), ""), "litres = 0: must lie from 0.1 to 10000 L"),
        (ended(Some(charge(20.0, 95.0)), ""), "strength_vol = 95: must lie from 0.1 to 30 % vol"),
        (ended(Some(charge(20.0, 9.0)), ""), "must be 1 to 40 letters"),
        (WashEntry::Read(WashRead { by: key, ..read(1, 1.0) }), "1 to 64 characters"),
        (
            WashEntry::Floated(WashFloated {
                rows: Vec::new(),
                units: Vec::new(),
                by: WashBy::default(),
            }),
            "rows = 0: must be 1 to 1000 rows",
        ),
    ];
    for (entry, words) in table {
        let said = store.write_wash(&id, vec![entry.clone()], NOW_MS).unwrap_err();
        assert!(said.to_string().contains(words), "{entry:?}: {said}");
        assert!(!said.hint().is_empty());
    }
    let recipes: [(Change, &str); 5] = [
        (|recipe| recipe.start = "yesterday".into(), "start = yesterday"),
        (|recipe| recipe.title.clear(), "title = empty"),
        (|recipe| recipe.room.volume_m3 = Some(0.2), "room.volume_m3 = 0.2: must lie from 1"),
        (|recipe| recipe.start = "2031-01-01T00:00:00Z".into(), "must not be ahead of now"),
        (|recipe| recipe.litres = 400.0, "original gravity by the recipe"),
    ];
    for (change, words) in recipes {
        let mut wrong = recipe();
        change(&mut wrong);
        let said = store.open_wash(wrong, WashBy::default(), NOW_MS).unwrap_err();
        assert!(said.to_string().contains(words), "{said}");
    }
    assert_eq!(store.wash(&id).unwrap().last_entry, 2, "nothing of it was kept");
    let nobody = store.wash(&RunId::new("wash-none")).unwrap_err();
    assert!(nobody.to_string().contains("there is no such wash"), "{nobody}");
    assert!(store.wash(&RunId::new("house")).is_err());
}

#[test]
fn each_row_of_notes_is_judged_by_itself() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("notes.csv");
    let text = "time_h,gravity,temperature_c\n0,1.060,20\n12,1060,20\n5,1.055,21\nsoon,1.05,\n";
    std::fs::write(&file, text).unwrap();
    let found = read_wash_notes(&file).unwrap();
    let said: Vec<_> =
        found.iter().map(|row| row.as_ref().err().map(ToString::to_string)).collect();
    assert_eq!([said[0].is_none(), said[2].is_none()], [true; 2], "{said:?}");
    assert!(said[1].as_ref().unwrap().contains("notes.csv:3: gravity = 1060"), "{said:?}");
    assert!(said[3].as_ref().unwrap().contains("must be a number"), "{said:?}");
}
