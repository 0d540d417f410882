//! `forecall explain`: what the fields of a session file mean, and their defaults.

use std::io::Write;

use strum::IntoEnumIterator;

use super::CommandError;
use class::nearest_name::nearest;
use class::session::fields::{FieldDefault, FieldInfo, RecordKind};
use class::session::name_now;

/// Explain the fields of a session file
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Records are session, block, station and the records inside them. Write block.rest for the field of \
    one record only."
)]
pub(crate) struct ExplainArgs {
    /// A field, such as rest or block.rest, or a record, such as block [default: all fields]
    field: Option<String>,
}

/// Explains.
pub(crate) fn run(args: ExplainArgs, out: &mut impl Write) -> Result<(), CommandError> {
    let Some(asked) = args.field else {
        for record in RecordKind::iter() {
            print_record(record, out)?;
        }
        writeln!(out, "forecall explain FIELD says more about a field.")?;
        return Ok(());
    };
    let asked = asked.trim().to_lowercase().replace('-', "_");
    if let Some(record) = RecordKind::iter().find(|record| record.to_string() == asked) {
        print_record(record, out)?;
    }
    let (record, name) = asked.rsplit_once('.').unwrap_or(("", &asked));
    let mut found = fields(record).filter(|(_, field)| field.name == name).peekable();
    if found.peek().is_none() && RecordKind::iter().all(|record| record.to_string() != asked) {
        let near = nearest(name, fields("").map(|(_, field)| field.name));
        let hint = match (name_now(name), near) {
            (Some(now), _) => Some(format!("it is called {now} now")),
            (None, near) => near.map(|near| format!("did you mean {near}?")),
        };
        return Err(CommandError::faults(format!("no field is called {asked}")).hint(hint));
    }
    for (record, field) in found {
        print_field(record, field, out)?;
    }
    Ok(())
}

/// The fields of one record; of all records if the name is empty.
fn fields(record: &str) -> impl Iterator<Item = (RecordKind, &'static FieldInfo)> {
    let records = RecordKind::iter().filter(move |known| record.is_empty() || known.to_string() == record);
    records.flat_map(|record| record.fields().iter().map(move |field| (record, field)))
}

/// A record with a line for each field.
fn print_record(record: RecordKind, out: &mut impl Write) -> std::io::Result<()> {
    writeln!(out, "{record}")?;
    let width = record.fields().iter().map(|field| field.name.len()).max().unwrap_or(0);
    for field in record.fields() {
        let when_out = match field.default {
            FieldDefault::Needed => "required".to_owned(),
            _ => format!("if omitted: {}", field.default_words()),
        };
        writeln!(out, "  {:width$}  {when_out}", field.name)?;
    }
    writeln!(out)
}

/// Prints everything about a field.
fn print_field(record: RecordKind, field: &FieldInfo, out: &mut impl Write) -> std::io::Result<()> {
    writeln!(out, "{record}.{}", field.name)?;
    writeln!(out, "  {}", field.meaning)?;
    writeln!(out, "  value       {}", field.shape.what())?;
    match field.default {
        FieldDefault::Needed => writeln!(out, "  required")?,
        _ => writeln!(out, "  if omitted  {}", field.default_words())?,
    }
    writeln!(out, "  example     {}: {}", field.name, field.example)?;
    writeln!(out)
}
