//! Text boxes for lengths, angles, numbers and names: the echo while typing, the refusal below, never a lost word.

use std::collections::BTreeMap;

use coldwright_geometry::{Length, Show, Writing, parse_angle, parse_length, show_length};
use coldwright_job::{Edit, Job, Units, apply};
use egui::{Id, Key, RichText, TextEdit, Ui, Vec2};

use crate::actions::Action;
use crate::theme::{Palette, TOUCH};

/// Texts that are being typed, or were refused.
#[derive(Debug, Default)]
pub(crate) struct Drafts {
    kept: BTreeMap<u64, Draft>,
    /// What boxes too narrow for it have to say, with whether it is a refusal; shown below their row.
    notes: Vec<(String, bool)>,
}

#[derive(Debug)]
struct Draft {
    text: String,
    refused: Option<String>,
}

/// What a text reads as: the value, and how it was understood.
pub(crate) struct Read<T> {
    pub(crate) value: T,
    pub(crate) echo: Option<String>,
}

/// One text box. `current` is the value as shown when nothing is being typed.
pub(crate) struct EditBox<'a> {
    pub(crate) key: Id,
    /// Its accessible name.
    pub(crate) name: &'a str,
    pub(crate) current: String,
    pub(crate) hint: &'a str,
    pub(crate) width: f32,
    /// Enter takes what stands in the box even where nothing was typed.
    pub(crate) again: bool,
}

impl EditBox<'_> {
    /// Shows the box and gives the value at the moment it is taken: Enter, Tab or a click elsewhere. A text that is
    /// refused by `read` or `accept` stays, with the sentence below it. Escape gives the old value back.
    pub(crate) fn show<T>(
        self,
        ui: &mut Ui,
        drafts: &mut Drafts,
        read: impl Fn(&str) -> Result<Read<T>, String>,
        accept: impl FnOnce(&T) -> Result<(), String>,
    ) -> Option<T> {
        let p = Palette::at(ui);
        let slot = self.key.value();
        let mut text = drafts.kept.get(&slot).map_or_else(|| self.current.clone(), |d| d.text.clone());
        let refused_before = drafts.kept.get(&slot).is_some_and(|d| d.refused.is_some());
        let mut taken = None;
        ui.vertical(|ui| {
            ui.spacing_mut().item_spacing.y = 4.0;
            ui.set_width(self.width);
            if refused_before {
                let stroke = egui::Stroke::new(1.5, p.stop);
                ui.visuals_mut().widgets.inactive.bg_stroke = stroke;
            }
            let response = ui
                .add(
                    TextEdit::singleline(&mut text)
                        .id(self.key)
                        .hint_text(RichText::new(self.hint).color(p.quiet))
                        .min_size(Vec2::new(self.width, TOUCH))
                        .desired_width(self.width)
                        .margin(egui::Margin::symmetric(8, 4))
                        .align(egui::Align2::LEFT_CENTER)
                        .char_limit(4000),
                )
                .accessible_name(self.name);
            if response.changed() {
                drafts.kept.insert(slot, Draft { text: text.clone(), refused: None });
            }
            if response.gained_focus() && !drafts.kept.contains_key(&slot) {
                select_all(ui, self.key, &text);
            }
            let enter = response.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
            if self.again && enter && !text.is_empty() {
                drafts.kept.entry(slot).or_insert_with(|| Draft { text: text.clone(), refused: None });
            }
            if response.lost_focus() && drafts.kept.contains_key(&slot) {
                // A text typed back to what it was is no change, whatever the box could not say of the value.
                let same = text == self.current && !(self.again && enter);
                if same || ui.input(|i| i.key_pressed(Key::Escape)) {
                    drafts.kept.remove(&slot);
                } else {
                    let verdict = read(&text).and_then(|r| accept(&r.value).map(|()| r.value));
                    match verdict {
                        Ok(value) => {
                            taken = Some(value);
                            drafts.kept.remove(&slot);
                        }
                        Err(why) => {
                            drafts.kept.insert(
                                slot,
                                Draft {
                                    text: text.clone(),
                                    refused: Some(coldwright_job::sentence_case(&why)),
                                },
                            );
                        }
                    }
                }
            }
            let note = match drafts.kept.get(&slot) {
                Some(Draft { refused: Some(why), .. }) => Some((why.clone(), true)),
                Some(Draft { text, refused: None }) if !text.trim().is_empty() => match read(text) {
                    Ok(read) => read.echo.map(|echo| (echo, false)),
                    Err(why) => Some((coldwright_job::sentence_case(&why), false)),
                },
                _ => None,
            };
            match note {
                Some(note) if self.width < NARROW => drafts.notes.push(note),
                Some((words, true)) => refuse(ui, &words),
                Some((words, false)) => echo(ui, &words, response.rect.left_bottom(), self.width),
                None => {}
            }
        });
        taken
    }
}

/// Boxes narrower than this leave their sentence to the row they stand in, points.
const NARROW: f32 = 140.0;

/// Says below a row what its narrow boxes have to say.
pub(crate) fn notes(ui: &mut Ui, drafts: &mut Drafts) {
    for (words, refused) in std::mem::take(&mut drafts.notes) {
        if refused {
            refuse(ui, &words);
        } else {
            let at = ui.cursor().left_top() - Vec2::new(0.0, ui.spacing().item_spacing.y);
            echo(ui, &words, at, ui.available_width());
        }
    }
}

/// A refusal stays below its box until the text is mended.
fn refuse(ui: &mut Ui, words: &str) {
    ui.add(egui::Label::new(RichText::new(words).color(Palette::at(ui).stop)).wrap());
}

/// How a text is understood while it is typed: over what stands below the box, so that nothing moves when it goes.
fn echo(ui: &Ui, words: &str, at: egui::Pos2, width: f32) {
    let p = Palette::at(ui);
    let galley = ui.painter().layout(words.to_owned(), crate::theme::words(), p.ink, width - 16.0);
    let rect = egui::Rect::from_min_size(at + Vec2::new(0.0, 2.0), galley.size() + Vec2::new(16.0, 8.0));
    let layer = egui::LayerId::new(egui::Order::Foreground, ui.scope_id().with("echo"));
    let painter = ui.ctx().layer_painter(layer).with_clip_rect(ui.clip_rect());
    let hair = egui::Stroke::new(1.0, p.hair);
    painter.rect(rect, 2.0, p.board, hair, egui::StrokeKind::Inside);
    painter.galley(rect.min + Vec2::new(8.0, 4.0), galley, p.ink);
    let said = ui.interact(rect, ui.scope_id().with("echo"), egui::Sense::hover());
    said.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, words));
}

/// A box bound to one edit of the job: refused by the job's own rules as well as by the reader.
#[derive(Copy, Clone)]
pub(crate) struct Bound<'a> {
    pub(crate) job: &'a Job,
    pub(crate) key: Id,
    pub(crate) name: &'a str,
    pub(crate) hint: &'a str,
    pub(crate) width: f32,
}

impl Bound<'_> {
    /// A length box.
    pub(crate) fn length(
        self,
        ui: &mut Ui,
        drafts: &mut Drafts,
        current: Option<Length>,
        queue: &mut Vec<Action>,
        edit: impl Fn(Option<Length>) -> Option<Edit>,
    ) {
        let current = current.map(|l| exactly(self.job.units, l)).unwrap_or_default();
        let read = |text: &str| -> Result<Read<Edit>, String> {
            if text.trim().is_empty() {
                return match edit(None) {
                    Some(value) => Ok(Read { value, echo: None }),
                    None => Err("give a length, such as 12.5 mm or 1/2 in".to_owned()),
                };
            }
            let reading =
                parse_length(text, self.job.units.bare(), Writing::Plain).map_err(|e| e.to_string())?;
            match edit(Some(reading.length)) {
                Some(value) => Ok(Read { value, echo: Some(reading.words) }),
                None => Err("this length cannot be used here".to_owned()),
            }
        };
        self.run(ui, drafts, current, queue, read);
    }

    /// An angle box, degrees.
    pub(crate) fn angle(
        self,
        ui: &mut Ui,
        drafts: &mut Drafts,
        current_deg: f64,
        queue: &mut Vec<Action>,
        edit: impl Fn(f64) -> Edit,
    ) {
        let read = |text: &str| {
            let radians = parse_angle(text).map_err(|e| e.to_string())?;
            let degrees = radians.to_degrees();
            Ok(Read { value: edit(degrees), echo: Some(bevel_words(degrees)) })
        };
        self.run(ui, drafts, rounded(current_deg, 6, "°"), queue, read);
    }

    /// A box for words.
    pub(crate) fn words(
        self,
        ui: &mut Ui,
        drafts: &mut Drafts,
        current: &str,
        queue: &mut Vec<Action>,
        edit: impl Fn(String) -> Edit,
    ) {
        let read = |text: &str| Ok(Read { value: edit(text.to_owned()), echo: None });
        self.run(ui, drafts, current.to_owned(), queue, read);
    }

    /// A box read by the caller's own reader.
    pub(crate) fn run(
        self,
        ui: &mut Ui,
        drafts: &mut Drafts,
        current: String,
        queue: &mut Vec<Action>,
        read: impl Fn(&str) -> Result<Read<Edit>, String>,
    ) {
        let Bound { job, key, name, hint, width } = self;
        let accept = |edit: &Edit| apply(job, edit).map(|_| ()).map_err(|e| e.to_string());
        if let Some(edit) =
            (EditBox { key, name, current, hint, width, again: false }).show(ui, drafts, read, accept)
        {
            queue.push(Action::Edit(edit, None));
        }
    }
}

/// A length as a box holds it: in a job in inches the fraction where it is a whole 64th, otherwise millimetres with as
/// many decimals as it has; a 64th that has more than micrometres say is written as a fraction in either job.
pub(crate) fn exactly(units: Units, length: Length) -> String {
    let fraction = units == Units::Inches || length.exact_micrometres().is_none();
    if fraction && length.exact_64ths().is_some() {
        return show_length(length, Show::Inches { denominator: 64 });
    }
    // Beyond the millimetre's decimals that can be written, a length was worked out, not typed.
    let text = show_length(length, Show::Mm { decimals: 5 });
    let number = text.trim_end_matches(" mm").trim_end_matches('0').trim_end_matches('.');
    let number = if number.contains('.') || units == Units::Inches {
        number.to_owned()
    } else {
        format!("{number}.0")
    };
    format!("{number} mm")
}

/// An angle as shown.
pub(crate) fn degrees(value: f64) -> String {
    rounded(value, 2, "°")
}

/// A number with at most so many decimals, no more than it needs.
pub(crate) fn rounded(value: f64, decimals: usize, unit: &str) -> String {
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    format!("{}{unit}", if text == "-0" { "0" } else { text })
}

/// Open, closed or square, in words.
pub(crate) fn bevel_words(degrees_value: f64) -> String {
    if degrees_value.abs() < 0.005 {
        "0° = square".to_owned()
    } else if degrees_value > 0.0 {
        format!("{} open: larger on the box side", degrees(degrees_value))
    } else {
        format!("{} closed: smaller on the box side", degrees(-degrees_value))
    }
}

fn select_all(ui: &Ui, id: Id, text: &str) {
    if let Some(mut state) = TextEdit::load_state(ui.ctx(), id) {
        let range = egui::text::CCursorRange::two(
            egui::text::CCursor::new(0),
            egui::text::CCursor::new(text.chars().count()),
        );
        state.cursor.set_char_range(Some(range));
        TextEdit::store_state(ui.ctx(), id, state);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_says_what_the_document_holds() {
        let um = Length::from_micrometres;
        for (units, length, said) in [
            (Units::Inches, um(4_600), "4.6 mm"),
            (Units::Inches, um(5_000), "5 mm"),
            (Units::Inches, Length::from_64ths(12), "3/16 in"),
            (Units::Inches, Length::from_64ths(2597), "40 37/64 in"),
            (Units::Inches, um(25_400), "1 in"),
            (Units::Millimetres, um(4_625), "4.625 mm"),
            (Units::Millimetres, um(25_000), "25.0 mm"),
            (Units::Millimetres, Length::from_64ths(1), "1/64 in"),
            (Units::Millimetres, Length::from_64ths(96), "38.1 mm"),
        ] {
            assert_eq!(exactly(units, length), said);
        }
    }

    #[test]
    fn what_a_box_says_is_read_as_the_same_length() {
        // Every 64th to ten inches, and every hundredth of a millimetre to a quarter of a metre.
        for units in [Units::Inches, Units::Millimetres] {
            let all = (-640..640)
                .map(Length::from_64ths)
                .chain((0..25_000).map(|n| Length::from_micrometres(10 * n)));
            for length in all {
                let said = exactly(units, length);
                let read = parse_length(&said, units.bare(), Writing::Plain).map(|r| r.length);
                assert_eq!(read.as_ref().ok(), Some(&length), "{said}");
            }
        }
    }

    #[test]
    fn angles_keep_their_decimals() {
        assert_eq!(rounded(9.123_456, 6, "°"), "9.123456°");
        assert_eq!(rounded(8.000_000_000_000_002, 6, "°"), "8°");
        assert_eq!((degrees(-0.001), degrees(10.0)), ("0°".into(), "10°".into()));
    }
}
