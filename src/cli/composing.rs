//! The options for composing a class.

use std::io::{self, Write};
use std::str::FromStr;

use strum::IntoEnumIterator;

use super::word::word;
use super::{Stop, journals};
use class::compose::typed::{kinds, kit, of_a_kind};
use class::compose::{Aim, Draft, Locked, NoDraft, Request, another, compose};
use class::movement::{Catalogue, Muscle, Region};
use class::near::nearest;
use class::session::{Kind, KitOwned};
use journal::Plan;

/// The class to compose from the catalogue; any of these options asks for one
#[derive(Debug, clap::Args)]
#[command(next_help_heading = "Options to compose a class")]
pub struct Asked {
    /// Kit you have, comma-separated, such as kettlebell:light:1,band:1,box:4. One or two of a kind are for each
    /// person, more are shared; end with :each or :shared to say otherwise [default: a mat each]
    #[arg(long, value_name = "KIT", value_delimiter = ',', value_parser = kit, conflicts_with_all = ["from", "demo"])]
    kit: Vec<KitOwned>,
    /// What the class trains [default: conditioning]
    #[arg(long, value_parser = word::<Aim>(), conflicts_with_all = ["from", "demo"])]
    aim: Option<Aim>,
    /// Muscles to work more than others, comma-separated; also back, legs, arms, core, hips
    #[arg(long, value_name = "MUSCLES", value_delimiter = ',', conflicts_with_all = ["from", "demo"])]
    focus: Vec<Focus>,
    /// Body regions or states to look after, comma-separated, such as wrist,knee,impact: movements without an
    /// alternative are left out
    #[arg(long, value_name = "REGIONS", value_delimiter = ',', conflicts_with_all = ["from", "demo"])]
    mind: Vec<Mind>,
    /// Number that picks between equally good classes [default: 0]
    #[arg(long, value_name = "NUMBER", conflicts_with_all = ["from", "demo"])]
    seed: Option<u32>,
    /// Movements that the main blocks must contain, by id, comma-separated
    #[arg(long, value_name = "IDS", value_delimiter = ',', conflicts_with_all = ["from", "demo"])]
    keep: Vec<String>,
    /// Movements to swap for similar ones, by id, comma-separated; all others stay
    #[arg(long, value_name = "IDS", value_delimiter = ',', conflicts_with_all = ["from", "demo"])]
    swap: Vec<String>,
    /// Explain why each station was chosen
    #[arg(long, conflicts_with_all = ["from", "demo"])]
    why: bool,
}

impl Asked {
    /// Whether any of these options was given, so that a class is to be composed.
    pub fn is_something(&self) -> bool {
        let lists = !(self.kit.is_empty()
            && self.focus.is_empty()
            && self.mind.is_empty()
            && self.keep.is_empty()
            && self.swap.is_empty());
        lists || self.aim.is_some() || self.seed.is_some() || self.why
    }

    /// Completes a request with these options.
    ///
    /// # Errors
    /// When no movement uses kit of this name, or no movement has the id of one to keep.
    pub fn request(&self, base: Request, catalogue: &Catalogue) -> Result<Request, Stop> {
        let kinds = kinds(catalogue);
        let kit: Result<Vec<KitOwned>, String> =
            self.kit.iter().map(|owned| of_a_kind(owned.clone(), &kinds)).collect();
        let kit = kit.map_err(Stop::Cannot)?;
        if let Some(id) = self.keep.iter().find(|id| catalogue.get(id).is_none()) {
            let near = catalogue.nearest(id).map(|near| format!("; did you mean {}?", near.id));
            return Err(Stop::Cannot(format!("no movement has the id {id}{}", near.unwrap_or_default())));
        }
        let mut focus: Vec<Muscle> = Vec::new();
        for muscle in self.focus.iter().flat_map(|Focus(muscles)| muscles) {
            if !focus.contains(muscle) {
                focus.push(*muscle);
            }
        }
        Ok(Request {
            kit,
            aim: self.aim.unwrap_or_default(),
            focus,
            mind: self.mind.iter().map(|Mind(region)| *region).collect(),
            seed: self.seed.unwrap_or_default().into(),
            locked: self.keep.iter().map(|id| Locked { movement: id.clone(), at: None }).collect(),
            last: last(),
            ..base
        })
    }

    /// Composes the class, and swaps the movements that are to be swapped.
    ///
    /// # Errors
    /// When no class can be composed, or a movement to swap is not in it.
    pub fn draft(&self, request: &Request, catalogue: &Catalogue) -> Result<Draft, Stop> {
        let none = |why: NoDraft| Stop::Faults(why.to_string());
        let mut draft = compose(request, catalogue).map_err(none)?;
        for id in &self.swap {
            let place = draft.places().find(|place| draft.at(*place).is_some_and(|station| station.movement.id == *id));
            let Some(place) = place else {
                let stations = draft.blocks.iter().flat_map(|block| &block.stations);
                let near = nearest(id, stations.map(|station| station.movement.id.as_str()));
                let near = near.map_or_else(String::new, |near| format!("; did you mean {near}?"));
                return Err(Stop::Cannot(format!("cannot swap {id}: it is not in this class{near}")));
            };
            draft = another(request, catalogue, &draft, place).map_err(none)?;
        }
        Ok(draft)
    }

    /// Prints the class; with `--why` also the reasons.
    pub fn tell(&self, draft: &Draft, request: &Request, out: &mut impl Write) -> io::Result<()> {
        for block in &draft.blocks {
            writeln!(out, "{}", block.name)?;
            for station in &block.stations {
                writeln!(out, "  {}", station.movement.name)?;
                for why in station.why.iter().filter(|_| self.why) {
                    writeln!(out, "    {why}")?;
                }
            }
        }
        for owned in &request.kit {
            let uses = |needs: &[class::movement::KitNeed]| needs.iter().any(|need| need.item == owned.item);
            let all = || draft.blocks.iter().flat_map(|block| &block.stations);
            if !all().any(|station| uses(&station.movement.kit)) {
                writeln!(out, "no station uses the {}", owned.item)?;
            }
        }
        match &draft.gap {
            Some(gap) => writeln!(out, "{gap}")?,
            None => writeln!(out, "no better arrangement found")?,
        }
        writeln!(out, "this is a draft: check it before you lead it\n")
    }
}

/// The ids of the movements in the main blocks of the last class that was led; empty if there is none or its journal
/// cannot be read.
fn last() -> Vec<String> {
    let entries = journals::entries().unwrap_or_default();
    let header = entries.iter().rev().filter_map(|entry| entry.header().ok()).find(|header| header.speed == 1);
    let Some(plan) = header.and_then(|header| Plan::of(&header).ok()) else { return Vec::new() };
    let mains = plan.schedule.session.blocks.iter().filter(|block| block.kind == Kind::Main);
    mains.flat_map(|block| &block.stations).map(|station| station.movement.id.clone()).collect()
}

/// A muscle, or a word for several.
#[derive(Clone, Debug)]
struct Focus(Vec<Muscle>);

/// Words for several muscles.
const SEVERAL: [(&str, &[Muscle]); 5] = [
    ("back", &[Muscle::MiddleBack, Muscle::Lats, Muscle::LowerBack]),
    ("legs", &[Muscle::Quadriceps, Muscle::Hamstrings, Muscle::Glutes, Muscle::Calves]),
    ("arms", &[Muscle::Biceps, Muscle::Triceps, Muscle::Forearms]),
    ("core", &[Muscle::Abdominals, Muscle::Obliques, Muscle::LowerBack]),
    ("hips", &[Muscle::Glutes, Muscle::HipFlexors, Muscle::Adductors, Muscle::Abductors]),
];

impl FromStr for Focus {
    type Err = String;

    fn from_str(text: &str) -> Result<Focus, String> {
        let typed = text.trim().to_lowercase().replace(['-', ' '], "_");
        if let Some((_, muscles)) = SEVERAL.iter().find(|(word, _)| *word == typed) {
            return Ok(Focus(muscles.to_vec()));
        }
        typed.parse().map(|muscle| Focus(vec![muscle])).map_err(|_| {
            let words = Muscle::iter().map(Into::into).chain(SEVERAL.iter().map(|(word, _)| *word));
            wrong(&typed, words.collect())
        })
    }
}

/// A region.
#[derive(Clone, Debug)]
struct Mind(Region);

impl FromStr for Mind {
    type Err = String;

    fn from_str(text: &str) -> Result<Mind, String> {
        let typed = text.trim().to_lowercase().replace(['-', ' '], "_");
        typed.parse().map(Mind).map_err(|_| wrong(&typed, Region::iter().map(Into::into).collect()))
    }
}

fn wrong(typed: &str, words: Vec<&'static str>) -> String {
    match nearest(typed, words.iter().copied()) {
        Some(near) => format!("did you mean {}?", near.replace('_', "-")),
        None => format!("use one of {}", words.join(", ").replace('_', "-")),
    }
}
