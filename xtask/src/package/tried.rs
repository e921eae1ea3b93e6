//! The packages tried: what they weigh, how soon they answer, whether every machine reckons the same,
//! and whether one installs into a clean Debian and serves there.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use super::machine::{Made, missing};
use crate::command::{ChoreError, Done, on_path, output, run};

/// The Debian that the packages are tried in, and where it comes from.
const DEBIAN: (&str, &str) = ("bookworm", "http://deb.debian.org/debian");
/// Longest wait for an answer.
const PATIENCE: Duration = Duration::from_secs(20);
/// Starts of which the quickest counts.
const STARTS: u32 = 3;

/// A server that is stopped when this is dropped.
struct Served(Child);

impl Drop for Served {
    fn drop(&mut self) {
        // One that is gone already need not be stopped.
        drop(self.0.kill());
        drop(self.0.wait());
    }
}

/// Tries everything; prints a line for each.
pub(super) fn all(root: &Path, to: &Path, made: &[Made]) -> Done {
    let plan = root.join("examples/hollowbank/perry/run.toml");
    let mut forecasts = Vec::new();
    for one in made {
        sizes(one)?;
        let machine = one.machine;
        if machine.command(&one.program).get_program() != one.program
            && on_path(&[machine.emulator]).is_none()
        {
            return Err(ChoreError::NotStarted {
                program: machine.emulator.to_owned(),
                why: missing("not on the path"),
            });
        }
        let version = output(machine.command(&one.program).arg("--version"))?;
        println!("{}: {}", machine.debian, version.trim());
        let mut forecast = machine.command(&one.program);
        forecasts.push(output(forecast.args(["--json", "forecast"]).arg(&plan))?);
        started(one, &to.join(format!("data-{}", machine.debian)))?;
    }
    if let [first, rest @ ..] = &forecasts[..]
        && rest.iter().any(|other| other != first)
    {
        return Err(ChoreError::Differs { what: "the forecast on another machine".to_owned() });
    }
    println!("{} machines, the same forecast to the last byte", forecasts.len());
    unit(root, to, made)?;
    clean_root(to, made)
}

fn sizes(one: &Made) -> Done {
    let size = |path: &Path| {
        let found = fs::metadata(path);
        found
            .map(|found| found.len())
            .map_err(|why| ChoreError::File { path: path.to_owned(), why })
    };
    let mb = |bytes: u64| format!("{}.{} MB", bytes / 1_000_000, bytes / 100_000 % 10);
    let (program, deb) = (mb(size(&one.program)?), mb(size(&one.deb)?));
    let archive = mb(size(&one.archive)?);
    println!("{}: program {program}, .deb {deb}, archive {archive}", one.machine.debian);
    Ok(())
}

/// How long it takes from its start to its first answer.
fn started(one: &Made, data: &Path) -> Done {
    let mut quickest = PATIENCE;
    for _ in 0..STARTS {
        if data.exists() {
            let file = |why| ChoreError::File { path: data.to_owned(), why };
            fs::remove_dir_all(data).map_err(file)?;
        }
        let began = Instant::now();
        let (served, address) = serve(one.machine.command(&one.program), data)?;
        health(&address)?;
        quickest = quickest.min(began.elapsed());
        drop(served);
    }
    println!("{}: answers {} ms after its start", one.machine.debian, quickest.as_millis());
    Ok(())
}

fn serve(mut program: Command, data: &Path) -> Done<(Served, String)> {
    program.args(["serve", "--no-open", "--port", "0", "--data"]).arg(data);
    let not = |why| ChoreError::NotStarted { program: "middlecut serve".to_owned(), why };
    let mut served = Served(program.stdout(Stdio::piped()).spawn().map_err(not)?);
    let mut first = String::new();
    if let Some(out) = served.0.stdout.take() {
        BufReader::new(out).read_line(&mut first).map_err(not)?;
    }
    let address = first.trim().trim_start_matches("http://").trim_end_matches('/').to_owned();
    Ok((served, address))
}

/// Asks whether it is there.
fn health(address: &str) -> Done {
    let asked = || -> std::io::Result<String> {
        let mut stream = TcpStream::connect(address)?;
        stream.set_read_timeout(Some(PATIENCE))?;
        write!(stream, "GET /api/health HTTP/1.0\r\nHost: {address}\r\n\r\n")?;
        let mut answer = String::new();
        stream.read_to_string(&mut answer)?;
        Ok(answer)
    };
    let not = |why| ChoreError::NotStarted { program: format!("http://{address}/"), why };
    let answer = asked().map_err(not)?;
    if answer.contains("\"ok\":true") {
        return Ok(());
    }
    Err(ChoreError::Differs { what: format!("the answer of {address}: {answer}") })
}

/// The service file, held against what systemd knows; the program stands where it names it.
fn unit(root: &Path, to: &Path, made: &[Made]) -> Done {
    let Some(here) = made.first() else { return Ok(()) };
    let file = |why| ChoreError::File { path: to.to_owned(), why };
    let text = fs::read_to_string(root.join("packaging/middlecut.service")).map_err(file)?;
    let folder = to.join("unit");
    fs::create_dir_all(&folder).map_err(file)?;
    let unit = folder.join("middlecut.service");
    let program = here.program.display().to_string();
    fs::write(&unit, text.replace("/usr/bin/middlecut", &program)).map_err(file)?;
    run(Command::new("systemd-analyze").args(["verify", "--man=no"]).arg(&unit))?;
    let said =
        output(Command::new("systemd-analyze").args(["security", "--offline=yes"]).arg(&unit))?;
    println!("{}", said.lines().last().unwrap_or_default().trim());
    Ok(())
}

/// Installs the package of this machine into a clean Debian, and asks what it serves there.
fn clean_root(to: &Path, made: &[Made]) -> Done {
    let here =
        made.iter().find(|one| one.machine.command(&one.program).get_program() == one.program);
    let Some(here) = here else { return Ok(()) };
    let (base, clean) = (to.join("base"), to.join("clean"));
    let file = |why| ChoreError::File { path: clean.clone(), why };
    if !base.join("etc/debian_version").exists() {
        let (suite, from) = DEBIAN;
        let mut bootstrap = Command::new("debootstrap");
        run(bootstrap.args(["--variant=minbase", suite]).arg(&base).arg(from))?;
    }
    if clean.exists() {
        fs::remove_dir_all(&clean).map_err(file)?;
    }
    run(Command::new("cp").arg("-a").arg(&base).arg(&clean))?;
    fs::copy(&here.deb, clean.join("middlecut.deb")).map_err(file)?;
    let inside = |words: &[&str]| {
        let mut command = Command::new("chroot");
        command.arg(&clean).args(words);
        command
    };
    run(&mut inside(&["dpkg", "--install", "/middlecut.deb"]))?;
    let mut service = Command::new("chroot");
    service.arg("--userspec=middlecut:middlecut").arg(&clean).arg("/usr/bin/middlecut");
    let (served, address) = serve(service, Path::new("/var/lib/middlecut"))?;
    health(&address)?;
    drop(served);
    let record = ["/usr/bin/middlecut", "verify", "--data", "/var/lib/middlecut"];
    print!("{}", output(&mut inside(&record))?);
    run(&mut inside(&["dpkg", "--remove", "middlecut"]))?;
    if !clean.join("var/lib/middlecut/middlecut.sqlite").exists() {
        return Err(ChoreError::Differs {
            what: "the record, after the package was removed".into(),
        });
    }
    println!("installed in a clean Debian, served as its own user, removed: the record stayed");
    Ok(())
}
