//! The colours, checked with the contrast formula of WCAG 2.2 and against the palette of Okabe and Ito.

use crate::boathouse;
use crate::svg;

use class::session::block_letter;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use stage::drawing::{ColourDepth, ScreenTheme};
use stage::lead::screen::draw;

/// The relative luminance of `#rrggbb`. WCAG 2.2, with the threshold 0.04045 of its erratum.
fn luminance(colour: &str) -> f64 {
    let channel = |at: usize| {
        let value = f64::from(u8::from_str_radix(&colour[at..at + 2], 16).unwrap()) / 255.0;
        if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
}

fn contrast(one: &str, other: &str) -> f64 {
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

/// Well-known pairs of the WCAG formula.
#[test]
fn the_formula_gives_known_contrasts() {
    for (one, other, wanted) in [
        ("#767676", "#ffffff", 4.542),
        ("#777777", "#ffffff", 4.478),
        ("#595959", "#ffffff", 7.005),
        ("#ff0000", "#ffffff", 3.998),
        ("#ffff00", "#000000", 19.556),
    ] {
        assert!((contrast(one, other) - wanted).abs() < 0.001, "{one} {other}");
    }
}

/// The hues of Okabe and Ito (2008) on black: only blue has a contrast below 4.5, so no block is blue.
#[test]
fn of_the_published_hues_blue_alone_is_too_dark() {
    for (hue, wanted) in [
        ("#e69f00", 9.32),
        ("#56b4e9", 9.10),
        ("#009e73", 6.14),
        ("#f0e442", 15.88),
        ("#0072b2", 4.05),
        ("#d55e00", 5.43),
        ("#cc79a7", 6.86),
    ] {
        let on_black = contrast(hue, "#000000");
        assert!((on_black - wanted).abs() < 0.01, "{hue} {on_black}");
        assert_eq!(on_black < 4.5, hue == "#0072b2");
    }
}

/// Every letter on every screen, in the terminal's font or large, is readable: its contrast is 4.5 or more (WCAG 2.2,
/// 1.4.3).
#[test]
fn all_text_reads() {
    let (schedule, machine) = (boathouse::schedule(), boathouse::machine());
    for colours in [ColourDepth::True, ColourDepth::Many, ColourDepth::Sixteen] {
        for (name, moment) in boathouse::moments(&schedule, &machine) {
            let mut terminal = Terminal::new(TestBackend::new(120, 35)).unwrap();
            terminal.draw(|frame| draw(frame, &moment, &ScreenTheme { colours })).unwrap();
            for cell in &terminal.backend().buffer().content {
                let symbol = cell.symbol();
                // Only large lettering is made of these characters; strips and the guide use others.
                let large = "▘▝▀▖▌▞▛▗▚▐▜▙▟".contains(symbol);
                if large || symbol.chars().all(char::is_alphanumeric) {
                    let (ink, ground) = svg::colours(cell);
                    let contrast = contrast(&ink, &ground);
                    assert!(contrast >= 4.5, "{name} {colours:?}: {symbol} {ink} on {ground} is {contrast}");
                }
            }
        }
    }
}

#[test]
fn the_environment_chooses_the_colours() {
    let look = |set: &[(&str, &str)]| {
        let get = |name: &str| set.iter().find(|(key, _)| *key == name).map(|(_, value)| (*value).to_owned());
        ScreenTheme::from_env(get).colours
    };
    assert_eq!(look(&[("TERM", "xterm-256color"), ("COLORTERM", "truecolor")]), ColourDepth::True);
    assert_eq!(look(&[("TERM", "xterm-256color")]), ColourDepth::Many);
    assert_eq!(look(&[("TERM", "linux")]), ColourDepth::Sixteen);
    assert_eq!(look(&[("TERM", "dumb")]), ColourDepth::Without);
    assert_eq!(
        look(&[("TERM", "xterm-256color"), ("COLORTERM", "truecolor"), ("NO_COLOR", "1")]),
        ColourDepth::Without
    );
    // no-color.org: the variable counts only if it is not empty.
    assert_eq!(look(&[("TERM", "xterm-256color"), ("NO_COLOR", "")]), ColourDepth::Many);
}

#[test]
fn blocks_have_letters_past_z() {
    assert_eq!([0, 25, 26, 27, 701, 702].map(block_letter), ["A", "Z", "AA", "AB", "ZZ", "AAA"]);
}
