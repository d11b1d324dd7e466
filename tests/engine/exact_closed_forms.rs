//! The exact distribution of sums against closed forms and quadratures that were worked outside this project, at 30 to
//! 50 digits. The error bound told must cover every deviation, but for the digits that the reference prints.

use shimwright_engine::analyse::exact::{Method, Term};
use shimwright_tests::terms::{agrees, exact, normal, rectangular, sixteen_digits, student, triangular};

#[test]
fn irwin_hall() {
    // Closed form: F_n(x) = Σ (−1)^k C(n,k) (x − k)₊ⁿ / n!, the sum of n uniforms on [0, 1].
    let points = [
        (2, 1.25, 0.718_75),
        (3, 2.9, 0.999_833_333_333_333_4),
        (4, 0.4, 0.001_066_666_666_666_666_7),
        (5, 0.25, 8.138_020_833_333_333e-6),
        (5, 2.2, 0.325_816),
        (6, 0.5, 2.170_138_888_888_889e-5),
        (10, 0.5, 2.691_114_455_467_372e-10),
        (10, 1.0, 2.755_731_922_398_589_1e-7),
        (10, 2.5, 0.002_469_173_478_491_512_3),
        (12, 0.75, 6.612_995_034_848_879e-11),
        (12, 2.0, 8.526_067_553_845_331e-6),
        (20, 4.0, 4.233_525_084_834_485_5e-7),
    ];
    for (count, x, reference) in points {
        let sum = exact(&vec![rectangular(1.0, 0.5, 0.5); count]);
        let way = if count <= 6 { Method::Boxes } else { Method::Inversion };
        assert_eq!(sum.method(), way);
        agrees(sum.below(x), reference, sixteen_digits(reference));
        agrees(sum.above(count as f64 - x), reference, sixteen_digits(reference));
    }
}

#[test]
fn unequal_uniforms() {
    // Closed form: F(x) = Σ over signs of Π sᵢ (x + Σ sᵢaᵢ)₊ⁿ / (n! 2ⁿ Π aᵢ).
    let cases: [(&[f64], f64, f64); 5] = [
        (&[1.0, 2.0], -2.0, 0.0625),
        (&[1.0, 2.0], 0.5, 0.625),
        (&[1.0, 2.0, 3.0, 4.0, 5.0], -12.0, 5.251_736_111_111_111e-4),
        (&[1.0, 2.0, 3.0, 4.0, 5.0], 7.0, 0.947_986_111_111_111_1),
        (&[0.003, 0.001, 0.005, 0.001], -0.009, 1.736_111_111_111_111_1e-4),
    ];
    for (halves, x, reference) in cases {
        let terms: Vec<Term> = halves.iter().map(|&half| rectangular(1.0, 0.0, half)).collect();
        agrees(exact(&terms).below(x), reference, sixteen_digits(reference));
    }
}

#[test]
fn difference_of_two_triangulars() {
    // Closed form: four uniforms, P(D ≤ y) = F₄(y + 2).
    let points = [
        (0.5, 0.799_479_166_666_666_6),
        (-1.0, 0.041_666_666_666_666_667),
        (-1.5, 0.002_604_166_666_666_666_7),
        (-1.99, 4.166_666_666_666_667e-10),
    ];
    let difference = exact(&[triangular(1.0, 0.0, 1.0), triangular(-1.0, 0.0, 1.0)]);
    for (y, reference) in points {
        agrees(difference.below(y), reference, sixteen_digits(reference));
    }
}

#[test]
fn uniform_and_normal() {
    // Closed form: F(y) = (s/2a)[pΦ(p) + φ(p) − mΦ(m) − φ(m)], p = (y + a)/s, m = (y − a)/s.
    let points = [
        (1.0, 1.0, 0.5, 0.665_755_118_180_649_3),
        (1.0, 1.0, -3.0, 0.004_241_778_679_198_616),
        (1.0, 0.1, -1.0, 0.019_947_114_020_071_634),
        (1.0, 0.1, -1.2, 4.245_351_308_414_819e-4),
        (1.0, 0.1, 0.95, 0.965_110_172_129_934_7),
        (0.005, 0.001, -0.008, 3.821_543_170_477_236e-5),
        (1.0, 1.0, -6.0, 2.673_073_965_286_349_3e-8),
    ];
    for (half, sd, y, reference) in points {
        let sum = exact(&[rectangular(1.0, 0.0, half), normal(1.0, 0.0, sd)]);
        assert_eq!(sum.method(), Method::Inversion);
        agrees(sum.below(y), reference, sixteen_digits(reference));
    }
}

/// Distribution function of the standard t with three degrees, closed form.
fn t_three(x: f64) -> f64 {
    let v = x / 3.0f64.sqrt();
    0.5 + (v.atan() + v / (1.0 + v * v)) / std::f64::consts::PI
}

#[test]
fn four_readings_with_a_rectangle_and_a_normal() {
    // Plain quadrature: F(y) = ∫ f(z) F_t((y − z)/s) dz, f the density of the rectangle and the normal law together,
    // analytic, so that the trapezoid over ±(a + 9.5 sigma) with this step is good to rounding.
    let (scale, half, sd) = (0.006, 0.012, 0.004);
    let gap = exact(&[student(1.0, 53.973, scale, 3.0), rectangular(-1.0, 30.0, half), normal(-1.0, 23.9, sd)]);
    assert_eq!(gap.method(), Method::Inversion);
    let phi = |z: f64| 0.5 * libm::erfc(-z / 2.0f64.sqrt());
    let (end, count) = (half + 9.5 * sd, 6000);
    let step = 2.0 * end / f64::from(count);
    for q in [-400.0, -60.0, -20.0, -8.0, -3.0, -1.0, -0.1, 0.0, 0.4, 2.0, 5.0, 25.0, 100.0] {
        let y = q * scale;
        let reference: f64 = (0..=count)
            .map(|index| {
                let z = -end + step * f64::from(index);
                let density = (phi((z + half) / sd) - phi((z - half) / sd)) / (2.0 * half);
                step * density * t_three((y - z) / scale)
            })
            .sum();
        // Sizes of 54 rounded to doubles against a spread of 0.01: 1e-12; the quadrature itself 1e-14.
        agrees(gap.below(53.973 - 30.0 - 23.9 + y), reference, 1.5e-12);
    }
}

#[test]
fn several_student_terms() {
    // F(x) = ½ + (1/π) ∫ φ(t) sin(tx)/t dt by adaptive quadrature at 30 digits (mpmath), φ the product of the
    // characteristic functions.
    for case in STUDENT_SUMS {
        let mut terms: Vec<Term> = case.students.iter().map(|&(s, v)| student(1.0, 0.0, s, v)).collect();
        terms.extend(case.rectangles.iter().map(|&half| rectangular(1.0, 0.0, half)));
        terms.extend(case.normals.iter().map(|&sd| normal(1.0, 0.0, sd)));
        let sum = exact(&terms);
        for &(x, reference) in case.below {
            agrees(sum.below(x), reference, sixteen_digits(reference));
            agrees(sum.above(-x), reference, sixteen_digits(reference));
        }
    }
}

struct StudentSum {
    /// Scale and degrees.
    students: &'static [(f64, f64)],
    rectangles: &'static [f64],
    normals: &'static [f64],
    /// x and P(Y < x).
    below: &'static [(f64, f64)],
}

const STUDENT_SUMS: [StudentSum; 5] = [
    StudentSum {
        students: &[(1.0, 3.0), (0.5, 3.0)],
        rectangles: &[],
        normals: &[],
        below: &[
            (-40.0, 1.9414631277103175e-5),
            (-5.0, 9.998_453_940_035_927e-3),
            (-1.0, 2.3503051748305356e-1),
            (-0.25, 4.257_518_267_145_674e-1),
        ],
    },
    StudentSum {
        students: &[(1.0, 3.0), (1.5, 4.0)],
        rectangles: &[2.0],
        normals: &[0.5],
        below: &[
            (-50.0, 1.1402087628018632e-5),
            (-8.0, 7.828415826118507e-3),
            (-2.0, 2.2242634421351032e-1),
            (-0.1, 4.84584389251767e-1),
        ],
    },
    StudentSum {
        students: &[(0.1, 3.0), (0.1, 3.0), (0.1, 3.0)],
        rectangles: &[3.0],
        normals: &[1.0],
        below: &[
            (-30.0, 1.2591866976478442e-7),
            (-6.0, 1.4512695423447924e-4),
            (-3.0, 6.918_799_688_938_373e-2),
            (-0.5, 4.1715595404752812e-1),
        ],
    },
    StudentSum {
        students: &[(1.0, 2.5)],
        rectangles: &[1.0],
        normals: &[1.0],
        below: &[
            (-100.0, 7.195_845_827_945_126e-6),
            (-10.0, 2.3550636050093226e-3),
            (-3.0, 5.8958543019384683e-2),
            (-0.5, 3.8678299198004447e-1),
        ],
    },
    StudentSum {
        students: &[(1.0, 5.0), (2.0, 30.0)],
        rectangles: &[1.0, 2.0],
        normals: &[],
        below: &[(-20.0, 3.6880072649137875e-6), (-7.0, 6.3510743025614776e-3), (-1.0, 3.565_129_800_543_369e-1)],
    },
];
