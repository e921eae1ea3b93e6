//! Builds the page with npm into `OUT_DIR/dist`, or puts a page there that says it was not built.
//!
//! The only folder of the source tree it writes to is `web/node_modules`.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::SystemTime;
use std::{env, fs};

/// Set to anything but `0` or nothing, the page is left out (tests of the Rust parts need none).
const SKIP: &str = "MIDDLECUT_SKIP_PAGE";

/// What the page is made of, relative to `web/`. One that is absent is simply not watched.
const INPUTS: [&str; 12] = [
    "index.html",
    "package.json",
    "package-lock.json",
    "vite.config.ts",
    "vite.config.js",
    "paint.ts",
    "svelte.config.js",
    "tsconfig.json",
    "tsconfig.app.json",
    "tsconfig.node.json",
    "public",
    "src",
];

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-changed=placeholder/index.html");
    println!("cargo::rerun-if-env-changed={SKIP}");
    let here = PathBuf::from(env::var_os("CARGO_MANIFEST_DIR").expect("cargo sets it"));
    let dist = PathBuf::from(env::var_os("OUT_DIR").expect("cargo sets it")).join("dist");
    empty_folder(&dist);
    if env::var_os("CARGO_FEATURE_UI").is_none() || skipped() {
        fs::copy(here.join("placeholder/index.html"), dist.join("index.html"))
            .expect("the placeholder is part of the crate and OUT_DIR can be written");
        return;
    }
    let web = here.join("../../web");
    watch(&web);
    install(&web);
    build(&web, &dist);
}

fn skipped() -> bool {
    env::var(SKIP).is_ok_and(|value| !value.is_empty() && value != "0")
}

fn empty_folder(dist: &Path) {
    if dist.exists() {
        fs::remove_dir_all(dist).expect("OUT_DIR belongs to this script");
    }
    fs::create_dir_all(dist).expect("OUT_DIR can be written");
}

/// Names every input, folders file by file, so that `node_modules` is never looked through.
fn watch(web: &Path) {
    let mut waiting: Vec<PathBuf> = INPUTS.iter().map(|name| web.join(name)).collect();
    while let Some(path) = waiting.pop() {
        if !path.exists() {
            continue;
        }
        println!("cargo::rerun-if-changed={}", path.display());
        if let Ok(entries) = fs::read_dir(&path) {
            waiting.extend(entries.flatten().map(|entry| entry.path()));
        }
    }
}

fn modified(path: &Path) -> Option<SystemTime> {
    fs::metadata(path).and_then(|data| data.modified()).ok()
}

/// Runs `npm ci` where the lock file is newer than what is installed.
fn install(web: &Path) {
    let lock = modified(&web.join("package-lock.json"));
    let marker = modified(&web.join("node_modules/.package-lock.json"));
    match (lock, marker) {
        (None, _) => give_up("web/package-lock.json is missing: the page's parts are not known"),
        (Some(lock), Some(marker)) if marker >= lock => {}
        _ => npm(web, &["ci", "--no-audit", "--no-fund"]),
    }
}

fn build(web: &Path, dist: &Path) {
    let out = dist.to_str().expect("a target folder whose path is valid UTF-8");
    npm(web, &["run", "build", "--", "--outDir", out, "--emptyOutDir"]);
    if !dist.join("index.html").is_file() {
        give_up("`npm run build` left no index.html in the folder it was given with --outDir");
    }
}

/// Runs npm in `web/`; what it says is shown only where it fails.
fn npm(web: &Path, arguments: &[&str]) {
    let program = if cfg!(windows) { "npm.cmd" } else { "npm" };
    let said = match Command::new(program).args(arguments).current_dir(web).output() {
        Ok(said) => said,
        Err(error) => give_up(&format!("npm could not be started ({error})")),
    };
    if said.status.success() {
        return;
    }
    for text in [said.stdout, said.stderr] {
        for line in String::from_utf8_lossy(&text).lines() {
            println!("cargo::warning={line}");
        }
    }
    give_up(&format!("`npm {}` failed in web/ (its words are above)", arguments.join(" ")));
}

fn give_up(what: &str) -> ! {
    println!("cargo::error=The page cannot be built: {what}.");
    println!(
        "cargo::error=hint: install Node 20 or newer with npm (Debian: apt install nodejs npm)"
    );
    println!("cargo::error=hint: or build without the page: {SKIP}=1 cargo build");
    std::process::exit(1);
}
