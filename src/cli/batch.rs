//! Work in parallel, results in order: however many files are worked on at once, each result is delivered in its
//! turn, and only a few wait for theirs. What is held does not grow with the number of files.

use std::num::NonZero;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;

use super::failure::Failure;
use super::stop::Stop;

/// Results that may wait for their turn, for each worker: enough that a large file among small ones keeps nobody
/// waiting, and few enough to be held.
const WAITING: usize = 16;

/// What workers and the deliverer share.
struct Line<R> {
    /// The next piece of work.
    next: usize,
    /// How many results have been delivered.
    delivered: usize,
    /// Results that wait for their turn, each in the slot of its number.
    ready: Vec<Option<R>>,
    /// Workers that have not gone home.
    working: usize,
}

struct Shared<R> {
    line: Mutex<Line<R>>,
    /// A result was delivered: there is room for another.
    room: Condvar,
    /// A result is there, or a worker has gone home.
    arrived: Condvar,
}

impl<R> Shared<R> {
    fn line(&self) -> MutexGuard<'_, Line<R>> {
        self.line.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Says that a worker has gone home, even where it fell over its work.
struct Home<'a, R>(&'a Shared<R>);

impl<R> Drop for Home<'_, R> {
    fn drop(&mut self) {
        self.0.line().working -= 1;
        self.0.arrived.notify_one();
    }
}

/// How many files to work on at once, where the call does not say: one for each core.
pub fn cores() -> usize {
    thread::available_parallelism().map_or(1, NonZero::get)
}

/// Does the pieces of work `0..count`, up to `jobs` at once, and delivers the results in order. Once `stop` is
/// wanted no new piece is begun; those in hand are finished and delivered. Gives the number of results delivered.
///
/// # Errors
/// When the threads can't be started.
pub fn in_order<R: Send>(
    jobs: usize,
    count: usize,
    stop: &Stop,
    work: impl Fn(usize) -> R + Sync,
    mut deliver: impl FnMut(usize, R),
) -> Result<usize, Failure> {
    let jobs = jobs.min(count);
    if jobs <= 1 {
        let mut delivered = 0;
        while delivered < count && !stop.is_wanted() {
            deliver(delivered, work(delivered));
            delivered += 1;
        }
        return Ok(delivered);
    }
    let slots = (jobs * WAITING).min(count);
    let shared = Shared {
        line: Mutex::new(Line {
            next: 0,
            delivered: 0,
            ready: std::iter::repeat_with(|| None).take(slots).collect(),
            working: 0,
        }),
        room: Condvar::new(),
        arrived: Condvar::new(),
    };
    let worker = || {
        let _home = Home(&shared);
        loop {
            let mut line = shared.line();
            while line.next < count && line.next >= line.delivered + slots && !stop.is_wanted() {
                line = shared.room.wait(line).unwrap_or_else(PoisonError::into_inner);
            }
            if line.next >= count || stop.is_wanted() {
                return;
            }
            let number = line.next;
            line.next += 1;
            drop(line);
            let result = work(number);
            let mut line = shared.line();
            if let Some(slot) = line.ready.get_mut(number % slots) {
                *slot = Some(result);
            }
            if line.delivered == number {
                shared.arrived.notify_one();
            }
        }
    };
    thread::scope(|scope| {
        for started in 0..jobs {
            shared.line().working += 1;
            if let Err(error) = thread::Builder::new().spawn_scoped(scope, worker) {
                shared.line().working -= 1;
                // Fewer hands do the same work.
                if started == 0 {
                    return Err(Failure::new(
                        format!("The work can't be started: {error}."),
                        "Try --jobs 1.",
                    ));
                }
                break;
            }
        }
        let mut line = shared.line();
        loop {
            let number = line.delivered;
            if let Some(result) = line.ready.get_mut(number % slots).and_then(Option::take) {
                line.delivered += 1;
                shared.room.notify_all();
                drop(line);
                deliver(number, result);
                line = shared.line();
            } else if line.working == 0 {
                return Ok(number);
            } else {
                line = shared.arrived.wait(line).unwrap_or_else(PoisonError::into_inner);
            }
        }
    })
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::time::Duration;

    use super::*;

    #[test]
    fn results_come_in_order_and_few_wait() {
        for jobs in [1, 2, 7] {
            let (begun, mut seen) = (AtomicUsize::new(0), Vec::new());
            let mut ahead = 0;
            let work = |number: usize| {
                begun.fetch_add(1, Ordering::SeqCst);
                // The first piece takes longest: all others have to wait for it.
                thread::sleep(Duration::from_millis(if number == 0 { 50 } else { 0 }));
                number * 10
            };
            let delivered = in_order(jobs, 500, &Stop::never(), work, |number, result| {
                ahead = ahead.max(begun.load(Ordering::SeqCst) - number);
                assert_eq!(result, number * 10);
                seen.push(number);
            });
            assert_eq!(delivered.unwrap(), 500);
            assert_eq!(seen, (0..500).collect::<Vec<_>>());
            assert!(ahead <= jobs * WAITING + jobs, "{ahead} with {jobs} jobs");
        }
    }

    #[test]
    fn a_stop_delivers_what_is_in_hand_and_begins_nothing_new() {
        for jobs in [1, 4] {
            let stop = Stop::never();
            let mut seen = Vec::new();
            let delivered = in_order(
                jobs,
                1000,
                &stop,
                |number| number,
                |number, _| {
                    seen.push(number);
                    if number == 20 {
                        stop.now();
                    }
                },
            );
            let delivered = delivered.unwrap();
            assert_eq!(seen, (0..delivered).collect::<Vec<_>>(), "without a gap");
            assert!((21..=21 + jobs * WAITING).contains(&delivered), "{delivered}");
        }
    }

    #[test]
    fn nothing_to_do_is_done_at_once() {
        assert_eq!(in_order(4, 0, &Stop::never(), |_| (), |_, ()| ()).unwrap(), 0);
    }
}
