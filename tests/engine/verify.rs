//! The check after assembly, against a table made with numpy, and what is said where reading and sum disagree.

use std::collections::HashMap;

use shimwright_engine::analyse::{Confidence, RestsOn, Slip, Verdict, Verified, VerifyReport, verify};
use shimwright_tests::{close, model_of};

const CASES: &str = include_str!("../data/verify/cases.csv");

fn report_of(text: &str) -> VerifyReport {
    verify(&model_of(text), Confidence::default()).expect("every law has a variance")
}

/// The document that a row of the table stands for.
fn document(row: &HashMap<&str, f64>) -> String {
    let v = |name: &str| row[name];
    let shims = vec![v("shim").to_string(); v("shims") as usize].join(", ");
    format!(
        "instruments:
  one: {{ limit_of_error: {}, zero_error: {}, repeatability: {} }}
  two: {{ limit_of_error: {}, zero_error: {}, repeatability: {} }}
  dial: {{ limit_of_error: {}, repeatability: {}, difference: true }}
dimensions:
  pocket: {{ readings: [{}], instrument: one }}
  cluster: {{ readings: [{}], instrument: one }}
  cover: {{ readings: [{}], instrument: two }}
  gasket: {{ size: {}, sd: {} }}
gaps:
  float:
    chain: pocket - cluster - shims
    target: 0.10
    found: {{ readings: [{}], instrument: dial }}
  end:
    chain: cover + gasket - cluster / 2 - rings + shims
    target: 0.25
    found: {{ readings: [{}], instrument: two }}
packs:
  shims: {{ kit: box, fitted: [{shims}] }}
  rings: {{ kit: box, fitted: [{}] }}
kits:
  box: {{ sizes: [0.30, 0.50], tolerance: {} }}
",
        v("limit_1"),
        v("zero_1"),
        v("sd_1"),
        v("limit_2"),
        v("zero_2"),
        v("sd_2"),
        v("limit_3"),
        v("sd_3"),
        v("pocket"),
        v("cluster"),
        v("cover"),
        v("gasket"),
        v("gasket_sd"),
        v("found_1"),
        v("found_2"),
        v("ring"),
        v("tolerance"),
    )
}

/// Sums of lengths near 60 mm in doubles, and a solution of some ten equations: 1e-11 is well above the rounding of
/// either side, and far below any length that is read.
const ROUNDING_MM: f64 = 1e-11;

#[test]
fn normalised_errors_and_least_squares_agree_with_numpy() {
    let mut lines = CASES.lines().filter(|line| !line.starts_with('#'));
    let names: Vec<&str> = lines.next().expect("a heading").split(',').collect();
    let (mut rows, mut apart) = (0, 0);
    for line in lines {
        let cells = names.iter().copied().zip(line.split(','));
        let row: HashMap<&str, f64> =
            cells.filter_map(|(name, cell)| cell.parse().ok().map(|cell| (name, cell))).collect();
        let report = report_of(&document(&row));
        for (index, gap) in report.gaps.iter().enumerate() {
            let expected = |name: &str| row.get(format!("{name}_{}", index + 1).as_str()).copied();
            let (predicted, predicted_u) = gap.predicted_mm.unwrap();
            close(predicted, expected("predicted").unwrap(), ROUNDING_MM);
            close(predicted_u, expected("predicted_u").unwrap(), ROUNDING_MM);
            close(gap.found_mm.unwrap().1, expected("found_u").unwrap(), ROUNDING_MM);
            // A length off by the rounding over twice an uncertainty of 0.006 mm at least.
            close(gap.normalised_error.unwrap(), expected("en").unwrap(), ROUNDING_MM / 0.012);
            assert_eq!(gap.agrees, Some(expected("best").is_some()), "{line}");
            match expected("best") {
                Some(best) => {
                    close(gap.best_mm.unwrap().0, best, ROUNDING_MM);
                    close(gap.best_mm.unwrap().1, expected("best_u").unwrap(), ROUNDING_MM);
                }
                None => {
                    apart += 1;
                    assert_eq!((gap.best_mm, gap.rests_on), (None, RestsOn::Reading));
                }
            }
        }
        for (pack, name) in report.packs.iter().zip(["change_shims", "change_rings"]) {
            close(pack.change_mm.unwrap(), row[name], ROUNDING_MM);
            close(pack.wanted_mm.unwrap() - pack.fitted_mm.unwrap(), row[name], ROUNDING_MM);
        }
        assert_eq!(report.agrees, report.gaps.iter().all(|gap| gap.agrees == Some(true)));
        rows += 1;
    }
    assert_eq!(rows, 14);
    // Both kinds are there: the script set three rows apart on purpose, and chance some more.
    assert_eq!(apart, 6);
}

/// One gap of a part of 60 mm, a gasket and one shim; `found` is what was read.
fn simple(found: &str, more: &str) -> Verified {
    let text = format!(
        "instruments:
  micrometer: {{ limit_of_error: 0.004, zero_error: 0.006, repeatability: 0.002 }}
dimensions:
  pocket: {{ readings: [60.60], instrument: micrometer }}
  cluster: {{ readings: [60.00], instrument: micrometer }}
  gasket: {{ size: 0.25, sd: 0.005 }}
gaps:
  float: {{ chain: pocket + gasket - cluster - shims, accept: [0.05, 0.25], found: {{ readings: [{found}], instrument: micrometer }} }}
packs:
  shims: {{ kit: box, fitted: [0.30, 0.40] {more} }}
kits:
  box: {{ sizes: [0.10, 0.17, 0.30, 0.40], tolerance: 0.004 }}
"
    );
    report_of(&text).gaps.remove(0)
}

#[test]
fn reading_and_sum_that_agree_are_taken_together() {
    let gap = simple("0.155", "");
    assert_eq!((gap.agrees, gap.rests_on, gap.verdict), (Some(true), RestsOn::Both, Some(Verdict::In)));
    let (best, u) = gap.best_mm.unwrap();
    // Between the two, nearer to the surer one, and surer than either.
    assert!(best > 0.15 && best < 0.155, "{best}");
    assert!(u < gap.found_mm.unwrap().1 && u < gap.predicted_mm.unwrap().1);
    assert!(gap.suspects.is_empty() && gap.slips.is_empty());
}

#[test]
fn the_zero_of_one_micrometer_is_counted_once() {
    // Pocket less cluster: its zero cancels. Read with it, the gap has the zero alone: u_f² has it, the covariance has not.
    let gap = simple("0.155", "");
    let (u_p, u_f) = (gap.predicted_mm.unwrap().1, gap.found_mm.unwrap().1);
    let one: f64 = 0.004 * 0.004 / 3.0 + 0.002 * 0.002;
    let zero = 0.006 * 0.006 / 3.0;
    close(u_f, (one + zero).sqrt(), 1e-15);
    close(u_p, (2.0 * one + 0.005 * 0.005 + 2.0 * 0.004 * 0.004 / 3.0_f64).sqrt(), 1e-15);
    close(gap.difference_mm.unwrap().1, u_p.hypot(u_f), 1e-15);
    // A single part read with the micrometer that reads the gap: the zero is in both and leaves the difference.
    let text = "instruments: { micrometer: { limit_of_error: 0.004, zero_error: 0.006, repeatability: 0.002 } }
dimensions: { slot: { readings: [4.20], instrument: micrometer } }
gaps: { play: { chain: slot - key, accept: [0.1, 0.3], found: { readings: [0.20], instrument: micrometer } } }
packs: { key: { kit: keys, fitted: [4.00] } }
kits: { keys: { sizes: [4.00] } }
";
    let gap = &report_of(text).gaps[0];
    close(gap.difference_mm.unwrap().1, (2.0 * one).sqrt(), 1e-15);
    assert!(gap.predicted_mm.unwrap().1.hypot(gap.found_mm.unwrap().1) > 1.5 * gap.difference_mm.unwrap().1);
}

#[test]
fn shims_of_one_size_share_one_error() {
    let two_alike = "dimensions: { pocket: 10.00 }
gaps: { float: { chain: pocket - shims, accept: [0.1, 0.3], found: { readings: [0.2], instrument: none } } }
packs: { shims: { kit: box, fitted: [4.90, 4.90] } }
kits: { box: { sizes: [4.90], tolerance: 0.006 } }
";
    // Twice one error, not two independent ones: 2·0.006/√3.
    close(report_of(two_alike).gaps[0].predicted_mm.unwrap().1, 2.0 * 0.006 / 3.0_f64.sqrt(), 1e-15);
}

fn slips_of(found: &str) -> Vec<Slip> {
    let gap = simple(found, "");
    assert_eq!((gap.agrees, gap.best_mm), (Some(false), None), "{found}: {:?}", gap.normalised_error);
    gap.slips
}

#[test]
fn usual_slips_are_offered() {
    // The sum is 0.150.
    assert!(slips_of("0.45").contains(&Slip::ShimFewer("0.30".into())), "{:?}", slips_of("0.45"));
    assert!(slips_of("0.05").contains(&Slip::ShimMore("0.10".into())));
    // A second gasket, or the shim of 0.40 was one of 0.17 (0.23 opener): too far apart to be taken for each other.
    assert!(slips_of("0.40").contains(&Slip::PartTwice("gasket".into())));
    assert_eq!(slips_of("0.38"), [Slip::ShimOther("0.40".into(), "0.17".into())]);
    let digit = slips_of("0.35");
    assert!(digit.iter().any(|slip| matches!(slip, Slip::Digit(mm) if (mm - 0.2).abs() < 1e-9)), "{digit:?}");
    let text = "dimensions:\n  pocket: { readings: [60.60], instrument: micrometer }\n  gasket: { size: 0.25, sd: 0.005 }\n\
                gaps:\n  float: { chain: pocket + gasket - 60 - shims, accept: [0.05, 0.6], found: { readings: [0.30], instrument: micrometer } }\n\
                packs: { shims: { kit: box, fitted: [0.30] } }\nkits: { box: { sizes: [0.30] } }\n";
    assert_eq!(report_of(text).gaps[0].slips, [Slip::Part("gasket".into())]);
}

#[test]
fn suspects_come_least_implausible_first() {
    let gap = simple("0.22", "");
    let names: Vec<&str> = gap.suspects.iter().map(|one| one.name.as_str()).collect();
    let d = gap.difference_mm.unwrap().0;
    close(d, 0.07, 1e-12);
    // The gasket's 0.005 is the largest of the uncertainties, so it is the likeliest, and would have to be thicker.
    assert_eq!(names[0], "gasket");
    close(gap.suspects[0].by_mm, 0.07, 1e-12);
    close(gap.suspects[0].times_its_u.unwrap(), 14.0, 1e-9);
    let by: HashMap<&str, f64> = gap.suspects.iter().map(|one| (one.name.as_str(), one.by_mm)).collect();
    close(by["pocket"], 0.07, 1e-12);
    close(by["cluster"], -0.07, 1e-12);
    close(by["box 0.30"], -0.07, 1e-12);
    close(by["float.found"], -0.07, 1e-12);
    close(by["the zero of the micrometer"], -0.07, 1e-12);
    let times: Vec<f64> = gap.suspects.iter().map(|one| one.times_its_u.unwrap()).collect();
    assert!(times.is_sorted_by(f64::le), "{times:?}");
}

fn exact(found: &str) -> Verified {
    let text = format!(
        "dimensions: {{ pocket: 10.00, cluster: 9.50 }}\ngaps:\n  float: {{ chain: pocket - cluster - shims, accept: [0.1, 0.3], found: {{ readings: [{found}], instrument: none }} }}\npacks: {{ shims: {{ kit: box, fitted: [0.30] }} }}\nkits: {{ box: {{ sizes: [0.30] }} }}\n"
    );
    report_of(&text).gaps.remove(0)
}

#[test]
fn exact_figures_agree_only_where_they_are_the_same() {
    let same = exact("0.20");
    assert_eq!((same.agrees, same.normalised_error, same.verdict), (Some(true), None, Some(Verdict::In)));
    close(same.best_mm.unwrap().0, 0.20, 1e-12);
    let other = exact("0.21");
    assert_eq!((other.agrees, other.normalised_error, other.best_mm), (Some(false), None, None));
    assert!(other.suspects.iter().all(|one| one.times_its_u.is_none()));
}

#[test]
fn a_gap_without_parts_has_nothing_to_be_compared_with() {
    let text = "gaps: { end play: { chain: 0 - rings, accept: [0.07, 0.13], found: { readings: [0.43, 0.42, 0.44, 0.43], instrument: indicator } } }
packs: { rings: { kit: box, fitted: [0.318, 0.326] } }
kits: { box: { sizes: [0.22, 0.33], tolerance: 0.005 } }
";
    let report = report_of(text);
    let gap = &report.gaps[0];
    assert_eq!((gap.agrees, gap.predicted_mm, gap.rests_on), (None, None, RestsOn::Reading));
    assert_eq!(report.verdict, Some(Verdict::Out));
    close(report.packs[0].change_mm.unwrap(), 0.33, 1e-12);
    let closes = report.packs[0].thicker_opens.as_ref().map(|(_, opens)| !opens);
    assert_eq!(closes, Some(true));
}

#[test]
fn a_gap_that_was_not_read_is_surer_by_what_another_says_of_the_parts_they_share() {
    let text = |found: &str| {
        format!(
            "dimensions:\n  pocket: {{ readings: [60.60], instrument: calliper }}\ngaps:\n  float: {{ chain: pocket - 60 - shims, accept: [0.2, 0.5]{found} }}\n  other: {{ chain: pocket - 60.3, accept: [0.1, 0.5] }}\npacks: {{ shims: {{ kit: box, fitted: [0.30] }} }}\nkits: {{ box: {{ sizes: [0.30] }} }}\n"
        )
    };
    let alone = report_of(&text("")).gaps.remove(1);
    let helped = report_of(&text(", found: { readings: [0.32], instrument: micrometer }")).gaps.remove(1);
    assert_eq!((alone.rests_on, helped.rests_on), (RestsOn::Parts, RestsOn::Parts));
    assert!(helped.best_mm.unwrap().1 < 0.2 * alone.best_mm.unwrap().1);
    close(helped.best_mm.unwrap().0, 0.32, 0.001);
}

#[test]
fn the_space_of_a_pack_that_is_not_in_has_no_verdict() {
    let text = "dimensions: { pocket: { readings: [60.60], instrument: calliper } }
gaps:
  float: { chain: pocket - 60 - shims, accept: [0.1, 0.5], found: { readings: [0.31], instrument: indicator } }
  end: { chain: pocket - 60 - rings, accept: [0.1, 0.2] }
packs:
  shims: { kit: box, fitted: [0.30] }
  rings: { kit: box }
kits: { box: { sizes: [0.30] } }
";
    let report = report_of(text);
    assert_eq!(report.gaps[1].verdict, None);
    assert_eq!(report.verdict, Some(Verdict::In));
}
