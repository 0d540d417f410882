//! Filling a frame: the main blocks one after the other, then the warm-up for them, then the cool-down, then `check`.

use std::sync::Arc;

use super::candidate_pool::{
    CandidatePool, MovementRole, PatternFamily, bits, is_tier_of, may_serve_as, off_aim, off_focus, wants_care,
};
use super::composed_class::{ComposedBlock, ComposedClass, ComposedStation, text, title};
use super::family_balance::{SpreadLimits, deal_to_blocks, spreads};
use super::frame::ClassFrame;
use super::objective::Cost;
use super::order_search::{BlockProblem, OpenPlace, OrderVerdict, StationCandidate, best};
use super::{ComposeError, ComposeRequest, KeptMovement, StationPlace, reasons};
use crate::check::{advice::advise, check};
use crate::fnv::fnv;
use crate::movement::{Catalogue, Movement};
use crate::schedule::compile;
use crate::session::fault::Severity;
use crate::session::{BlockKind, read};
use crate::time::Tick;

/// The number of spreads over the families that are tried, the most even first.
const SPREADS: usize = 12;
/// The number of classes that are checked before a frame is given up.
const CHECKS: usize = 24;
/// The number of block searches before a frame is given up. A block may leave too few movements for the next one.
const BLOCKS: usize = 96;

/// Fills a frame with movements.
pub(super) struct Composer<'a> {
    pub(super) request: &'a ComposeRequest,
    catalogue: &'a Catalogue,
    pub(super) frame: ClassFrame,
    /// Whether the last main block is a rotation.
    rotation: bool,
    pub(super) pool: CandidatePool,
    pub(super) items: Vec<StationCandidate>,
    pub(super) rank: Vec<u64>,
    /// The stations of the main blocks with a kept movement: place, with blocks counted from 0, and candidate. None for
    /// any place.
    main_ties: Vec<(Option<StationPlace>, usize)>,
    pub(super) end_ties: Vec<(StationPlace, usize)>,
    /// The family of each station of the main blocks.
    families: Vec<Vec<PatternFamily>>,
    /// The one place that is filled again while all others stay.
    open: Option<StationPlace>,
    pub(super) barred: Vec<String>,
    /// The candidates in the main blocks filled so far.
    pub(super) chosen: Vec<Vec<usize>>,
    gaps: Vec<(Cost, Cost)>,
    checks: usize,
    /// The number of block searches so far.
    searched: usize,
    refused: Option<String>,
    done: Option<Vec<ComposedBlock>>,
}

impl<'a> Composer<'a> {
    pub(super) fn new(request: &'a ComposeRequest, catalogue: &'a Catalogue, frame: ClassFrame) -> Composer<'a> {
        let people = u64::from(request.people.max(1));
        let in_group = people.div_ceil(frame.main.stations as u64);
        let all = CandidatePool::of(request, catalogue, people);
        let groups = CandidatePool::of(request, catalogue, in_group);
        // A rotation makes sense when some kit is enough for a group, but not for everybody.
        let rotation = people >= frame.main.stations as u64 && groups.kinds.len() > all.kinds.len();
        let room = if rotation { groups } else { all };
        let rank = room.movements.iter().map(|movement| rank(request.seed, &movement.id)).collect();
        let items = items(&room, request);
        Composer {
            request,
            catalogue,
            rotation,
            items,
            rank,
            pool: room,
            main_ties: Vec::new(),
            end_ties: Vec::new(),
            families: Vec::new(),
            open: None,
            barred: Vec::new(),
            chosen: Vec::new(),
            gaps: vec![(Cost::NOTHING, Cost::NOTHING); frame.main.blocks],
            frame,
            checks: 0,
            searched: 0,
            refused: None,
            done: None,
        }
    }

    /// Composes the best class in this frame.
    pub(super) fn compose(&mut self) -> Result<ComposedClass, ComposeError> {
        self.tie_kept_movements(&self.request.locked)?;
        let main = self.frame.main;
        let mut there: Vec<Vec<PatternFamily>> = vec![Vec::new(); main.blocks];
        let mut fewest = [0; 6];
        for &(place, item) in &self.main_ties {
            let family = PatternFamily::of(&self.pool.movements[item]);
            let family = family.ok_or_else(|| self.cannot_keep(item, "its pattern does not belong in a main block"))?;
            fewest[family as usize] += 1;
            let block =
                place.map_or_else(|| (0..main.blocks).min_by_key(|&block| there[block].len()), |at| Some(at.block));
            there[block.unwrap_or(0)].push(family);
        }
        let (mut most, mut asked, mut rank) = ([0; 6], [0; 6], [0; 6]);
        for (index, movement) in self.pool.movements.iter().enumerate() {
            if let Some(family) = PatternFamily::of(movement).filter(|_| self.may_serve_as(index, MovementRole::Main)) {
                most[family as usize] += 1;
                asked[family as usize] += usize::from(off_focus(movement, &self.request.focus) == 0);
            }
        }
        for family in PatternFamily::ALL {
            rank[family as usize] = self::rank(self.request.seed, &family.to_string());
        }
        let few = Tick::seconds(119).0 / (main.work.0 * u64::from(main.rounds)).max(1);
        let stations = main.blocks * main.stations;
        let spread = SpreadLimits { stations, most, fewest, asked, few: few as usize + 1, rank };
        for counts in spreads(&spread).into_iter().take(SPREADS) {
            let Some(families) = deal_to_blocks(&counts, main.blocks, main.stations, &there) else { continue };
            self.families = families;
            self.block();
            if let Some(blocks) = self.done.take() {
                return Ok(self.composed(blocks));
            }
            if self.is_enough() {
                break;
            }
        }
        let refused = self.refused.take().map(|why| format!(": {why}"));
        Err(ComposeError::TooFew(refused.unwrap_or_default()))
    }

    /// The composed class with another movement at one station.
    pub(super) fn swap_station(
        &mut self,
        draft: &ComposedClass,
        place: StationPlace,
    ) -> Result<ComposedClass, ComposeError> {
        let station = draft.at(place).ok_or(ComposeError::NoSwap)?;
        let others = draft.places().filter(|other| *other != place);
        let keep =
            others.filter_map(|at| Some(KeptMovement { movement: draft.at(at)?.movement.id.clone(), at: Some(at) }));
        self.tie_kept_movements(&keep.collect::<Vec<_>>())?;
        self.barred = draft.barred.clone();
        self.barred.push(station.movement.id.clone());
        self.open = Some(place);
        let mains = draft.blocks.iter().filter(|block| block.kind == BlockKind::Main);
        self.families = mains
            .map(|block| block.stations.iter().filter_map(|station| PatternFamily::of(&station.movement)).collect())
            .collect();
        self.block();
        match self.done.take() {
            Some(blocks) => Ok(ComposedClass { title: draft.title.clone(), ..self.composed(blocks) }),
            None => Err(ComposeError::NoSwap),
        }
    }

    fn composed(&self, blocks: Vec<ComposedBlock>) -> ComposedClass {
        let title = title(self.request);
        let blocks = reasons::with_reasons(self, blocks);
        let text = text(self.request, &title, &self.pool.kit, &blocks);
        let gap = self.gaps.iter().zip(1..).find(|((cost, bound), _)| cost > bound).map(|((cost, bound), block)| {
            let first = cost.parts().into_iter().zip(bound.parts()).find(|(cost, bound)| cost != bound);
            let (what, by) = first.map_or(("", 0), |((what, cost), (_, bound))| (what, cost.abs_diff(bound)));
            format!("main block {block}: the search was stopped; the best block may have up to {by} fewer {what}")
        });
        ComposedClass { title, blocks, text, gap, frame: self.frame.clone(), barred: self.barred.clone() }
    }

    /// Finds the kept movements, and the places they belong to.
    fn tie_kept_movements(&mut self, locked: &[KeptMovement]) -> Result<(), ComposeError> {
        for locked in locked {
            let item = self.pool.movements.iter().position(|movement| movement.id == locked.movement);
            let item = item.ok_or_else(|| {
                ComposeError::CannotKeep(locked.movement.clone(), "the kit or a region to look after rules it out")
            })?;
            let blocks = self.frame.main.blocks;
            match locked.at {
                Some(at) if at.block == 0 || at.block == blocks + 1 => self.end_ties.push((at, item)),
                Some(at) if at.block > blocks + 1 || at.station >= self.frame.main.stations => {
                    return Err(self.cannot_keep(item, "a class of this length has no such place"));
                }
                at if self.may_serve_as(item, MovementRole::Main) => {
                    let at = at.map(|at| StationPlace { block: at.block - 1, ..at });
                    self.main_ties.push((at, item));
                }
                _ => return Err(self.cannot_keep(item, "it does not fit a main block")),
            }
        }
        Ok(())
    }

    fn cannot_keep(&self, item: usize, why: &'static str) -> ComposeError {
        ComposeError::CannotKeep(self.pool.movements[item].name.clone(), why)
    }

    pub(super) fn may_serve_as(&self, item: usize, role: MovementRole) -> bool {
        may_serve_as(&self.pool.movements[item], role, self.request.aim)
    }

    pub(super) fn is_rotation(&self, block: usize) -> bool {
        self.rotation && block + 1 == self.frame.main.blocks
    }

    /// The search problem of the next main block.
    pub(super) fn circuit<'c>(
        &'c self,
        block: usize,
        before: &[usize],
        apart: &'c dyn Fn(usize, usize) -> bool,
    ) -> BlockProblem<'c> {
        let rotation = self.is_rotation(block);
        let tied: Vec<(Option<usize>, usize)> = self
            .main_ties
            .iter()
            .filter(|(at, item)| at.map_or_else(|| self.loose_block(*item) == block, |at| at.block == block))
            .map(|&(at, item)| (at.map(|at| at.station), item))
            .collect();
        let mut families = self.families[block].clone();
        families.sort_by_key(|family| (*family as u64 + self.request.seed % 6 + block as u64) % 6);
        let mut slots: Vec<OpenPlace> = Vec::new();
        for &(at, item) in &tied {
            let own = families.iter().position(|family| Some(*family) == PatternFamily::of(&self.pool.movements[item]));
            own.map(|own| families.remove(own));
            slots.push(OpenPlace { pool: vec![item], at });
        }
        let open = self.open.filter(|open| open.block == block + 1).map(|open| open.station);
        for family in families {
            let pool = (0..self.items.len()).filter(|&item| {
                let movement = &self.pool.movements[item];
                PatternFamily::of(movement) == Some(family)
                    && self.may_serve_as(item, MovementRole::Main)
                    && (rotation || self.pool.for_all[item])
                    && !before.iter().any(|&before| before == item || apart(before, item))
                    && !self.main_ties.iter().any(|(_, tied)| *tied == item)
                    && !self.end_ties.iter().any(|(_, tied)| *tied == item)
                    && !self.barred.contains(&movement.id)
            });
            slots.push(OpenPlace { pool: pool.collect(), at: open });
        }
        let blocks = self.frame.main.blocks;
        let used = before.iter().fold(0, |used, &item| used | self.items[item].uses);
        let kinds = (self.pool.kinds.len() * (block + 1)).div_ceil(blocks) as u32;
        let again = self.frame.main.rounds > 1;
        BlockProblem { items: &self.items, slots, again, walking: rotation, used, kinds, apart, rank: &self.rank }
    }

    /// The block for a kept movement that has no place: one that has a station of its family.
    fn loose_block(&self, item: usize) -> usize {
        let family = PatternFamily::of(&self.pool.movements[item]);
        let loose = self.main_ties.iter().filter(|(at, _)| at.is_none()).map(|(_, item)| *item);
        let nth = loose.take_while(|other| *other != item).count();
        let has = |block: &usize| self.families[*block].iter().any(|other| Some(*other) == family);
        let blocks: Vec<usize> = (0..self.families.len()).filter(has).collect();
        blocks.get(nth % blocks.len().max(1)).copied().unwrap_or(0)
    }

    /// Whether the search in this frame has used up its limits.
    fn is_enough(&self) -> bool {
        self.checks > CHECKS || self.searched > BLOCKS
    }

    /// Fills the next main block and all blocks after it.
    fn block(&mut self) -> OrderVerdict {
        let block = self.chosen.len();
        if block == self.frame.main.blocks {
            return self.finish();
        }
        self.searched += 1;
        if self.is_enough() {
            return OrderVerdict::Stop;
        }
        let movements = self.pool.movements.clone();
        let apart = move |a: usize, b: usize| is_tier_of(&movements[a], &movements[b]);
        let before: Vec<usize> = self.chosen.concat();
        // Copies, since the search reads these while `self` changes.
        let items = self.items.clone();
        let rank = self.rank.clone();
        let of_block = self.circuit(block, &before, &apart);
        let circuit = BlockProblem { items: &items, rank: &rank, apart: &apart, ..of_block };
        let turn = circuit.again && circuit.slots.iter().all(|slot| slot.at.is_none());
        let found = {
            let slots = circuit.slots.clone();
            let circuit = BlockProblem { slots, ..circuit };
            best(&circuit, &mut |order| {
                self.chosen.push(if turn { rotated_by_seed(order, &items, &rank) } else { order.to_vec() });
                let verdict = self.block();
                self.chosen.pop();
                verdict
            })
        };
        match found {
            Some(found) => {
                self.gaps[block] = (found.cost, found.bound);
                OrderVerdict::Taken
            }
            None if self.is_enough() => OrderVerdict::Stop,
            None => OrderVerdict::Refused,
        }
    }

    /// Adds the warm-up and the cool-down to the main blocks, and checks the whole class.
    fn finish(&mut self) -> OrderVerdict {
        self.checks += 1;
        if self.checks > CHECKS {
            return OrderVerdict::Stop;
        }
        let Some((warm_up, cool_down)) = self.ends() else { return OrderVerdict::Refused };
        let station =
            |item: &usize| ComposedStation { movement: Arc::clone(&self.pool.movements[*item]), why: Vec::new() };
        let end = |name: &str, kind: BlockKind, work: Tick, items: &[usize]| ComposedBlock {
            name: name.to_owned(),
            kind,
            rotation: false,
            work,
            rest: Tick::ZERO,
            rounds: 1,
            stations: items.iter().map(station).collect(),
        };
        let main = self.frame.main;
        let mut blocks = vec![end("Warm-up", BlockKind::WarmUp, self.frame.warm_up.work, &warm_up)];
        for (index, items) in self.chosen.iter().enumerate() {
            let rotation = self.is_rotation(index);
            let name = if rotation { "Rotation".to_owned() } else { format!("Circuit {}", index + 1) };
            let (work, rest, rounds) = (main.work, main.rest, main.rounds);
            let stations = items.iter().map(station).collect();
            blocks.push(ComposedBlock { name, kind: BlockKind::Main, rotation, work, rest, rounds, stations });
        }
        blocks.push(end("Cool-down", BlockKind::CoolDown, self.frame.cool_down.work, &cool_down));
        match self.rule_broken(&blocks) {
            None => {
                self.done = Some(blocks);
                OrderVerdict::Taken
            }
            Some(why) => {
                self.refused = Some(why);
                OrderVerdict::Refused
            }
        }
    }

    /// The first finding of at least warning level on a class. None when the class is good.
    fn rule_broken(&self, blocks: &[ComposedBlock]) -> Option<String> {
        let text = text(self.request, &title(self.request), &self.pool.kit, blocks);
        let reading = read(&text, self.catalogue);
        let mut faults = reading.faults;
        if let Some(session) = reading.session {
            let schedule = compile(Arc::new(session));
            faults.extend(check(&schedule));
            faults.extend(advise(&schedule));
        }
        faults.into_iter().find(|fault| fault.severity <= Severity::Warning).map(|fault| fault.message)
    }
}

/// The rank of a movement among equally good ones, by the seed.
fn rank(seed: u64, id: &str) -> u64 {
    let hash = fnv(format!("{seed} {id}").as_bytes());
    (hash >> 32) as u64
}

/// A round of stations, begun at a station that is not on the floor if there is one. The seed chooses which.
fn rotated_by_seed(order: &[usize], items: &[StationCandidate], rank: &[u64]) -> Vec<usize> {
    let first = (0..order.len()).min_by_key(|&at| (items[order[at]].floor, rank[order[at]])).unwrap_or(0);
    let mut turned = order.to_vec();
    turned.rotate_left(first);
    turned
}

/// The movements of a pool, as candidates of the search.
pub(super) fn items(room: &CandidatePool, request: &ComposeRequest) -> Vec<StationCandidate> {
    let mut handfuls: Vec<Vec<crate::movement::NeededKit>> = Vec::new();
    let item = |movement: &Arc<Movement>| {
        let mut kit: Vec<_> = movement.kit.iter().filter(|need| !need.item.stays_on_floor()).cloned().collect();
        kit.sort();
        let known = handfuls.iter().position(|other| *other == kit);
        let kit = known.unwrap_or_else(|| {
            handfuls.push(kit);
            handfuls.len() - 1
        });
        let own = Cost::off_focus(off_focus(movement, &request.focus))
            + Cost::off_aim(u64::from(off_aim(movement, request.aim)))
            + Cost::care(u64::from(wants_care(movement, request)))
            + Cost::repeats(u64::from(request.last.contains(&movement.id)));
        StationCandidate {
            own,
            prime: if movement.loaded { bits(&movement.prime) } else { 0 },
            kit,
            position: movement.position as usize,
            floor: movement.position.on_floor_with(movement.kit.iter().map(|need| &need.item)),
            uses: room.uses(movement),
        }
    };
    room.movements.iter().map(item).collect()
}
