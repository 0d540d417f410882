//! The coach's own music: files played under a class, and down under everything that the class has to hear.

mod files;

pub use files::{ENDINGS, Lacking, MOST, files};
