//! The value of an input, from what stands behind `NAME=`.

use shimwright_engine::document::assign::{Fault, Group};
use shimwright_engine::document::tree::{Entry, Node};

use super::answers::Answer;
use crate::language::{Input, Takes};

/// Reads all that the command line says of one input.
pub(super) fn read(input: &Input, group: &Group<'_>) -> Result<Answer, Fault> {
    let node = match input.takes {
        Takes::Readings => {
            return Ok(Answer { node: group.readings()?, instrument: group.instrument()? });
        }
        Takes::Length => group.only()?.length()?,
        Takes::Limits => group.only()?.limits()?,
        Takes::Count => group.only()?.count()?,
        Takes::Kit => kit(input, group.only()?.sizes()?),
        Takes::Shims => group.only()?.shims()?,
        Takes::Choice => group.only()?.word()?,
        Takes::Stations => group.only()?.names()?,
    };
    Ok(Answer { node, instrument: None })
}

/// The default's kit with other sizes. What the default counts and measures, and where its sizes come from, is not
/// true of other sizes; its tolerance is taken to be.
fn kit(input: &Input, sizes: Node) -> Node {
    match &input.default {
        Some(default) => {
            let mut kit = default.clone();
            ["on_hand", "actual", "source"].iter().for_each(|key| kit.remove(key));
            kit.set("sizes", sizes);
            kit
        }
        None => {
            let at = sizes.at;
            Node::map(vec![Entry::new("sizes", sizes)], at)
        }
    }
}
