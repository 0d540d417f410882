//! Merging two changes of the same text.

/// The text with both changes; None if they touch the same lines.
///
/// Each change counts as one block of lines, from the first line that it touches to the last.
pub fn merge(base: &str, ours: &str, theirs: &str) -> Option<String> {
    if ours == theirs || ours == base {
        return Some(theirs.to_owned());
    }
    if theirs == base {
        return Some(ours.to_owned());
    }
    let lines = |text: &'_ str| -> Vec<String> { text.split_inclusive('\n').map(str::to_owned).collect() };
    let (base, ours, theirs) = (lines(base), lines(ours), lines(theirs));
    let (own, other) = (changed_lines(&base, &ours), changed_lines(&base, &theirs));
    let same_place = own.from == other.from && (own.from == own.until || other.from == other.until);
    if same_place || own.from < other.until && other.from < own.until {
        return None;
    }
    let (first, second) = if own.from <= other.from { (own, other) } else { (other, own) };
    let parts = [&base[..first.from], first.new, &base[first.until..second.from], second.new, &base[second.until..]];
    Some(parts.concat().concat())
}

/// The lines of the base that a change replaces (`from` up to but not including `until`), and the new lines.
struct TextChange<'a> {
    from: usize,
    until: usize,
    new: &'a [String],
}

fn changed_lines<'a>(base: &[String], now: &'a [String]) -> TextChange<'a> {
    let before = base.iter().zip(now).take_while(|(was, is)| was == is).count();
    let alike = base[before..].iter().rev().zip(now[before..].iter().rev());
    let behind = alike.take_while(|(was, is)| was == is).count();
    TextChange { from: before, until: base.len() - behind, new: &now[before..now.len() - behind] }
}
