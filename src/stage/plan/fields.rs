//! The fields that the coach types, as shown to the coach and as written in the file.

use super::editor::PlanEditor;
use super::edits::{is_written, length_value};
use super::keys::PlanCommand;
use super::rows::PlanRow;
use crate::runtime::StepEffect;
use class::compose::kit_text::{self, KitTextError};
use class::movement::{NeededKit, counted};
use class::session::edit::SessionEdit;
use class::session::write::{need_value, owned_value, quoted};
use class::session::{KitAmount, OwnedKit, WorkAmount};
use class::time::{parse_length, spoken_length};
use class::words::WORDS;

impl PlanEditor<'_> {
    /// Opens the input line for the field that a key edits in the chosen row.
    pub(super) fn write(&mut self, what: PlanCommand) -> Option<StepEffect> {
        let (row, session) = (self.row(), &self.schedule().session);
        let block = row.block().and_then(|block| session.blocks.get(block));
        let text = |field| super::edits::text_at(self.draft.text(), row, field);
        let (field, now) = match (what, row, self.station()) {
            (PlanCommand::Name, PlanRow::Class, _) => ("title", Some(session.title.clone())),
            (PlanCommand::Name, PlanRow::Block(_), _) => ("name", block.map(|block| block.name.clone())),
            (PlanCommand::Name, PlanRow::Station(..), Some(station)) => ("short", Some(station.short.clone())),
            (PlanCommand::Length, PlanRow::Class, _) => ("slot", session.slot.map(spoken_length)),
            (PlanCommand::Length, PlanRow::Block(_), _) => ("work", text("work")),
            (PlanCommand::Length, PlanRow::Station(..), Some(station)) => match station.work {
                WorkAmount::Time(work) => ("work", Some(spoken_length(work))),
                WorkAmount::Reps(reps) => ("work", Some(reps.to_string())),
            },
            (PlanCommand::Kit, PlanRow::Class, _) => ("kit", Some(owned_words(&session.kit))),
            (PlanCommand::Kit, PlanRow::Station(..), Some(station)) => ("kit", Some(need_words(&station.kit))),
            (PlanCommand::Tempo, PlanRow::Block(_), _) => ("tempo", text("tempo")),
            (PlanCommand::Tempo, PlanRow::Station(..), Some(station)) => {
                ("tempo", station.tempo.map(|tempo| tempo.to_string()))
            }
            (PlanCommand::People, PlanRow::Class, _) => ("people", session.people.map(|people| people.to_string())),
            _ => return self.say_not_here(),
        };
        self.type_text(row, field, now);
        None
    }
}

/// Why a typed text cannot be written into its field.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub(super) enum FieldTextError {
    #[error("{}", WORDS.plan.messages.no_number)]
    NoNumber,
    #[error(transparent)]
    Kit(#[from] KitTextError),
}

/// The edits that write a typed field; none if the field was empty and stays empty.
///
/// # Errors
/// When the text is not valid.
pub(super) fn written(
    file: &str,
    row: PlanRow,
    field: &'static str,
    text: &str,
    kinds: &[String],
) -> Result<Vec<SessionEdit>, FieldTextError> {
    let text = text.trim();
    let clear = |field| is_written(file, row, field).then(|| SessionEdit::Clear { record: row.path(), field });
    let set = |field, value| vec![SessionEdit::Set { record: row.path(), field, value }];
    if text.is_empty() {
        return Ok(clear(field).into_iter().chain(clear("reps").filter(|_| field == "work")).collect());
    }
    Ok(match (field, row) {
        ("prompts", _) => {
            let prompts = text.split(';').map(str::trim).filter(|one| !one.is_empty()).map(quoted);
            set(field, format!("[{}]", prompts.collect::<Vec<_>>().join(", ")))
        }
        ("people", _) => {
            let people: u32 = text.parse().map_err(|_| FieldTextError::NoNumber)?;
            set(field, people.to_string())
        }
        // A number alone is minutes for a slot, and repetitions for a station or block.
        ("slot", _) => set(field, minutes(text).unwrap_or_else(|| quoted(text))),
        ("work", PlanRow::Station(..) | PlanRow::Block(_)) => match text.parse::<u32>() {
            Ok(reps) => clear("work").into_iter().chain(set("reps", reps.to_string())).collect(),
            Err(_) => {
                let length = parse_length(text).map_or_else(|_| quoted(text), length_value);
                clear("reps").into_iter().chain(set("work", length)).collect()
            }
        },
        ("kit", PlanRow::Class) => {
            let kit = kit_text::kit_list(text, kinds)?;
            set(field, format!("[{}]", kit.iter().map(owned_value).collect::<Vec<_>>().join(", ")))
        }
        ("kit", _) => {
            let need = |OwnedKit { item, load, amount }| {
                let (KitAmount::Each(count) | KitAmount::Shared(count)) = amount;
                let count = u8::try_from(count).map_err(|_| FieldTextError::NoNumber)?;
                Ok(need_value(&NeededKit { item, load, count }))
            };
            let needs: Result<Vec<String>, FieldTextError> =
                kit_text::kit_list(text, kinds)?.into_iter().map(need).collect();
            set(field, format!("[{}]", needs?.join(", ")))
        }
        _ => set(field, quoted(text)),
    })
}

fn minutes(text: &str) -> Option<String> {
    text.parse::<u32>().ok().map(|minutes| quoted(&format!("{minutes}m")))
}

/// The kit of a session, as the coach would type it.
fn owned_words(kit: &[OwnedKit]) -> String {
    let words = kit.iter().map(|owned| match owned.amount {
        KitAmount::Each(count) => format!("{} each", counted(count, owned.load, &owned.item)),
        KitAmount::Shared(count) => format!("{} shared", counted(count, owned.load, &owned.item)),
    });
    words.collect::<Vec<_>>().join(", ")
}

fn need_words(kit: &[NeededKit]) -> String {
    kit.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}
