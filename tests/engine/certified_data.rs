//! Mean and standard deviation against the certified data sets in tests/data/strd (NIST Statistical Reference Datasets).

use shimwright_engine::number::summary::{Summary, pool, summarise};

struct Certified {
    name: &'static str,
    count: usize,
    mean: f64,
    sd: f64,
    values: Vec<f64>,
}

/// The number after the last colon of the line that begins with `label`.
fn figure(text: &str, label: &str) -> f64 {
    let line = text.lines().find(|line| line.starts_with(label)).expect(label);
    line.rsplit(':').next().expect("a figure").trim().parse().expect(line)
}

fn read(name: &'static str, text: &'static str) -> Certified {
    let (_, data) = text.split_once("Data: Y\n").expect("the heading of the data");
    Certified {
        name,
        count: figure(text, "Number of Observations") as usize,
        mean: figure(text, "Sample Mean"),
        sd: figure(text, "Sample Standard Deviation"),
        // The first line under the heading is a rule.
        values: data
            .lines()
            .skip(1)
            .filter(|line| !line.trim().is_empty())
            .map(|line| line.trim().parse().expect("one number a line"))
            .collect(),
    }
}

macro_rules! set {
    ($name:literal) => {
        read($name, include_str!(concat!("../data/strd/", $name, ".dat")))
    };
}

/// Correct significant digits of `found`; 17 if it is the certified double itself.
fn digits(found: f64, certified: f64) -> f64 {
    if found == certified {
        return 17.0;
    }
    -((found - certified) / certified).abs().log10()
}

fn summary(set: &Certified) -> (Summary, f64) {
    let summary = summarise(&set.values).expect(set.name);
    (summary, summary.sd.expect(set.name))
}

#[test]
fn certified_figures_come_back() {
    // 12 digits of the 15 that are certified, whatever the platform's rounding; NumAcc3's own doubles hold 9.4 of its
    // standard deviation (0.1000000000349 is what they have, see below).
    for (set, sd_digits) in [
        (set!("Lew"), 12.0),
        (set!("Lottery"), 12.0),
        (set!("Michelso"), 12.0),
        (set!("NumAcc1"), 12.0),
        (set!("NumAcc2"), 12.0),
        (set!("NumAcc3"), 9.4),
    ] {
        assert_eq!(set.values.len(), set.count, "{}", set.name);
        let (summary, sd) = summary(&set);
        assert_eq!(summary.count, set.count, "{}", set.name);
        let (mean, sd) = (digits(summary.mean, set.mean), digits(sd, set.sd));
        assert!(mean >= 12.0, "{}: mean to {mean} digits", set.name);
        assert!(sd >= sd_digits, "{}: sd to {sd} digits", set.name);
    }
}

#[test]
fn the_files_hold_the_figures_of_their_readme() {
    // So that a file changed by accident, certified figure and all, is noticed.
    for (set, count, mean, sd) in [
        (set!("Lew"), 200, -177.435, 277.332168044316),
        (set!("Lottery"), 218, 518.958715596330, 291.699727470969),
        (set!("Michelso"), 100, 299.8524, 0.0790105478190518),
        (set!("NumAcc1"), 3, 10000002.0, 1.0),
        (set!("NumAcc2"), 1001, 1.2, 0.1),
        (set!("NumAcc3"), 1001, 1000000.2, 0.1),
    ] {
        assert_eq!((set.count, set.mean, set.sd), (count, mean, sd), "{}", set.name);
    }
}

#[test]
fn numacc3_loses_nothing_that_its_doubles_hold() {
    // A double near 1e6 is a whole number of 2^-33, so in that unit the sum of squares is exact in integers.
    let set = set!("NumAcc3");
    let unit = 2.0_f64.powi(33);
    let whole: Vec<i128> = set.values.iter().map(|value| (value * unit) as i128).collect();
    assert!(whole.iter().zip(&set.values).all(|(&w, value)| w as f64 == value * unit));
    let n = whole.len() as i128;
    let (mut sum, mut squares) = (0, 0);
    for value in &whole {
        let off = value - whole[0];
        sum += off;
        squares += off * off;
    }
    let exact = ((n * squares - sum * sum) as f64 / (n * (n - 1)) as f64).sqrt() / unit;
    let (_, sd) = summary(&set);
    // A few roundings of 1.1e-16 each: the square root, the quotients, the residuals' last bits.
    assert!(digits(sd, exact) >= 15.0, "{sd} for {exact}");
    // And the test can fail: sums of plain squares, the way of a pocket calculator, keep one digit.
    let plain: f64 = set.values.iter().map(|value| value * value).sum();
    let total: f64 = set.values.iter().sum();
    let one_pass = ((plain - total * total / 1001.0) / 1000.0).sqrt();
    assert!(digits(one_pass, exact) < 3.0, "{one_pass}");
}

#[test]
fn order_does_not_matter() {
    // The first value is what is subtracted; any other must do as well.
    for set in [set!("Lew"), set!("Michelso"), set!("NumAcc2")] {
        let mut turned = set.values.clone();
        for _ in 0..7 {
            let seventh = turned.len() / 7;
            turned.rotate_left(seventh);
            let found = summarise(&turned).expect(set.name);
            assert!(digits(found.mean, set.mean) >= 12.0, "{}", set.name);
            assert!(digits(found.sd.expect(set.name), set.sd) >= 12.0, "{}", set.name);
        }
    }
}

#[test]
fn pooled_certified_sets_weigh_their_variances_by_freedom() {
    // JCGM 100:2008, 4.2.4: s_p^2 = sum of nu_i s_i^2 over sum of nu_i, with the certified s_i. The means lie far apart
    // (299.85, 10000002 and 1.2) and must not count.
    let sets = [set!("Michelso"), set!("NumAcc1"), set!("NumAcc2")];
    let groups: Vec<&[f64]> = sets.iter().map(|set| set.values.as_slice()).collect();
    let freedom: f64 = sets.iter().map(|set| set.count as f64 - 1.0).sum();
    let squares: f64 = sets.iter().map(|set| (set.count as f64 - 1.0) * set.sd * set.sd).sum();
    let pooled = pool(&groups).expect("freedom");
    assert_eq!(pooled.freedom, 99 + 2 + 1000);
    assert!(digits(pooled.sd, (squares / freedom).sqrt()) >= 12.0, "{pooled:?}");
}
