//! Changeovers between stations, in words.

use crate::movement::{KitItem, NeededKit, Position};
use crate::schedule::{Changeover, WorkingSide};
use crate::words::{KitWords, WORDS, fill};

/// A changeover in words, to be said or printed: `bell down, band up, on to your back`, `other side, right`. Empty when
/// only the movement changes.
pub fn changeover_words(change: &Changeover) -> String {
    changeover_phrases(change).join(", ")
}

/// The parts of a changeover, in the order in which people do them: kit down, off a box, kit up, place, on to a box,
/// position, side.
pub fn changeover_phrases(change: &Changeover) -> Vec<String> {
    let swapped = |need: &NeededKit| change.up.iter().any(|up| up.item == need.item);
    let down = change.down.iter().filter(|need| !swapped(need)).map(put_down_words);
    let up = change.up.iter().map(|need| {
        let from = change.down.iter().find(|down| down.item == need.item);
        pick_up_words(need, from.is_some_and(|from| from.load != need.load))
    });
    // Another position, or getting on to something else, already says that people get off.
    let leave = change.onto.is_empty() && change.position.is_none();
    let off = change.off.iter().filter(|_| leave).map(|item| put_down_words(&one_piece(item)));
    let onto = change.onto.iter().map(|item| pick_up_words(&one_piece(item), false));
    let place = change.place.iter().map(|place| fill(&WORDS.cue.changes.place, &[("place", place)]));
    let position = change.position.iter().map(|&(from, to)| position_words(from, to).to_owned());
    let side = change.side.iter().filter_map(|&side| side_word(side)).map(other_side);
    down.chain(off).chain(up).chain(place).chain(onto).chain(position).chain(side).collect()
}

fn one_piece(item: &KitItem) -> NeededKit {
    NeededKit { item: item.clone(), load: None, count: 1 }
}

/// The words for keeping a position: `stay standing`.
pub fn stay_words(position: Position) -> &'static str {
    &WORDS.cue.positions[&position].stay
}

/// `left` or `right`, when one side works.
pub(super) fn side_word(side: WorkingSide) -> Option<&'static str> {
    match side {
        WorkingSide::Left => Some(&WORDS.cue.sides.left),
        WorkingSide::Right => Some(&WORDS.cue.sides.right),
        WorkingSide::Both | WorkingSide::Alternating | WorkingSide::LeftThenRight { .. } => None,
    }
}

fn other_side(side: &str) -> String {
    fill(&WORDS.cue.changes.other_side, &[("side", side)])
}

/// The load is not said: people know what they have in their hands.
fn put_down_words(need: &NeededKit) -> String {
    match kit_words_of(&need.item).and_then(|kit| kit.down.clone()) {
        Some(words) => words,
        None => fill(&WORDS.cue.changes.down, &[("kit", &kit_word(need))]),
    }
}

fn pick_up_words(need: &NeededKit, swap: bool) -> String {
    if !swap && let Some(words) = kit_words_of(&need.item).and_then(|kit| kit.up.clone()) {
        return words;
    }
    let mut kit = kit_word(need);
    if let Some(load) = need.load {
        kit = fill(&WORDS.cue.changes.loaded, &[("load", &WORDS.cue.loads[&load]), ("kit", &kit)]);
    }
    fill(if swap { &WORDS.cue.changes.swap } else { &WORDS.cue.changes.up }, &[("kit", &kit)])
}

fn kit_words_of(item: &KitItem) -> Option<&'static KitWords> {
    WORDS.cue.kit.get(item.0.as_str())
}

fn kit_word(need: &NeededKit) -> String {
    match (kit_words_of(&need.item), need.count) {
        (Some(kit), 0 | 1) => kit.one.clone(),
        (Some(kit), _) => kit.many.clone(),
        (None, _) => need.item.0.replace(['_', '-'], " "),
    }
}

fn position_words(from: Position, to: Position) -> &'static str {
    let words = &WORDS.cue.positions[&to];
    match height(to).cmp(&height(from)) {
        std::cmp::Ordering::Less => &words.down,
        std::cmp::Ordering::Equal => &words.over,
        std::cmp::Ordering::Greater => &words.up,
    }
}

/// How high a position is, 0 for lying to 4 for standing.
fn height(position: Position) -> u8 {
    match position {
        Position::Standing => 4,
        Position::Seated => 3,
        Position::HalfKneeling | Position::Kneeling => 2,
        Position::Quadruped => 1,
        Position::Supine | Position::Prone | Position::SideLying => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::movement::Load;

    fn need(item: &str, load: Option<Load>, count: u8) -> NeededKit {
        NeededKit { item: KitItem(item.to_owned()), load, count }
    }

    fn words(down: &[NeededKit], up: &[NeededKit], position: Option<(Position, Position)>) -> String {
        changeover_words(&Changeover { down: down.to_vec(), up: up.to_vec(), position, ..Changeover::default() })
    }

    #[test]
    fn a_change_is_said_in_the_order_it_is_done() {
        let bell = need("kettlebell", Some(Load::Heavy), 1);
        let back = Some((Position::Standing, Position::Supine));
        assert_eq!(words(&[bell], &[need("band", None, 1)], back), "bell down, band up, on to your back");
        let change = Changeover { side: Some(WorkingSide::Right), ..Changeover::default() };
        assert_eq!(changeover_words(&change), "other side, right");
        let change = Changeover { place: Some("bay two".to_owned()), ..Changeover::default() };
        assert_eq!(changeover_words(&change), "move to bay two");
        assert_eq!(words(&[], &[], None), "");
    }

    #[test]
    fn kit_is_called_by_the_words_people_use_for_it() {
        let (light, heavy) = (need("kettlebell", Some(Load::Light), 1), need("kettlebell", Some(Load::Heavy), 1));
        assert_eq!(words(&[light], &[heavy], None), "change to the heavy bell");
        assert_eq!(words(&[], &[need("dumbbell", Some(Load::Light), 2)], None), "light dumbbells up");
        let item = |name: &str| vec![KitItem(name.to_owned())];
        let change = Changeover { off: item("box"), onto: vec![], ..Changeover::default() };
        assert_eq!(changeover_words(&change), "off the box");
        let change = Changeover { onto: item("mat"), ..change };
        assert_eq!(changeover_words(&change), "on to the mat");
        assert_eq!(words(&[need("erg_handle", None, 1)], &[], None), "erg handle down");
    }

    #[test]
    fn a_position_is_reached_from_above_below_or_beside() {
        use Position::{HalfKneeling, Kneeling, Prone, Quadruped, Standing, Supine};
        for (from, to, said) in [
            (Standing, Quadruped, "down to all fours"),
            (Supine, Quadruped, "up on to all fours"),
            (Prone, Supine, "roll on to your back"),
            (Quadruped, Standing, "stand up"),
            (Kneeling, HalfKneeling, "one foot forward"),
        ] {
            assert_eq!(words(&[], &[], Some((from, to))), said);
        }
        assert_eq!(stay_words(Standing), "stay standing");
    }
}
