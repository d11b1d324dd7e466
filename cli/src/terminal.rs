//! The only writer: standard output for the answer, standard error for what is wrong.
//!
//! Text that may hold something out of a file is made harmless on its way; only text that was made here may carry
//! styling, and `anstream` takes that out again for a pipe, for `NO_COLOR` and for a terminal that cannot show it.

use std::io::{self, IsTerminal, Write};

use terminal_size::Width;

use crate::report::text::harmless;

/// The width where it is not known: a pipe, a file.
pub const USUAL_WIDTH: usize = 80;
/// The least width that is written for.
const NARROWEST: usize = 40;
/// The greatest width of an error report, so that its lines can still be followed by eye.
const WIDEST_REPORT: usize = 100;

/// Where the answer and the faults go.
pub struct Terminal {
    out: Box<dyn Write>,
    error: Box<dyn Write>,
    out_width: Option<usize>,
    error_width: Option<usize>,
    /// Whether a line on standard error can be written over.
    error_is_terminal: bool,
    /// Columns of the line that stands there now.
    status_width: usize,
}

impl Terminal {
    /// The process's own standard output and standard error.
    #[must_use]
    pub fn of_process() -> Self {
        // Neither stream stays locked: a panic in a thread that computes must be able to say so.
        Self {
            out: Box::new(anstream::stdout()),
            error: Box::new(anstream::stderr()),
            out_width: width(terminal_size::terminal_size_of(io::stdout())),
            error_width: width(terminal_size::terminal_size_of(io::stderr())),
            error_is_terminal: io::stderr().is_terminal(),
            status_width: 0,
        }
    }

    /// Two writers in place of the process's own, both of unknown width, that take no styling.
    #[must_use]
    pub fn of_writers(out: impl Write + 'static, error: impl Write + 'static) -> Self {
        Self {
            out: Box::new(Plain(out)),
            error: Box::new(Plain(error)),
            out_width: None,
            error_width: None,
            error_is_terminal: false,
            status_width: 0,
        }
    }

    /// The width for running text on standard output, in columns: that of the terminal, at most 80.
    #[must_use]
    pub fn text_width(&self) -> usize {
        self.out_width.unwrap_or(USUAL_WIDTH).clamp(NARROWEST, USUAL_WIDTH)
    }

    /// The width for a report of faults on standard error, in columns: that of the terminal, at most 100.
    #[must_use]
    pub fn error_width(&self) -> usize {
        self.error_width.unwrap_or(USUAL_WIDTH).clamp(NARROWEST, WIDEST_REPORT)
    }

    /// Writes text to standard output; control characters other than the end of a line are shown, not sent.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn print(&mut self, text: &str) -> io::Result<()> {
        write_harmless(&mut *self.out, text)
    }

    /// Writes text to standard output that was made here and may carry styling.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn print_styled(&mut self, text: &str) -> io::Result<()> {
        self.out.write_all(text.as_bytes())
    }

    /// Writes text to standard error; control characters other than the end of a line are shown, not sent.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn say(&mut self, text: &str) -> io::Result<()> {
        write_harmless(&mut *self.error, text)
    }

    /// Writes text to standard error that was made here and may carry styling.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn say_styled(&mut self, text: &str) -> io::Result<()> {
        self.error.write_all(text.as_bytes())?;
        self.error.flush()
    }

    /// Shows a line on standard error in place of the one before, where that is a terminal; an empty one leaves nothing
    /// behind. What cannot be shown is left out: it is no part of the answer.
    pub fn status(&mut self, text: &str) {
        let columns = text.chars().count();
        if !self.error_is_terminal || (columns == 0 && self.status_width == 0) {
            return;
        }
        let blanks = " ".repeat(self.status_width.saturating_sub(columns));
        let back = if columns == 0 { "\r" } else { "" };
        self.status_width = columns;
        drop(self.error.write_all(format!("\r{text}{blanks}{back}").as_bytes()).and_then(|()| self.error.flush()));
    }

    /// Sends on what standard output still holds.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

fn width(size: Option<(Width, terminal_size::Height)>) -> Option<usize> {
    // A terminal that reports no columns does not know its width.
    size.map(|(Width(columns), _)| usize::from(columns)).filter(|&columns| columns > 0)
}

fn write_harmless(writer: &mut dyn Write, text: &str) -> io::Result<()> {
    for line in text.split_inclusive('\n') {
        let (content, end) = line.strip_suffix('\n').map_or((line, ""), |content| (content, "\n"));
        writer.write_all(harmless(content).as_bytes())?;
        writer.write_all(end.as_bytes())?;
    }
    writer.flush()
}

/// A writer that takes the styling out.
struct Plain<W>(W);

impl<W: Write> Write for Plain<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        anstream::adapter::strip_bytes(bytes).try_for_each(|piece| self.0.write_all(piece))?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use std::cell::RefCell;
    use std::rc::Rc;

    use super::*;

    /// A writer that keeps what it gets.
    #[derive(Clone, Default)]
    pub(crate) struct Kept(Rc<RefCell<Vec<u8>>>);

    impl Kept {
        /// What was written since the last call.
        pub(crate) fn take(&self) -> String {
            String::from_utf8(self.0.take()).expect("all that is written is UTF-8")
        }
    }

    impl Write for Kept {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            self.0.borrow_mut().extend_from_slice(bytes);
            Ok(bytes.len())
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn no_escape_of_a_file_reaches_the_terminal() {
        let (out, error) = (Kept::default(), Kept::default());
        let mut terminal = Terminal::of_writers(out.clone(), error.clone());
        terminal.print("a\u{1b}[2Jb\nc\u{9b}2Jd\n").unwrap();
        terminal.say("x\u{7}\r\n").unwrap();
        assert_eq!(out.take(), "a␛[2Jb\nc�2Jd\n");
        assert_eq!(error.take(), "x␇␍\n");
    }

    #[test]
    fn a_line_is_written_over_on_a_terminal_and_nowhere_else() {
        let error = Kept::default();
        let mut terminal = Terminal::of_writers(io::sink(), error.clone());
        terminal.status("12 %");
        assert_eq!(error.take(), "");
        terminal.error_is_terminal = true;
        terminal.status("");
        assert_eq!(error.take(), "");
        terminal.status("a longer line");
        terminal.status("12 %");
        terminal.status("");
        assert_eq!(error.take(), "\ra longer line\r12 %         \r    \r");
    }

    #[test]
    fn text_is_for_eighty_columns_where_nothing_is_known() {
        let terminal = Terminal::of_writers(io::sink(), io::sink());
        assert_eq!((terminal.text_width(), terminal.error_width()), (80, 80));
    }
}
