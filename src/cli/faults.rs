//! Faults as people read them: the place, the line with a mark under it, what is wrong, what to write instead.

use std::io::{IsTerminal, stderr, stdout};

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer};

use super::colour;
use super::session::CheckedSession;
use super::text_lines::TextLines;
use class::session::block_letter;
use class::session::fault::{PlacedFault, Severity};

/// How faults are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FaultStyle {
    /// Plain ASCII, for logs, pipes and output without colour.
    Plain,
    /// With colours and lines.
    Coloured,
}

impl FaultStyle {
    /// The style for standard error.
    pub fn of_stderr() -> FaultStyle {
        FaultStyle::of(stderr().is_terminal())
    }

    /// The style for standard output.
    pub fn of_stdout() -> FaultStyle {
        FaultStyle::of(stdout().is_terminal())
    }

    fn of(terminal: bool) -> FaultStyle {
        if colour::is_coloured(terminal) { FaultStyle::Coloured } else { FaultStyle::Plain }
    }
}

/// All findings in a file as text; empty if there are none. Findings that the coach allows are left out.
pub fn render(checked: &CheckedSession, style: FaultStyle) -> String {
    rendered(checked, style, false)
}

/// The same, with the name of each block above its findings.
pub fn render_by_block(checked: &CheckedSession, style: FaultStyle) -> String {
    rendered(checked, style, true)
}

fn rendered(checked: &CheckedSession, style: FaultStyle, by_block: bool) -> String {
    let renderer = match style {
        FaultStyle::Plain => Renderer::plain().decor_style(DecorStyle::Ascii),
        FaultStyle::Coloured => Renderer::styled().decor_style(DecorStyle::Unicode),
    };
    let lines = TextLines::new(&checked.text);
    let mut told = String::new();
    let mut before = None;
    // Without a class there are no blocks to name.
    let blocks = checked.schedule.as_ref().filter(|_| by_block).map(|schedule| schedule.session.blocks.as_slice());
    for placed in checked.report.faults.iter().filter(|placed| placed.fault.allowed.is_none()) {
        if let Some(blocks) = blocks {
            let block = placed.fault.block();
            let named = block.and_then(|index| blocks.get(index).map(|block| (block_letter(index), &block.name)));
            if before.replace(block).is_none_or(|before| before != block) {
                told += &named
                    .map_or_else(|| "The class\n\n".to_owned(), |(letter, name)| format!("Block {letter}, {name}\n\n"));
            }
        }
        told += &renderer.render(&[group(checked, &lines, placed)]);
        told += "\n\n";
    }
    if checked.report.more > 0 {
        told += &format!("{}: {} more, not shown\n", checked.name, checked.report.more);
    }
    told
}

fn group<'a>(checked: &'a CheckedSession, lines: &TextLines<'a>, placed: &'a PlacedFault) -> Group<'a> {
    let fault = &placed.fault;
    let level = match fault.severity {
        Severity::Fault => Level::ERROR.with_name("fault"),
        Severity::Warning => Level::WARNING,
        Severity::Info => Level::INFO,
    };
    let code: &'static str = fault.code.into();
    let mut group = Group::with_title(level.primary_title(fault.message.as_str()).id(code));
    match &placed.place {
        None => group = group.element(Origin::path(checked.name.as_str())),
        Some(place) => {
            let beside = placed.related.as_ref().zip(fault.related.as_ref().map(|(_, why)| why.as_str()));
            let near = beside.filter(|(other, _)| lines.fit_one_excerpt(place, other));
            let cut = lines.excerpt(place, near.map(|(other, _)| other));
            let mark = AnnotationKind::Primary.span(cut.mark(place));
            let second = near.map(|(other, why)| AnnotationKind::Context.span(cut.mark(other)).label(why));
            group = cut.show(group, &checked.name, lines.position(place.start), std::iter::once(mark).chain(second));
            if let (Some((other, why)), None) = (beside, near) {
                let cut = lines.excerpt(other, None);
                let mark = AnnotationKind::Context.span(cut.mark(other)).label(why);
                group = cut.show(group, &checked.name, lines.position(other.start), [mark]);
            }
        }
    }
    match &fault.help {
        Some(help) => group.element(Level::HELP.message(help.as_str())),
        None => group,
    }
}
