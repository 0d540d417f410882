//! The `forecall` command.

fn main() {}
