//! `forecall moves`: find movements, and show one in full.

mod details;
mod json;
mod list;

use std::io::{IsTerminal, Write, stdout};

use super::CommandError;
use super::movements::MovementArgs;
use super::word_parser::word_parser;
use class::movement::{
    Catalogue, EXACT, Movement, MovementHit, MovementQuery, Muscle, Pattern, Position, Region, find,
};

/// Find movements, or show one in full
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Words may be misspelt. A word may also be a muscle, a kind of kit, a pattern or a position.\n\n\
    Cautions are common practice, not medical advice; the rules of the venue and your own qualification come first."
)]
pub(crate) struct MovesArgs {
    /// Words to look for, or the id of one movement to show in full
    words: Vec<String>,
    /// Pattern of the movement
    #[arg(long, value_parser = word_parser::<Pattern>())]
    pattern: Option<Pattern>,
    /// Position of the body
    #[arg(long, value_parser = word_parser::<Position>())]
    position: Option<Position>,
    /// Kind of kit that the movement uses, such as kettlebell; none: only the floor
    #[arg(long)]
    kit: Option<String>,
    /// Muscle that the movement works
    #[arg(long, value_parser = word_parser::<Muscle>())]
    muscle: Option<Muscle>,
    /// Body regions or states to look after, comma-separated: suitable movements come first, and alternatives are shown
    #[arg(long, value_delimiter = ',', value_parser = word_parser::<Region>())]
    look_after: Vec<Region>,
    /// Print JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    movements: MovementArgs,
}

/// Finds and prints.
pub(crate) fn run(args: MovesArgs, out: &mut impl Write) -> Result<(), CommandError> {
    let catalogue = args.movements.catalogue()?;
    let query = MovementQuery {
        words: args.words.join(" "),
        pattern: args.pattern,
        position: args.position,
        kit: args.kit,
        muscle: args.muscle,
        look_after: args.look_after,
    };
    let hits = find(&catalogue, &query);
    if args.json {
        return json::write(&hits, out);
    }
    if hits.is_empty() {
        return Err(nothing_found(&catalogue, &query));
    }
    match single_match(&hits, &query) {
        Some((movement, others)) => details::write(movement, others, width(), out),
        None => list::write(&hits, width(), out),
    }
}

/// The one movement that the words name, and what else they find.
fn single_match<'a, 'h>(
    hits: &'h [MovementHit<'a>],
    query: &MovementQuery,
) -> Option<(&'a Movement, &'h [MovementHit<'a>])> {
    let named = |hit: &&MovementHit| hit.movement.id == query.words || hit.fit == EXACT;
    let mut exact = hits.iter().filter(|hit| !query.words.is_empty() && named(hit));
    let (first, second) = (exact.next()?, exact.next());
    let by_id = hits.iter().find(|hit| hit.movement.id == query.words);
    let chosen = by_id.or(second.is_none().then_some(first))?;
    Some((chosen.movement, hits))
}

/// The width of the output in columns: that of the terminal, from 40 to 100; 80 if there is no terminal.
fn width() -> usize {
    let terminal = stdout().is_terminal().then(crossterm::terminal::size).and_then(Result::ok);
    terminal.map_or(80, |(columns, _)| usize::from(columns).clamp(40, 100))
}

fn nothing_found(catalogue: &Catalogue, query: &MovementQuery) -> CommandError {
    let near = catalogue.nearest(&query.words).filter(|_| !query.words.is_empty());
    let hint = near.map(|movement| format!("there is `{}`, but not with these options", movement.id));
    CommandError::faults("no movement fits").hint(hint)
}
