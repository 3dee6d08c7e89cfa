//! The `coldwright` program.

use std::process::ExitCode;

use clap::Parser;
use coldwright_app::{commands, window};

fn main() -> ExitCode {
    // Silent unless asked: COLDWRIGHT_LOG=warn coldwright
    let filter = tracing_subscriber::EnvFilter::try_from_env("COLDWRIGHT_LOG");
    let filter = filter.unwrap_or_else(|_| tracing_subscriber::EnvFilter::new("off"));
    tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr).init();
    let words = match commands::Words::try_parse() {
        Ok(words) => words,
        Err(e) => {
            // Help and version are answers; anything else could not be understood.
            let code = if e.use_stderr() { ExitCode::from(2) } else { ExitCode::SUCCESS };
            let _ = e.print();
            return code;
        }
    };
    let done =
        commands::run(&words).and_then(|ran| if ran { Ok(()) } else { window::open(words.job.as_deref()) });
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) => {
            commands::complain(&e);
            ExitCode::FAILURE
        }
    }
}
