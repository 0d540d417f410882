//! The tests of paper. One file for each subject.

mod sheet;
