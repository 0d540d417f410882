//! The tests of the whole program. One file for each subject.

#[path = "../boathouse/mod.rs"]
mod boathouse;
#[path = "../pictures/cells.rs"]
mod cells;
#[path = "../classes/mod.rs"]
mod classes;
#[path = "../pty/mod.rs"]
mod pty;
#[path = "../pictures/svg.rs"]
mod svg;

mod advice;
mod class;
mod config;
mod cues;
mod demos;
mod dials;
mod door;
mod export;
mod faults;
mod help;
mod house;
mod killed;
mod lengths;
mod log;
mod moves;
mod new;
mod plan;
mod reading;
mod rehearsing;
mod render;
mod series;
mod show;
mod soundcheck;
mod voices;
