//! Colours as workbooks name them: by their parts, by a place in the theme or the palette, lighter or darker.

use std::cell::Cell;

use quick_xml::events::{BytesStart, Event};

use super::fault::Fault;
use super::limits;
use super::package::Package;
use super::xml::{attribute, attributes};
use crate::grid::Colour;

/// The colours that workbooks refer to by number.
#[derive(Debug)]
pub(super) struct Colours {
    /// The theme's, in the order of its part: dark 1, light 1, dark 2, light 2, six accents, two for links.
    theme: Vec<Colour>,
    /// Whether a colour of the theme was asked for before the theme was read.
    pub(super) unread: Cell<bool>,
    /// The palette's, where the workbook has its own.
    pub(super) own_palette: Vec<Colour>,
}

/// The colours of the theme that Office has used since 2013, for workbooks without a theme.
const OFFICE_THEME: [u32; 12] = [
    0x00_0000, 0xff_ffff, 0x44_546a, 0xe7_e6e6, 0x5b_9bd5, 0xed_7d31, 0xa5_a5a5, 0xff_c000, 0x44_72c4,
    0x70_ad47, 0x05_63c1, 0x95_4f72,
];

/// The palette of older workbooks, numbers 8 to 63. Source: ECMA-376 part 1, 18.8.27.
const PALETTE: [u32; 56] = [
    0x00_0000, 0xff_ffff, 0xff_0000, 0x00_ff00, 0x00_00ff, 0xff_ff00, 0xff_00ff, 0x00_ffff, 0x80_0000,
    0x00_8000, 0x00_0080, 0x80_8000, 0x80_0080, 0x00_8080, 0xc0_c0c0, 0x80_8080, 0x99_99ff, 0x99_3366,
    0xff_ffcc, 0xcc_ffff, 0x66_0066, 0xff_8080, 0x00_66cc, 0xcc_ccff, 0x00_0080, 0xff_00ff, 0xff_ff00,
    0x00_ffff, 0x80_0080, 0x80_0000, 0x00_8080, 0x00_00ff, 0x00_ccff, 0xcc_ffff, 0xcc_ffcc, 0xff_ff99,
    0x99_ccff, 0xff_99cc, 0xcc_99ff, 0xff_cc99, 0x33_66ff, 0x33_cccc, 0x99_cc00, 0xff_cc00, 0xff_9900,
    0xff_6600, 0x66_6699, 0x96_9696, 0x00_3366, 0x33_9966, 0x00_3300, 0x33_3300, 0x99_3300, 0x99_3366,
    0x33_3399, 0x33_3333,
];

const fn colour(number: u32) -> Colour {
    let [_, red, green, blue] = number.to_be_bytes();
    Colour([red, green, blue])
}

impl Default for Colours {
    fn default() -> Self {
        Self { theme: OFFICE_THEME.map(colour).to_vec(), ..Self::unthemed() }
    }
}

impl Colours {
    /// Colours whose theme is not read yet.
    pub(super) const fn unthemed() -> Self {
        Self { theme: Vec::new(), unread: Cell::new(false), own_palette: Vec::new() }
    }

    /// Reads the theme, where there is one.
    pub(super) fn read(package: &mut Package<'_>, theme: Option<&str>) -> Result<Self, Fault> {
        let mut colours = Self::unthemed();
        if let Some(part) = theme
            && let Some(mut xml) = package.xml(part)?
        {
            let mut in_scheme = false;
            loop {
                match xml.next()? {
                    Event::Start(start) => match start.local_name().as_ref() {
                        "clrScheme" => in_scheme = true,
                        "srgbClr" if in_scheme => colours
                            .theme
                            .extend(attribute(&start, "val").and_then(|digits| Colour::from_hex(&digits))),
                        // A colour of the user's system, with the one it last was.
                        "sysClr" if in_scheme => colours.theme.extend(
                            attribute(&start, "lastClr").and_then(|digits| Colour::from_hex(&digits)),
                        ),
                        _ => {}
                    },
                    Event::End(end) if end.local_name().as_ref() == "clrScheme" => break,
                    Event::Eof => break,
                    _ => {}
                }
                if colours.theme.len() > limits::TABLE_ENTRIES {
                    return Err(Fault::too_many("colours", limits::TABLE_ENTRIES as u64));
                }
            }
        }
        if colours.theme.len() < OFFICE_THEME.len() {
            colours.theme = OFFICE_THEME.map(colour).to_vec();
        }
        Ok(colours)
    }

    /// The colour an element speaks of; `None` where it leaves it to the program.
    pub(super) fn of(&self, start: &BytesStart<'_>) -> Option<Colour> {
        let mut found = None;
        let mut tint = 0.0;
        for (name, value) in attributes(start) {
            match name {
                "rgb" => found = Colour::from_hex(&value),
                "theme" => found = value.parse().ok().and_then(|index| self.themed(index)),
                "indexed" => found = value.parse().ok().and_then(|index| self.indexed(index)),
                "tint" => tint = value.parse().unwrap_or(0.0),
                _ => {}
            }
        }
        found.map(|colour| tinted(colour, tint))
    }

    /// Light and dark stand the other way round in cells than in the theme's part.
    pub(super) fn themed(&self, index: usize) -> Option<Colour> {
        self.unread.set(self.unread.get() || self.theme.is_empty());
        self.theme.get(if index < 4 { index ^ 1 } else { index }).copied()
    }

    /// A colour of the palette.
    pub(super) fn indexed(&self, index: usize) -> Option<Colour> {
        match index {
            64 => Some(Colour::BLACK),
            65 => Some(Colour::WHITE),
            _ if !self.own_palette.is_empty() => self.own_palette.get(index).copied(),
            // The first eight are the next eight again.
            0..8 => PALETTE.get(index).copied().map(colour),
            _ => PALETTE.get(index - 8).copied().map(colour),
        }
    }
}

/// A colour made lighter (up to 1) or darker (down to -1), its hue and its saturation kept.
/// Source: ECMA-376 part 1, 18.8.19 (tint).
pub(super) fn tinted(colour: Colour, tint: f64) -> Colour {
    if tint == 0.0 || !tint.is_finite() {
        return colour;
    }
    let [red, green, blue] = colour.0.map(|part| f64::from(part) / 255.0);
    let most = red.max(green).max(blue);
    let least = red.min(green).min(blue);
    let light = f64::midpoint(most, least);
    let tint = tint.clamp(-1.0, 1.0);
    let new_light = if tint < 0.0 { light * (1.0 + tint) } else { light + (1.0 - light) * tint };
    // With the saturation kept, how far the parts are apart follows the room on either side of the lightness.
    let room = |light: f64| 1.0 - (2.0 * light - 1.0).abs();
    let spread = if room(light) > 0.0 { room(new_light) / room(light) } else { 0.0 };
    Colour([red, green, blue].map(|part| {
        let part = new_light + (part - light) * spread;
        (part * 255.0).round().clamp(0.0, 255.0) as u8
    }))
}

/// How much of a filled cell shows the colour in front, from 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Pattern(f64);

impl Pattern {
    /// No fill.
    const NONE: Self = Self(0.0);

    /// The pattern with this name. Source: ECMA-376 part 1, 18.18.55.
    pub(super) fn named(name: &str) -> Self {
        match name {
            "none" | "" => Self::NONE,
            "solid" => Self(1.0),
            "gray0625" => Self(0.0625),
            "gray125" => Self(0.125),
            "darkGray" => Self(0.75),
            light if light.starts_with("light") => Self(0.25),
            // Medium grey, dark lines and grids.
            _ => Self(0.5),
        }
    }

    /// The pattern with this number in binary workbooks. Source: MS-XLS 2.5.157 (FillPattern).
    pub(super) const fn numbered(number: u32) -> Self {
        match number {
            0 => Self::NONE,
            1 => Self(1.0),
            3 => Self(0.75),
            4 | 11..=16 => Self(0.25),
            17 => Self(0.125),
            18 => Self(0.0625),
            _ => Self(0.5),
        }
    }

    /// The fill it makes of two colours; those that are not said are black on white.
    pub(super) fn fill(self, front: Option<Colour>, back: Option<Colour>) -> Option<Colour> {
        let (front, back) = (front.unwrap_or(Colour::BLACK), back.unwrap_or(Colour::WHITE));
        (self != Self::NONE).then(|| mixed(front, back, self.0))
    }
}

/// So much of one colour over another, as seen from afar.
pub(super) fn mixed(front: Colour, back: Colour, share: f64) -> Colour {
    let mut parts = [0; 3];
    for (part, (front, back)) in parts.iter_mut().zip(front.0.into_iter().zip(back.0)) {
        *part = (f64::from(front) * share + f64::from(back) * (1.0 - share)).round() as u8;
    }
    Colour(parts)
}

/// Whether a style of line is heavy; `None` for no line. Source: MS-XLS 2.5.11 (BorderStyle).
pub(super) const fn heavy(style: u32) -> Option<bool> {
    match style {
        0 => None,
        // Medium, thick, double, and medium lines with gaps.
        2 | 5 | 6 | 8 | 10 | 12 | 13 => Some(true),
        _ => Some(false),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the shades Excel and LibreOffice name in their colour pickers for the Office theme: "White, darker
    /// 15%" D9D9D9, "Blue, lighter 80%" DDEBF7 (from memory), "Blue, darker 25%" 2F75B5 (from memory), within a
    /// step of rounding.
    #[test]
    fn tints_are_the_shades_of_the_colour_picker() {
        for (from, tint, shade) in [
            ("FFFFFF", -0.15, "D9D9D9"),
            ("000000", 0.5, "808080"),
            ("5B9BD5", 0.799_981_7, "DDEBF7"),
            ("5B9BD5", -0.249_977_1, "2F75B5"),
            ("1F4E79", 0.0, "1F4E79"),
            ("123456", 1.0, "FFFFFF"),
            ("123456", -1.0, "000000"),
        ] {
            let got = tinted(Colour::from_hex(from).unwrap(), tint).0;
            let shade = Colour::from_hex(shade).unwrap().0;
            assert!(
                got.iter().zip(shade).all(|(got, want)| got.abs_diff(want) <= 1),
                "{from}: {got:?} {shade:?}"
            );
        }
    }

    #[test]
    fn numbers_lead_to_the_theme_and_the_palette() {
        let colours = Colours::default();
        let of = |attributes: &str| colours.of(&BytesStart::from_content(format!("c {attributes}"), 1));
        for (attributes, digits) in [
            ("rgb=\"FF1F4E79\"", "1F4E79"),
            ("theme=\"0\"", "FFFFFF"),
            ("theme=\"1\"", "000000"),
            ("theme=\"2\"", "E7E6E6"),
            ("theme=\"4\"", "5B9BD5"),
            ("theme=\"0\" tint=\"-0.15\"", "D9D9D9"),
            ("indexed=\"10\"", "FF0000"),
            ("indexed=\"2\"", "FF0000"),
            ("indexed=\"22\"", "C0C0C0"),
            ("indexed=\"64\"", "000000"),
        ] {
            assert_eq!(of(attributes), Colour::from_hex(digits), "{attributes}");
        }
        for attributes in ["auto=\"1\"", "theme=\"99\"", "indexed=\"200\"", "rgb=\"\""] {
            assert_eq!(of(attributes), None, "{attributes}");
        }
    }
}
