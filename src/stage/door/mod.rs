//! The front door: the list of sessions, and what can be done with each.

mod compose_form;
mod compose_form_screen;
mod front_door;
mod keys;
mod listed_session;
pub mod screen;
mod search;

pub use compose_form::{ComposeAnswers, ComposeField, ComposeForm, ComposeFormError};
pub use front_door::{
    DoorContents, DoorEntry, DoorPage, DoorRequest, FrontDoor, NewClassSource, SessionAction, UnfinishedClass,
};
pub use keys::{DoorCommand, KEYS, command_of_key};
pub use listed_session::ListedSession;
pub use search::matching_sessions;
