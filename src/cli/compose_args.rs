//! The options for composing a class.

use std::io::{self, Write};
use std::str::FromStr;

use strum::IntoEnumIterator;

use super::word_parser::word_parser;
use super::{CommandError, journals};
use class::compose::kit_text::{KitTextError, kinds, kit, with_catalogue_name};
use class::compose::{ClassAim, ComposeRequest, ComposedClass, KeptMovement, compose, swap_station};
use class::movement::{Catalogue, Muscle, Region};
use class::nearest_name::nearest;
use class::session::{BlockKind, OwnedKit};
use journal::PlannedClass;

/// The class to compose from the catalogue; any of these options asks for one
#[derive(Debug, clap::Args)]
#[command(next_help_heading = "Options to compose a class")]
pub(crate) struct ComposeArgs {
    /// Kit you have, comma-separated, such as kettlebell:light:1,band:1,box:4. One or two of a kind are for each
    /// person, more are shared; end with :each or :shared to say otherwise [default: a mat each]
    #[arg(long, value_name = "KIT", value_delimiter = ',', value_parser = kit, conflicts_with_all = ["from", "demo"])]
    kit: Vec<OwnedKit>,
    /// What the class trains [default: conditioning]
    #[arg(long, value_parser = word_parser::<ClassAim>(), conflicts_with_all = ["from", "demo"])]
    aim: Option<ClassAim>,
    /// Muscles to work more than others, comma-separated; also back, legs, arms, core, hips
    #[arg(long, value_name = "MUSCLES", value_delimiter = ',', conflicts_with_all = ["from", "demo"])]
    focus: Vec<FocusArg>,
    /// Body regions or states to look after, comma-separated, such as wrist,knee,impact: movements without an
    /// alternative are left out
    #[arg(long, value_name = "REGIONS", value_delimiter = ',', conflicts_with_all = ["from", "demo"])]
    look_after: Vec<RegionArg>,
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

impl ComposeArgs {
    /// Whether any of these options was given, so that a class is to be composed.
    pub(crate) fn is_given(&self) -> bool {
        let lists = !(self.kit.is_empty()
            && self.focus.is_empty()
            && self.look_after.is_empty()
            && self.keep.is_empty()
            && self.swap.is_empty());
        lists || self.aim.is_some() || self.seed.is_some() || self.why
    }

    /// Completes a request with these options.
    ///
    /// # Errors
    /// When no movement uses kit of this name, or no movement has the id of one to keep.
    pub(crate) fn request(&self, base: ComposeRequest, catalogue: &Catalogue) -> Result<ComposeRequest, CommandError> {
        let kinds = kinds(catalogue);
        let kit: Result<Vec<OwnedKit>, KitTextError> =
            self.kit.iter().map(|owned| with_catalogue_name(owned.clone(), &kinds)).collect();
        let kit = kit.map_err(CommandError::refused)?;
        if let Some(id) = self.keep.iter().find(|id| catalogue.get(id).is_none()) {
            let near = catalogue.nearest(id).map(|near| format!("did you mean {}?", near.id));
            return Err(CommandError::refused(format!("no movement has the id {id}")).hint(near));
        }
        let mut focus: Vec<Muscle> = Vec::new();
        for muscle in self.focus.iter().flat_map(|FocusArg(muscles)| muscles) {
            if !focus.contains(muscle) {
                focus.push(*muscle);
            }
        }
        Ok(ComposeRequest {
            kit,
            aim: self.aim.unwrap_or_default(),
            focus,
            look_after: self.look_after.iter().map(|RegionArg(region)| *region).collect(),
            seed: self.seed.unwrap_or_default().into(),
            locked: self.keep.iter().map(|id| KeptMovement { movement: id.clone(), at: None }).collect(),
            last: last_movements(),
            ..base
        })
    }

    /// Composes the class, and swaps the movements that are to be swapped.
    ///
    /// # Errors
    /// When no class can be composed, or a movement to swap is not in it.
    pub(crate) fn draft(&self, request: &ComposeRequest, catalogue: &Catalogue) -> Result<ComposedClass, CommandError> {
        let mut draft = compose(request, catalogue).map_err(CommandError::faults)?;
        for id in &self.swap {
            let place = draft.places().find(|place| draft.at(*place).is_some_and(|station| station.movement.id == *id));
            let Some(place) = place else {
                let stations = draft.blocks.iter().flat_map(|block| &block.stations);
                let near = nearest(id, stations.map(|station| station.movement.id.as_str()));
                let near = near.map(|near| format!("did you mean {near}?"));
                return Err(CommandError::cannot(format_args!("swap {id}"), "it is not in this class").hint(near));
            };
            draft = swap_station(request, catalogue, &draft, place).map_err(CommandError::faults)?;
        }
        Ok(draft)
    }

    /// Prints the class; with `--why` also the reasons.
    pub(crate) fn print(
        &self,
        draft: &ComposedClass,
        request: &ComposeRequest,
        out: &mut impl Write,
    ) -> io::Result<()> {
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
            let uses = |needs: &[class::movement::NeededKit]| needs.iter().any(|need| need.item == owned.item);
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
fn last_movements() -> Vec<String> {
    let entries = journals::entries().unwrap_or_default();
    let header = entries.iter().rev().filter_map(|entry| entry.header().ok()).find(|header| header.speed == 1);
    let Some(plan) = header.and_then(|header| PlannedClass::of(&header).ok()) else { return Vec::new() };
    let mains = plan.schedule.session.blocks.iter().filter(|block| block.kind == BlockKind::Main);
    mains.flat_map(|block| &block.stations).map(|station| station.movement.id.clone()).collect()
}

/// A muscle, or a word for several.
#[derive(Clone, Debug)]
struct FocusArg(Vec<Muscle>);

/// Words for several muscles.
const SEVERAL: [(&str, &[Muscle]); 5] = [
    ("back", &[Muscle::MiddleBack, Muscle::Lats, Muscle::LowerBack]),
    ("legs", &[Muscle::Quadriceps, Muscle::Hamstrings, Muscle::Glutes, Muscle::Calves]),
    ("arms", &[Muscle::Biceps, Muscle::Triceps, Muscle::Forearms]),
    ("core", &[Muscle::Abdominals, Muscle::Obliques, Muscle::LowerBack]),
    ("hips", &[Muscle::Glutes, Muscle::HipFlexors, Muscle::Adductors, Muscle::Abductors]),
];

impl FromStr for FocusArg {
    type Err = UnknownWord;

    fn from_str(text: &str) -> Result<FocusArg, UnknownWord> {
        let typed = text.trim().to_lowercase().replace(['-', ' '], "_");
        if let Some((_, muscles)) = SEVERAL.iter().find(|(word, _)| *word == typed) {
            return Ok(FocusArg(muscles.to_vec()));
        }
        typed.parse().map(|muscle| FocusArg(vec![muscle])).map_err(|_| {
            let words = Muscle::iter().map(Into::into).chain(SEVERAL.iter().map(|(word, _)| *word));
            UnknownWord::of(&typed, words.collect())
        })
    }
}

/// A region.
#[derive(Clone, Debug)]
struct RegionArg(Region);

impl FromStr for RegionArg {
    type Err = UnknownWord;

    fn from_str(text: &str) -> Result<RegionArg, UnknownWord> {
        let typed = text.trim().to_lowercase().replace(['-', ' '], "_");
        typed.parse().map(RegionArg).map_err(|_| UnknownWord::of(&typed, Region::iter().map(Into::into).collect()))
    }
}

/// A word is not one of a closed set.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
enum UnknownWord {
    /// With the most similar word of the set.
    #[error("did you mean {}?", .0.replace('_', "-"))]
    Misspelt(&'static str),
    /// With all words of the set.
    #[error("use one of {}", .0.join(", ").replace('_', "-"))]
    Unknown(Vec<&'static str>),
}

impl UnknownWord {
    fn of(typed: &str, words: Vec<&'static str>) -> UnknownWord {
        match nearest(typed, words.iter().copied()) {
            Some(near) => UnknownWord::Misspelt(near),
            None => UnknownWord::Unknown(words),
        }
    }
}
