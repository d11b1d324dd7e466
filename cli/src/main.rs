//! The command. All of it is in the library, so that a test can build the same thing.

fn main() -> std::process::ExitCode {
    shimwright::main_impl()
}
