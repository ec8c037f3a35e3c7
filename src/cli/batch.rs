//! Work in parallel, results in order: however many files are worked on at once, each result is delivered in its
//! turn, and only a few wait for theirs. What is held does not grow with the number of files.

use std::num::NonZero;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;

use super::stop::Stop;

/// Results that may wait for their turn, for each worker: enough that a large file among small ones keeps nobody
/// waiting, and few enough to be held.
const WAITING: usize = 16;

/// What workers share.
struct Line<R> {
    /// The next piece of work.
    next: usize,
    /// How many results have been delivered.
    delivered: usize,
    /// Results that wait for their turn, each in the slot of its number.
    ready: Vec<Option<R>>,
    /// Whether a worker is delivering; it goes on as long as results are ready.
    delivering: bool,
    /// Workers that wait for room.
    waiting: usize,
    /// Whether a worker fell over its work: its result never comes, and nobody is to wait for it.
    broken: bool,
}

struct Shared<R, D> {
    line: Mutex<Line<R>>,
    /// Results were delivered: there is room for others.
    room: Condvar,
    /// Taken by the worker that is delivering, so that nobody waits for it.
    deliver: Mutex<D>,
}

impl<R, D: FnMut(usize, R)> Shared<R, D> {
    fn line(&self) -> MutexGuard<'_, Line<R>> {
        self.line.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The number of the next piece of work; none where all are begun or no more are wanted.
    fn next(&self, count: usize, stop: &Stop) -> Option<usize> {
        let mut line = self.line();
        loop {
            if line.next >= count || line.broken || stop.is_wanted() {
                return None;
            }
            if line.next < line.delivered + line.ready.len() {
                line.next += 1;
                return Some(line.next - 1);
            }
            line.waiting += 1;
            line = self.room.wait(line).unwrap_or_else(PoisonError::into_inner);
            line.waiting -= 1;
        }
    }

    /// Puts a result in its slot and, where nobody else does, delivers all whose turn it is.
    fn done(&self, number: usize, result: R) {
        let mut line = self.line();
        let slots = line.ready.len();
        if let Some(slot) = line.ready.get_mut(number % slots) {
            *slot = Some(result);
        }
        if line.delivering {
            return;
        }
        line.delivering = true;
        let mut deliver = self.deliver.lock().unwrap_or_else(PoisonError::into_inner);
        loop {
            let number = line.delivered;
            let Some(result) = line.ready.get_mut(number % slots).and_then(Option::take) else { break };
            drop(line);
            deliver(number, result);
            line = self.line();
            line.delivered += 1;
            if line.waiting > 0 {
                self.room.notify_all();
            }
        }
        line.delivering = false;
    }
}

/// Says that a worker fell over its work, so that the others go home too.
struct Home<'a, R, D: FnMut(usize, R)>(&'a Shared<R, D>);

impl<R, D: FnMut(usize, R)> Drop for Home<'_, R, D> {
    fn drop(&mut self) {
        if thread::panicking() {
            self.0.line().broken = true;
            self.0.room.notify_all();
        }
    }
}

/// How many files to work on at once, where the call does not say: one for each core.
pub fn cores() -> usize {
    thread::available_parallelism().map_or(1, NonZero::get)
}

/// Does the pieces of work `0..count`, up to `jobs` at once, and delivers the results in order. Once `stop` is
/// wanted no new piece is begun; those in hand are finished and delivered. Gives the number of results delivered.
///
/// Whoever has done the piece whose turn it is delivers it, and those that waited for it: a thread that only delivers
/// would have to be woken for each. The caller's own thread is one of the workers, so that the work is done even where
/// no other thread can be started.
pub fn in_order<R: Send>(
    jobs: usize,
    count: usize,
    stop: &Stop,
    work: impl Fn(usize) -> R + Sync,
    mut deliver: impl FnMut(usize, R) + Send,
) -> usize {
    let jobs = jobs.min(count);
    if jobs <= 1 {
        let mut delivered = 0;
        while delivered < count && !stop.is_wanted() {
            deliver(delivered, work(delivered));
            delivered += 1;
        }
        return delivered;
    }
    let line = Line {
        next: 0,
        delivered: 0,
        ready: std::iter::repeat_with(|| None).take((jobs * WAITING).min(count)).collect(),
        delivering: false,
        waiting: 0,
        broken: false,
    };
    let shared = Shared { line: Mutex::new(line), room: Condvar::new(), deliver: Mutex::new(deliver) };
    let worker = || {
        let _home = Home(&shared);
        while let Some(number) = shared.next(count, stop) {
            shared.done(number, work(number));
        }
    };
    thread::scope(|scope| {
        for _ in 1..jobs {
            // Fewer hands do the same work.
            if thread::Builder::new().spawn_scoped(scope, worker).is_err() {
                break;
            }
        }
        worker();
    });
    shared.line().delivered
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
            assert_eq!(delivered, 500);
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
            assert_eq!(seen, (0..delivered).collect::<Vec<_>>(), "without a gap");
            assert!((21..=21 + jobs * WAITING).contains(&delivered), "{delivered}");
        }
    }

    #[test]
    fn where_one_falls_over_its_work_nobody_waits_for_it() {
        let delivered = AtomicUsize::new(0);
        let work = |number: usize| assert_ne!(number, 3, "falls over");
        let run = || {
            in_order(4, 1000, &Stop::never(), work, |_, ()| {
                delivered.fetch_add(1, Ordering::SeqCst);
            })
        };
        assert!(std::panic::catch_unwind(std::panic::AssertUnwindSafe(run)).is_err());
        assert!(delivered.into_inner() <= 3, "nothing after it has its turn");
    }

    #[test]
    fn nothing_to_do_is_done_at_once() {
        assert_eq!(in_order(4, 0, &Stop::never(), |_| (), |_, ()| ()), 0);
    }
}
