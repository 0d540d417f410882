//! Colours: a hue for each block, and a few colours for text.
//!
//! The hues are the set that Okabe and Ito published for people with colour blindness (2008), with two changes. Their
//! blue is left out, because it is too dark to read on black. Their vermillion is lightened until it is readable on our
//! background. A hue tells one block from the next and nothing else. Fill shows what a time is for, and a letter names
//! the block, so nothing depends on colour alone.

use ratatui::style::{Color, Modifier, Style};

/// How many colours the terminal shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum ColourDepth {
    /// 24-bit colours.
    #[default]
    True,
    /// The 256 colours of xterm.
    Many,
    /// The 16 colours that the terminal's own theme defines.
    Sixteen,
    /// No colours: the terminal's own foreground and background, with bold, dim and reversed text.
    Without,
}

/// How the screen looks on this terminal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct ScreenTheme {
    pub colours: ColourDepth,
}

/// A colour for each set: 24 bits, 256 colours and 16 colours.
#[derive(Clone, Copy)]
struct PaletteColour {
    rgb: (u8, u8, u8),
    many: u8,
    sixteen: Color,
}

const fn tint(rgb: (u8, u8, u8), many: u8, sixteen: Color) -> PaletteColour {
    PaletteColour { rgb, many, sixteen }
}

const GROUND: PaletteColour = tint((0x0C, 0x0E, 0x11), 233, Color::Black);
const TEXT: PaletteColour = tint((0xE9, 0xE7, 0xE1), 254, Color::White);
const FAINT: PaletteColour = tint((0x95, 0x99, 0xA0), 246, Color::Gray);
/// For lines and for past time; too dark for text.
const LINE: PaletteColour = tint((0x4A, 0x4E, 0x55), 240, Color::DarkGray);
/// Hues next to each other differ as much as possible, in lightness too.
const HUES: [PaletteColour; 6] = [
    tint((0x56, 0xB4, 0xE9), 74, Color::LightCyan),
    tint((0xE6, 0x9F, 0x00), 178, Color::Yellow),
    tint((0x00, 0xA8, 0x7B), 36, Color::LightGreen),
    tint((0xD4, 0x8A, 0xB4), 175, Color::LightMagenta),
    tint((0xF0, 0xE4, 0x42), 227, Color::LightYellow),
    tint((0xE8, 0x6A, 0x1C), 166, Color::LightRed),
];

impl ScreenTheme {
    /// How many hues there are. After the last, the first is used again.
    pub(crate) const HUES: u16 = HUES.len() as u16;

    /// Chooses the colours from the environment variables `NO_COLOR`, `COLORTERM`, `TERM` and `WT_SESSION` (Windows).
    pub fn from_env(get: impl Fn(&str) -> Option<String>) -> ScreenTheme {
        let set = |name: &str| get(name).filter(|value| !value.is_empty());
        let term = set("TERM").unwrap_or_default();
        let colours = if set("NO_COLOR").is_some() || term == "dumb" {
            ColourDepth::Without
        } else if set("COLORTERM").is_some_and(|value| value == "truecolor" || value == "24bit")
            || term.ends_with("-direct")
            || set("WT_SESSION").is_some()
        {
            ColourDepth::True
        } else if term.contains("256color") {
            ColourDepth::Many
        } else {
            ColourDepth::Sixteen
        };
        ScreenTheme { colours }
    }

    fn colour(self, tint: PaletteColour) -> Option<Color> {
        match self.colours {
            ColourDepth::True => Some(Color::Rgb(tint.rgb.0, tint.rgb.1, tint.rgb.2)),
            ColourDepth::Many => Some(Color::Indexed(tint.many)),
            ColourDepth::Sixteen => Some(tint.sixteen),
            ColourDepth::Without => None,
        }
    }

    fn on_ground(self, tint: PaletteColour) -> Style {
        match (self.colour(tint), self.colour(GROUND)) {
            (Some(ink), Some(ground)) => Style::new().fg(ink).bg(ground),
            _ => Style::new(),
        }
    }

    /// Ordinary text.
    pub(crate) fn text(self) -> Style {
        self.on_ground(TEXT)
    }

    /// The most important part of a line.
    pub(crate) fn strong(self) -> Style {
        self.text().add_modifier(Modifier::BOLD)
    }

    /// Labels and other secondary text.
    pub(crate) fn faint(self) -> Style {
        self.dimmed(FAINT)
    }

    /// Lines and past time.
    pub(crate) fn line(self) -> Style {
        self.dimmed(LINE)
    }

    fn dimmed(self, tint: PaletteColour) -> Style {
        match self.colours {
            ColourDepth::Without => Style::new().add_modifier(Modifier::DIM),
            _ => self.on_ground(tint),
        }
    }

    /// A block's hue.
    pub(crate) fn hue(self, block: usize) -> Style {
        self.on_ground(HUES[block % HUES.len()])
    }

    /// A block's hue for past time.
    pub(crate) fn spent(self, block: usize) -> Style {
        let hue = HUES[block % HUES.len()];
        match self.colours {
            ColourDepth::True => {
                let mix = |hue: u8, ground: u8| ((u16::from(hue) * 2 + u16::from(ground) * 3) / 5) as u8;
                let [(r, g, b), (gr, gg, gb)] = [hue.rgb, GROUND.rgb];
                self.on_ground(PaletteColour { rgb: (mix(r, gr), mix(g, gg), mix(b, gb)), ..hue })
            }
            _ => self.line(),
        }
    }

    /// Dark letters on a block's hue.
    pub(crate) fn on_hue(self, block: usize) -> Style {
        self.on(HUES[block % HUES.len()])
    }

    /// Text that must not be missed: dark letters on a light background.
    pub(crate) fn alarm(self) -> Style {
        self.on(TEXT)
    }

    fn on(self, tint: PaletteColour) -> Style {
        let style = match (self.colour(GROUND), self.colour(tint)) {
            (Some(ink), Some(ground)) => Style::new().fg(ink).bg(ground),
            _ => Style::new().add_modifier(Modifier::REVERSED),
        };
        style.add_modifier(Modifier::BOLD)
    }
}
