//! The kinds of machine that packages are made for, and how a program is built for each.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::command::{ChoreError, Done, cargo, run};

/// A kind of machine: Debian's name, Rust's, and how its tools are called.
#[derive(Clone, Copy)]
pub(super) struct Machine {
    /// Debian's name.
    pub(super) debian: &'static str,
    triple: &'static str,
    tools: &'static str,
    /// What runs its programs elsewhere.
    pub(super) emulator: &'static str,
    /// Whether it is this one.
    pub(super) here: bool,
}

/// All of them.
pub(super) const MACHINES: [Machine; 2] = [
    Machine {
        debian: "amd64",
        triple: "x86_64-unknown-linux-gnu",
        tools: "x86_64-linux-gnu",
        emulator: "qemu-x86_64",
        here: cfg!(target_arch = "x86_64"),
    },
    Machine {
        debian: "arm64",
        triple: "aarch64-unknown-linux-gnu",
        tools: "aarch64-linux-gnu",
        emulator: "qemu-aarch64",
        here: cfg!(target_arch = "aarch64"),
    },
];

impl Machine {
    /// The tool of that name for its programs.
    pub(super) fn tool(self, name: &str) -> String {
        if self.here { name.to_owned() } else { format!("{}-{name}", self.tools) }
    }

    /// A command that runs one of its programs here.
    pub(super) fn command(self, program: &Path) -> Command {
        if self.here {
            return Command::new(program);
        }
        let mut command = Command::new(self.emulator);
        command.args(["-L", &format!("/usr/{}", self.tools)]).arg(program);
        command
    }

    /// Builds the program and takes out of it what only a debugger reads; gives its copy.
    pub(super) fn built(self, root: &Path, target: &Path, to: &Path, anew: bool) -> Done<PathBuf> {
        let mut build = cargo(root, &["build", "--release", "--quiet", "-p", "middlecut"]);
        let mut from = target.to_owned();
        if !self.here {
            let key = self.triple.to_uppercase().replace('-', "_");
            build.args(["--target", self.triple]);
            build.env(format!("CARGO_TARGET_{key}_LINKER"), self.tool("gcc"));
            build.env(format!("CC_{}", self.triple.replace('-', "_")), self.tool("gcc"));
            from.push(self.triple);
        }
        if anew {
            run(&mut build)?;
        }
        let program = to.join(format!("middlecut-{}", self.debian));
        let file = |why| ChoreError::File { path: program.clone(), why };
        std::fs::copy(from.join("release/middlecut"), &program).map_err(file)?;
        run(Command::new(self.tool("strip")).arg(&program))?;
        Ok(program)
    }
}

/// What was made for one machine.
pub(super) struct Made {
    pub(super) machine: Machine,
    pub(super) program: PathBuf,
    pub(super) deb: PathBuf,
    pub(super) archive: PathBuf,
}

/// That something is not there.
pub(super) fn missing(what: &str) -> std::io::Error {
    std::io::Error::new(std::io::ErrorKind::NotFound, what.to_owned())
}
