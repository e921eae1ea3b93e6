//! Watches rehearsals and recordings second by second and says which rules did not hold.
#![expect(clippy::print_stdout, reason = "it prints what it found")]

use std::collections::BTreeMap;
use std::path::Path;

use advise::LiveOptions;
use rehearse::{Attended, Manner, attend};
use workbench::invariants::{Count, Watch};

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let dir = Path::new(&args[0]);
    let estimate = args.get(1).is_none_or(|word| word != "plain");
    let only = args.get(2).cloned().unwrap_or_default();
    let mut folders = Vec::new();
    collect(dir, &mut folders);
    folders.sort();
    let mut total = Count::default();
    let mut all: BTreeMap<&'static str, u64> = BTreeMap::new();
    for (i, folder) in folders.iter().enumerate() {
        let run = store::folder::read(folder).expect("a folder");
        let manner = if i % 2 == 0 { Manner::Careful } else { Manner::CARELESS[(i / 2) % 8] };
        let mut watch = Watch::new(&run.plan);
        let recorded = only == "recorded";
        let mut claimed = 0.0;
        if recorded {
            let options = LiveOptions { estimate, ..LiveOptions::default() };
            let mut live = advise::Live::new(run.plan.clone(), options).expect("sound");
            let mut cursor = sense::Cursor::new(&run.rows);
            for second in 0..=(run.rows.last_s() as u64) {
                let mut said = Vec::new();
                while let Some(row) = cursor.next_until(second as f64) {
                    said.extend(live.row(row));
                }
                said.extend(live.tick(second));
                watch.second(&live.knowledge(), &said);
            }
            claimed = live.end_now().pure_alcohol_l;
        } else {
            let options = LiveOptions { estimate, ..LiveOptions::default() };
            let how = Attended { seed: i as u64, manner, options };
            match attend(&run.plan, &how, &mut |second| {
                watch.second(&second.live.knowledge(), second.said)
            }) {
                Ok(end) => claimed = end.pure_alcohol_l,
                Err(error) => println!("  ERROR {error}"),
            }
        }
        let charged = run.plan.charge.litres * run.plan.charge.strength_vol / 100.0;
        let (count, broken, counts, alarms) = watch.finish();
        let mut alarm_codes: BTreeMap<&str, u64> = BTreeMap::new();
        for alarm in &alarms {
            *alarm_codes.entry(alarm.code).or_default() += 1;
        }
        let alarms_at: Vec<String> = alarms
            .iter()
            .filter(|a| a.code != "attendant_absent")
            .take(6)
            .map(|a| format!("{}@{:.0}: {} ({})", a.code, a.time_s, a.text, a.how_sure))
            .collect();
        let hearts_end =
            run.outcome.as_ref().and_then(|o| o.get("end_of_hearts_s")).and_then(|v| v.as_f64());
        let fault = run.outcome.as_ref().and_then(|o| o.get("fault")).map(|v| v.to_string());
        println!(
            "{} {manner:?} {} s, moves {}, claimed {claimed:.2} of {charged:.2} L; fault {fault:?} hearts end {hearts_end:?} alarms {alarm_codes:?}",
            folder.display(),
            count.seconds,
            count.moves
        );
        for a in alarms_at {
            println!("    alarm {a}");
        }
        for (rule, n) in &counts {
            println!("    {n} x {rule}");
            *all.entry(rule).or_default() += n;
        }
        for b in broken {
            let mut what = b.what.clone();
            what.truncate(400);
            println!("      {} at {}: {what}", b.rule, b.time_s);
        }
        total.seconds += count.seconds;
        total.checks += count.checks;
        total.moves += count.moves;
    }
    println!("{} runs, {total:?}", folders.len());
    for (rule, n) in all {
        println!("{n} x {rule}");
    }
}

fn collect(dir: &Path, folders: &mut Vec<std::path::PathBuf>) {
    if dir.join("run.toml").is_file() {
        folders.push(dir.to_path_buf());
        return;
    }
    for entry in std::fs::read_dir(dir).expect("a folder").flatten() {
        if entry.path().is_dir() {
            collect(&entry.path(), folders);
        }
    }
}
