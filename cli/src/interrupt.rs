//! Ctrl-C: at any time but while random assemblies are drawn it ends the process; then it ends the drawing first, and the
//! process at its second time.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use signal_hook::consts::SIGINT;
use signal_hook::flag;

/// Watches for Ctrl-C while it lives.
pub struct Interrupt {
    came: Arc<AtomicBool>,
    ends_the_process: Arc<AtomicBool>,
}

impl Interrupt {
    /// Begins to watch.
    ///
    /// # Errors
    /// That the system does not let one.
    pub fn watch() -> io::Result<Interrupt> {
        let came = Arc::new(AtomicBool::new(false));
        let ends_the_process = Arc::new(AtomicBool::new(false));
        // They act in this order: the first Ctrl-C finds that it does not end the process, and says that the next one does.
        flag::register_conditional_default(SIGINT, Arc::clone(&ends_the_process))?;
        flag::register(SIGINT, Arc::clone(&came))?;
        flag::register(SIGINT, Arc::clone(&ends_the_process))?;
        Ok(Interrupt { came, ends_the_process })
    }

    /// Whether it came.
    #[must_use]
    pub fn came(&self) -> bool {
        self.came.load(Ordering::Relaxed)
    }
}

impl Drop for Interrupt {
    fn drop(&mut self) {
        self.ends_the_process.store(true, Ordering::Relaxed);
    }
}
