//! What a wrong tolerance class gets: the fault, in the words of a shop, and what would have been right.

use shimwright_engine::standards::iso286::{ClassError, limits};

fn error(size_mm: f64, class: &str) -> ClassError {
    limits(size_mm, class).expect_err(class)
}

#[test]
fn text_that_is_no_class() {
    for class in ["", "h", "7", "h-9", "h 9", " h9", "h9.5", "9h", "Js7", "jS7", "h9 ", "ø9", "hé"] {
        assert_eq!(error(25.0, class), ClassError::Malformed { class: class.to_owned() }, "{class}");
    }
    assert_eq!(
        error(25.0, "H7/g6").to_string(),
        "`H7/g6` is a fit of two parts: give the hole and the shaft a class each"
    );
}

#[test]
fn a_letter_that_is_not_in_the_table() {
    for letter in ["i", "l", "O", "q", "w", "v", "ZA", "hh"] {
        assert_eq!(error(25.0, &format!("{letter}7")), ClassError::UnknownLetter { letter: letter.to_owned() });
    }
    assert_eq!(
        error(25.0, "v7").to_string(),
        "`v` is not a letter of the table: shafts have a b c d e f g h j js k m n p r s t u, holes the same in capitals"
    );
}

#[test]
fn a_grade_that_is_not_in_the_table() {
    let cases = [
        ("h19", "h", "19", 1, 18),
        ("h0", "h", "0", 1, 18),
        ("h01", "h", "01", 1, 18),
        ("h07", "h", "07", 1, 18),
        ("h99999999999", "h", "99999999999", 1, 18),
        ("j8", "j", "8", 5, 7),
        ("J5", "J", "5", 6, 8),
        ("P2", "P", "2", 3, 18),
        ("K9", "K", "9", 3, 8),
    ];
    for (class, letter, grade, least, most) in cases {
        assert_eq!(
            error(25.0, class),
            ClassError::UnknownGrade { letter: letter.to_owned(), grade: grade.to_owned(), least, most }
        );
    }
    assert_eq!(error(25.0, "j8").to_string(), "`j` goes with grades 5 to 7 at this size, not with 8");
}

#[test]
fn a_size_that_is_not_in_the_table_names_the_range() {
    assert_eq!(
        error(630.0, "h9").to_string(),
        "630 mm is outside the table for h9, which runs from over 0 mm up to and including 500 mm"
    );
    let range = |size, class| match error(size, class) {
        ClassError::SizeOutside { over_mm, upto_mm, .. } => (over_mm, upto_mm),
        other => panic!("{size} {class}: {other}"),
    };
    // t begins over 24 mm, for both ends of the table.
    assert_eq!(range(24.0, "t6"), (24.0, 500.0));
    assert_eq!(range(600.0, "T7"), (24.0, 500.0));
    assert_eq!(range(0.0, "t6"), (24.0, 500.0));
    // a, b, grades 14 and coarser, and N over grade 8 are not for sizes up to 1 mm.
    for class in ["a11", "B11", "h14", "JS16", "N9"] {
        assert_eq!(range(1.0, class), (1.0, 500.0), "{class}");
        assert_eq!(range(501.0, class), (1.0, 500.0), "{class}");
        assert!(limits(1.000_001, class).is_ok(), "{class}");
    }
    for class in ["h13", "c11", "N8"] {
        assert!(limits(1.0, class).is_ok(), "{class}");
    }
}

#[test]
fn a_figure_seen_in_one_printing_only_is_not_given() {
    for class in ["h17", "JS18", "A17"] {
        assert_eq!(error(25.0, class), ClassError::Unverified { class: class.to_owned() });
    }
    assert!(error(25.0, "h17").to_string().contains("one printing"));
    assert!(limits(25.0, "h16").is_ok());
}
