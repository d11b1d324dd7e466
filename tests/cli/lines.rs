//! Lines that cannot be read: our own words, or JSON where it was asked for, and exit status 2.

use serde_json::Value;

use crate::tool::run;

#[test]
fn the_words_are_our_own_and_short() {
    for (line, expected) in [
        (
            &["gap"][..],
            "the stack is missing\nadvice: behind the command name a file such as box.yaml, a preset, or - for\n        \
             standard input\n",
        ),
        (
            &["pick", "end-play", "--confidence", "2"],
            "`--confidence 2`: it must lie between 0.5 and 1 (50% and 100%), both left out\nadvice: `shimwright pick --help` says how it is written\n",
        ),
        (
            &["verify", "end-play", "--guard"],
            "`--guard` is an option of `gap`, not of `verify`\nadvice: leave it out\n",
        ),
        (
            &["gap", "end-play", "play"],
            "`play`: NAME=VALUE is due, such as depth=53.97\nadvice: `shimwright gap --help` says how it is written\n",
        ),
        (&["weigh"], "there is no command `weigh`\nadvice: the commands are gap, pick, verify, reach, stock, preset\n"),
    ] {
        let said = run(line);
        assert_eq!((said.status, said.out.as_str()), (2, ""), "{line:?}");
        assert_eq!(said.err.trim_end(), expected.trim_end(), "{line:?}");
    }
}

#[test]
fn json_has_the_shape_of_all_errors() {
    for (line, command, message) in [
        (&["gap", "--json"][..], Value::from("gap"), "the stack is missing"),
        (&["pick", "end-play", "--json", "--quiet"], "pick".into(), "`--json` and `--quiet` do not go together"),
        (&["preset", "show", "--json"], "preset show".into(), "the name of a preset is missing"),
        (&["weigh", "--json"], Value::Null, "there is no command `weigh`"),
    ] {
        let said = run(line);
        assert_eq!((said.status, said.out.as_str()), (2, ""), "{line:?}");
        let report: Value = serde_json::from_str(&said.err).unwrap_or_else(|_| panic!("{}", said.err));
        assert_eq!((&report["format"], &report["command"]), (&1.into(), &command), "{report}");
        let [one] = report["errors"].as_array().unwrap().as_slice() else { panic!("{report}") };
        assert_eq!((&one["code"], &one["severity"]), (&"bad-line".into(), &"error".into()));
        assert_eq!(one["message"], message);
        assert!(one["help"].is_string() && one["file"].is_null() && one["line"].is_null(), "{one}");
    }
}

#[test]
fn the_name_alone_shows_what_the_tool_can_do() {
    for line in [&[][..], &["preset"]] {
        let said = run(line);
        assert_eq!((said.status, said.out.as_str()), (2, ""));
        assert!(said.err.contains("Commands:"), "{}", said.err);
    }
}
