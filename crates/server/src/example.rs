//! The example house, read-only and part of the program: `examples/<house>/<run>/run.toml`.

use std::sync::OnceLock;

use rust_embed::RustEmbed;
use still::plan::RunPlan;

#[derive(RustEmbed)]
#[folder = "$CARGO_MANIFEST_DIR/../../examples"]
struct Bundle;

/// The house and its plans.
#[derive(Debug)]
pub(crate) struct ExampleHouse {
    /// What it is called.
    pub(crate) name: String,
    /// Its plans with their ids, the earliest first.
    pub(crate) plans: Vec<(String, RunPlan)>,
}

/// The bundled house. A plan that cannot be read is left out, and a test says so.
pub(crate) fn house() -> &'static ExampleHouse {
    static HOUSE: OnceLock<ExampleHouse> = OnceLock::new();
    HOUSE.get_or_init(|| {
        let mut plans: Vec<(String, RunPlan)> = Bundle::iter()
            .filter(|path| path.ends_with("/run.toml"))
            .filter_map(|path| Some((path.split('/').nth(1)?.to_owned(), text(&path)?)))
            .filter_map(|(id, text)| Some((id, store::folder::parse_plan(&text).ok()?)))
            .collect();
        plans.sort_by(|a, b| a.1.start.cmp(&b.1.start));
        ExampleHouse { name: name().unwrap_or_else(|| "Example".to_owned()), plans }
    })
}

/// The first words of the house's own account of itself.
fn name() -> Option<String> {
    let path = Bundle::iter().find(|path| path.ends_with("README.md"))?;
    let text = text(&path)?;
    let heading = text.lines().find_map(|line| line.strip_prefix("# "))?;
    Some(heading.split(',').next().unwrap_or(heading).trim().to_owned())
}

fn text(path: &str) -> Option<String> {
    String::from_utf8(Bundle::get(path)?.data.into_owned()).ok()
}

#[cfg(test)]
mod tests {
    use super::{Bundle, house};

    #[test]
    fn every_plan_of_the_bundle_can_be_run() {
        let files = Bundle::iter().filter(|path| path.ends_with("run.toml")).count();
        assert!(files > 0);
        assert_eq!(house().plans.len(), files);
        assert_eq!(house().name, "Hollowbank");
        assert!(house().plans.iter().all(|(_, plan)| plan.check().is_ok()));
    }
}
