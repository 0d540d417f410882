//! A picture of terminal cells. Text stays text; block elements become exact rectangles, so that they look the same in
//! every font.
// Several runners have this module, so it is public in each.
#![allow(unreachable_pub)]

use std::fmt::Write;

use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Modifier};

/// The size of a cell, in units of the picture.
const WIDE: f32 = 10.0;
const HIGH: f32 = 20.0;
/// The colours that stand for a terminal's own colours.
const OWN_INK: &str = "#dddddd";
const OWN_GROUND: &str = "#000000";

/// An SVG document that shows a buffer.
pub fn svg(buffer: &Buffer) -> String {
    let mut out = head(buffer);
    cells(&mut out, buffer);
    out += "</svg>\n";
    out
}

/// An SVG document that shows buffers of one size one after the other, in a loop, each for its number of seconds. A
/// viewer without animation shows the first one.
#[allow(dead_code, reason = "not every test that draws makes an animation")]
pub fn walk(frames: &[(Buffer, u32)]) -> String {
    let whole: u32 = frames.iter().map(|(_, seconds)| seconds).sum();
    let mut out = head(&frames[0].0);
    let mut from = 0;
    for (index, (buffer, seconds)) in frames.iter().enumerate() {
        let at = |second: u32| f64::from(second) / f64::from(whole);
        let (values, times) = match (index, from + seconds == whole) {
            (0, _) => ("visible;hidden".to_owned(), format!("0;{:.4}", at(*seconds))),
            (_, true) => ("hidden;visible".to_owned(), format!("0;{:.4}", at(from))),
            _ => ("hidden;visible;hidden".to_owned(), format!("0;{:.4};{:.4}", at(from), at(from + seconds))),
        };
        let first = if index == 0 { "visible" } else { "hidden" };
        let _ = writeln!(
            out,
            "<g visibility=\"{first}\"><animate attributeName=\"visibility\" calcMode=\"discrete\" values=\"{values}\" \
             keyTimes=\"{times}\" dur=\"{whole}s\" repeatCount=\"indefinite\"/>"
        );
        cells(&mut out, buffer);
        out += "</g>\n";
        from += seconds;
    }
    out += "</svg>\n";
    out
}

fn head(buffer: &Buffer) -> String {
    let area = buffer.area;
    let (width, height) = (f32::from(area.width) * WIDE, f32::from(area.height) * HIGH);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" \
         height=\"{height}\" shape-rendering=\"crispEdges\" font-family=\"DejaVu Sans Mono, Menlo, Consolas, monospace\" \
         font-size=\"16\">\n<rect width=\"{width}\" height=\"{height}\" fill=\"{}\"/>\n",
        colours(&buffer[(area.x, area.y)]).1
    )
}

fn cells(out: &mut String, buffer: &Buffer) {
    let area = buffer.area;
    let ground = colours(&buffer[(area.x, area.y)]).1;
    for y in 0..area.height {
        for x in 0..area.width {
            let cell = &buffer[(area.x + x, area.y + y)];
            draw(out, cell, f32::from(x) * WIDE, f32::from(y) * HIGH, &ground);
        }
    }
}

fn draw(out: &mut String, cell: &Cell, x: f32, y: f32, all: &str) {
    let (ink, ground) = colours(cell);
    if ground != all {
        rect(out, x, y, WIDE, HIGH, &ground, 1.0);
    }
    let symbol = cell.symbol();
    let opacity = if cell.modifier.contains(Modifier::DIM) { 0.5 } else { 1.0 };
    let Some(letter) = symbol.chars().next().filter(|letter| !letter.is_whitespace()) else { return };
    let (w, h) = (WIDE / 2.0, HIGH / 2.0);
    match letter {
        '▁'..='█' => {
            let part = (letter as u32 - '▁' as u32 + 1) as f32 / 8.0 * HIGH;
            rect(out, x, y + HIGH - part, WIDE, part, &ink, opacity);
        }
        '▉'..='▏' => {
            let part = (8 - (letter as u32 - '█' as u32)) as f32 / 8.0 * WIDE;
            rect(out, x, y, part, HIGH, &ink, opacity);
        }
        '▀' => rect(out, x, y, WIDE, h, &ink, opacity),
        '▐' => rect(out, x + w, y, w, HIGH, &ink, opacity),
        '▔' => rect(out, x, y, WIDE, HIGH / 8.0, &ink, opacity),
        '▕' => rect(out, x + WIDE * 0.875, y, WIDE / 8.0, HIGH, &ink, opacity),
        '░' | '▒' | '▓' => hatch(out, x, y, letter, &ink, opacity),
        '▖'..='▟' => {
            // Top left, top right, bottom left, bottom right, from the order of the characters.
            let dots = [4, 8, 1, 13, 9, 7, 11, 2, 6, 14][letter as usize - '▖' as usize];
            for (bit, dx, dy) in [(1, 0.0, 0.0), (2, w, 0.0), (4, 0.0, h), (8, w, h)] {
                if dots & bit != 0 {
                    rect(out, x + dx, y + dy, w, h, &ink, opacity);
                }
            }
        }
        '┃' => rect(out, x + WIDE * 0.35, y, WIDE * 0.3, HIGH, &ink, opacity),
        '═' => {
            rect(out, x, y + HIGH * 0.35, WIDE, 2.0, &ink, opacity);
            rect(out, x, y + HIGH * 0.6, WIDE, 2.0, &ink, opacity);
        }
        '┈' => {
            for dot in 0..2u8 {
                rect(out, x + 1.5 + f32::from(dot) * w, y + HIGH * 0.48, 2.0, 2.0, &ink, opacity);
            }
        }
        _ => {
            let weight = if cell.modifier.contains(Modifier::BOLD) { " font-weight=\"bold\"" } else { "" };
            let text = symbol.replace('&', "&amp;").replace('<', "&lt;");
            let _ = writeln!(
                out,
                "<text x=\"{x}\" y=\"{}\" fill=\"{ink}\" opacity=\"{opacity}\"{weight}>{text}</text>",
                y + HIGH * 0.75
            );
        }
    }
}

fn rect(out: &mut String, x: f32, y: f32, width: f32, height: f32, fill: &str, opacity: f32) {
    let _ = writeln!(
        out,
        "<rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" fill=\"{fill}\" opacity=\"{opacity}\"/>"
    );
}

/// A shade, as small squares.
fn hatch(out: &mut String, x: f32, y: f32, letter: char, ink: &str, opacity: f32) {
    let every = if letter == '░' { 4 } else { 2 };
    for row in 0..10u8 {
        for column in 0..5u8 {
            if (column + row) % every == 0 || (letter == '▓' && row % 2 == 0) {
                rect(out, x + f32::from(column) * 2.0, y + f32::from(row) * 2.0, 2.0, 2.0, ink, opacity);
            }
        }
    }
}

/// The colours of a cell, text and background, as `#rrggbb`.
pub fn colours(cell: &Cell) -> (String, String) {
    let (ink, ground) = (colour(cell.fg, OWN_INK), colour(cell.bg, OWN_GROUND));
    if cell.modifier.contains(Modifier::REVERSED) { (ground, ink) } else { (ink, ground) }
}

fn colour(colour: Color, own: &str) -> String {
    match colour {
        Color::Rgb(r, g, b) => format!("#{r:02x}{g:02x}{b:02x}"),
        Color::Indexed(index) => indexed(index),
        Color::Reset => own.to_owned(),
        Color::Black => indexed(0),
        Color::Red => indexed(1),
        Color::Green => indexed(2),
        Color::Yellow => indexed(3),
        Color::Blue => indexed(4),
        Color::Magenta => indexed(5),
        Color::Cyan => indexed(6),
        Color::Gray => indexed(7),
        Color::DarkGray => indexed(8),
        Color::LightRed => indexed(9),
        Color::LightGreen => indexed(10),
        Color::LightYellow => indexed(11),
        Color::LightBlue => indexed(12),
        Color::LightMagenta => indexed(13),
        Color::LightCyan => indexed(14),
        Color::White => indexed(15),
    }
}

/// xterm's colours: 16, a cube of 6 × 6 × 6, and 24 greys.
fn indexed(index: u8) -> String {
    const FIRST: [&str; 16] = [
        "#000000", "#cd0000", "#00cd00", "#cdcd00", "#0000ee", "#cd00cd", "#00cdcd", "#e5e5e5", "#7f7f7f", "#ff0000",
        "#00ff00", "#ffff00", "#5c5cff", "#ff00ff", "#00ffff", "#ffffff",
    ];
    match index {
        0..16 => FIRST[usize::from(index)].to_owned(),
        16..232 => {
            let step = |part: u8| if part == 0 { 0 } else { 55 + part * 40 };
            let cube = index - 16;
            format!("#{:02x}{:02x}{:02x}", step(cube / 36), step(cube / 6 % 6), step(cube % 6))
        }
        _ => {
            let grey = 8 + (index - 232) * 10;
            format!("#{grey:02x}{grey:02x}{grey:02x}")
        }
    }
}
