//! Wrong folders: each is refused by file, line and cell, within bounded memory.
#![expect(clippy::unwrap_used, reason = "a helper that fails fails its test")]

use std::io::Write;
use std::path::{Path, PathBuf};

use store::folder::{self, FolderError, RunFolder};

struct Folder {
    _room: tempfile::TempDir,
    dir: PathBuf,
}

impl Folder {
    fn new() -> Self {
        let room = tempfile::tempdir().unwrap();
        let dir = room.path().join("run");
        let run = RunFolder::new(crate::common::plan(), crate::common::rows());
        folder::write(&dir, &run).unwrap();
        Self { _room: room, dir }
    }

    fn refused(&self) -> FolderError {
        let error = folder::read(&self.dir).expect_err("a wrong folder");
        assert!(!error.hint().is_empty());
        error
    }
}

/// Refusal of `text` as that file of a sound folder.
fn refusal(file: &str, text: impl AsRef<[u8]>) -> FolderError {
    let folder = Folder::new();
    std::fs::write(folder.dir.join(file), text).unwrap();
    let error = folder.refused();
    assert!(error.to_string().contains(file), "{error} does not name {file}");
    error
}

#[test]
fn wrong_cells_are_named_by_line_and_column() {
    let actions = "time_s,action,value,unit,note\n0,here,,,\n";
    let jars = "jar,start_s,end_s,volume_ml,temperature_c,apparent_vol,cut,note\n";
    let cases = [
        ("readings.csv", "time_s,head_c\n0,20\n1,warm\n".to_owned(), 3, "head_c"),
        ("readings.csv", "time_s,head_c\n0,NaN\n".to_owned(), 2, "head_c"),
        ("readings.csv", "time_s,head_c\n0,inf\n".to_owned(), 2, "head_c"),
        ("readings.csv", "time_s,head_c\n0,1e999\n".to_owned(), 2, "head_c"),
        ("readings.csv", "time_s,head_c\n0,-300\n".to_owned(), 2, "head_c"),
        ("readings.csv", "time_s,head_c\n0,\"20,5\"\n".to_owned(), 2, "head_c"),
        ("readings.csv", "time_s,coolant_l_per_min\n0,-1\n".to_owned(), 2, "coolant_l_per_min"),
        ("readings.csv", "time_s,pressure_hpa\n0,101325\n".to_owned(), 2, "pressure_hpa"),
        ("readings.csv", "time_s,heater_w\n0,2 kW\n".to_owned(), 2, "heater_w"),
        ("readings.csv", "time_s,head_c\n,20\n".to_owned(), 2, "time_s"),
        ("readings.csv", "time_s,head_c\n-1,20\n".to_owned(), 2, "time_s"),
        ("readings.csv", "time_s,head_c\n9e9,20\n".to_owned(), 2, "time_s"),
        ("readings.csv", "time_s,head_c\n10,20\n\n9.999,20\n".to_owned(), 4, "time_s"),
        ("actions.csv", format!("{actions}1,dance,,,\n"), 3, "action"),
        ("actions.csv", format!("{actions}1,heater,,W,\n"), 3, "value"),
        ("actions.csv", format!("{actions}1,heater,-5,W,\n"), 3, "value"),
        ("actions.csv", format!("{actions}1,heater,5,kW,\n"), 3, "unit"),
        ("actions.csv", format!("{actions}1,takeoff,5,l_per_h,\n"), 3, "unit"),
        ("actions.csv", format!("{actions}1,jar,1.5,,\n"), 3, "value"),
        ("actions.csv", format!("{actions}1,gauge,93,vol,\n"), 3, "unit"),
        ("actions.csv", format!("{actions}1,gauge,300,vol_at_20,\n"), 3, "value"),
        ("actions.csv", format!("{actions}1,gauge,93,vol_at_NaN,\n"), 3, "unit"),
        ("actions.csv", format!("{actions}1,step,,,rest\n"), 3, "note"),
        ("actions.csv", format!("{actions}1,seen,,,\n"), 3, "note"),
        ("actions.csv", format!("{actions}1,here,3,,\n"), 3, "value"),
        ("actions.csv", format!("{actions}5,here,,,\n4,here,,,\n"), 4, "time_s"),
        ("jars.csv", format!("{jars}1,0,5,-250,20,93,hearts,\n"), 2, "volume_ml"),
        ("jars.csv", format!("{jars}1,0,5,250,20,300,hearts,\n"), 2, "apparent_vol"),
        ("jars.csv", format!("{jars}1,0,5,250,200,93,hearts,\n"), 2, "temperature_c"),
        ("jars.csv", format!("{jars}1,0,5,250,20,93,heat,\n"), 2, "cut"),
        ("jars.csv", format!("{jars}1,9,5,250,20,93,hearts,\n"), 2, "end_s"),
        ("jars.csv", format!("{jars}one,0,5,250,20,93,hearts,\n"), 2, "jar"),
        ("jars.csv", format!("{jars}1,5,6,250,,,,\n2,4,6,250,,,,\n"), 3, "start_s"),
    ];
    for (file, text, line, column) in cases {
        let error = refusal(file, &text);
        assert!(error.to_string().contains(&format!("{file}:{line}:")), "{error}: {text}");
        assert_eq!(error.field().unwrap().0, column, "{error}: {text}");
    }
}

#[test]
fn wrong_tables_are_named() {
    let cases: [(&str, &[u8], &str); 10] = [
        ("readings.csv", b"", "column_refused"),
        ("readings.csv", b"head_c\n20\n", "column_refused"),
        ("readings.csv", b"time_s,head\n0,20\n", "column_refused"),
        ("readings.csv", b"time_s,head_c,head_c\n0,20,20\n", "column_refused"),
        ("readings.csv", b"time_s;head_c\n0;20\n", "column_refused"),
        ("readings.csv", b"time_s,head_c\n0,20,30\n", "cell_count"),
        ("readings.csv", b"time_s,head_c\n0,78,5\n", "cell_count"),
        ("actions.csv", b"time_s,action,note\n0,note,\"open\n1,here,\n", "open_quote"),
        ("readings.csv", b"time_s,head_c\n0,20\n\xff\xfe\x00\x01", "not_text"),
        ("jars.csv", b"\x7fELF\x02\x01\x01\x00\x00\x00", "not_text"),
    ];
    for (file, text, code) in cases {
        assert_eq!(refusal(file, text).code(), code, "{}", String::from_utf8_lossy(text));
    }
    assert!(refusal("readings.csv", "time_s,head\n").hint().contains("head_c"));
}

#[test]
fn wrong_plans_are_named_by_key_and_line() {
    let sound = folder::write_plan(&crate::common::plan()).unwrap();
    let swap = |from: &str, to: &str| {
        assert!(sound.contains(from), "{from} is not in {sound}");
        sound.replacen(from, to, 1)
    };
    let cases = [
        (swap("format = 1", "format = 1\nshape = 2"), "shape"),
        (swap("stages = 12.0", "stages = \"twelve\""), "still.stages"),
        (swap("stages = 12.0", "stages = nan"), "still.stages"),
        (swap("stages = 12.0", ""), "still.stages"),
        (swap("stages = 12.0", "stages = 12,0"), "still.stages"),
        (swap("stages = 12.0", "stages = 12.0\ncolour = \"red\""), "still.colour"),
        (swap("kind = \"column\"", "kind = \"retort\""), "still.kind"),
        (swap("strength_vol = 12.0", "strength_vol = 300.0"), "charge.strength_vol"),
        (swap("litres = 20.0", "litres = -20.0"), "charge.litres"),
        (swap("methanol = 12.5", "methanole = 12.5"), "charge.congeners_mg_per_l.methanole"),
        (swap("until_rise_k = 0.4", "until_rise_k = inf"), "step[2].until_rise_k"),
        (swap("until_rise_k = 0.4", "until_mL = 4"), "step[2].until_mL"),
        (swap("do = \"stop\"", "do = \"halt\""), "step[3].do"),
        (swap("2026-10-03T08:12:00+02:00", "3 October"), "start"),
        (sound.split("[[step]]").next().unwrap().to_owned(), "step"),
        ("\u{7}binary".to_owned(), "run.toml"),
        (format!("title = {}", "[".repeat(400_000)), "title"),
        (String::new(), "format"),
    ];
    for (text, key) in cases {
        let error = refusal("run.toml", &text);
        assert_eq!(error.field().unwrap().0, key, "{error}\n{text}");
        let line = error.to_string();
        let numbered = line.split("run.toml:").nth(1).is_some_and(|rest| {
            rest.split(':').next().is_some_and(|line| line.parse::<usize>().is_ok())
        });
        assert!(numbered, "no line in {error}");
    }
}

#[test]
fn one_line_of_a_hundred_megabytes_is_refused_in_any_file() {
    for file in ["readings.csv", "actions.csv", "jars.csv", "run.toml"] {
        let folder = Folder::new();
        let mut out = std::fs::File::create(folder.dir.join(file)).unwrap();
        let chunk = vec![b'7'; 1_000_000];
        for _ in 0..100 {
            out.write_all(&chunk).unwrap();
        }
        assert_eq!(folder.refused().code(), "line_too_long", "{file}");
    }
}

#[test]
fn a_quoted_cell_of_many_short_lines_is_refused_quickly() {
    let text = format!("time_s,action,note\n0,note,\"{}", "\n".repeat(1_900_000));
    assert_eq!(refusal("actions.csv", text).code(), "line_too_long");
}

#[test]
fn more_rows_than_any_run_has_are_refused() {
    let folder = Folder::new();
    let mut text = String::from("time_s\n");
    text.extend(std::iter::repeat_n("1\n", folder::ROWS_MAX + 1));
    std::fs::write(folder.dir.join("readings.csv"), text).unwrap();
    let refused = folder.refused();
    assert_eq!(refused.code(), "too_many_rows");
    assert!(refused.to_string().contains("2000000"), "{refused}");
}

#[test]
fn a_plan_alone_is_no_record_and_no_folder_is_none() {
    let folder = Folder::new();
    for file in ["readings.csv", "actions.csv", "jars.csv"] {
        std::fs::remove_file(folder.dir.join(file)).unwrap();
    }
    assert_eq!(folder.refused().code(), "record_missing");
    let error = folder::read(Path::new("no/such/folder")).unwrap_err();
    assert_eq!(error.code(), "file_unreadable");
    assert!(error.to_string().contains("run.toml"), "{error}");
}

#[test]
fn a_dotted_key_of_ten_thousand_parts_is_refused_before_it_is_parsed() {
    let sound = folder::write_plan(&crate::common::plan()).unwrap();
    let key = vec!["a"; 10_000].join(".");
    for text in [format!("{key} = 1\n{sound}"), format!("{sound}\n[{key}]\n")] {
        let error = refusal("run.toml", text);
        assert_eq!(error.code(), "plan_unreadable");
        assert!(error.to_string().contains("more than 8 parts"), "{error}");
    }
}

#[test]
fn a_byte_order_mark_is_taken_in_every_file() {
    let folder = Folder::new();
    let before = folder::read(&folder.dir).unwrap();
    for file in ["run.toml", "readings.csv", "actions.csv", "jars.csv"] {
        let path = folder.dir.join(file);
        let text = std::fs::read_to_string(&path).unwrap();
        std::fs::write(&path, format!("\u{feff}{text}")).unwrap();
    }
    assert_eq!(folder::read(&folder.dir).unwrap(), before);
}

#[test]
fn lines_are_counted_over_blank_lines_quoted_line_ends_and_carriage_returns() {
    let cases = [
        ("time_s,action,note\n\n0,note,\"two\nlines\"\n1,dance,\n", 5),
        ("time_s,action,note\r\n\r\n0,note,\"two\r\nlines\"\r\n1,dance,\r\n", 5),
        ("time_s,action,note\n0,note,\"two\nlines\"\n\n\n1,dance,\"\na\"", 6),
        ("time_s,action,note\n0,here,\n1,dance,", 3),
    ];
    for (text, line) in cases {
        let error = refusal("actions.csv", text).to_string();
        assert!(error.contains(&format!("actions.csv:{line}:")), "{error} {text:?}");
    }
}

#[test]
fn a_refused_key_is_placed_by_line_column_and_path() {
    let sound = folder::write_plan(&crate::common::plan()).unwrap();
    let text = sound.replacen("until_rise_k = 0.4", "until_rise_k = \"0.4\"", 1);
    let line = text.lines().position(|line| line.starts_with("until_rise_k")).unwrap() + 1;
    let error = refusal("run.toml", text).to_string();
    assert!(error.contains(&format!("run.toml:{line}:1: step[2].until_rise_k: ")), "{error}");
    assert!(error.contains("expected a number"), "{error}");
    let twice = sound.replacen("[charge]\n", "[charge]\nlitres = 5.0\n", 1);
    let error = refusal("run.toml", twice).to_string();
    assert!(error.contains("charge.litres: duplicate key"), "{error}");
}

#[test]
fn a_column_of_a_later_format_is_refused_where_run_toml_says_the_earlier() {
    let folder = Folder::new();
    let readings = "time_s,head_c,receiver_kg\n0,20,0.4\n";
    std::fs::write(folder.dir.join("readings.csv"), readings).unwrap();
    let said = folder.refused().to_string();
    assert!(said.contains("receiver_kg") && said.contains("later format"), "{said}");
    std::fs::write(folder.dir.join("readings.csv"), "time_s,head_c,head_c\n0,20,20\n").unwrap();
    let twice = folder.refused().to_string();
    assert!(twice.contains("head_c") && !twice.contains("later format"), "{twice}");
    std::fs::write(folder.dir.join("readings.csv"), readings).unwrap();
    let plan = folder.dir.join("run.toml");
    let text = std::fs::read_to_string(&plan).unwrap();
    std::fs::write(&plan, text.replacen("format = 1", "format = 2", 1)).unwrap();
    let run = store::folder::read(&folder.dir).expect("format 2 has it");
    assert_eq!(run.rows.readings[0].1.get(sense::Probe::Receiver), Some(0.4));
    std::fs::write(&plan, text.replacen("format = 1", "format = 3", 1)).unwrap();
    assert!(folder.refused().to_string().contains("format"));
}
