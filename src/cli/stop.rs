//! Stopping when the user asks for it (Ctrl-C, or a polite kill): what is in hand is finished and kept, nothing new
//! is begun. Asked a second time, the program ends at once; every file is whole even then.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use signal_hook::consts::{SIGINT, SIGTERM};
use signal_hook::flag;

/// Whether to stop.
#[derive(Clone, Debug)]
pub struct Stop(Arc<AtomicBool>);

/// The exit status of a call that was stopped, as shells know it: 128 and the number of the interrupt signal.
pub const STATUS: u8 = 130;

impl Stop {
    /// Listens from now on.
    pub fn listen() -> Self {
        let stop = Self::never();
        for signal in [SIGINT, SIGTERM] {
            // The first call ends the program where the flag is up already, the second raises it. Where a system
            // has no such signals the program can only be ended the hard way.
            let _ = flag::register_conditional_shutdown(signal, i32::from(STATUS), Arc::clone(&stop.0));
            let _ = flag::register(signal, Arc::clone(&stop.0));
        }
        stop
    }

    /// One that nobody asks for.
    pub fn never() -> Self {
        Self(Arc::new(AtomicBool::new(false)))
    }

    /// Whether to stop.
    pub fn is_wanted(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }

    /// Asks for it.
    #[cfg(test)]
    pub fn now(&self) {
        self.0.store(true, Ordering::Relaxed);
    }
}
