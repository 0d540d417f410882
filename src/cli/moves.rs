//! `forecall moves`: find movements, and show one whole.

mod json;
mod list;
mod whole;

use std::io::{IsTerminal, Write, stdout};

use super::Stop;
use super::movements::Movements;
use super::word::word;
use class::movement::{Catalogue, EXACT, Hit, Movement, Muscle, Pattern, Position, Query, Region, find};

/// Find movements, or show one whole
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Words may be misspelt. A word may also be a muscle, a kind of kit, a pattern or a position.\n\n\
    Cautions are those customary in the trade, not medical advice; local rules and your own qualification come first."
)]
pub struct Args {
    /// Words to look for, or the id of one movement to show whole
    words: Vec<String>,
    /// How the body moves
    #[arg(long, value_parser = word::<Pattern>())]
    pattern: Option<Pattern>,
    /// How the body stands or lies
    #[arg(long, value_parser = word::<Position>())]
    position: Option<Position>,
    /// A kind of kit it uses, such as kettlebell; "none" for nothing but the floor
    #[arg(long)]
    kit: Option<String>,
    /// A muscle it works
    #[arg(long, value_parser = word::<Muscle>())]
    muscle: Option<Muscle>,
    /// Regions to mind, with commas: what suits comes first, and what to do instead is said
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

/// Columns to fill: the terminal's, or 80 where the output goes elsewhere.
fn width() -> usize {
    let terminal = stdout().is_terminal().then(crossterm::terminal::size).and_then(Result::ok);
    terminal.map_or(80, |(columns, _)| usize::from(columns).clamp(40, 100))
}

fn nothing(catalogue: &Catalogue, query: &Query) -> Stop {
    let near = catalogue.nearest(&query.words).filter(|_| !query.words.is_empty());
    let hint = near.map(|movement| format!("; there is `{}`, but not with these options", movement.id));
    Stop::Faults(format!("no movement fits{}", hint.unwrap_or_default()))
}
