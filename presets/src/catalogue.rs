//! The presets that there are.

use std::sync::LazyLock;

use shimwright_engine::document::diagnostic::{Code, Diagnostic};
use shimwright_engine::document::nearest::nearest;
use shimwright_engine::document::source::Sources;
use shimwright_engine::document::tree::Node;
use shimwright_engine::document::yaml;

include!(concat!(env!("OUT_DIR"), "/files.rs"));

/// A preset in the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Its name.
    pub name: &'static str,
    /// What it is for, in a few words.
    pub title: String,
    /// The family of assemblies that it belongs to.
    pub family: String,
    /// The text of its file.
    pub text: &'static str,
}

static ALL: LazyLock<Vec<Entry>> = LazyLock::new(|| FILES.iter().map(|&(name, text)| entry(name, text)).collect());

/// Every preset, by name.
#[must_use]
pub fn catalogue() -> &'static [Entry] {
    &ALL
}

/// The preset of a name.
///
/// # Errors
/// None has it; the nearest is offered.
pub fn find(name: &str) -> Result<&'static Entry, Box<Diagnostic>> {
    if let Some(found) = catalogue().iter().find(|entry| entry.name == name) {
        return Ok(found);
    }
    let known = || catalogue().iter().map(|entry| entry.name);
    let fault = Diagnostic::error(Code::UnknownPreset, format!("no preset is called `{name}`"));
    Err(Box::new(match nearest(name, known()) {
        Some(near) => fault.help(format!("did you mean `{near}`?")),
        None => fault.help(format!("there are {}", known().collect::<Vec<_>>().join(", "))),
    }))
}

fn entry(name: &'static str, text: &'static str) -> Entry {
    let mut sources = Sources::new();
    let id = sources.add(name, text);
    // A file that is no preset shows up empty in the list and says why when it is used; a test reads them all.
    let tree = yaml::read(&sources, id).ok();
    let field = |key: &str| {
        let text = tree.as_ref().and_then(|tree| tree.get(key)).and_then(Node::text);
        text.unwrap_or_default().to_owned()
    };
    Entry { name, title: field("title"), family: field("family"), text }
}

#[cfg(test)]
mod tests {
    use super::{Code, catalogue, find};

    #[test]
    fn presets_are_listed_by_name_with_title_and_family() {
        let names: Vec<&str> = catalogue().iter().map(|entry| entry.name).collect();
        assert!(names.is_sorted());
        for name in ["drive-shaft", "end-play", "valve-lash"] {
            let entry = find(name).unwrap();
            assert!(!entry.title.is_empty() && !entry.family.is_empty(), "{name}");
        }
    }

    #[test]
    fn an_unknown_name_gets_the_nearest() {
        let fault = find("driveshaft").unwrap_err();
        assert_eq!(fault.code, Code::UnknownPreset);
        assert_eq!(fault.help.as_deref(), Some("did you mean `drive-shaft`?"));
        assert!(find("gearbox of a mill").unwrap_err().help.unwrap().contains("valve-lash"));
    }
}
