//! The tests of what a coach sees and presses. One file for each subject.

#[path = "../boathouse/mod.rs"]
mod boathouse;
#[path = "../classes/mod.rs"]
mod classes;
#[path = "../pictures/svg.rs"]
mod svg;

mod apportion;
mod clicks;
mod conductor;
mod journal;
mod offers;
mod opening;
mod palette;
mod rehearsal;
mod run;
mod screens;
