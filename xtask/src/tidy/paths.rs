//! Which paths a Rust source names, tests left out: read from its words, without a whole parser.

use std::iter::Peekable;
use std::str::Chars;

/// A path as it stands, `super::fit::Problem` as its three words.
pub(super) type Path = Vec<String>;

/// What a source names.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Named {
    /// Every path of a private `use`, and every path written out in code.
    pub(super) used: Vec<Path>,
    /// What a `use` calls by a name of its own: that name, the path.
    pub(super) called: Vec<(String, Path)>,
    /// What is handed on by `pub use`: the name it has here, the path.
    pub(super) handed_on: Vec<(String, Path)>,
    /// Modules that are only there in tests.
    pub(super) test_modules: Vec<String>,
}

/// Reads a source.
pub(super) fn read(text: &str) -> Named {
    let words = without_tests(&words(text));
    let mut named = Named { test_modules: words.1, ..Named::default() };
    let words = words.0;
    let mut at = 0;
    while at < words.len() {
        // `use<'a>` in a type says what is captured, and names no path.
        if words[at] == "use" && words.get(at + 1).is_none_or(|next| next != "<") {
            let is_public = at > 0 && matches!(words[at - 1].as_str(), "pub" | ")");
            at += 1;
            let mut found = Vec::new();
            tree(&words, &mut at, &[], &mut found);
            if is_public {
                named.handed_on.extend(found);
            } else {
                named.used.extend(found.iter().map(|(_, path)| path.clone()));
                named.called.extend(found);
            }
        } else if is_name(&words[at]) && words.get(at + 1).is_some_and(|next| next == "::") {
            let mut path = vec![words[at].clone()];
            while words.get(at + 1).is_some_and(|next| next == "::")
                && words.get(at + 2).is_some_and(|next| is_name(next))
            {
                path.push(words[at + 2].clone());
                at += 2;
            }
            named.used.push(path);
            at += 1;
        } else {
            at += 1;
        }
    }
    named
}

/// One `use` tree from `at` on, behind the words before it.
fn tree(words: &[String], at: &mut usize, before: &[String], found: &mut Vec<(String, Path)>) {
    let mut path = before.to_vec();
    while let Some(word) = words.get(*at) {
        *at += 1;
        match word.as_str() {
            "::" => {}
            "{" => {
                while words.get(*at).is_some_and(|next| next != "}" && next != ";") {
                    if words[*at] == "," {
                        *at += 1;
                    } else {
                        tree(words, at, &path, found);
                    }
                }
                *at += 1;
                return;
            }
            "," | "}" | ";" => {
                *at -= 1;
                break;
            }
            "as" => {
                let name = words.get(*at).cloned().unwrap_or_default();
                *at += 1;
                found.push((name, path));
                return;
            }
            "self" if !path.is_empty() => {}
            _ => path.push(word.clone()),
        }
    }
    if let Some(name) = path.last().cloned() {
        found.push((name, path));
    }
}

/// Leaves out `#[cfg(test)] mod name { .. }`; says which `#[cfg(test)] mod name;` there are.
fn without_tests(words: &[String]) -> (Vec<String>, Vec<String>) {
    const TEST: [&str; 8] = ["#", "[", "cfg", "(", "test", ")", "]", "mod"];
    let (mut kept, mut modules, mut at) = (Vec::new(), Vec::new(), 0);
    while at < words.len() {
        if !(words.len() > at + 9 && TEST.iter().zip(&words[at..]).all(|(a, b)| a == b)) {
            kept.push(words[at].clone());
            at += 1;
            continue;
        }
        modules.push(words[at + 8].clone());
        at += 9;
        let mut depth = 0;
        while let Some(word) = words.get(at) {
            at += 1;
            depth += i32::from(word == "{") - i32::from(word == "}");
            if depth == 0 {
                break;
            }
        }
    }
    (kept, modules)
}

fn is_name(word: &str) -> bool {
    word.starts_with(|c: char| c.is_alphabetic() || c == '_')
}

/// Names, `::` and single signs; neither comments nor what stands in quotes.
fn words(text: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '/' if chars.peek() == Some(&'/') => while chars.next().is_some_and(|c| c != '\n') {},
            '"' => quoted(&mut chars),
            '\'' => letter_or_lifetime(&mut chars),
            ':' if chars.next_if_eq(&':').is_some() => words.push("::".to_owned()),
            c if c.is_alphanumeric() || c == '_' => {
                let mut word = c.to_string();
                while let Some(c) = chars.next_if(|c| c.is_alphanumeric() || *c == '_') {
                    word.push(c);
                }
                let is_raw =
                    matches!(word.as_str(), "r" | "br") && matches!(chars.peek(), Some('"' | '#'));
                if is_raw { raw(&mut chars) } else { words.push(word) }
            }
            c if c.is_whitespace() => {}
            c => words.push(c.to_string()),
        }
    }
    words
}

fn quoted(chars: &mut Peekable<Chars<'_>>) {
    while let Some(c) = chars.next() {
        match c {
            '\\' => drop(chars.next()),
            '"' => return,
            _ => {}
        }
    }
}

/// A text between `r#"` and `"#`, of as many signs as it opens with.
fn raw(chars: &mut Peekable<Chars<'_>>) {
    let mut signs = 0;
    while chars.next_if_eq(&'#').is_some() {
        signs += 1;
    }
    chars.next();
    while let Some(c) = chars.next() {
        if c == '"' && (0..signs).all(|_| chars.next_if_eq(&'#').is_some()) {
            return;
        }
    }
}

fn letter_or_lifetime(chars: &mut Peekable<Chars<'_>>) {
    match chars.next() {
        Some('\\') => while chars.next().is_some_and(|c| c != '\'') {},
        _ => drop(chars.next_if_eq(&'\'')),
    }
}

#[cfg(test)]
mod tests {
    use super::read;

    fn joined(paths: &[super::Path]) -> Vec<String> {
        paths.iter().map(|path| path.join("::")).collect()
    }

    #[test]
    fn paths_of_uses_and_of_code_are_found() {
        let named = read(
            "use super::fit::{Problem, self as f, deep::{A, B}};\npub(crate) use seen::Seen as S;\n\
             fn x<'a>() { let c = '{'; crate::draws::dot::<f64>(r#\"use a::b;\"#); } // use c::d;\n",
        );
        assert_eq!(
            joined(&named.used),
            [
                "super::fit::Problem",
                "super::fit",
                "super::fit::deep::A",
                "super::fit::deep::B",
                "crate::draws::dot"
            ]
        );
        assert_eq!(named.handed_on, [("S".to_owned(), vec!["seen".to_owned(), "Seen".to_owned()])]);
    }

    #[test]
    fn what_is_no_path_behind_use_ends_too() {
        let named =
            read("fn x<'a>() -> impl Fn() + use<'a> { let b = 1; c::d(); }\nuse { a; b }\n");
        assert!(joined(&named.used).contains(&"c::d".to_owned()), "{named:?}");
    }

    #[test]
    fn tests_name_nothing() {
        let named =
            read("#[cfg(test)]\nmod tests { use super::fit::A; }\n#[cfg(test)]\nmod more;\n");
        assert!(named.used.is_empty());
        assert_eq!(named.test_modules, ["tests", "more"]);
    }
}
