//! The demos: whole classes that come with the program.

/// Each by its name, with its text.
pub const DEMOS: [(&str, &str); 4] = [
    ("first-look", include_str!("../../sessions/first-look.ron")),
    ("frost-and-oars", include_str!("../../sessions/frost-and-oars.ron")),
    ("lunch-at-the-landing", include_str!("../../sessions/lunch-at-the-landing.ron")),
    ("six-boats", include_str!("../../sessions/six-boats.ron")),
];
