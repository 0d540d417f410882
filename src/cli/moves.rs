//! `forecall moves`: find movements, and show one in full.

mod json;
mod list;
mod whole;

use std::io::{IsTerminal, Write, stdout};

use super::Stop;
use super::movements::Movements;
use super::word::word;
use class::movement::{Catalogue, EXACT, Hit, Movement, Muscle, Pattern, Position, Query, Region, find};

/// Find movements, or show one in full
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Words may be misspelt. A word may also be a muscle, a kind of kit, a pattern or a position.\n\n\
    Cautions are common practice, not medical advice; the rules of the venue and your own qualification come first."
)]
pub struct Args {
    /// Words to look for, or the id of one movement to show in full
    words: Vec<String>,
    /// Pattern of the movement
    #[arg(long, value_parser = word::<Pattern>())]
    pattern: Option<Pattern>,
    /// Position of the body
    #[arg(long, value_parser = word::<Position>())]
    position: Option<Position>,
    /// Kind of kit that the movement uses, such as kettlebell; none: only the floor
    #[arg(long)]
    kit: Option<String>,
    /// Muscle that the movement works
    #[arg(long, value_parser = word::<Muscle>())]
    muscle: Option<Muscle>,
    /// Body regions or states to look after, comma-separated: suitable movements come first, and alternatives are shown
    #[arg(long, value_delimiter = ',', value_parser = word::<Region>())]
    mind: Vec<Region>,
    /// Print JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    movements: Movements,
}

/// Finds and prints.
pub fn run(args: Args, out: &mut impl Write) -> Result<(), Stop> {
    let catalogue = args.movements.catalogue()?;
    let query = Query {
        words: args.words.join(" "),
        pattern: args.pattern,
        position: args.position,
        kit: args.kit,
        muscle: args.muscle,
        mind: args.mind,
    };
    let hits = find(&catalogue, &query);
    if args.json {
        return json::write(&hits, out);
    }
    if hits.is_empty() {
        return Err(nothing(&catalogue, &query));
    }
    match one(&hits, &query) {
        Some((movement, others)) => whole::write(movement, others, width(), out),
        None => list::write(&hits, width(), out),
    }
}

/// The one movement that the words name, and what else they find.
fn one<'a, 'h>(hits: &'h [Hit<'a>], query: &Query) -> Option<(&'a Movement, &'h [Hit<'a>])> {
    let named = |hit: &&Hit| hit.movement.id == query.words || hit.fit == EXACT;
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

fn nothing(catalogue: &Catalogue, query: &Query) -> Stop {
    let near = catalogue.nearest(&query.words).filter(|_| !query.words.is_empty());
    let hint = near.map(|movement| format!("; there is `{}`, but not with these options", movement.id));
    Stop::Faults(format!("no movement fits{}", hint.unwrap_or_default()))
}
