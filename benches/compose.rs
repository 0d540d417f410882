//! Composing a class: how long a coach waits for it.

use class::compose::{Request, compose};
use class::movement::{Catalogue, Item, Load, Muscle, Region};
use class::session::{Amount, KitOwned};
use class::time::Tick;

fn main() {
    divan::main();
}

fn owned(item: &str, load: Option<Load>, amount: Amount) -> KitOwned {
    KitOwned { item: Item(item.to_owned()), load, amount }
}

/// Twelve people, light bells and bands for all, four boxes: the last block becomes a rotation.
#[divan::bench(args = [20, 45, 90])]
fn boathouse(bencher: divan::Bencher<'_, '_>, minutes: u64) {
    let kit = vec![
        owned("kettlebell", Some(Load::Light), Amount::Each(1)),
        owned("band", None, Amount::Each(1)),
        owned("mat", None, Amount::Each(1)),
        owned("box", None, Amount::Shared(4)),
    ];
    let request = Request {
        slot: Tick::seconds(minutes * 60),
        people: 12,
        kit,
        focus: vec![Muscle::Hamstrings, Muscle::MiddleBack],
        mind: vec![Region::Wrist],
        seed: 7,
        ..Request::default()
    };
    bencher.bench(|| compose(&request, Catalogue::built_in()));
}

/// All kit that the catalogue uses, for everybody.
#[divan::bench(args = [45, 90])]
fn everything(bencher: divan::Bencher<'_, '_>, minutes: u64) {
    let items = ["kettlebell", "dumbbell", "band", "box", "mat", "chair"];
    let kit = items.iter().map(|item| owned(item, None, Amount::Each(2))).collect();
    let request = Request { slot: Tick::seconds(minutes * 60), people: 10, kit, ..Request::default() };
    bencher.bench(|| compose(&request, Catalogue::built_in()));
}
