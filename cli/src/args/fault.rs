//! What is wrong with a line that cannot be read, in words of our own. The parser's own words are not used.

use std::ffi::OsString;

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Command as Parser, CommandFactory};
use shimwright_engine::document::diagnostic::{Code, Diagnostic};
use shimwright_engine::document::nearest::nearest;

use super::Args;

/// A line that cannot be read.
#[derive(Debug, Clone, PartialEq)]
pub struct BadLine {
    /// The command that it names, as far as it names one.
    pub command: Option<&'static str>,
    /// Whether it asks for JSON.
    pub json: bool,
    /// What is wrong.
    pub fault: Diagnostic,
}

impl BadLine {
    /// Reads what the parser found wrong with a line; its first word is the tool's own name.
    #[must_use]
    pub fn of(error: &clap::Error, line: &[OsString]) -> BadLine {
        let words: Vec<String> = line.iter().skip(1).map(|word| word.to_string_lossy().into_owned()).collect();
        // Behind `--` there are no options.
        let json = words.iter().take_while(|word| *word != "--").any(|word| word == "--json");
        let named = Named::of(&words);
        BadLine { command: named.name, json, fault: fault(error, &named) }
    }
}

/// The command of a line.
struct Named {
    /// Its name, as JSON gives it.
    name: Option<&'static str>,
    /// Its options.
    parser: Parser,
}

/// The commands by the words that name them.
const COMMANDS: [&str; 8] = ["gap", "pick", "verify", "reach", "stock", "preset list", "preset show", "preset expand"];

impl Named {
    fn of(words: &[String]) -> Named {
        let mut plain = words.iter().filter(|word| !word.starts_with('-')).map(String::as_str);
        let (first, second) = (plain.next().unwrap_or(""), plain.next().unwrap_or(""));
        let both = format!("{first} {second}");
        let name = COMMANDS.into_iter().find(|name| *name == first || *name == both);
        let mut parser = Args::command();
        for word in name.unwrap_or(first).split(' ') {
            parser = parser.find_subcommand(word).cloned().unwrap_or(parser);
        }
        Named { name, parser }
    }

    fn help(&self) -> String {
        match self.name {
            Some(name) => format!("`shimwright {name} --help` says how it is written"),
            None => "`shimwright --help` says how it is written".to_owned(),
        }
    }
}

fn fault(error: &clap::Error, named: &Named) -> Diagnostic {
    let of = |kind: ContextKind| error.get(kind).map(words_of).unwrap_or_default();
    let argument = plain(&of(ContextKind::InvalidArg));
    let value = of(ContextKind::InvalidValue);
    let (message, help) = match error.kind() {
        ErrorKind::MissingRequiredArgument => missing(&argument),
        ErrorKind::UnknownArgument => return unknown(&argument, named),
        ErrorKind::InvalidSubcommand => no_command(&of(ContextKind::InvalidSubcommand), &named.parser),
        ErrorKind::InvalidValue if value.is_empty() => {
            (format!("`{argument}` wants something behind it"), named.help())
        }
        ErrorKind::InvalidValue => {
            let known = of(ContextKind::ValidValue);
            (format!("`{argument} {value}`: that is not one of {known}"), named.help())
        }
        ErrorKind::ValueValidation => {
            let why = std::error::Error::source(error).map_or_else(String::new, ToString::to_string);
            (format!("{}: {why}", shown(&argument, &value)), named.help())
        }
        ErrorKind::ArgumentConflict => {
            let other = plain(&of(ContextKind::PriorArg));
            if other.is_empty() || other == argument {
                (format!("`{argument}` is given twice"), "give it once".to_owned())
            } else {
                (format!("`{argument}` and `{other}` do not go together"), "leave one of them out".to_owned())
            }
        }
        ErrorKind::TooManyValues | ErrorKind::WrongNumberOfValues => {
            (format!("`{argument}` takes nothing behind it"), format!("write `{argument}` alone"))
        }
        ErrorKind::InvalidUtf8 => ("a word of the line is not UTF-8 text".to_owned(), named.help()),
        _ => ("the line cannot be read".to_owned(), named.help()),
    };
    Diagnostic::error(Code::Line, message).help(help)
}

fn missing(argument: &str) -> (String, String) {
    match argument {
        "NAME" => (
            "the name of a preset is missing".to_owned(),
            "name one behind the command; `shimwright preset list` shows all of them".to_owned(),
        ),
        _ => (
            "the stack is missing".to_owned(),
            "behind the command name a file such as box.yaml, a preset, or - for standard input".to_owned(),
        ),
    }
}

fn unknown(word: &str, named: &Named) -> Diagnostic {
    let fault = |message: String| Diagnostic::error(Code::Line, message);
    if !word.starts_with('-') {
        return fault(format!("`{word}` is one word too many")).help(named.help());
    }
    let message = format!("there is no option `{word}`");
    let known = options(&named.parser);
    if let Some(name) = named.name.filter(|_| known.iter().any(|option| option == word)) {
        return fault(format!("`{word}` stands before its command")).help(format!("write it behind `{name}`"));
    }
    // It may be an option of another command, or mistyped.
    let whole = Args::command();
    let owner = whole.get_subcommands().find(|command| options(command).iter().any(|option| option == word));
    if let (Some(owner), Some(name)) = (owner, named.name) {
        return fault(format!("`{word}` is an option of `{}`, not of `{name}`", owner.get_name())).help("leave it out");
    }
    match nearest(word, known.iter().map(String::as_str)) {
        Some(near) => fault(message).help(format!("did you mean `{near}`?")),
        None => fault(message).help(named.help()),
    }
}

fn no_command(word: &str, parser: &Parser) -> (String, String) {
    let known: Vec<&str> = parser.get_subcommands().map(Parser::get_name).filter(|name| *name != "help").collect();
    let help = match nearest(word, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("the commands are {}", known.join(", ")),
    };
    (format!("there is no command `{word}`"), help)
}

fn options(command: &Parser) -> Vec<String> {
    command.get_arguments().filter_map(|one| one.get_long()).map(|long| format!("--{long}")).collect()
}

/// A value with what it was given for; what stands by itself needs no name.
fn shown(argument: &str, value: &str) -> String {
    if argument.starts_with('-') { format!("`{argument} {value}`") } else { format!("`{value}`") }
}

/// An argument without the brackets and the placeholder that the parser puts around it: `--unit <UNIT>` is `--unit`.
fn plain(argument: &str) -> String {
    let option = argument.split([' ', '=']).next().unwrap_or("");
    let text = if option.starts_with('-') { option } else { argument };
    text.trim_start_matches(['<', '[']).trim_end_matches(['>', ']', '.']).to_owned()
}

fn words_of(value: &ContextValue) -> String {
    match value {
        ContextValue::String(text) => text.clone(),
        ContextValue::Strings(all) => all.join(", "),
        other => other.to_string(),
    }
}
