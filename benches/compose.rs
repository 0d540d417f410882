//! Composing a class: how long a coach waits for it.

use class::compose::{ComposeRequest, compose};
use class::movement::{Catalogue, KitItem, Load, Muscle, Region};
use class::session::{KitAmount, OwnedKit};
use class::time::Tick;

fn main() {
    divan::main();
}

fn owned(item: &str, load: Option<Load>, amount: KitAmount) -> OwnedKit {
    OwnedKit { item: KitItem(item.to_owned()), load, amount }
}

/// Twelve people, light bells and bands for all, four boxes: the last block becomes a rotation.
#[divan::bench(args = [20, 45, 90])]
fn boathouse(bencher: divan::Bencher<'_, '_>, minutes: u64) {
    let kit = vec![
        owned("kettlebell", Some(Load::Light), KitAmount::Each(1)),
        owned("band", None, KitAmount::Each(1)),
        owned("mat", None, KitAmount::Each(1)),
        owned("box", None, KitAmount::Shared(4)),
    ];
    let request = ComposeRequest {
        slot: Tick::seconds(minutes * 60),
        people: 12,
        kit,
        focus: vec![Muscle::Hamstrings, Muscle::MiddleBack],
        look_after: vec![Region::Wrist],
        seed: 7,
        ..ComposeRequest::default()
    };
    bencher.bench(|| compose(&request, Catalogue::built_in()));
}

/// All kit that the catalogue uses, for everybody.
#[divan::bench(args = [45, 90])]
fn everything(bencher: divan::Bencher<'_, '_>, minutes: u64) {
    let items = ["kettlebell", "dumbbell", "band", "box", "mat", "chair"];
    let kit = items.iter().map(|item| owned(item, None, KitAmount::Each(2))).collect();
    let request = ComposeRequest { slot: Tick::seconds(minutes * 60), people: 10, kit, ..ComposeRequest::default() };
    bencher.bench(|| compose(&request, Catalogue::built_in()));
}
