//! The demos: whole classes that come with the program.

/// The name and the text of each demo.
pub(crate) const DEMOS: [(&str, &str); 4] = [
    ("first-look", include_str!("../../sessions/first-look.ron")),
    ("frost-and-oars", include_str!("../../sessions/frost-and-oars.ron")),
    ("lunch-at-the-landing", include_str!("../../sessions/lunch-at-the-landing.ron")),
    ("six-boats", include_str!("../../sessions/six-boats.ron")),
];
