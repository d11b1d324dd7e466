//! How far a long piece of work is, on a terminal.

use std::time::{Duration, Instant};

use crate::terminal::Terminal;

/// Work that is done sooner shows nothing.
const PATIENCE: Duration = Duration::from_millis(500);
/// A line that changes faster cannot be read.
const BETWEEN: Duration = Duration::from_millis(100);
/// The length of the bar, in columns.
const BAR: u64 = 30;

/// A line that says how far a piece of work is, and is gone when it is done.
pub struct Progress<'a> {
    terminal: &'a mut Terminal,
    most: u64,
    next: Instant,
}

impl<'a> Progress<'a> {
    /// Begins with none of `most` done.
    pub fn new(terminal: &'a mut Terminal, most: u64) -> Progress<'a> {
        Progress { terminal, most, next: Instant::now() + PATIENCE }
    }

    /// Shows that so much is done.
    pub fn at(&mut self, done: u64) {
        let now = Instant::now();
        if now >= self.next {
            self.next = now + BETWEEN;
            self.terminal.status(&line(done, self.most));
        }
    }
}

impl Drop for Progress<'_> {
    fn drop(&mut self) {
        self.terminal.status("");
    }
}

fn line(done: u64, most: u64) -> String {
    let parts = |of: u64| (u128::from(done.min(most)) * u128::from(of) / u128::from(most.max(1))) as usize;
    let filled = parts(BAR);
    format!("trying assemblies [{}{}] {} %", "#".repeat(filled), " ".repeat(BAR as usize - filled), parts(100))
}

#[cfg(test)]
mod tests {
    use super::line;

    #[test]
    fn a_bar_fills() {
        assert_eq!(line(0, 200), format!("trying assemblies [{}] 0 %", " ".repeat(30)));
        assert_eq!(line(100, 200), format!("trying assemblies [{}{}] 50 %", "#".repeat(15), " ".repeat(15)));
        assert_eq!(line(u64::MAX, u64::MAX), format!("trying assemblies [{}] 100 %", "#".repeat(30)));
        assert_eq!(line(1, 0), format!("trying assemblies [{}] 0 %", " ".repeat(30)));
    }
}
