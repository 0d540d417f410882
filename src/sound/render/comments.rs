//! The comments of a sound file in the form that FLAC and Opus share (Vorbis comments): the title, and each chapter as
//! `CHAPTER001` with its time and `CHAPTER001NAME` with its title.

use super::ClassTrack;

/// The most chapters. Their numbers have three digits.
const MOST: usize = 999;

/// The comments of a track, each with its name and its value.
pub(super) fn comments(track: &ClassTrack) -> Vec<(String, String)> {
    let mut comments = vec![("TITLE".to_owned(), track.title.clone())];
    for (number, chapter) in track.chapters.iter().enumerate().take(MOST) {
        let ms = chapter.frame * 1000 / u64::from(track.rate);
        let (seconds, ms) = (ms / 1000, ms % 1000);
        let time = format!("{:02}:{:02}:{:02}.{ms:03}", seconds / 3600, seconds / 60 % 60, seconds % 60);
        let name = format!("CHAPTER{number:03}");
        comments.push((name.clone() + "NAME", chapter.label.clone()));
        comments.push((name, time));
    }
    comments
}
