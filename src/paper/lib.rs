//! A class for those who do not lead it: on paper, and as files for other programs.

mod literal;

pub mod export;

pub mod sheet;
