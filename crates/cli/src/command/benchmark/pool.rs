//! Works through a list several pieces at a time; the number at a time changes no result.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

/// What came of every item, in their order. The largest `size` is begun first, so that no core
/// waits for one long piece at the end.
pub(super) fn each<T: Sync, R: Send>(
    items: &[T],
    jobs: usize,
    size: impl Fn(&T) -> f64,
    work: impl Fn(&T) -> R + Sync,
) -> Vec<R> {
    let mut order: Vec<usize> = (0..items.len()).collect();
    order.sort_by(|&a, &b| size(&items[b]).total_cmp(&size(&items[a])));
    let next = AtomicUsize::new(0);
    let done: Mutex<Vec<Option<R>>> = Mutex::new(items.iter().map(|_| None).collect());
    std::thread::scope(|scope| {
        for _ in 0..jobs.clamp(1, items.len().max(1)) {
            scope.spawn(|| {
                while let Some(&at) = order.get(next.fetch_add(1, Ordering::Relaxed)) {
                    let result = work(&items[at]);
                    if let Ok(mut done) = done.lock() {
                        done[at] = Some(result);
                    }
                }
            });
        }
    });
    done.into_inner().unwrap_or_else(PoisonError::into_inner).into_iter().flatten().collect()
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
        for jobs in [0, 1, 2, 9] {
            assert_eq!(each(&items, jobs, |&item| item, |&item| 10.0 * item), [30.0, 10.0, 20.0]);
        }
        assert!(each(&[], 2, |&item: &f64| item, |&item| item).is_empty());
    }

    #[test]
    fn work_that_breaks_off_says_so() {
        let broken = guarded("the replay", || -> Result<(), String> { panic!("no still") });
        assert_eq!(broken, Err("the replay broke off: no still".to_owned()));
        assert_eq!(guarded("the replay", || Ok(5)), Ok(5));
    }
}
