//! Any text as a plain list: the session file written from it is well written.

#![no_main]

use class::movement::Catalogue;
use class::session::list::read_list;
use class::session::parse;
use class::session::write::{SessionHeading, write_session};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let list = read_list(text, Catalogue::built_in());
    let heading = SessionHeading { title: "Any list".to_owned(), ..SessionHeading::default() };
    let written = write_session(&heading, &list);
    if let Err(error) = parse(&written) {
        panic!("{error}\n{written}");
    }
});
