//! Answers a command line that could not be read: help where it was asked for, else error and hint.

use std::process::ExitCode;

use clap::error::{ContextKind, ContextValue, ErrorKind};

use crate::failure::Failure;
use crate::print;

/// Prints help to standard output, or the error with a hint to standard error.
pub(crate) fn answer(refused: &clap::Error) -> ExitCode {
    let text = refused.render().to_string();
    if !refused.use_stderr() {
        return match print::text(&text) {
            Ok(()) => ExitCode::SUCCESS,
            Err(why) if why.kind() == std::io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
            Err(_) => ExitCode::FAILURE,
        };
    }
    let message = if refused.kind() == ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand {
        format!("say what to do: {}", commands_of(&text).join(", "))
    } else {
        let what = what_is_wrong(&text);
        what.strip_prefix("error: ").unwrap_or(what).to_owned()
    };
    let failure = Failure {
        message,
        field: refused.get(ContextKind::InvalidArg).and_then(first_word),
        value: refused.get(ContextKind::InvalidValue).and_then(first_word),
        hint: hint(refused),
        ..Failure::default()
    };
    // What was typed could not be read, so the option is looked for where it stands.
    failure.say(std::env::args_os().any(|word| word == "--json"));
    ExitCode::from(2)
}

/// The message without the usage lines that follow it.
fn what_is_wrong(text: &str) -> &str {
    let ends = ["\n\nUsage:", "\n\nFor more information", "\n\n  tip:"];
    let end = ends.iter().filter_map(|mark| text.find(mark)).min().unwrap_or(text.len());
    text[..end].trim_end()
}

/// The commands that a help lists.
fn commands_of(help: &str) -> Vec<&str> {
    let list = help.split("\nCommands:\n").nth(1).unwrap_or_default();
    let lines = list.lines().take_while(|line| !line.is_empty());
    // A line that goes on from the one before begins further in.
    let names = lines.filter_map(|line| line.strip_prefix("  ")?.split(' ').next());
    names.filter(|name| !name.is_empty() && *name != "help").collect()
}

fn hint(refused: &clap::Error) -> String {
    let suggested =
        [ContextKind::SuggestedSubcommand, ContextKind::SuggestedArg, ContextKind::SuggestedValue];
    let near = suggested.into_iter().filter_map(|kind| refused.get(kind)).find_map(first_word);
    if let Some(near) = near {
        return format!("did you mean {near}?");
    }
    match refused.kind() {
        ErrorKind::ValueValidation => value_hint(refused).to_owned(),
        ErrorKind::ArgumentConflict => {
            "give only one of them, once; --help shows an example".to_owned()
        }
        ErrorKind::InvalidSubcommand => "middlecut --help lists the commands".to_owned(),
        _ => "--help after the command shows its options and an example".to_owned(),
    }
}

/// What the refused value should look like.
fn value_hint(refused: &clap::Error) -> &'static str {
    let argument = refused.get(ContextKind::InvalidArg).map(ToString::to_string);
    match argument.unwrap_or_default().as_str() {
        name if name.contains("L@P") => "a part is LITRES@STRENGTH, as 0.35@94.2",
        name if name.contains("--sugar") => "sugar is KIND=KG, as dextrose=4.5",
        name if name.contains("--port") => {
            "a port is a whole number from 0 to 65535; 0 takes a free one"
        }
        name if name.contains("--seed") => "a seed is a whole number, 0 or more",
        _ => "give one finite number with a decimal point or comma, as 95.5 or 95,5",
    }
}

fn first_word(value: &ContextValue) -> Option<String> {
    match value {
        ContextValue::String(word) => Some(word.clone()),
        ContextValue::Strings(words) => words.first().cloned(),
        _ => None,
    }
}
