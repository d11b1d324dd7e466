//! Stacks that were worked in public, all the way from a document. Inputs seen on public pages whose names were not
//! kept; the figures were computed anew from them.

use shimwright_engine::analyse::Verdict;
use shimwright_tests::{close, gap_of};

#[test]
fn three_parts_in_series() {
    let gap = gap_of(
        "
dimensions:
  first: { size: 55, sd: 2 }
  second: { size: 65, sd: 3 }
  third: { size: 92, sd: 3 }
gaps:
  length: { chain: first + second + third, accept: [200, 230] }
",
    );
    let exact = &gap.exact;
    assert_eq!(exact.mean_mm, 212.0);
    // √22.
    close(exact.sd_mm, 4.690_415_759_8, 5e-11);
    // As many digits as were computed.
    let capability = exact.capability.unwrap();
    close(capability.cp.unwrap(), 1.066_003_6, 5e-8);
    close(capability.cpk.unwrap(), 0.852_802_9, 5e-8);
    let chances = exact.chances.unwrap();
    close(chances.below + chances.above, 0.005_319_741_03, 5e-12);
    // Nothing was measured, so the verdict is on production.
    assert_eq!(gap.verdict, Some(Verdict::In));
    let shares: Vec<f64> = gap.contributions.iter().map(|one| one.variance_share).collect();
    for (share, expected) in shares.into_iter().zip([4.0 / 22.0, 9.0 / 22.0, 9.0 / 22.0]) {
        close(share, expected, 1e-15);
    }
}

#[test]
fn moving_part_clearance() {
    let gap = gap_of(
        "
dimensions:
  outer: { size: 55, sd: 0.3 }
  inner: { size: 54, sd: 0.2 }
gaps:
  clearance: { chain: outer - inner, accept: [0.4, 1.4] }
",
    );
    close(gap.exact.sd_mm, 0.360_555_127_5, 5e-11);
    let chances = gap.exact.chances.unwrap();
    close(chances.below + chances.above, 0.181_674_911_305, 1e-12);
    assert_eq!(gap.verdict, Some(Verdict::SomeWill));
}

#[test]
fn a_tail_beyond_seven_sigma() {
    let gap = gap_of(
        "
dimensions:
  envelope: { size: 4.976, tolerance: 0.003 }
  first: { size: 1.240, tolerance: 0.003 }
  second: { size: 1.240, tolerance: 0.003 }
  third: { size: 1.240, tolerance: 0.003 }
  fourth: { size: 1.240, tolerance: 0.003 }
gaps:
  room: { chain: envelope - first - second - third - fourth, accept: at least 0 }
",
    );
    close(gap.nominal_mm, 0.016, 1e-14);
    close(gap.worst_case.low_mm, 0.001, 1e-14);
    close(gap.worst_case.high_mm, 0.031, 1e-14);
    close(gap.exact.sd_mm, 0.002_236_07, 5e-9);
    close(gap.exact.mean_mm / gap.exact.sd_mm, 7.155_417_5, 5e-8);
    let below = gap.exact.chances.unwrap().below;
    // Nine digits are known; an answer that leaves out the envelope's own spread is Q(8) = 6.2e-16.
    assert!((below / 4.170_931_42e-13 - 1.0).abs() < 2e-9, "{below}");
}
