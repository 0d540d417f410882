//! The catalogue: every movement a session may name.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::{Arc, LazyLock};

use super::check;
use super::file::MovementRon;
use super::{Caution, CautionAlternative, Correction, KitItem, Movement, NeededKit, TempoGuide, Tier};
use crate::nearest_name::{nearest, nearest_of};
use crate::time::{FirstPhase, Tempo};

/// The movements that come with forecall, as a file.
pub const BUILT_IN: &str = include_str!("../../../assets/movements.ron");

/// The largest file of movements that is accepted, in bytes: 4 MB.
pub const LARGEST_FILE: usize = 4 << 20;

/// The maximum number of movements in one file.
pub(super) const MOST_MOVEMENTS: usize = 5_000;

/// A file of movements, read into memory by the shell.
#[derive(Clone, Copy, Debug)]
pub struct CatalogueSource<'a> {
    /// The name that faults give: the path of the file.
    pub name: &'a str,
    pub text: &'a str,
}

/// A fault in a file of movements.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CatalogueFault {
    /// The [`CatalogueSource::name`] of the file.
    pub file: String,
    pub place: CatalogueFaultPlace,
    /// The line and the column, both from 1, when RON cannot read the text. None for other faults.
    pub at: Option<(usize, usize)>,
    pub message: String,
    /// What to write instead.
    pub help: Option<String>,
}

/// The path of the wrong value in the file: `[3].faults[0][1]`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CatalogueFaultPlace {
    /// The index of the movement, from 0. None for the file as a whole.
    pub movement: Option<usize>,
    pub field: Option<&'static str>,
    /// Indexes into the lists inside the field, from 0.
    pub items: Vec<usize>,
}

impl fmt::Display for CatalogueFaultPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.movement.map_or(Ok(()), |index| write!(f, "[{index}]"))?;
        self.field.map_or(Ok(()), |field| write!(f, ".{field}"))?;
        self.items.iter().try_for_each(|item| write!(f, "[{item}]"))
    }
}

impl fmt::Display for CatalogueFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.file)?;
        if let Some((line, column)) = self.at {
            write!(f, ":{line}:{column}")?;
        }
        if self.place.movement.is_some() {
            write!(f, ": {}", self.place)?;
        }
        write!(f, ": {}", self.message)?;
        self.help.as_ref().map_or(Ok(()), |help| write!(f, "; {help}"))
    }
}

/// All movements, in the order of their files. They can be found by id.
#[derive(Clone, Debug, Default)]
pub struct Catalogue {
    movements: Vec<Arc<Movement>>,
    by_id: BTreeMap<String, usize>,
}

/// A movement and where it is written. Used while a catalogue is built.
pub(super) struct CatalogueEntry {
    pub movement: Movement,
    /// Index into the sources.
    pub source: usize,
    /// Index into the list of that source.
    pub index: usize,
}

impl Catalogue {
    /// The movements that come with forecall.
    pub fn built_in() -> &'static Catalogue {
        // The text is compiled in. tests/class/catalogue.rs checks that it has no faults.
        static BUILT_IN_CATALOGUE: LazyLock<Catalogue> = LazyLock::new(|| Catalogue::with(&[]).unwrap_or_default());
        &BUILT_IN_CATALOGUE
    }

    /// The built-in movements and those of further files. A movement with a known id replaces the earlier one as a
    /// whole. A movement with a new id is added.
    ///
    /// # Errors
    /// All faults of all files.
    pub fn with(own: &[CatalogueSource]) -> Result<Catalogue, Vec<CatalogueFault>> {
        let mut sources = vec![CatalogueSource { name: "built-in movements", text: BUILT_IN }];
        sources.extend_from_slice(own);
        Catalogue::read(&sources)
    }

    /// The movements of these files, without the built-in ones. A later movement replaces an earlier one with its id.
    ///
    /// # Errors
    /// All faults of all files.
    pub fn read(sources: &[CatalogueSource]) -> Result<Catalogue, Vec<CatalogueFault>> {
        let mut faults = Vec::new();
        let mut entries: Vec<CatalogueEntry> = Vec::new();
        let mut by_id: BTreeMap<String, usize> = BTreeMap::new();
        for (source, file) in sources.iter().enumerate() {
            let read = match parse(file) {
                Ok(read) => read,
                Err(fault) => {
                    faults.push(*fault);
                    continue;
                }
            };
            for (index, written) in read.into_iter().enumerate() {
                check::check_one(&written, file.name, index, &mut faults);
                let entry = CatalogueEntry { movement: build(written), source, index };
                match by_id.get(&entry.movement.id) {
                    Some(&known) if entries[known].source == source => {
                        let first = entries[known].index;
                        faults.push(
                            check::fault(
                                file.name,
                                index,
                                "id",
                                &[],
                                format!("the id `{}` is used twice", entry.movement.id),
                            )
                            .helped(format!("the first is [{first}]: give one of them another id")),
                        );
                    }
                    Some(&known) => entries[known] = entry,
                    None => {
                        by_id.insert(entry.movement.id.clone(), entries.len());
                        entries.push(entry);
                    }
                }
            }
        }
        let names: Vec<&str> = sources.iter().map(|source| source.name).collect();
        check::check_all(&entries, &by_id, &names, &mut faults);
        if faults.is_empty() {
            name_alternatives(&mut entries, &by_id);
            Ok(Catalogue { movements: entries.into_iter().map(|entry| Arc::new(entry.movement)).collect(), by_id })
        } else {
            Err(faults)
        }
    }

    /// The movement with this id.
    pub fn get(&self, id: &str) -> Option<&Arc<Movement>> {
        self.by_id.get(id).map(|&index| &self.movements[index])
    }

    /// Every movement, in the order of the files.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = &Arc<Movement>> {
        self.movements.iter()
    }

    /// How many movements there are.
    pub fn len(&self) -> usize {
        self.movements.len()
    }

    /// Whether there is no movement.
    pub fn is_empty(&self) -> bool {
        self.movements.is_empty()
    }

    /// The movement whose id, name or other name is nearest to a misspelt one. None when no name is near enough.
    pub fn nearest(&self, name: &str) -> Option<&Arc<Movement>> {
        let near = nearest_of(name, self.iter().flat_map(|movement| names(movement).map(move |name| (name, movement))));
        near.map(|(_, movement)| movement)
    }
}

/// Fills in the names of the movements that cautions give as alternatives.
fn name_alternatives(entries: &mut [CatalogueEntry], by_id: &BTreeMap<String, usize>) {
    let names: Vec<String> = entries.iter().map(|entry| entry.movement.name.clone()).collect();
    for caution in entries.iter_mut().flat_map(|entry| &mut entry.movement.cautions) {
        if let CautionAlternative::Movement { id, name } = &mut caution.instead
            && let Some(&index) = by_id.get(id.as_str())
        {
            name.clone_from(&names[index]);
        }
    }
}

/// All names of a movement: its id, its name, its other names.
pub(super) fn names(movement: &Movement) -> impl Iterator<Item = &str> {
    [movement.id.as_str(), movement.name.as_str()].into_iter().chain(movement.also.iter().map(String::as_str))
}

/// Reads one file.
fn parse(file: &CatalogueSource) -> Result<Vec<MovementRon>, Box<CatalogueFault>> {
    let whole = |message: String, at, help: Option<String>| {
        Box::new(CatalogueFault {
            file: file.name.to_owned(),
            place: CatalogueFaultPlace::default(),
            at,
            message,
            help,
        })
    };
    if file.text.len() > LARGEST_FILE {
        return Err(whole(format!("the file is larger than {} MB", LARGEST_FILE >> 20), None, None));
    }
    let options = ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
    let read: Vec<MovementRon> = options.from_str(file.text).map_err(|error| {
        let at = error.span.start;
        let (message, help) = in_words(&error.code);
        whole(message, Some((at.line, at.col)), help)
    })?;
    if read.len() > MOST_MOVEMENTS {
        return Err(whole(format!("the file has more than {MOST_MOVEMENTS} movements"), None, None));
    }
    Ok(read)
}

/// The message and the help for an error of RON. They name the fields of the file, not the Rust structs.
fn in_words(error: &ron::Error) -> (String, Option<String>) {
    let near = |found: &str, known: &[&'static str]| match nearest(found, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("write one of: {}", known.join(", ")),
    };
    match error {
        ron::Error::NoSuchStructField { expected, found, .. } => {
            (format!("no field is called `{}`", check::excerpt(found)), Some(near(found, expected)))
        }
        ron::Error::NoSuchEnumVariant { expected, found, .. } => {
            (format!("`{}` is not known here", check::excerpt(found)), Some(near(found, expected)))
        }
        ron::Error::MissingStructField { field, .. } => (format!("`{field}` is missing"), None),
        ron::Error::DuplicateStructField { field, .. } => (format!("`{field}` is written twice"), None),
        other => (other.to_string(), None),
    }
}

/// Builds a movement from its written form and fills in the defaults. [`check::check_one`] reports its faults.
fn build(written: MovementRon) -> Movement {
    let guide = written.tempo.as_deref().and_then(|tempo| tempo.parse::<Tempo>().ok()).map(|tempo| {
        let (lower, lift) = written.phases.clone().unwrap_or_else(|| ("lower".to_owned(), "lift".to_owned()));
        TempoGuide { tempo, starts: written.starts.unwrap_or(FirstPhase::Lower), lower, lift }
    });
    let tier = |tier: super::file::CatalogueTierRon| Tier { what: tier.what, movement: tier.movement };
    Movement {
        short: short(&written),
        id: written.id,
        name: written.name,
        said: written.said,
        also: written.also,
        pattern: written.pattern,
        position: written.position,
        kit: written
            .kit
            .into_iter()
            .map(|kit| NeededKit { item: KitItem(kit.item), load: kit.load, count: kit.count })
            .collect(),
        sides: written.sides,
        prime: written.prime,
        helping: written.helping,
        loaded: written.loaded,
        skill: written.skill,
        guide,
        setup: written.setup,
        prompts: written.prompts,
        faults: written.faults.into_iter().map(|(fault, fix)| Correction { fault, fix }).collect(),
        easier: written.easier.map(tier),
        harder: written.harder.map(tier),
        cautions: written
            .cautions
            .into_iter()
            .map(|(region, instead)| Caution { region, instead: instead.into() })
            .collect(),
    }
}

/// The name for large lettering: `short`, or the name in capitals when `short` is omitted.
pub(super) fn short(written: &MovementRon) -> String {
    written.short.clone().unwrap_or_else(|| written.name.to_uppercase())
}

impl From<super::file::CatalogueInsteadRon> for CautionAlternative {
    fn from(written: super::file::CatalogueInsteadRon) -> CautionAlternative {
        use super::file::CatalogueInsteadRon;
        match written {
            // `name_alternatives` sets the name once the whole catalogue is read.
            CatalogueInsteadRon::Movement(id) => CautionAlternative::Movement { name: id.clone(), id },
            CatalogueInsteadRon::Text(text) => CautionAlternative::Text(text),
            CatalogueInsteadRon::LeaveOut => CautionAlternative::LeaveOut,
        }
    }
}

impl CatalogueFault {
    /// Adds what to write instead.
    pub(super) fn helped(mut self, help: String) -> CatalogueFault {
        self.help = Some(help);
        self
    }
}
