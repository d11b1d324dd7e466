//! The tool as the tests run it.

fn main() -> std::process::ExitCode {
    shimwright::main_impl()
}
