//! Readings by JCGM 100:2008: the type A evaluation, effective degrees of freedom, and the intervals of Table G.2, all
//! the way from a document.

use shimwright_engine::law::ExactRole;
use shimwright_engine::model::Model;
use shimwright_tests::{close, gap_of, model_of};

/// A dimension of these readings by themselves.
fn alone(readings: &[String]) -> String {
    let readings = readings.join(", ");
    format!("dimensions: {{ q: {{ readings: [{readings}], instrument: none }} }}\ngaps: {{ y: {{ chain: q }} }}\n")
}

/// Mean, standard uncertainty s/√n and degrees of freedom of the first dimension.
fn type_a(model: &Model) -> (f64, f64, f64) {
    let column = &model.columns[0];
    let [part] = column.parts.as_slice() else { panic!("the scatter alone") };
    let ExactRole::StudentT { scale, freedom, .. } = part.law.exact_role() else { panic!("a Student t") };
    (column.mean_mm(), scale, freedom)
}

#[test]
fn readings_summed_by_hand() {
    // JCGM 100:2008, 4.2.1 to 4.2.3, by hand: 2, 4, 4, 4, 5, 5, 7, 9 have the mean 5 and squares about it of 32, so that
    // s² = 32/7 and u² = 32/56.
    let readings = ["10.02", "10.04", "10.04", "10.04", "10.05", "10.05", "10.07", "10.09"].map(str::to_owned);
    let (mean, u, freedom) = type_a(&model_of(&alone(&readings)));
    // Readings of 10 are rounded to 2e-15.
    close(mean, 10.05, 1e-14);
    close(u, 0.01 * (32.0_f64 / 56.0).sqrt(), 1e-14);
    assert_eq!(freedom, 7.0);
    let exact = gap_of(&alone(&readings)).exact;
    // JCGM 101:2008, 6.4.9.4: the standard deviation of that Student t is u √(ν/(ν − 2)).
    close(exact.sd_mm, u * (7.0_f64 / 5.0).sqrt(), 1e-14);
    close(exact.effective_freedom.unwrap(), 7.0, 1e-12);
}

#[test]
fn certified_readings() {
    // NIST StRD, Michelso (tests/data/strd): certified mean 299.852400000000, standard deviation 0.0790105478190518.
    let text = include_str!("../data/strd/Michelso.dat");
    let (_, data) = text.split_once("Data: Y\n").unwrap();
    let readings: Vec<String> =
        data.split_whitespace().filter(|one| !one.starts_with('-')).map(str::to_owned).collect();
    assert_eq!(readings.len(), 100);
    let (mean, u, freedom) = type_a(&model_of(&alone(&readings)));
    // Twelve digits.
    close(mean / 299.852_4, 1.0, 1e-12);
    close(u * 10.0 / 0.079_010_547_819_051_8, 1.0, 1e-12);
    assert_eq!(freedom, 99.0);
}

#[test]
fn two_readings_and_three_are_widened_to_their_own_interval() {
    // Table G.2, 95 %: 12.706 for one degree of freedom, 4.303 for two.
    for (readings, s_mean, factor) in
        [(["10.00", "10.04", ""], 0.02, 12.706), (["9.99", "10.00", "10.01"], 0.01 / 3.0_f64.sqrt(), 4.303)]
    {
        let readings: Vec<String> = readings.iter().filter(|one| !one.is_empty()).map(|&one| one.to_owned()).collect();
        let (coverage, low, high) = gap_of(&alone(&readings)).exact.intervals[0];
        assert_eq!(coverage, 0.95);
        // The scales 3.993 and 1.352 are rounded to four digits.
        close((high - low) / 2.0 / s_mean / factor, 1.0, 2e-4);
    }
}

#[test]
fn effective_freedom_of_equal_terms() {
    // JCGM 100:2008, G.4.1: N terms of equal u with ν each have Nν (published and seen for 4 × 10).
    let gap = gap_of(
        "
dimensions:
  a: { size: 10, sd: 0.01, freedom: 10 }
  b: { size: 20, sd: 0.01, freedom: 10 }
  c: { size: 5, sd: 0.01, freedom: 10 }
  d: { size: 4, sd: 0.01, freedom: 10 }
gaps: { y: { chain: a - b + c + d } }
",
    );
    close(gap.exact.effective_freedom.unwrap(), 40.0, 1e-12);
}

#[test]
fn effective_freedom_of_the_end_gauge() {
    // JCGM 100:2008, H.1 (published and seen): u_c = 32 nm, ν_eff = 16 (cut), from 25 (18), 9.7 (25.6), 2.9 (50) and
    // 16.6 nm (2). Computed to more digits: 31.71060964 and 16.6560630, the last two terms being 2.900036 and 16.675208.
    let gap = gap_of(
        "
unit: um
dimensions:
  standard: { size: 50000.623, sd: 0.025, freedom: 18 }
  difference: { size: 0.215, sd: 0.0097, freedom: 25.6 }
  expansion: { size: 0, sd: 0.002900036, freedom: 50 }
  temperature: { size: 0, sd: 0.016675208, freedom: 2 }
gaps: { length: { chain: standard + difference - expansion - temperature } }
",
    );
    let nanometre = 1e-6;
    close(gap.exact.mean_mm, 50.000_838, 1e-13);
    // The two terms are known to half a unit of their last digit.
    close(gap.exact.sd_mm / nanometre, 31.710_609_64, 3.1e-7);
    let freedom = gap.exact.effective_freedom.unwrap();
    close(freedom, 16.656_063_0, 5e-6);
    assert_eq!((freedom.floor(), (gap.exact.sd_mm / nanometre).round()), (16.0, 32.0));
}

#[test]
fn table_g2() {
    // JCGM 100:2008, Table G.2, t_p(ν) at 95 % and 99.73 %; the table prints two decimals, the third was computed.
    let rows = [(3, 3.182, 9.219), (5, 2.571, 5.507), (8, 2.306, 4.277), (10, 2.228, 3.957)];
    for (freedom, at_95, at_9973) in rows {
        // Readings 0.01 apart, about 25.
        let count = freedom + 1;
        let readings: Vec<String> = (0..count).map(|index| format!("{:.2}", 24.95 + 0.01 * f64::from(index))).collect();
        let text = alone(&readings);
        let (mean, u, nu) = type_a(&model_of(&text));
        assert_eq!(nu, f64::from(freedom));
        // Equally spaced readings: s² = step² n (n + 1)/12.
        let n = f64::from(count);
        close(u, 0.01 * ((n + 1.0) / 12.0).sqrt(), 1e-14);
        let gap = gap_of(&text);
        for ((coverage, low, high), (wanted, factor)) in
            gap.exact.intervals.iter().zip([(0.95, at_95), (0.9973, at_9973)])
        {
            assert_eq!(*coverage, wanted);
            // Half a unit in the third decimal.
            close((high - low) / 2.0 / u, factor, 0.000_5);
            close(f64::midpoint(*low, *high), mean, 1e-12);
        }
    }
}

#[test]
fn ten_readings_and_an_instrument_have_a_distribution() {
    // A period of the inversion that was twice the reach but for the last digit once stopped the program here.
    let gap = gap_of(
        "
instruments: { gauge: { limit_of_error: 0.01, zero_error: 0.005 } }
dimensions:
  pocket:
    readings: [42.4682, 42.5318, 42.5000, 42.5000, 42.5000, 42.5000, 42.5000, 42.5000, 42.5000, 42.5000]
    instrument: gauge
gaps: { y: { chain: pocket, accept: [42.4, 42.6] } }
",
    );
    // s² = 2 × 0.0318²/9; nine degrees of freedom; two rectangles.
    let variance = 2.0 * 0.0318_f64.powi(2) / 9.0 / 10.0 * 9.0 / 7.0 + (0.01_f64.powi(2) + 0.005_f64.powi(2)) / 3.0;
    close(gap.exact.sd_mm, variance.sqrt(), 1e-12);
    assert!(gap.exact.chances.unwrap().within > 0.999_9);
}
