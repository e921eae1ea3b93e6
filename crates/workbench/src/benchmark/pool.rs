//! Works through a list several pieces at a time; the number at a time changes no result.

use std::panic::{AssertUnwindSafe, catch_unwind};

use indicatif::{ProgressBar, ProgressStyle};
use rayon::ThreadPoolBuilder;
use rayon::iter::{ParallelBridge, ParallelIterator};

use crate::error::BenchError;

/// What came of every item, in their order. The largest `size` is begun first, so that no core
/// waits for one long piece at the end.
pub(super) fn each<T: Sync, R: Send>(
    items: &[T],
    jobs: usize,
    size: impl Fn(&T) -> f64,
    work: impl Fn(&T) -> R + Sync,
) -> Result<Vec<R>, BenchError> {
    let mut order: Vec<usize> = (0..items.len()).collect();
    order.sort_by(|&a, &b| size(&items[b]).total_cmp(&size(&items[a])));
    let pool = ThreadPoolBuilder::new().num_threads(jobs).build()?;
    let mut done: Vec<(usize, R)> =
        pool.install(|| order.into_iter().par_bridge().map(|at| (at, work(&items[at]))).collect());
    done.sort_by_key(|(at, _)| *at);
    Ok(done.into_iter().map(|(_, result)| result).collect())
}

/// A bar for that many pieces; hidden where standard error is no terminal.
pub(super) fn bar(pieces: usize, words: &str) -> ProgressBar {
    let style =
        ProgressStyle::with_template(&format!("[{{bar:30}}] {{pos}} of {{len}} {words}  {{msg}}"));
    let bar = ProgressBar::new(pieces as u64);
    style.map_or_else(|_| bar.clone(), |style| bar.clone().with_style(style.progress_chars("#.")))
}

/// A fault of one piece of work, named by `what`, must not take the others with it.
pub(super) fn guarded<T>(
    what: &str,
    work: impl FnOnce() -> Result<T, String>,
) -> Result<T, String> {
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|cause| {
        let words = cause.downcast_ref::<String>().cloned();
        let words = words.or_else(|| cause.downcast_ref::<&str>().map(|words| (*words).to_owned()));
        Err(format!("{what} broke off: {}", words.unwrap_or_default()))
    })
}

#[cfg(test)]
mod tests {
    use super::{each, guarded};

    #[test]
    fn results_stand_in_the_order_of_the_items_however_many_at_a_time() {
        let items = [3.0, 1.0, 2.0];
        for jobs in [1, 2, 9] {
            let done = each(&items, jobs, |&item| item, |&item| 10.0 * item);
            assert_eq!(done.unwrap(), [30.0, 10.0, 20.0]);
        }
        assert!(each(&[], 2, |&item: &f64| item, |&item| item).unwrap().is_empty());
    }

    #[test]
    fn work_that_breaks_off_says_so() {
        let broken = guarded("the replay", || -> Result<(), String> { panic!("no still") });
        assert_eq!(broken, Err("the replay broke off: no still".to_owned()));
        assert_eq!(guarded("the replay", || Ok(5)), Ok(5));
    }
}
