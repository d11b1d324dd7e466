//! What may be a name.

use crate::length::Unit;

/// Why a text cannot be a name of a dimension, a gap or a pack.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadName {
    /// What is wrong.
    pub message: String,
    /// What to write instead.
    pub help: String,
}

/// Checks a name: a letter, then letters, digits, `_`, and single spaces between words.
///
/// # Errors
/// A [`BadName`] that says what is wrong and offers a name that would do.
pub fn check(name: &str) -> Result<(), BadName> {
    let bad = |message: String, help: String| Err(BadName { message, help });
    if name.is_empty() {
        return bad("a name is empty".into(), "give it a name that begins with a letter".into());
    }
    if name.chars().all(|c| c.is_ascii_digit() || c == '.') {
        return bad(
            format!("`{name}` is only digits"),
            format!("begin with a letter: `part {}`", name.replace('.', "_")),
        );
    }
    if Unit::from_word(name).is_some() || name == "of" {
        let what = if name == "of" { "belongs to a share, as in `15 % of cord`" } else { "is a unit" };
        return bad(format!("`{name}` {what}, and cannot be a name"), format!("call it `{name}_` or something longer"));
    }
    let fine = |c: char| c.is_alphanumeric() || c == '_' || c == ' ';
    if let Some(odd) = name.chars().find(|&c| !fine(c)) {
        let message = if odd == '-' {
            format!("`{name}` has a `-` in it, which always means minus")
        } else {
            format!("`{name}` has `{odd}` in it, which a name cannot have")
        };
        return bad(message, format!("write `{}`", mended(name)));
    }
    if !name.starts_with(char::is_alphabetic) {
        return bad(format!("`{name}` does not begin with a letter"), format!("write `{}`", mended(name)));
    }
    if name.contains("  ") || name.ends_with(' ') {
        return bad(
            format!("`{name}` has more than one space between its words, or one at its end"),
            format!("write `{}`", mended(name)),
        );
    }
    Ok(())
}

fn mended(name: &str) -> String {
    let spaced: String = name.chars().map(|c| if c.is_alphanumeric() || c == ' ' { c } else { '_' }).collect();
    let joined = spaced.split_whitespace().collect::<Vec<_>>().join(" ");
    let trimmed = joined.trim_matches('_').trim();
    if trimmed.starts_with(char::is_alphabetic) {
        trimmed.to_owned()
    } else {
        format!("part {trimmed}").trim_end().to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::check;

    #[test]
    fn names_of_the_shop_pass() {
        for name in ["pocket", "lash 1", "gear_2", "größe", "a", "depth of case", "inner ring"] {
            assert_eq!(check(name), Ok(()), "{name}");
        }
    }

    #[test]
    fn what_is_no_name_gets_one_offered() {
        for (name, offered) in [
            ("inner-ring", "`inner_ring`"),
            ("12", "`part 12`"),
            ("in", "`in_`"),
            ("of", "`of_`"),
            ("2 rings", "`part 2 rings`"),
            ("bearing #2", "`bearing _2`"),
            ("two  spaces", "`two spaces`"),
        ] {
            let bad = check(name).unwrap_err();
            assert!(bad.help.contains(offered), "{name}: {}", bad.help);
        }
    }
}
