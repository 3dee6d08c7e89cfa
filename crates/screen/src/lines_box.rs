//! A box of several lines, for tables typed or pasted: what is refused stays, with the sentence below it.

use std::collections::BTreeMap;

use egui::{Id, Key, RichText, TextEdit, Ui};

use crate::theme::Palette;

/// Tables that are being typed, or were refused, with why.
#[derive(Debug, Default)]
pub(crate) struct LineDrafts(BTreeMap<u64, (String, Option<String>)>);

/// One box of lines. `current` is what it holds when nothing is being typed.
pub(crate) struct LinesBox<'a> {
    pub(crate) key: Id,
    /// Its accessible name.
    pub(crate) name: &'a str,
    pub(crate) current: &'a str,
    pub(crate) hint: &'a str,
    pub(crate) rows: usize,
}

impl LinesBox<'_> {
    /// Shows the box and gives its text at the moment it is taken: a click elsewhere, Tab, or Enter with Ctrl. Escape gives the old
    /// text back.
    pub(crate) fn show(
        self,
        ui: &mut Ui,
        drafts: &mut LineDrafts,
        accept: impl FnOnce(&str) -> Result<(), String>,
    ) -> Option<String> {
        let p = Palette::at(ui);
        let slot = self.key.value();
        let mut text = drafts.0.get(&slot).map_or_else(|| self.current.to_owned(), |d| d.0.clone());
        let refused = drafts.0.get(&slot).is_some_and(|d| d.1.is_some());
        let response = ui
            .scope(|ui| {
                if refused {
                    ui.visuals_mut().widgets.inactive.bg_stroke = egui::Stroke::new(1.5, p.stop);
                }
                let edit = TextEdit::multiline(&mut text)
                    .id(self.key)
                    .hint_text(RichText::new(self.hint).color(p.quiet))
                    .desired_rows(self.rows)
                    .desired_width(ui.available_width())
                    .margin(egui::Margin::symmetric(8, 4))
                    .char_limit(200_000);
                ui.add(edit)
            })
            .inner
            .accessible_name(self.name);
        if response.changed() {
            drafts.0.insert(slot, (text.clone(), None));
        }
        let done = response.has_focus() && ui.input(|i| i.modifiers.command && i.key_pressed(Key::Enter));
        let mut taken = None;
        if (response.lost_focus() || done) && drafts.0.contains_key(&slot) {
            if ui.input(|i| i.key_pressed(Key::Escape)) || text == self.current {
                drafts.0.remove(&slot);
            } else if let Err(why) = accept(&text) {
                drafts.0.insert(slot, (text, Some(coldwright_job::sentence_case(&why))));
            } else {
                drafts.0.remove(&slot);
                taken = Some(text);
            }
        }
        if let Some((_, Some(why))) = drafts.0.get(&slot) {
            ui.add(egui::Label::new(RichText::new(why).color(p.stop)).wrap());
        }
        taken
    }
}
