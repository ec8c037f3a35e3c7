//! Calls into a library that may panic on damaged files.

use std::cell::Cell;
use std::panic::{self, AssertUnwindSafe};
use std::sync::Once;

use crate::read::fault::Fault;

thread_local! {
    static GUARDED: Cell<bool> = const { Cell::new(false) };
}

static QUIET: Once = Once::new();

/// Calls `read`; a panic in it is a damaged file. Nothing is printed of it: the process's panic hook is replaced once
/// by one that is silent for such calls and passes every other panic on to the hook before it.
pub(super) fn guarded<T>(read: impl FnOnce() -> Result<T, Fault>) -> Result<T, Fault> {
    QUIET.call_once(|| {
        let before = panic::take_hook();
        panic::set_hook(Box::new(move |info| {
            if !GUARDED.get() {
                before(info);
            }
        }));
    });
    let outer = GUARDED.replace(true);
    let result = panic::catch_unwind(AssertUnwindSafe(read));
    GUARDED.set(outer);
    result.unwrap_or_else(|_| Err(Fault::damaged("its records contradict each other")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_is_a_damaged_file() {
        let result: Result<(), Fault> = guarded(|| panic!("index out of bounds"));
        assert!(matches!(result, Err(Fault::Damaged(_))));
        assert_eq!(guarded(|| Ok(1)), Ok(1));
    }
}
