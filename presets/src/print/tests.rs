use proptest::prelude::*;
use shimwright_engine::document::source::{Sources, Span};
use shimwright_engine::document::tree::Key;
use shimwright_engine::document::yaml;

use super::*;

fn read(text: &str) -> Node {
    let mut sources = Sources::new();
    let id = sources.add("test", text);
    yaml::read(&sources, id).unwrap_or_else(|fault| panic!("{}:\n{text}", fault.message))
}

/// Whether two trees are equal apart from places; a plain scalar that YAML cannot hold as one may come back quoted.
fn same(wanted: &Node, got: &Node) -> bool {
    match (&wanted.value, &got.value) {
        (Value::Null, Value::Null) => true,
        (Value::Scalar(a), Value::Scalar(b)) => a.text == b.text && (a.quoted == b.quoted || !is_plain(&a.text)),
        (Value::List(a), Value::List(b)) => a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b)),
        (Value::Map(a), Value::Map(b)) => {
            let alike = |(a, b): (&Entry, &Entry)| a.key.text == b.key.text && same(&a.value, &b.value);
            a.len() == b.len() && a.iter().zip(b).all(alike)
        }
        _ => false,
    }
}

#[test]
fn a_stack_is_printed_as_people_write_it() {
    let text = "\
title: Reduction box, layshaft float
unit: mm
instruments:
  depth gauge: { limit_of_error: 0.03, difference: false }
dimensions:
  pocket:
    readings: { at 12: 53.970, at 4: 53.96, at 8: [53.99, 53.98] }
    instrument: depth gauge
    allow_spread: 0.05 mm
    note: from the joint face down to the bearing seat, with the bearing pressed home
  washer: { size: 2.50, tolerance: [-0.05, 0], source: \"0.50\" }
  seat: 0.02
gaps:
  float: { chain: pocket - 15 % of cord - (2 * washer), accept: [0.05, lug / 2], target: -0.10 }
packs: {}
kits:
  shop washers: { sizes: [], on_hand: { 0.15: 2, 0.20: ~ } }
note: |
  two lines

    the second indented
cautions:
  - \"mind: the step\"
  - \"bearing #2\"
  - \"no\"
  - plain, with a comma
";
    assert_eq!(print(&read(text)), text);
}

#[test]
fn quotes_stand_where_they_are_needed_and_nowhere_else() {
    for plain in [
        "0.050",
        "-0.5",
        "1e-3",
        "lug / 2 - band",
        "depth gauge",
        "true",
        "h9",
        "at least 0.05",
        "15 % of a",
        "a:b",
        "µ",
    ] {
        assert_eq!(print(&Node::scalar(plain, nowhere())), format!("{plain}\n"));
    }
    for other in [
        "", "~", "no", "Yes", "NULL", "- a", "a: b", "a #b", "a:", " a", "a ", "[a", "*a", "!a", "@a", "%a", "?",
        "---", "<<", "a\tb",
    ] {
        let node = Node::map(vec![Entry::new("key", Node::scalar(other, nowhere()))], nowhere());
        assert!(print(&node).starts_with("key: \""), "{other}");
        assert!(same(&node, &read(&print(&node))), "{other}");
    }
}

#[test]
fn what_is_plain_only_outside_brackets_stands_on_its_own_line() {
    let text = "a:\n  b:\n    c: one, two [three]\n    d: x:y\n";
    assert_eq!(print(&read(text)), text);
    let text = "a:\n  -\n    c: one, two\n  - [1, 2]\n";
    assert_eq!(print(&read(text)), text);
}

#[test]
fn one_line_is_for_showing() {
    assert_eq!(inline(&read("a: [1, {b: x}]\n")), "{ a: [1, { b: x }] }");
}

fn nowhere() -> Span {
    Sources::new().add_value("", "")
}

fn tree() -> impl Strategy<Value = Node> {
    let scalar = |text: String, quoted: bool| Node { value: Value::Scalar(Scalar { text, quoted }), at: nowhere() };
    let leaf = prop_oneof![
        1 => Just(Node { value: Value::Null, at: nowhere() }),
        4 => "-?[0-9]{1,3}(\\.[0-9]{0,4})?( mm| in)?".prop_map(move |text| scalar(text, false)),
        4 => "[a-zA-Z~$µ][a-z0-9 _,:#\\[\\]{}*/+%-]{0,12}".prop_map(move |text| scalar(text, false)),
        2 => ".{0,8}".prop_map(move |text| scalar(text, false)),
        4 => ".{0,12}".prop_map(move |text| scalar(text, true)),
        2 => "([a-z][a-z |:#-]{0,8}\n){1,3}".prop_map(move |text| scalar(text, true)),
        2 => "[ \\x00-\\x7f\u{85}\u{2028}\u{feff}é]{0,10}".prop_map(move |text| scalar(text, true)),
    ];
    let key = prop_oneof![4 => "[a-z][a-z0-9 _]{0,8}", 2 => "[0-9.]{1,5}", 2 => ".{0,8}", 1 => "[~<|>\n-]{0,3}"];
    let inner = leaf.prop_recursive(5, 60, 6, move |inner| {
        let entry =
            (key.clone(), inner.clone()).prop_map(|(text, value)| Entry { key: Key { text, at: nowhere() }, value });
        prop_oneof![
            prop::collection::vec(inner, 0..6).prop_map(|items| Node::list(items, nowhere())),
            prop::collection::vec(entry, 0..6).prop_map(|entries| Node::map(entries, nowhere())),
        ]
    });
    // A tree of nothing is not read at all.
    inner.prop_map(|node| Node::map(vec![Entry::new("top", node)], nowhere()))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]

    #[test]
    fn what_is_printed_reads_back(node in tree()) {
        let text = print(&node);
        let back = read(&text);
        prop_assert!(same(&node, &back), "{text}\n{back:#?}");
        prop_assert_eq!(print(&back), text);
    }
}
