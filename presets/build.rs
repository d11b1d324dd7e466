//! Lists the data folder, so that adding a preset is adding a file.

use std::fmt::Write as _;
use std::path::Path;
use std::{env, fs};

fn main() {
    println!("cargo::rerun-if-changed=data");
    let root = env::var("CARGO_MANIFEST_DIR").expect("cargo says where the package is");
    let mut names: Vec<String> = fs::read_dir(Path::new(&root).join("data"))
        .expect("the package has a data folder")
        .map(|entry| entry.expect("the data folder can be listed").file_name())
        .filter_map(|name| name.into_string().ok()?.strip_suffix(".yaml").map(str::to_owned))
        .collect();
    // The folder has no order of its own, and the list of presets must be the same on every machine.
    names.sort_unstable();
    let mut table = String::from("const FILES: &[(&str, &str)] = &[\n");
    for name in names {
        writeln!(
            table,
            "    ({name:?}, include_str!(concat!(env!(\"CARGO_MANIFEST_DIR\"), {:?}))),",
            format!("/data/{name}.yaml")
        )
        .expect("a string takes all that is written to it");
    }
    table.push_str("];\n");
    let out = env::var("OUT_DIR").expect("cargo says where generated files go");
    fs::write(Path::new(&out).join("files.rs"), table).expect("the generated table can be written");
}
