//! The tests of sound, music and voices. One file for each subject.

mod music;
mod sound;
mod voice;

/// Code between `assert_no_alloc` fails where it takes memory: the callback of a device must not.
#[global_allocator]
static ALLOCATOR: assert_no_alloc::AllocDisabler = assert_no_alloc::AllocDisabler;
