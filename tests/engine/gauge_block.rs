//! The calibration of a gauge block of 50 mm, the standard's own example of temperature and expansion, as far as a linear
//! tool can: to first order about the stated values.
//!
//! l = ls + d - ls·(δα·θ + αs·δθ). To first order δα has the coefficient -ls·θ = +5.0000623 mm·°C (θ is -0.1 °C), δθ
//! has -ls·αs = -575.0071645 nm/°C (αs is 11.5e-6/°C), and αs and θ have none, for δθ and δα are zero. A document's
//! numbers are lengths, so δα is written in 1e-6/°C and δθ in °C as if they were micrometres.

use shimwright_engine::law::{Law, StudentT};
use shimwright_tests::{close, gap_of};

const NANOMETRE: f64 = 1e-6;

#[test]
fn jcgm_100_h1() {
    // JCGM 100:2008, H.1 (seen): ls 50 000 623 nm, u 25, ν 18; d 215, u 9.7, ν 25.6; δα u 0.58e-6, ν 50; δθ u 0.029, ν 2;
    // u_c = 32 nm, ν_eff = 16, U_99 = 93 nm.
    let gap = gap_of(
        "
unit: um
dimensions:
  standard: { size: 50000.623, sd: 0.025, freedom: 18 }
  difference: { size: 0.215, sd: 0.0097, freedom: 25.6 }
  alpha: { size: 0, sd: 0.58, freedom: 50 }
  theta: { size: 0, sd: 0.029, freedom: 2 }
gaps: { length: { chain: standard + difference + 0.0050000623 * alpha - 0.5750071645 * theta } }
",
    );
    close(gap.exact.mean_mm, 50.000_838, 1e-13);
    let u = gap.exact.sd_mm / NANOMETRE;
    // Computed from the inputs, to ten figures.
    close(u, 31.710_609_64, 5e-9);
    assert_eq!(u.round(), 32.0);
    let each: Vec<f64> = gap.contributions.iter().map(|one| one.u_mm / NANOMETRE).collect();
    for (one, expected) in each.into_iter().zip([25.0, 9.7, 2.900_036, 16.675_208]) {
        close(one, expected, 5e-7);
    }
    let freedom = gap.exact.effective_freedom.unwrap();
    close(freedom, 16.656_062_7, 5e-8);
    // U_99 by the rule of G.4.2: the effective degrees of freedom are cut to 16, for which t is 2.92 (Table G.2, seen). The
    // printed 93 nm is 2.92 times the rounded 32 nm; with the unrounded u_c it is 92.62 nm.
    let student = Law::StudentT(StudentT::new(0.0, 1.0, freedom.floor()).unwrap());
    let factor = student.half_width(0.99);
    close(factor, 2.920_781_622_4, 5e-11);
    close(factor * u, 92.62, 0.005);
    assert_eq!((factor * 100.0).round() / 100.0 * u.round(), 93.44);
}

#[test]
fn jcgm_101_9_5_to_first_order() {
    // JCGM 101:2008, 9.5, Table 10 (from memory): ls t(25 nm, ν 18), D t(6, 24), d1 t(4, 5), d2 t(7, 8), δα a trapezium of
    // inexact limits ±1.0e-6, d 0.1e-6, δθ one of ±0.050, d 0.025. Such a trapezium, which is no law of a document, has the
    // variance (b - a)²/12 + d²/9. The standard deviation to first order, 33.782 nm, was computed from these; the
    // published one, 36 nm, has the products of variables in it too, which no linear tool has.
    let trapezium = |half: f64, inexact: f64| (half * half / 3.0 + inexact * inexact / 9.0).sqrt();
    let text = format!(
        "
unit: um
dimensions:
  standard: {{ distribution: {{ student t: {{ mean: 50000.623, scale: 0.025, freedom: 18 }} }} }}
  compared: {{ distribution: {{ student t: {{ mean: 0.215, scale: 0.006, freedom: 24 }} }} }}
  first: {{ distribution: {{ student t: {{ mean: 0, scale: 0.004, freedom: 5 }} }} }}
  second: {{ distribution: {{ student t: {{ mean: 0, scale: 0.007, freedom: 8 }} }} }}
  alpha: {{ size: 0, sd: {} }}
  theta: {{ size: 0, sd: {} }}
gaps: {{ length: {{ chain: standard + compared + first + second + 0.0050000623 * alpha - 0.5750071645 * theta }} }}
",
        trapezium(1.0, 0.1),
        trapezium(0.05, 0.025),
    );
    let gap = gap_of(&text);
    close(gap.exact.mean_mm, 50.000_838, 1e-13);
    // As many digits as are known.
    close(gap.exact.sd_mm / NANOMETRE, 33.782, 0.000_5);
}
