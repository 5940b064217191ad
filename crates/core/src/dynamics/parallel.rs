//! Independent work on all cores; the answer does not depend on how many there are.

use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// What `work` makes of every job, in the order of the jobs.
pub fn in_parallel<J: Sync, R: Send>(jobs: &[J], work: impl Fn(&J) -> R + Sync) -> Vec<R> {
    on_threads(
        thread::available_parallelism().map_or(1, NonZeroUsize::get),
        jobs,
        work,
    )
}

/// The same on so many threads.
pub(super) fn on_threads<J: Sync, R: Send>(
    threads: usize,
    jobs: &[J],
    work: impl Fn(&J) -> R + Sync,
) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let mut done: Vec<(usize, R)> = thread::scope(|scope| {
        let workers: Vec<_> = (0..threads.min(jobs.len()))
            .map(|_| {
                scope.spawn(|| {
                    let mut own = Vec::new();
                    loop {
                        let index = next.fetch_add(1, Ordering::Relaxed);
                        let Some(job) = jobs.get(index) else {
                            return own;
                        };
                        own.push((index, work(job)));
                    }
                })
            })
            .collect();
        workers
            .into_iter()
            .flat_map(|worker| match worker.join() {
                Ok(own) => own,
                Err(panic) => std::panic::resume_unwind(panic),
            })
            .collect()
    });
    done.sort_by_key(|(index, _)| *index);
    done.into_iter().map(|(_, result)| result).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn property_results_stand_in_the_order_of_the_jobs() {
        let jobs: Vec<u64> = (0..1000).collect();
        let squares = in_parallel(&jobs, |job| job * job);
        assert!(
            squares
                .iter()
                .zip(&jobs)
                .all(|(square, job)| *square == job * job)
        );
        assert!(in_parallel(&[] as &[u64], |job| *job).is_empty());
    }
}
