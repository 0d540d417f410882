//! What a coach sees and presses. One folder for each activity, with its state, its keys and its screens; below them the
//! run loop that all of them share, and what all of them draw with.

pub mod runtime;

pub mod drawing;

pub mod lead;

pub mod rehearse;

pub mod soundcheck;

pub mod plan;

pub mod door;
