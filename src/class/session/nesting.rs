//! Measures how deep brackets are nested, before a parser reads them. The parser of the tree repairs faults while it
//! reads; it would not return from brackets that are nested too deep.

/// The place of the first bracket that is nested deeper than `most`. A closing bracket of the wrong kind closes nothing
/// here, so the depth found here is never less than the depth that a repairing parser sees.
pub(super) fn deeper_than(most: usize, text: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    let mut open = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let rest = &bytes[at..];
        match rest[0] {
            bracket @ (b'(' | b'[' | b'{') => {
                if open.len() == most {
                    return Some(at);
                }
                // The parser of the tree reads the bracket of `Some()` as a value.
                let some =
                    bytes[..at].trim_ascii_end().ends_with(b"Some") && rest[1..].trim_ascii_start().starts_with(b")");
                open.push(if some { b'.' } else { closing(bracket) });
            }
            bracket if open.last() == Some(&bracket) => drop(open.pop()),
            b'"' => at += quoted(rest) - 1,
            b'r' => at += raw(rest).unwrap_or(1) - 1,
            b'\'' => at += letter(rest) - 1,
            b'/' if rest.starts_with(b"//") => at += find(rest, b"\n") - 1,
            b'/' if rest.starts_with(b"/*") => at += comment(rest) - 1,
            _ => {}
        }
        at += 1;
    }
    None
}

fn closing(open: u8) -> u8 {
    match open {
        b'(' => b')',
        b'[' => b']',
        _ => b'}',
    }
}

/// The place where these bytes begin. The end when they do not occur.
fn find(rest: &[u8], what: &[u8]) -> usize {
    rest.windows(what.len()).position(|window| window == what).unwrap_or(rest.len())
}

/// The length of a text in quotes.
fn quoted(rest: &[u8]) -> usize {
    let mut at = 1;
    while at < rest.len() && rest[at] != b'"' {
        at += if rest[at] == b'\\' { 2 } else { 1 };
    }
    (at + 1).min(rest.len())
}

/// The length of a text between `r#"` and `"#`. None when no such text begins here.
fn raw(rest: &[u8]) -> Option<usize> {
    let hashes = rest[1..].iter().take_while(|&&byte| byte == b'#').count();
    let begun = 2 + hashes;
    if rest.get(begun - 1) != Some(&b'"') {
        return None;
    }
    let end = [b"\"".as_slice(), &rest[1..=hashes]].concat();
    Some((begun + find(&rest[begun..], &end) + end.len()).min(rest.len()))
}

/// The length of a character in single quotes, or of the quote alone.
fn letter(rest: &[u8]) -> usize {
    match rest {
        [_, b'\\', _, b'\'', ..] => 4,
        [_, _, b'\'', ..] => 3,
        _ => 1,
    }
}

/// The length of a comment, including the comments inside it.
fn comment(rest: &[u8]) -> usize {
    let mut at = 0;
    let mut deep = 0_usize;
    while at < rest.len() {
        if rest[at..].starts_with(b"/*") {
            deep += 1;
            at += 2;
        } else if rest[at..].starts_with(b"*/") {
            deep -= 1;
            at += 2;
            if deep == 0 {
                return at;
            }
        } else {
            at += 1;
        }
    }
    rest.len()
}
