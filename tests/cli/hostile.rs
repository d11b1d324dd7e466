//! Input that is meant to hurt, or looks like it: the tool answers or refuses in words, soon and within bounds. A run
//! that takes longer than the limit is ended and fails; so does one that wants more memory than the limit.

use std::fmt::Write as _;

use crate::tool::{Run, run_bounded};

/// That a text is refused with this code, without an answer and in a report of a readable length.
fn refused(text: &[u8], status: i32, code: &str) -> Run {
    let said = run_bounded(&["pick", "-"], text);
    assert_eq!((said.status, said.out.as_str()), (status, ""), "{}", start(&said.err));
    let report = run_bounded(&["pick", "-", "--json"], text);
    assert!(report.err.contains(&format!("\"code\": \"{code}\"")), "{}", start(&report.err));
    assert!(said.err.len() < 300_000, "a report of {} bytes", said.err.len());
    said
}

/// That a document is answered, with one of these exit statuses.
fn answered(text: &str, statuses: &[i32]) -> Run {
    let said = run_bounded(&["pick", "-"], text.as_bytes());
    assert!(statuses.contains(&said.status), "{} {}", said.status, start(&said.err));
    assert!(said.err.is_empty() && !said.out.contains("NaN") && !said.out.contains("inf "), "{}", said.out);
    said
}

fn start(text: &str) -> String {
    text.chars().take(2000).collect()
}

/// A gap of two parts, its pack and its kit.
fn stack(bore: &str, wheel: &str, count: &str, kit: &str) -> String {
    format!(
        "dimensions: {{ bore: {bore}, wheel: {wheel} }}\ngaps: {{ float: {{ chain: bore - wheel - shims, accept: [0.10, \
         0.30] }} }}\npacks: {{ shims: {{ kit: tray, count: {count} }} }}\nkits: {{ tray: {kit} }}\n"
    )
}

const BORE: &str = "{ size: 42.50, tolerance: 0.03 }";
const WHEEL: &str = "{ size: 41.87, tolerance: 0.02 }";
const TRAY: &str = "{ sizes: [0.10, 0.20, 0.30], tolerance: 0.01 }";

#[test]
fn a_deep_nest() {
    refused(format!("a: {}", "[".repeat(100_000)).as_bytes(), 3, "too-large");
    refused(format!("a: {}{}", "[".repeat(100_000), "]".repeat(100_000)).as_bytes(), 3, "too-large");
    refused("{a: ".repeat(100_000).as_bytes(), 3, "too-large");
    refused("- ".repeat(100_000).as_bytes(), 3, "too-large");
    let mut block = String::new();
    // The largest text allowed ends a nest of blocks before 100,000 levels: each line is longer than the last.
    for level in 0..3000 {
        writeln!(block, "{:level$}a:", "").unwrap();
    }
    refused(block.as_bytes(), 3, "too-large");
    let chain = format!("gaps: {{ float: {{ chain: \"{}\" }} }}\n", "(".repeat(100_000));
    refused(chain.as_bytes(), 3, "expression");
}

#[test]
fn an_alias_bomb() {
    let mut bomb = "a0: &a0 [9, 9, 9, 9, 9, 9, 9, 9, 9]\n".to_owned();
    for level in 1..30 {
        let last = format!("*a{}, ", level - 1).repeat(9);
        writeln!(bomb, "a{level}: &a{level} [{}]", last.trim_end_matches(", ")).unwrap();
    }
    refused(bomb.as_bytes(), 3, "alias");
}

#[test]
fn large_files_with_nothing_in_them() {
    refused(&vec![b' '; 20 << 20], 3, "too-large");
    refused(&vec![b' '; 7 << 20], 3, "empty-file");
    refused(&vec![b'\n'; 7 << 20], 3, "empty-file");
    refused(&vec![b'#'; 7 << 20], 3, "empty-file");
}

#[test]
fn what_is_no_text() {
    // A generator of its own: the same bytes on every run.
    let mut state = 1_u32;
    let junk: Vec<u8> = std::iter::repeat_with(|| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (state >> 24) as u8
    })
    .take(1 << 20)
    .collect();
    let said = refused(&junk, 3, "no-file");
    assert!(!said.err.chars().any(|c| c.is_control() && c != '\n'), "{}", start(&said.err));
    // Cut in the middle of the ö.
    refused(&"title: Größe".as_bytes()[..10], 3, "no-file");
    refused(&[0; 1000], 3, "not-yaml");
    refused(b"\xff\xfet\0i\0t\0l\0e\0", 3, "no-file");
}

#[test]
fn faults_without_end() {
    let many = |line: &dyn Fn(usize) -> String| (0..100_000).map(line).collect::<String>();
    refused(many(&|index| format!("key{index}: 1\n")).as_bytes(), 3, "unknown-key");
    let names = (0..100_000).map(|index| format!("q{index}")).collect::<Vec<_>>().join(" + ");
    let dimensions = many(&|index| format!("  p{index}: 1\n"));
    refused(format!("dimensions:\n{dimensions}gaps:\n  f: {{ chain: {names} }}\n").as_bytes(), 3, "unknown-name");
    let unreadable = many(&|index| format!("  q{index}: x\n"));
    refused(format!("dimensions:\n{unreadable}gaps:\n  f: {{ chain: {names} }}\n").as_bytes(), 3, "not-a-number");
    let digits = (0..200_000).map(|index| index.to_string()).collect::<Vec<_>>().join(",");
    refused(format!("dimensions: {{{digits}}}\n").as_bytes(), 3, "bad-name");
}

#[test]
fn ten_thousand_dimensions_in_one_chain() {
    for distribution in ["normal", "rectangular"] {
        let mut text = "dimensions:\n  case: 40001.00\n".to_owned();
        for index in 0..10_000 {
            let size = [1, 3, 5, 7][index % 4];
            writeln!(text, "  part {index}: {{ size: {size}, tolerance: 0.002, distribution: {distribution} }}")
                .unwrap();
        }
        let chain = (0..10_000).map(|index| format!(" - part {index}")).collect::<String>();
        write!(text, "gaps:\n  float: {{ chain: case{chain} - shims, accept: [0, 2] }}\n").unwrap();
        text.push_str("packs:\n  shims: { kit: tray }\nkits:\n  tray: { sizes: [0.5], tolerance: 0.01 }\n");
        let said = answered(&text, &[0]);
        assert!(said.out.starts_with("FIT no shims, expect float 1.0"), "{}", start(&said.out));
    }
}

#[test]
fn gaps_made_of_gaps() {
    // Each gap is made of both before it: the ways through them double with every level.
    let mut text = "dimensions: { a: 1 }\ngaps:\n  g0: { chain: a - shims }\n  h0: { chain: a }\n".to_owned();
    for level in 1..40 {
        let last = level - 1;
        writeln!(text, "  g{level}: {{ chain: g{last} + h{last}, found: 0.3 }}").unwrap();
        writeln!(text, "  h{level}: {{ chain: g{last} - h{last}, found: 0.3 }}").unwrap();
    }
    text.push_str("packs: { shims: { kit: tray } }\nkits: { tray: { sizes: [0.1] } }\n");
    refused(text.as_bytes(), 3, "needs-fitted");
    // The order of the file is the worst for finding an order to work in.
    let lines: String = (1..50_000).rev().map(|at| format!("  g{at}: {{ chain: g{} + a }}\n", at - 1)).collect();
    refused(format!("dimensions: {{ a: 1 }}\ngaps:\n{lines}  g0: {{ chain: a }}\n").as_bytes(), 3, "no-target");
    let dimensions: String = (0..5000).map(|at| format!("  d{at}: {{ size: 1, tolerance: 0.1 }}\n")).collect();
    let gaps: String = (1..5000).map(|at| format!("  g{at}: {{ chain: g{} + d{at} }}\n", at - 1)).collect();
    refused(format!("dimensions:\n{dimensions}gaps:\n  g0: {{ chain: d0 }}\n{gaps}").as_bytes(), 3, "too-large");
}

#[test]
fn a_kit_of_thousands() {
    for kit in ["{ from: 0.001, to: 2.000, step: 0.001 }", "{ from: 0.001, to: 10.000, step: 0.001 }"] {
        let said = answered(&stack(BORE, WHEEL, "[0, 2]", &format!("{{ sizes: {kit}, tolerance: 0.01 }}")), &[0]);
        assert!(said.out.starts_with("FIT 0.430, expect float 0.200"), "{}", start(&said.out));
    }
    let sizes = (1..300_000).map(|index| format!("0.{index:06}")).collect::<Vec<_>>().join(", ");
    refused(stack(BORE, WHEEL, "1", &format!("{{ sizes: [{sizes}] }}")).as_bytes(), 3, "too-large");
}

#[test]
fn a_thousand_shims() {
    let said = answered(&stack(BORE, WHEEL, "[0, 1000]", TRAY), &[0]);
    assert!(said.out.starts_with("FIT 0.10 + 0.30, expect float 0.23"), "{}", start(&said.out));
    refused(stack(BORE, WHEEL, "1000", TRAY).as_bytes(), 4, "too-many-packs");
    let thin = "{ sizes: [0.0001, 0.0002, 0.0003], tolerance: 0.01 }";
    refused(stack(BORE, WHEEL, "1000", thin).as_bytes(), 4, "too-many-packs");
    let many = "{ sizes: { from: 0.0005, to: 0.1, step: 0.0001 }, tolerance: 0.01 }";
    refused(stack(BORE, WHEEL, "[500, 1000]", many).as_bytes(), 4, "too-many-packs");
}

#[test]
fn nothing_in_doubt() {
    let exact = answered(&stack("42.5", "41.9", "[0, 4]", "{ sizes: [0.1, 0.2, 0.4] }"), &[0]);
    assert!(exact.out.starts_with("FIT 0.4, expect float 0.200, in band"), "{}", exact.out);
    let zero = "{ size: 42.5, tolerance: 0 }";
    let zero = answered(&stack(zero, "41.9", "[0, 4]", "{ sizes: [0.1, 0.2, 0.4], tolerance: 0 }"), &[0]);
    assert!(zero.out.starts_with("FIT 0.4, expect float 0.200, in band"), "{}", zero.out);
}

#[test]
fn the_small_and_the_large_in_one_stack() {
    let text = "dimensions:\n  huge: { size: 1e9, tolerance: 1e-9 }\n  bulk: 999999999\n  tiny: { size: 1e-9, tolerance: \
                1e-10 }\n  part: { size: 0.6, tolerance: 1e-9 }\ngaps: { float: { chain: huge - bulk - tiny - part - \
                shims, accept: [0.1, 0.3] } }\npacks: { shims: { kit: tray } }\nkits: { tray: { sizes: [1e-5, 0.2, \
                1e9], tolerance: 1e-9 } }\n";
    let said = answered(text, &[0]);
    assert!(said.out.starts_with("FIT 0.2, expect float 0.200"), "{}", said.out);
    // Sums that leave the 1 nm grid by far still end in words.
    let far = "dimensions: { a: 1e12, b: 1e12 }\ngaps: { f: { chain: 1e12 * a - 1e12 * b - 1e12 * s, accept: [0.1, 0.2] } \
               }\npacks: { s: { kit: k } }\nkits: { k: { sizes: [1e12, 1], tolerance: 1 } }\n";
    answered(far, &[1]);
    let wide = stack("{ size: 42.5, tolerance: 1e12 }", "{ size: 41.9, sd: 1e-300 }", "[0, 2]", TRAY);
    answered(&wide, &[1]);
}

#[cfg(unix)]
mod output {
    use std::fs::OpenOptions;
    use std::process::Stdio;

    use crate::tool::tool;

    const DEMO: [&str; 2] = ["pick", "presets/demos/layshaft.yaml"];

    #[test]
    fn a_closed_pipe_is_quiet_success() {
        let mut child = tool().args(DEMO).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let ended = child.wait_with_output().unwrap();
        assert_eq!((ended.status.code(), ended.stderr.as_slice()), (Some(0), &b""[..]));
    }

    #[test]
    fn a_closed_standard_output_is_quiet_success() {
        let binary = tool();
        let mut shell = std::process::Command::new("sh");
        shell.current_dir(crate::tool::root()).args(["-c", "exec \"$0\" \"$@\" >&-"]).arg(binary.get_program());
        let ended = shell.args(DEMO).output().unwrap();
        assert_eq!((ended.status.code(), ended.stderr.as_slice()), (Some(0), &b""[..]));
    }

    #[test]
    fn a_full_disk_is_told() {
        let Ok(full) = OpenOptions::new().write(true).open("/dev/full") else { return };
        let ended = tool().args(DEMO).stdout(full).output().unwrap();
        assert_eq!(ended.status.code(), Some(4));
        let said = String::from_utf8(ended.stderr).unwrap();
        assert!(said.starts_with("the answer could not be written"), "{said}");
    }
}
