//! Opening the window, and saying in words why it cannot open.

use std::path::Path;

use super::App;
use crate::error::AppError;
use crate::recovery;

impl eframe::App for App {
    fn logic(&mut self, _ctx: &egui::Context, _frame: &mut eframe::Frame) {
        App::logic(self);
    }

    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        App::ui(self, ui);
    }

    fn on_exit(&mut self, _gl: Option<&eframe::glow::Context>) {
        self.close();
    }
}

/// Opens the window, with a job or else with a sample to try, and runs until it is closed.
///
/// # Errors
/// When there is no screen to open it on: what is missing, and that the commands work without.
pub fn open(job: Option<&Path>) -> Result<(), AppError> {
    let options = eframe::NativeOptions {
        viewport: egui::ViewportBuilder::default()
            .with_title("Coldwright")
            .with_app_id("coldwright")
            .with_inner_size([1360.0, 860.0])
            .with_min_inner_size([900.0, 600.0])
            .with_drag_and_drop(true),
        renderer: eframe::Renderer::Glow,
        ..Default::default()
    };
    let job = job.map(Path::to_owned);
    let run = move || {
        eframe::run_native(
            "Coldwright",
            options,
            Box::new(move |cc| {
                let mut app = App::new(&cc.egui_ctx, recovery::home().as_deref())?;
                match job {
                    Some(path) => app.open_file(path),
                    None => app.open_sample(0),
                }
                Ok(Box::new(app))
            }),
        )
    };
    // A missing system library can end the window's start in a panic; the person gets a sentence all the same.
    let hook = std::panic::take_hook();
    std::panic::set_hook(Box::new(|info| tracing::error!("{info}")));
    let ran = std::panic::catch_unwind(std::panic::AssertUnwindSafe(run));
    std::panic::set_hook(hook);
    match ran {
        Ok(Ok(())) => Ok(()),
        Ok(Err(e)) => Err(no_window(&e.to_string())),
        Err(_) => Err(no_window("a library of the window system is missing or broke down")),
    }
}

fn no_window(why: &str) -> AppError {
    let first = why.lines().next().unwrap_or_default();
    tracing::error!("{why}");
    let screen = std::env::var_os("DISPLAY").is_some() || std::env::var_os("WAYLAND_DISPLAY").is_some();
    let missing = if cfg!(target_os = "linux") && !screen {
        "there is no screen here (neither DISPLAY nor WAYLAND_DISPLAY is set)".to_owned()
    } else {
        format!("the screen or its OpenGL driver does not answer ({first})")
    };
    AppError::Window(format!(
        "the window cannot open: {missing}. On Debian or Ubuntu it needs the packages libgl1, libxkbcommon-x11-0, libxcursor1, libxi6 and libxrandr2. The commands work without a window: coldwright --help"
    ))
}
