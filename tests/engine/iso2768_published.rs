//! ISO 2768-1:1989 Table 1 as three independent open pages print it, typed here apart from the embedded data.

use shimwright_engine::standards::iso2768::{GeneralClass, GeneralError, linear_mm};

const ENDS: [f64; 9] = [0.5, 3.0, 6.0, 30.0, 120.0, 400.0, 1000.0, 2000.0, 4000.0];

/// Rows of the printed table; none where it has a dash.
fn printed(class: GeneralClass) -> [Option<f64>; 8] {
    match class {
        GeneralClass::Fine => [0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, f64::NAN],
        GeneralClass::Medium => [0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2.0],
        GeneralClass::Coarse => [0.2, 0.3, 0.5, 0.8, 1.2, 2.0, 3.0, 4.0],
        GeneralClass::VeryCoarse => [f64::NAN, 0.5, 1.0, 1.5, 2.5, 4.0, 6.0, 8.0],
    }
    .map(|figure| (!figure.is_nan()).then_some(figure))
}

#[test]
fn table_1_whole() {
    for class in GeneralClass::ALL {
        for (range, figure) in ENDS.windows(2).zip(printed(class)) {
            // Just over the lower end, in the middle, and the upper end itself.
            for size in [range[0] + 1e-6, f64::midpoint(range[0], range[1]), range[1]] {
                assert_eq!(linear_mm(size, class).ok(), figure, "{size} {class}");
            }
        }
    }
}

#[test]
fn the_first_range_holds_its_lower_end() {
    for class in [GeneralClass::Fine, GeneralClass::Medium, GeneralClass::Coarse] {
        assert_eq!(linear_mm(0.5, class).ok(), printed(class)[0], "{class}");
    }
    assert!(linear_mm(0.5, GeneralClass::VeryCoarse).is_err());
}

#[test]
fn outside_the_table_the_range_is_named() {
    let text = |size, class| linear_mm(size, class).expect_err("outside").to_string();
    assert_eq!(
        text(0.4, GeneralClass::Medium),
        "0.4 mm has no general tolerance in class m, which runs from 0.5 mm up to and including 4000 mm: give this size a tolerance of its own"
    );
    assert_eq!(
        text(3.0, GeneralClass::VeryCoarse),
        "3 mm has no general tolerance in class v, which runs from over 3 mm up to and including 4000 mm: give this size a tolerance of its own"
    );
    assert!(text(2_000.000_001, GeneralClass::Fine).contains("up to and including 2000 mm"));
    for size in [0.0, -8.0, 0.499_999, 4_000.000_001, f64::NAN, f64::NEG_INFINITY, 1e300] {
        for class in GeneralClass::ALL {
            assert!(matches!(linear_mm(size, class), Err(GeneralError::SizeOutside { .. })), "{size} {class}");
        }
    }
}

#[test]
fn classes_are_read_by_their_letter() {
    for class in GeneralClass::ALL {
        assert_eq!(class.to_string().parse(), Ok(class));
    }
    for text in ["", "M", "mK", "medium", "g"] {
        assert_eq!(text.parse::<GeneralClass>(), Err(GeneralError::UnknownClass { class: text.to_owned() }));
    }
}
