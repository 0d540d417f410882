//! The tests of the core. One file for each subject.

#[path = "../classes/mod.rs"]
mod classes;

mod catalogue;
mod changes;
mod clock;
mod compile;
mod compose;
mod cut;
mod edits;
mod find;
mod fit;
mod learned;
mod list;
mod order;
mod prime_movers;
mod recovery;
mod time;
mod volume;
