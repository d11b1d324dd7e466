//! Long drawing: it ends when told to, and it takes no more memory for it. All figures are invented.

use serde_json::Value;

use crate::tool::{run, run_bounded, run_with};

/// One variable and three gaps, so that samples cost little; kept one by one they would not fit.
const THREE: &str = "dimensions: { a: { size: 5, tolerance: 0.1 } }\n\
                     gaps: { x: { chain: a, accept: [4.95, 5.05] }, y: { chain: 2 * a }, z: { chain: a - 1 } }\n";

#[test]
fn memory_does_not_grow_with_the_samples() {
    // 48 million samples of three gaps are 1.15 GB; the run has less. Digits are the harder case: they look at values.
    let said = run_bounded(&["gap", "-", "--json", "--samples", "48000000", "--digits", "6"], THREE.as_bytes());
    let answer: Value = serde_json::from_str(&said.out).unwrap_or_else(|fault| panic!("{fault}: {}", said.err));
    assert_eq!(answer["gaps"][2]["monte_carlo"]["samples"], 48_000_000);
    assert_eq!(answer["drawing_ended"], "not stable");
    // Nothing is shown of how far it is where nobody looks.
    assert_eq!(said.err, "");
}

#[test]
fn digits_that_stand_still_are_told_and_those_that_do_not() {
    let said = run_with(&["gap", "-", "--json", "--digits", "1"], THREE);
    let answer: Value = serde_json::from_str(&said.out).unwrap();
    assert_eq!(answer["drawing_ended"], "stable");
    let drawn = &answer["gaps"][0]["monte_carlo"];
    assert_eq!(drawn["stable"]["is_stable"], true);
    assert!(drawn["samples"].as_u64().unwrap() < 1_000_000, "{drawn}");
    assert!(drawn["stable"]["low"].as_f64() < drawn["mean"].as_f64(), "{drawn}");
    let said = run_with(&["gap", "-", "--digits", "6", "--samples", "50000"], THREE);
    assert!(said.out.contains("after 50000 random assemblies the digits asked for do not"), "{}", said.out);
    assert!(said.out.contains(": not stable\n"), "{}", said.out);
    // Digits without samples cannot be.
    let said = run_with(&["gap", "-", "--digits", "2", "--samples", "0"], THREE);
    assert_eq!((said.status, said.out.as_str()), (3, ""));
    assert!(said.err.contains("`--digits` tries out random assemblies"), "{}", said.err);
    for digits in ["0", "7", "two"] {
        assert_eq!(run(&["gap", "end-play", "--digits", digits]).status, 2, "{digits}");
    }
}

#[test]
fn digits_are_refused_where_they_never_stand_still() {
    let text = "dimensions: { a: { readings: [5.01, 5.02, 5.04, 5.01], instrument: micrometer } }\n\
                gaps: { x: { chain: a, accept: [4.95, 5.05] } }\n";
    let said = run_with(&["gap", "-", "--digits", "2"], text);
    assert_eq!((said.status, said.out.as_str()), (4, ""));
    assert!(said.err.contains("`x` cannot be drawn until its digits are stable"), "{}", said.err);
}

#[cfg(unix)]
#[test]
fn ctrl_c_ends_it_with_what_there_is() {
    use std::process::{Command, Stdio};
    use std::thread::sleep;
    use std::time::Duration;

    // Where it is not yet drawing when the word comes, it ends at once, as any program does; then later is tried.
    for seconds in [1, 2, 4, 8, 16] {
        let mut child = crate::tool::tool();
        child.args(["gap", "presets/demos/pump-inch.yaml", "--json", "--samples", "1000000000000"]);
        let child = child.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        sleep(Duration::from_secs(seconds));
        assert!(Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap().success());
        let said = child.wait_with_output().unwrap();
        let Some(status) = said.status.code() else { continue };
        assert_eq!((status, said.stderr.len()), (130, 0));
        let answer: Value = serde_json::from_slice(&said.stdout).unwrap();
        assert_eq!(answer["drawing_ended"], "stopped");
        let samples = answer["gaps"][0]["monte_carlo"]["samples"].as_u64().unwrap();
        assert!(samples > 0 && samples < 1_000_000_000_000, "{samples}");
        // What is exact is told whole.
        assert!(answer["gaps"][0]["exact"]["mean"].is_number());
        return;
    }
    panic!("it never came to drawing");
}
