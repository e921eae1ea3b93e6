//! Files of a crate use each other one way only: no circles of modules.

use std::collections::{BTreeMap, BTreeSet};

use super::paths::{self, Named, Path};
use super::tree::Tree;

/// Circles that are still there, by crate: each is to be broken and taken out, none may be added.
const KNOWN: [(&str, &[&str]); 1] = [("estimate", &["lesson.rs", "lib.rs", "present.rs"])];
/// How often a name may be handed on by `pub use` before it is found.
const HANDED_ON_MAX: usize = 8;

/// The modules of one crate, by path from its root.
type Modules = BTreeMap<Path, (String, Named)>;
/// Which files a file uses.
type Uses = BTreeMap<String, BTreeSet<String>>;

/// Every circle that is not a known one.
pub(super) fn check(tree: &Tree) -> Vec<String> {
    let mut crates: BTreeMap<&str, Modules> = BTreeMap::new();
    for file in tree.ending("rs") {
        if let Some((folder, path)) = module_of(&file.path) {
            let read = (file.path.clone(), paths::read(&file.text));
            crates.entry(folder).or_default().insert(path, read);
        }
    }
    let circles = crates.values().flat_map(|modules| circles(&uses(modules)));
    let is_known = |circle: &Vec<String>| {
        let of = |name: &str, files: &[&str], file: &String| {
            let below = file.strip_prefix(&format!("crates/{name}/src/"));
            below.is_some_and(|file| files.contains(&file))
        };
        KNOWN.iter().any(|(name, files)| circle.iter().all(|file| of(name, files, file)))
    };
    let new = circles.filter(|circle| !is_known(circle));
    new.map(|circle| format!("{}: files use each other in a circle", circle.join(", "))).collect()
}

/// The folder of the crate's sources and the module's path in it; programs beside a library and
/// their tests stand apart.
fn module_of(file: &str) -> Option<(&str, Path)> {
    let at = file.find("/src/")? + "/src".len();
    let (folder, rest) = (&file[..at], file[at + 1..].strip_suffix(".rs")?);
    let mut path: Path = rest.split('/').map(str::to_owned).collect();
    match path.last().map(String::as_str) {
        Some("main") if path.len() == 1 => {}
        Some("lib" | "mod") => drop(path.pop()),
        _ => {}
    }
    Some((folder, path))
}

fn uses(modules: &Modules) -> Uses {
    let mut uses = Uses::new();
    for (own, (file, named)) in modules {
        if is_test(modules, own) {
            continue;
        }
        let targets = named.used.iter().filter_map(|path| target(modules, own, path, 0));
        let others = targets.filter(|target| target != own && !is_test(modules, target));
        let files = others.filter_map(|target| modules.get(&target).map(|(file, _)| file.clone()));
        uses.insert(file.clone(), files.collect());
    }
    uses
}

/// Whether the module, or one it lies in, is only there in tests.
fn is_test(modules: &Modules, path: &[String]) -> bool {
    (0..path.len()).any(|at| {
        let parent = modules.get(&path[..at]).or_else(|| modules.get(&["main".to_owned()][..]));
        parent.is_some_and(|(_, named)| named.test_modules.contains(&path[at]))
    })
}

/// The module in which what a path names stands, followed through what is handed on.
fn target(modules: &Modules, own: &[String], path: &[String], handed_on: usize) -> Option<Path> {
    let (first, mut rest) = path.split_first()?;
    let mut at: Path = match first.as_str() {
        "crate" => Path::new(),
        "self" => own.to_vec(),
        "super" => own.split_last()?.1.to_vec(),
        child => {
            let inside: Path = own.iter().cloned().chain([child.to_owned()]).collect();
            let named = &modules.get(own)?.1;
            if modules.contains_key(&inside) {
                inside
            } else {
                let (_, meant) = named.called.iter().find(|(name, _)| name == child)?;
                if handed_on > HANDED_ON_MAX || meant.first() == Some(first) {
                    return None;
                }
                let whole: Path = meant.iter().chain(rest).cloned().collect();
                return target(modules, own, &whole, handed_on + 1);
            }
        }
    };
    while let Some((next, after)) = rest.split_first() {
        if next == "super" {
            at.pop();
        } else {
            let inside: Path = at.iter().cloned().chain([next.clone()]).collect();
            if !modules.contains_key(&inside) {
                break;
            }
            at = inside;
        }
        rest = after;
    }
    let given = rest.first().and_then(|name| {
        let handed = &modules.get(&at)?.1.handed_on;
        handed.iter().find(|(known, _)| known == name).map(|(_, path)| path)
    });
    match given {
        Some(path) if handed_on < HANDED_ON_MAX => {
            target(modules, &at, path, handed_on + 1).or(Some(at))
        }
        _ => Some(at),
    }
}

/// Sets of files each of which reaches all the others.
fn circles(uses: &Uses) -> Vec<Vec<String>> {
    let reached: BTreeMap<&String, BTreeSet<&String>> =
        uses.keys().map(|file| (file, reach(uses, file))).collect();
    let mut found: BTreeSet<Vec<String>> = BTreeSet::new();
    for (file, others) in &reached {
        if others.contains(file) {
            let both = others.iter().filter(|other| reached[**other].contains(file));
            found.insert(both.map(|other| (*other).clone()).collect());
        }
    }
    found.into_iter().collect()
}

fn reach<'a>(uses: &'a Uses, from: &String) -> BTreeSet<&'a String> {
    let mut reached = BTreeSet::new();
    let mut open: Vec<&String> = uses.get(from).into_iter().flatten().collect();
    while let Some(file) = open.pop() {
        if uses.contains_key(file) && reached.insert(file) {
            open.extend(&uses[file]);
        }
    }
    reached
}

#[cfg(test)]
mod tests {
    use super::check;
    use crate::tidy::tree::{File, Tree};

    fn found(files: &[(&str, &str)]) -> Vec<String> {
        let file = |(path, text): &(&str, &str)| File {
            path: format!("crates/one/src/{path}"),
            text: (*text).to_owned(),
        };
        check(&Tree { files: files.iter().map(file).collect() })
    }

    #[test]
    fn two_files_that_use_each_other_are_found() {
        let circle = found(&[
            ("lib.rs", "mod a;\nmod b;\n"),
            ("a.rs", "use super::b::B;\n"),
            ("b.rs", "fn f() { crate::a::g(); }\n"),
        ]);
        assert_eq!(circle.len(), 1, "{circle:?}");
        assert!(circle[0].contains("a.rs, crates/one/src/b.rs"), "{circle:?}");
    }

    #[test]
    fn a_circle_of_three_through_what_is_handed_on_is_found() {
        let circle = found(&[
            ("lib.rs", "mod a;\nmod b;\nmod c;\npub use a::A;\n"),
            ("a.rs", "use super::b;\nfn f() { b::g(); }\n"),
            ("b.rs", "use crate::c::{C, D as E};\n"),
            ("c.rs", "use crate::A;\n"),
        ]);
        assert_eq!(circle.len(), 1, "{circle:?}");
    }

    #[test]
    fn a_parent_and_its_child_that_use_each_other_are_found() {
        let circle =
            found(&[("lib.rs", "mod a;\nfn f() { a::g(); }\n"), ("a.rs", "use super::f;\n")]);
        assert_eq!(circle.len(), 1, "{circle:?}");
    }

    #[test]
    fn one_way_and_tests_are_no_circle() {
        let none = found(&[
            ("lib.rs", "mod a;\nmod b;\n#[cfg(test)]\nmod tests;\npub use a::A;\npub use b::B;\n"),
            ("a.rs", "use super::b::B;\n#[cfg(test)]\nmod tests { use super::super::b::X; }\n"),
            ("b.rs", "#[cfg(test)]\nmod tests { use crate::a::A; }\n"),
            ("tests.rs", "use crate::a::A;\nuse crate::B;\n"),
        ]);
        assert_eq!(none, [""; 0]);
    }
}
