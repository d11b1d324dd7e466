//! Reading a text from a file or from standard input, within bounds.

use std::fs::{self, File};
use std::io::{self, Read};
use std::path::Path;

use shimwright_engine::document::diagnostic::{Code, Diagnostic};
use shimwright_engine::document::nearest::nearest;
use shimwright_engine::document::source::{SourceId, Sources, Span};
use shimwright_engine::document::yaml::LARGEST_TEXT;

/// What messages call standard input.
pub const STANDARD_INPUT: &str = "standard input";

/// Files of a folder that are looked at for a name near a missing one.
const MOST_NEIGHBOURS: usize = 1000;

/// Reads a file into `sources`. No more than the largest text allowed is read, however large the file is.
///
/// # Errors
/// What is wrong, in one diagnostic: no such file, a folder, too large, not UTF-8.
pub fn file(path: &Path, sources: &mut Sources) -> Result<SourceId, Box<Diagnostic>> {
    let name = path.to_string_lossy();
    let bytes = File::open(path).and_then(bounded).map_err(|fault| no_file(path, &fault))?;
    text(&name, bytes, sources)
}

/// Reads standard input into `sources`.
///
/// # Errors
/// As [`file()`].
pub fn standard_input(sources: &mut Sources) -> Result<SourceId, Box<Diagnostic>> {
    let bytes = bounded(io::stdin()).map_err(|fault| {
        Box::new(Diagnostic::error(Code::NoFile, format!("{STANDARD_INPUT} cannot be read: {fault}")))
    })?;
    text(STANDARD_INPUT, bytes, sources)
}

/// All that a reader has, or one byte more than is allowed.
fn bounded(reader: impl Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    reader.take(LARGEST_TEXT as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn text(name: &str, bytes: Vec<u8>, sources: &mut Sources) -> Result<SourceId, Box<Diagnostic>> {
    if bytes.len() > LARGEST_TEXT {
        let message = format!("{name} is larger than {} MiB, the most that is read", LARGEST_TEXT >> 20);
        let help = "a stack of ten thousand dimensions is below 1 MiB; is this the right file?";
        return Err(Box::new(Diagnostic::error(Code::TooLarge, message).help(help)));
    }
    match String::from_utf8(bytes) {
        Ok(text) => Ok(sources.add(name, text)),
        Err(fault) => Err(not_text(name, fault.as_bytes(), fault.utf8_error().valid_up_to(), sources)),
    }
}

/// The report of a file that is not UTF-8, with the first place where it is not.
fn not_text(name: &str, bytes: &[u8], start: usize, sources: &mut Sources) -> Box<Diagnostic> {
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        let message = format!("{name} is text of two bytes a letter (UTF-16)");
        return Box::new(Diagnostic::error(Code::NoFile, message).help("save it as UTF-8"));
    }
    // A text up to the fault is the same in bytes; the sign that stands for the fault comes right behind it.
    let source = sources.add(name, String::from_utf8_lossy(bytes));
    let at = Span { source, start, end: start + char::REPLACEMENT_CHARACTER.len_utf8() };
    let help = "save it as UTF-8 text from a plain text editor; a spreadsheet or a picture cannot be read";
    Box::new(Diagnostic::error(Code::NoFile, format!("{name} is not UTF-8 text")).at(at).help(help))
}

fn no_file(path: &Path, fault: &io::Error) -> Box<Diagnostic> {
    let name = path.display();
    let message = match fault.kind() {
        io::ErrorKind::NotFound => format!("there is no file `{name}`"),
        io::ErrorKind::IsADirectory => format!("`{name}` is a folder, not a file"),
        io::ErrorKind::PermissionDenied => format!("`{name}` may not be read by you"),
        _ => format!("`{name}` cannot be read: {fault}"),
    };
    let diagnostic = Diagnostic::error(Code::NoFile, message);
    Box::new(match (fault.kind() == io::ErrorKind::NotFound).then(|| neighbour(path)).flatten() {
        Some(near) => diagnostic.help(format!("did you mean `{near}`?")),
        None => diagnostic,
    })
}

/// The file beside a missing one whose name is nearest to it.
fn neighbour(path: &Path) -> Option<String> {
    let folder = path.parent()?;
    let wanted = path.file_name()?.to_str()?;
    let listed = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let entries = fs::read_dir(listed).ok()?.take(MOST_NEIGHBOURS).flatten();
    let mut names: Vec<String> = entries.filter_map(|entry| entry.file_name().into_string().ok()).collect();
    names.sort_unstable();
    let near = nearest(wanted, names.iter().map(String::as_str))?;
    Some(folder.join(near).display().to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fault(name: &str, content: Option<&[u8]>) -> (Diagnostic, Sources) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(name);
        if let Some(content) = content {
            fs::write(&path, content).unwrap();
        }
        let mut sources = Sources::new();
        let fault = *file(&path, &mut sources).unwrap_err();
        (fault, sources)
    }

    #[test]
    fn a_text_is_read_as_it_is() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("stack.yaml");
        fs::write(&path, "unit: mm\r\n").unwrap();
        let mut sources = Sources::new();
        let id = file(&path, &mut sources).unwrap();
        assert_eq!(sources.get(id).text, "unit: mm\r\n");
        assert_eq!(sources.get(id).name, path.display().to_string());
    }

    #[test]
    fn a_missing_file_has_its_neighbour_named() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("gearbox.yaml"), "").unwrap();
        let fault = *file(&folder.path().join("gearbx.yaml"), &mut Sources::new()).unwrap_err();
        assert_eq!(fault.code, Code::NoFile);
        assert!(fault.message.starts_with("there is no file `"), "{}", fault.message);
        assert!(fault.help.unwrap().ends_with("gearbox.yaml`?"));
    }

    #[test]
    fn a_folder_is_no_file() {
        let folder = tempfile::tempdir().unwrap();
        let fault = *file(folder.path(), &mut Sources::new()).unwrap_err();
        assert_eq!(fault.code, Code::NoFile);
        assert!(fault.message.ends_with("is a folder, not a file"), "{}", fault.message);
    }

    #[test]
    fn no_more_than_the_limit_is_read() {
        /// A file of any size; it fails the test when more than the limit and a byte is asked for.
        struct Endless(usize);
        impl Read for Endless {
            fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
                assert!(self.0 <= LARGEST_TEXT, "read on behind the limit");
                buffer.fill(b'#');
                self.0 += buffer.len();
                Ok(buffer.len())
            }
        }
        let bytes = bounded(Endless(0)).unwrap();
        assert_eq!(bytes.len(), LARGEST_TEXT + 1);
        assert_eq!(text("big", bytes, &mut Sources::new()).unwrap_err().code, Code::TooLarge);
        let allowed = vec![b'#'; LARGEST_TEXT];
        assert!(text("big", allowed, &mut Sources::new()).is_ok());
    }

    #[test]
    fn what_is_not_text_is_pointed_at() {
        let (fault, sources) = fault("latin.yaml", Some(b"title: a\nunit: mm # gr\xf6\xdfe\n"));
        assert_eq!(fault.code, Code::NoFile);
        let at = fault.at.unwrap();
        assert_eq!(sources.line_column(at), (2, 14));
        assert_eq!(sources.text(at), "\u{fffd}");
    }

    #[test]
    fn two_bytes_a_letter_has_words_of_its_own() {
        let (fault, _) = fault("wide.yaml", Some(b"\xff\xfeu\0n\0i\0t\0"));
        assert!(fault.message.contains("UTF-16"), "{}", fault.message);
    }
}
