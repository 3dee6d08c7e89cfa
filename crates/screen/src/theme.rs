//! Colours by meaning, the type scale, the spacing grid, and both themes for egui.

use std::sync::Arc;

use egui::{
    Color32, Context, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, Shadow, Stroke,
    TextStyle, Theme, Ui, Vec2, Visuals,
};

/// Size of words and numbers, points.
pub const WORDS: f32 = 13.0;
/// Size of the name of the thing selected, points.
pub const NAME: f32 = 16.0;
/// Size of the one number that matters on a step, points.
pub const NUMBER: f32 = 22.0;
/// Width of the column, points.
pub const COLUMN_WIDTH: f32 = 320.0;
/// Height of the chain, points.
pub const CHAIN_HEIGHT: f32 = 56.0;
/// Least height of anything that can be touched, points.
pub const TOUCH: f32 = 28.0;
/// Inner margin of the column, points.
pub const MARGIN: f32 = 16.0;

/// The colours of one theme, by meaning.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Palette {
    /// The large drawing surface.
    pub board: Color32,
    /// The column and the chain.
    pub column: Color32,
    /// Words and cut lines.
    pub ink: Color32,
    /// Units, hints, guides.
    pub quiet: Color32,
    /// Grid and dividers; never words.
    pub hair: Color32,
    /// What the person touches or may touch next.
    pub hand: Color32,
    /// The face towards the box.
    pub cold: Color32,
    /// The face towards the hull.
    pub hull: Color32,
    /// Sure.
    pub good: Color32,
    /// Needs a look.
    pub look: Color32,
    /// Cannot go on.
    pub stop: Color32,
}

const fn rgb(hex: u32) -> Color32 {
    Color32::from_rgb((hex >> 16) as u8, (hex >> 8) as u8, hex as u8)
}

impl Palette {
    /// Morning in the loft.
    pub const LIGHT: Palette = Palette {
        board: rgb(0xF7F4ED),
        column: rgb(0xEDE8DD),
        ink: rgb(0x22303A),
        quiet: rgb(0x566169),
        hair: rgb(0xCFC8B9),
        hand: rgb(0x9C4318),
        cold: rgb(0x1B6680),
        hull: rgb(0x7A5016),
        good: rgb(0x2C6539),
        look: rgb(0x7D5400),
        stop: rgb(0x9E2328),
    };
    /// The same loft before light.
    pub const DARK: Palette = Palette {
        board: rgb(0x13202A),
        column: rgb(0x1A2935),
        ink: rgb(0xEAE6DC),
        quiet: rgb(0xA4AFB6),
        hair: rgb(0x354652),
        hand: rgb(0xF2965F),
        cold: rgb(0x71C6E0),
        hull: rgb(0xE2B66D),
        good: rgb(0x80C98E),
        look: rgb(0xE6BA4E),
        stop: rgb(0xF48985),
    };

    /// The palette of a light or dark theme.
    pub fn of(dark: bool) -> Palette {
        if dark { Palette::DARK } else { Palette::LIGHT }
    }

    /// The palette the `Ui` is drawn in.
    pub fn at(ui: &Ui) -> Palette {
        Palette::of(ui.visuals().dark_mode)
    }

    /// Fill of layer `index` of `count` in the stack: from hull to cold in even steps of lightness.
    pub fn layer(&self, index: usize, count: usize) -> Color32 {
        let t = if count < 2 { 0.5 } else { index as f32 / (count - 1) as f32 };
        // Shares at which both ends carry ink words, in either theme.
        let share = if self == &Palette::DARK { 0.44 } else { 0.54 };
        mix(mix(self.board, self.hull, share), mix(self.board, self.cold, 0.30), t)
    }
}

/// `a` with the share `t` of `b` in it, channel by channel.
pub fn mix(a: Color32, b: Color32, t: f32) -> Color32 {
    let one = |x: u8, y: u8| (f32::from(x) + (f32::from(y) - f32::from(x)) * t).round() as u8;
    Color32::from_rgb(one(a.r(), b.r()), one(a.g(), b.g()), one(a.b(), b.b()))
}

/// The bold family, for the one number that matters.
pub fn bold() -> FontFamily {
    FontFamily::Name("bold".into())
}

/// Type for words and numbers.
pub fn words() -> FontId {
    FontId::proportional(WORDS)
}

/// Puts the typeface, both themes and the spacing into the context. Call once, before the first frame.
pub fn install(ctx: &Context) {
    let mut fonts = FontDefinitions::empty();
    for (name, bytes) in
        [("Noto Sans", coldwright_export::font::REGULAR), ("Noto Sans Bold", coldwright_export::font::BOLD)]
    {
        fonts.font_data.insert(name.to_owned(), Arc::new(FontData::from_static(bytes)));
    }
    for (family, name) in [
        (FontFamily::Proportional, "Noto Sans"),
        (FontFamily::Monospace, "Noto Sans"),
        (bold(), "Noto Sans Bold"),
    ] {
        fonts.families.insert(family, vec![name.to_owned()]);
    }
    ctx.set_fonts(fonts);
    // A press and its release are a click however slow the frames between them are: a photo that is being decoded or
    // uploaded must not swallow one.
    ctx.options_mut(|o| o.input_options.max_click_duration = 5.0);
    for theme in [Theme::Light, Theme::Dark] {
        ctx.style_mut_of(theme, |style| {
            let plain = |size| FontId::proportional(size);
            style.text_styles = [
                (TextStyle::Small, plain(WORDS)),
                (TextStyle::Body, plain(WORDS)),
                (TextStyle::Button, plain(WORDS)),
                (TextStyle::Monospace, plain(WORDS)),
                (TextStyle::Heading, plain(NAME)),
                (TextStyle::Name("number".into()), FontId::new(NUMBER, bold())),
            ]
            .into();
            let s = &mut style.spacing;
            s.item_spacing = Vec2::new(8.0, 8.0);
            s.button_padding = Vec2::new(8.0, 4.0);
            s.interact_size = Vec2::new(TOUCH, TOUCH);
            s.icon_width = 16.0;
            s.icon_width_inner = 8.0;
            s.icon_spacing = 8.0;
            s.menu_margin = Margin::same(8);
            s.window_margin = Margin::same(8);
            s.slider_width = 160.0;
            s.tooltip_width = 280.0;
            style.interaction.tooltip_delay = 0.6;
            style.interaction.selectable_labels = false;
            style.animation_time = 0.0;
            style.scroll_animation = egui::style::ScrollAnimation::none();
            style.visuals = visuals(theme == Theme::Dark);
        });
    }
}

fn visuals(dark: bool) -> Visuals {
    let p = Palette::of(dark);
    let mut v = if dark { Visuals::dark() } else { Visuals::light() };
    let square = CornerRadius::same(2);
    let hair = Stroke::new(1.0, p.hair);
    v.weak_text_color = Some(p.quiet);
    v.hyperlink_color = p.hand;
    v.faint_bg_color = mix(p.column, p.hair, 0.35);
    v.extreme_bg_color = p.board;
    v.text_edit_bg_color = Some(p.board);
    v.code_bg_color = p.board;
    v.warn_fg_color = p.look;
    v.error_fg_color = p.stop;
    v.window_fill = p.column;
    v.window_stroke = hair;
    v.window_corner_radius = square;
    v.menu_corner_radius = square;
    v.window_shadow = Shadow::NONE;
    v.popup_shadow = Shadow::NONE;
    v.panel_fill = p.board;
    v.selection.bg_fill = mix(p.column, p.hand, 0.20);
    v.selection.stroke = Stroke::new(1.5, p.hand);
    v.slider_trailing_fill = true;
    v.text_cursor.stroke = Stroke::new(1.5, p.hand);
    v.text_cursor.blink = false;
    v.indent_has_left_vline = false;
    v.disabled_alpha = 0.55;
    let states = [
        (&mut v.widgets.noninteractive, p.column, p.column, hair, p.ink),
        (
            &mut v.widgets.inactive,
            mix(p.column, p.board, 0.6),
            p.board,
            Stroke::new(1.0, mix(p.hair, p.quiet, 0.45)),
            p.ink,
        ),
        (&mut v.widgets.hovered, p.board, p.board, Stroke::new(1.5, p.hand), p.hand),
        (&mut v.widgets.active, mix(p.column, p.hand, 0.14), p.board, Stroke::new(2.0, p.hand), p.hand),
        (&mut v.widgets.open, p.board, p.board, Stroke::new(1.5, p.hand), p.hand),
    ];
    for (w, weak, fill, frame, fore) in states {
        w.weak_bg_fill = weak;
        w.bg_fill = fill;
        w.bg_stroke = frame;
        w.fg_stroke = Stroke::new(1.5, fore);
        w.corner_radius = square;
        w.expansion = 0.0;
    }
    v
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance and contrast as WCAG 2.2 states them (section "contrast ratio").
    fn contrast(a: Color32, b: Color32) -> f64 {
        let lum = |c: Color32| {
            let lin = |v: u8| {
                let s = f64::from(v) / 255.0;
                if s <= 0.04045 { s / 12.92 } else { ((s + 0.055) / 1.055).powf(2.4) }
            };
            0.2126 * lin(c.r()) + 0.7152 * lin(c.g()) + 0.0722 * lin(c.b())
        };
        let (x, y) = (lum(a).max(lum(b)), lum(a).min(lum(b)));
        (x + 0.05) / (y + 0.05)
    }

    #[test]
    fn words_can_be_read_on_board_and_column() {
        for dark in [false, true] {
            let p = Palette::of(dark);
            for (name, colour) in [
                ("ink", p.ink),
                ("quiet", p.quiet),
                ("hand", p.hand),
                ("cold", p.cold),
                ("hull", p.hull),
                ("good", p.good),
                ("look", p.look),
                ("stop", p.stop),
            ] {
                for ground in [p.board, p.column] {
                    let c = contrast(colour, ground);
                    assert!(c >= 4.5, "{name}, dark {dark}: {c:.2}");
                }
            }
            // Layer fills carry ink words.
            for i in 0..6 {
                let c = contrast(p.ink, p.layer(i, 6));
                assert!(c >= 4.5, "layer {i}, dark {dark}: {c:.2}");
            }
        }
    }
}
