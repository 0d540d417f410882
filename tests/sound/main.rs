//! The tests of sound, music and voices. One file for each subject.

mod music;
mod sound;
mod voice;
