//! A sheet as plain text, as Markdown and as a page for a browser.

use std::fmt::Write;

use super::card::StationCard;
use super::run_sheet::{RunSheet, SheetLine, times_words};
use crate::literal::escaped_markdown;

/// A run sheet as plain text, lines of at most 78 columns.
pub fn plain(sheet: &RunSheet) -> String {
    let mut text = String::new();
    let mut put = |indent: usize, line: &str| {
        let space = " ".repeat(indent);
        let options = textwrap::Options::new(78).initial_indent(&space).subsequent_indent(&space);
        text.extend(textwrap::wrap(&one_line(line), options).iter().map(|line| format!("{}\n", line.trim_end())));
    };
    put(0, &sheet.title);
    put(0, &sheet.facts);
    for block in &sheet.blocks {
        put(0, "");
        put(0, &format!("{}  {} {}  {}", block.begins, block.letter, block.name, block.length));
        block.about.iter().for_each(|line| put(2, line));
        for line in &block.lines {
            put(2, &joined(&[&line.begins, &line.movement]));
            detail_lines(line, line.prompts.len()).iter().for_each(|line| put(6, line));
            if sheet.blank {
                put(6, "load ____________  notes ________________________________");
            }
        }
    }
    for (heading, lines) in ending(sheet) {
        put(0, "");
        put(0, heading);
        lines.iter().for_each(|line| put(2, line));
    }
    text
}

/// A run sheet as Markdown.
pub fn markdown(sheet: &RunSheet) -> String {
    let mut text = format!("# {}\n\n{}\n", escaped_markdown(&sheet.title), escaped_markdown(&sheet.facts));
    for block in &sheet.blocks {
        let _ = write!(
            text,
            "\n## {} {} {} ({})\n\n",
            block.begins,
            block.letter,
            escaped_markdown(&block.name),
            block.length
        );
        text.extend(block.about.iter().map(|line| format!("{}\n\n", escaped_markdown(line))));
        for line in &block.lines {
            let begins = if line.begins.is_empty() { String::new() } else { format!("{} ", line.begins) };
            let _ = writeln!(text, "- {begins}**{}**", escaped_markdown(&line.movement));
            text.extend(
                detail_lines(line, line.prompts.len()).iter().map(|line| format!("  - {}\n", escaped_markdown(line))),
            );
            if sheet.blank {
                text += "  - load: …… notes: ……\n";
            }
        }
    }
    for (heading, lines) in ending(sheet) {
        let _ = write!(text, "\n## {heading}\n\n");
        text.extend(lines.iter().map(|line| format!("- {}\n", escaped_markdown(line))));
    }
    text
}

/// A run sheet as one HTML page without other files, for the screen or for printing.
pub fn html(sheet: &RunSheet) -> String {
    let mut body = format!("<h1>{}</h1>\n<p class=facts>{}</p>\n", escaped(&sheet.title), escaped(&sheet.facts));
    for block in &sheet.blocks {
        let (begins, length) = (escaped(&block.begins), escaped(&block.length));
        let (letter, name) = (escaped(&block.letter), escaped(&block.name));
        let _ =
            writeln!(body, "<section>\n<h2><time>{begins}</time> <b>{letter}</b> {name} <span>{length}</span></h2>");
        body.extend(block.about.iter().map(|line| format!("<p>{}</p>\n", escaped(line))));
        body += "<table>\n";
        for line in &block.lines {
            let begins = escaped(&line.begins);
            let _ = write!(body, "<tr><th>{begins}<td><b dir=auto>{}</b>", escaped(&line.movement));
            body.extend(
                detail_lines(line, line.prompts.len()).iter().map(|line| format!("<p dir=auto>{}</p>", escaped(line))),
            );
            let blank = if sheet.blank { "<td class=blank>load<td class=blank>notes" } else { "" };
            let _ = writeln!(body, "{blank}");
        }
        body += "</table>\n</section>\n";
    }
    for (heading, lines) in ending(sheet) {
        let _ = writeln!(body, "<section>\n<h2>{heading}</h2>\n<ul>");
        body.extend(lines.iter().map(|line| format!("<li>{}\n", escaped(line))));
        body += "</ul>\n</section>\n";
    }
    page(&sheet.title, &body)
}

/// Cards as plain text.
pub fn plain_cards(cards: &[StationCard]) -> String {
    let mut text = String::new();
    for card in cards {
        let _ = writeln!(text, "{} {}  {}", one_line(&card.block), card.number, one_line(&card.movement));
        for (label, line) in card_lines(card) {
            let _ = writeln!(text, "  {label}: {}", one_line(&line));
        }
        text.push('\n');
    }
    text
}

/// Cards as Markdown, a heading each.
pub fn markdown_cards(cards: &[StationCard]) -> String {
    let mut text = String::new();
    for card in cards {
        let _ = write!(
            text,
            "## {} {} {}\n\n",
            escaped_markdown(&card.block),
            card.number,
            escaped_markdown(&card.movement)
        );
        text.extend(card_lines(card).iter().map(|(label, line)| format!("- {label}: {}\n", escaped_markdown(line))));
        text.push('\n');
    }
    text
}

/// Cards as HTML. Each card prints on its own page.
pub fn html_cards(title: &str, cards: &[StationCard]) -> String {
    let mut body = String::new();
    for card in cards {
        let (block, movement) = (escaped(&card.block), escaped(&card.movement));
        let _ = writeln!(body, "<section class=card>\n<p>{block}</p>\n<h1>{} {movement}</h1>\n<ul>", card.number);
        for (label, line) in card_lines(card) {
            let _ = writeln!(body, "<li><b>{label}</b> <span dir=auto>{}</span>", escaped(&line));
        }
        body += "</ul>\n</section>\n";
    }
    page(title, &body)
}

/// The lines under the name of a station, with at most this many prompts.
pub(super) fn detail_lines(line: &SheetLine, prompts: usize) -> Vec<String> {
    let change = if line.change.is_empty() { String::new() } else { format!("→\u{a0}{}", line.change) };
    let what = [&line.length, &line.details].into_iter().filter(|words| !words.is_empty()).cloned();
    let what = what.collect::<Vec<_>>().join(" · ");
    let again = if line.again.is_empty() { String::new() } else { format!("also at {}", times_words(&line.again)) };
    let parts: Vec<String> = [what, change].into_iter().filter(|words| !words.is_empty()).collect();
    let prompts = line.prompts.iter().take(prompts).map(|prompt| format!("“{prompt}”")).collect::<Vec<_>>().join(" · ");
    [parts.join(" "), again, prompts].into_iter().filter(|line| !line.is_empty()).collect()
}

/// The sections at the end of a sheet, each with its heading and lines.
pub(super) fn ending(sheet: &RunSheet) -> Vec<(&'static str, Vec<String>)> {
    let mut ending = vec![("Kit", sheet.kit.clone()), ("Before you begin", sheet.cautions.clone())];
    ending.push(("In an emergency", sheet.emergency.clone().into_iter().collect()));
    ending.retain(|(_, lines)| !lines.is_empty());
    ending
}

/// The lines of a card below its name, each with its label.
pub(super) fn card_lines(card: &StationCard) -> Vec<(&'static str, String)> {
    let mut lines = vec![("do", card.facts.clone())];
    if let Some(tempo) = &card.tempo {
        let phases: Vec<String> =
            tempo.phases.iter().map(|phase| format!("{} {}", phase.words, phase.seconds)).collect();
        lines.push(("tempo", format!("{}: {}", tempo.written, phases.join(" · "))));
    }
    lines.push(("set up", card.setup.clone()));
    lines.extend(card.prompts.iter().map(|prompt| ("say", prompt.clone())));
    lines.extend(card.easier.iter().map(|tier| ("easier", tier.clone())));
    lines.extend(card.harder.iter().map(|tier| ("harder", tier.clone())));
    lines.extend(card.faults.iter().map(|(fault, fix)| ("fix", format!("{fault} → {fix}"))));
    lines.extend(card.instead.iter().map(|(region, instead)| ("adapt", format!("{region} → {instead}"))));
    lines.extend(card.next.iter().map(|next| ("next", format!("→ {next}"))));
    lines.retain(|(_, line)| !line.trim().is_empty());
    lines
}

/// Joins texts with two spaces. Empty ones are left out.
fn joined(texts: &[&str]) -> String {
    texts.iter().filter(|text| !text.is_empty()).copied().collect::<Vec<_>>().join("  ")
}

fn one_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

fn escaped(text: &str) -> String {
    one_line(text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

fn page(title: &str, body: &str) -> String {
    format!(
        "<!DOCTYPE html>\n<html lang=en>\n<meta charset=utf-8>\n<meta name=viewport content=\"width=device-width\">\n\
        <title>{}</title>\n<style>{STYLE}</style>\n{body}</html>\n",
        escaped(title)
    )
}

const STYLE: &str = "\
body{font:14pt/1.35 sans-serif;color:#000;background:#fff;max-width:50em;margin:1em auto;padding:0 1em;\
overflow-wrap:anywhere}h1{font-size:28pt;margin:.2em 0}h2{font-size:20pt;margin:.8em 0 .2em;border-top:2px solid;\
padding-top:.2em}h2 span{float:right}h2 b{background:#000;color:#fff;padding:0 .3em}p{margin:.1em 0}table{border-collapse:collapse;width:100%}th,td{\
text-align:left;vertical-align:top;padding:.25em .6em .25em 0;border-top:1px solid #999}td b{font-size:20pt}th{white-space:nowrap;width:1%}.blank{min-width:5em;color:#555;border:1px solid}\
section,tr{break-inside:avoid}.card{break-after:page;font-size:20pt}.card h1{font-size:44pt}";
