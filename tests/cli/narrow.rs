//! Answers fit a screen of 80 columns, whatever things are called. The figures and names are invented.

use proptest::prelude::*;

use crate::tool::run_with;

/// The columns of the screen that an answer is for where nothing is known of it.
const COLUMNS: usize = 80;

/// Names of up to forty letters, of one word or of several.
fn name() -> impl Strategy<Value = String> {
    prop_oneof![
        3 => "[a-z]{2,9}( [a-z]{1,8}){3}",
        1 => "[a-z]{38}q",
        1 => "[a-z]{3,6}",
    ]
}

/// A document of two gaps on one pack, with everything named by `names`.
fn document(names: &[String], shims: usize, found: bool, preload: bool) -> String {
    let [pocket, gear, ring, wear, gap, second, pack, kit, gauge, place, other] = names else { panic!("eleven names") };
    // With four shims and more the chain has a second pack.
    let (in_chain, other_pack) = match shims {
        ..4 => (String::new(), String::new()),
        _ => (format!(" - {other}"), format!("\n  {other}: {{ kit: {kit}, count: [0, 2], fitted: [0.10] }}")),
    };
    let fitted = vec!["0.10"; shims].join(", ");
    let found =
        if found { format!(", found: {{ readings: [0.21, 0.22], instrument: {gauge} }}") } else { String::new() };
    let sense = if preload { ", as: preload" } else { "" };
    format!(
        "instruments:
  {gauge}: {{ limit_of_error: 0.02, zero_error: 0.01, repeatability: 0.01 }}
dimensions:
  {pocket}: {{ readings: {{ {place}: 53.97, other side: 54.07 }}, instrument: {gauge}, allow_spread: 0.05 }}
  {gear}: {{ size: 30, tolerance: 0.02, material: steel }}
  {ring}: {{ readings: [11.985, 11.987, 11.98], instrument: {gauge} }}
  {wear}: {{ size: 11.20, tolerance: [-0.05, 0] }}
gaps:
  {gap}: {{ chain: {pocket} - {gear} - {ring} - 1.5 * {wear} / 1.5 - {pack}{in_chain}, accept: [0.10, 0.32]{found}{sense} }}
  {second}: {{ chain: {gap} + 2 * {wear} - 22.00, accept: at most 0.9, target: 0.5 }}
packs:
  {pack}: {{ kit: {kit}, count: [0, 8], fitted: [{fitted}] }}{other_pack}
kits:
  {kit}: {{ sizes: [0.10, 0.15, 0.30], tolerance: 0.01 }}
"
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_line_is_wider_than_the_screen_and_no_name_is_lost(
        names in proptest::collection::hash_set(name(), 11),
        shims in 0..8_usize,
        found: bool,
        preload: bool,
    ) {
        // A name is neither a unit nor a word that the document keeps for itself, whatever the dice say.
        let names: Vec<String> = names.into_iter().map(|name| format!("q{}", &name[1..])).collect();
        let distinct: std::collections::HashSet<&String> = names.iter().collect();
        prop_assume!(distinct.len() == names.len());
        let document = document(&names, shims, found, preload);
        for command in [&["gap", "-", "--tolerances", "0.99", "--samples", "100"][..], &["gap", "-", "--guard"], &["pick", "-"], &["verify", "-"]] {
            let said = run_with(command, &document);
            if command[0] == "verify" && !found {
                prop_assert_eq!(said.status, 3);
                continue;
            }
            prop_assert!([0, 1, 5].contains(&said.status), "{} {}\n{}", said.status, said.err, document);
            for line in said.out.lines() {
                prop_assert!(line.chars().count() <= COLUMNS, "{:?}: {}", command, line);
            }
            // In the sum every part stands with its whole name.
            if command[0] != "verify" && !found {
                for name in &names[..4] {
                    prop_assert!(said.out.lines().any(|line| line.contains(name.as_str())), "{}\n{}", name, said.out);
                }
            }
        }
    }
}

#[test]
fn many_equal_shims_are_counted() {
    let names: Vec<String> =
        "pocket gear ring wear float room shims tray gauge top plates".split(' ').map(String::from).collect();
    let said = |command: &str, shims: usize, found: bool| {
        let said = run_with(&[command, "-"], &document(&names, shims, found, false)).out;
        said.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert!(said("gap", 4, false).contains("- shims 4 x 0.10 0.400"));
    assert!(said("gap", 3, false).contains("- shims 0.10 + 0.10 + 0.10 0.300"));
    assert!(said("verify", 5, true).contains("shims: fitted 5 x 0.10"));
    // The fitted pack is far from the band: the answer has more shims of one size than are spelt out.
    assert!(said("pick", 0, false).starts_with("FIT "));
}
