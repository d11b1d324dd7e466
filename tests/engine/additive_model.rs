//! The additive model of JCGM 101:2008 (9.2), Y = X1 + X2 + X3 + X4, all the way from a document. Lengths stand for
//! the model's pure numbers.

use shimwright_tests::{close, gap_of};

const CHAIN: &str = "gaps: { y: { chain: x1 + x2 + x3 + x4 } }";

#[test]
fn four_normal_laws() {
    // 9.2.2, Table 2 (published and seen): u = 2.00, 95 % interval ± 3.92. Computed: ± 2 × 1.959963984540054.
    let gap = gap_of(&format!(
        "
dimensions:
  x1: {{ size: 0, sd: 1 }}
  x2: {{ size: 0, sd: 1 }}
  x3: {{ size: 0, sd: 1 }}
  x4: {{ size: 0, sd: 1 }}
{CHAIN}"
    ));
    assert_eq!((gap.exact.mean_mm, gap.exact.sd_mm), (0.0, 2.0));
    interval(&gap.exact.intervals, 3.92, 0.005, 3.919_927_969_080_108);
}

#[test]
fn four_rectangular_laws() {
    // 9.2.3, Table 3 (published and seen): u = 2.00, ± 3.88, where a normal law would say ± 3.92. Closed form of Annex
    // E (computed): 2√3 (2 − (3/5)^¼).
    let gap = gap_of(&format!(
        "
dimensions:
  x1: {{ limits: [-1.7320508075688772, 1.7320508075688772], distribution: rectangular }}
  x2: {{ limits: [-1.7320508075688772, 1.7320508075688772], distribution: rectangular }}
  x3: {{ limits: [-1.7320508075688772, 1.7320508075688772], distribution: rectangular }}
  x4: {{ limits: [-1.7320508075688772, 1.7320508075688772], distribution: rectangular }}
{CHAIN}"
    ));
    close(gap.exact.sd_mm, 2.0, 1e-15);
    interval(&gap.exact.intervals, 3.88, 0.005, 3.879_406_741_347_821);
}

#[test]
fn a_dominant_rectangle() {
    // 9.2.4, Table 4 (from memory, and computed): u = 10.1, ± 17.0; root sum square with a normal law says ± 19.9.
    let gap = gap_of(&format!(
        "
dimensions:
  x1: {{ limits: [-1.7320508075688772, 1.7320508075688772], distribution: rectangular }}
  x2: {{ limits: [-1.7320508075688772, 1.7320508075688772], distribution: rectangular }}
  x3: {{ limits: [-1.7320508075688772, 1.7320508075688772], distribution: rectangular }}
  x4: {{ limits: [-17.320508075688775, 17.320508075688775], distribution: rectangular }}
{CHAIN}"
    ));
    close(gap.exact.sd_mm, 10.148_891_565_092_22, 1e-13);
    interval(&gap.exact.intervals, 17.0, 0.05, 17.015_814_099_866_674);
    let rough = gap.root_sum_square.unwrap();
    close(1.96 * rough.sd_mm, 19.9, 0.05);
}

/// The 95 % interval against the printed figure and the computed one.
fn interval(intervals: &[(f64, f64, f64)], printed: f64, half_a_digit: f64, computed: f64) {
    let (coverage, low, high) = intervals[0];
    assert_eq!(coverage, 0.95);
    close(high, printed, half_a_digit);
    close(low, -printed, half_a_digit);
    // The last digits of a quantile are those of the rounding of its ends.
    close(high, computed, 1e-12);
    close(low, -computed, 1e-12);
}
