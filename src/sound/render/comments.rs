//! The comments of a file in the form that FLAC and Opus share (Vorbis comments): its title, and its chapters as
//! players read them from there, `CHAPTER001` with a time and `CHAPTER001NAME` with a title.

use super::Track;

/// More chapters have no number of three digits.
const MOST: usize = 999;

/// Name and value of each.
pub(super) fn comments(track: &Track) -> Vec<(String, String)> {
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
