//! `cargo xtask package`: a Debian package and a plain archive for each machine, each tried after.

mod archive;
mod deb;
mod machine;
mod tried;

use std::path::Path;

use self::machine::{MACHINES, Made, missing};
use crate::command::{ChoreError, Done, on_path};
use crate::test::target_folder;

/// The option that takes what was built before.
const BUILT: &str = "--built";

/// Makes and tries the packages; with names of machines, only those.
pub(crate) fn run_package(root: &Path, options: &[&str]) -> Done {
    let anew = !options.contains(&BUILT);
    let wanted: Vec<&str> = options.iter().copied().filter(|option| *option != BUILT).collect();
    let names = MACHINES.map(|machine| machine.debian);
    if let Some(other) = wanted.iter().find(|name| !names.contains(name)) {
        return Err(ChoreError::Option {
            given: (*other).to_owned(),
            allowed: format!("{BUILT}, {}", names.join(", ")),
        });
    }
    let target = target_folder(root)?;
    let to = target.join("package");
    std::fs::create_dir_all(&to).map_err(|why| ChoreError::File { path: to.clone(), why })?;
    let mut made = Vec::new();
    for machine in MACHINES {
        if !(wanted.is_empty() || wanted.contains(&machine.debian)) {
            continue;
        }
        if !machine.here && on_path(&[&machine.tool("gcc")]).is_none() {
            let program = machine.tool("gcc");
            return Err(ChoreError::NotStarted { program, why: missing("not on the path") });
        }
        let program = machine.built(root, &target, &to, anew)?;
        let deb = deb::made(root, machine, &program, &to)?;
        let archive = archive::made(root, machine, &program, &to)?;
        made.push(Made { machine, program, deb, archive });
    }
    tried::all(root, &to, &made)
}
