//! Pieces into given rolls: two rolls at a time are filled anew, so that what is left over becomes less and the room that
//! is left comes together, until a piece goes into it.

use super::instance::{Instance, Pattern};

/// A roll, what lies in it and what room is left.
#[derive(Debug, Clone)]
struct Roll {
    stock: usize,
    width: u32,
    room: u32,
    kinds: Vec<usize>,
}

/// Given rolls with pieces in them, and pieces that are in none.
#[derive(Debug, Clone)]
pub(super) struct Gathering<'a> {
    instance: &'a Instance,
    rolls: Vec<Roll>,
    /// Kinds of pieces, one a piece.
    pub out: Vec<usize>,
}

/// Pieces of two rolls that are moved at once: each set of them is looked at.
const MAX_MOVED: usize = 11;

/// After so great a part of the work without getting better it is given up.
const PATIENCE: f64 = 0.6;

/// Pairs that are filled anew, for each two pairs there are: few rolls are soon done with.
const TURNS: usize = 10;

/// What a pair costs beside its sets, in sets.
const BESIDE: usize = 256;

/// Of the pieces that are in no roll so many take part.
const FROM_OUT: usize = 2;

impl<'a> Gathering<'a> {
    /// Rolls with their pieces, and pieces that go in where there is room.
    pub fn new(instance: &'a Instance, rolls: &[Pattern], out: Vec<usize>) -> Gathering<'a> {
        let rolls = rolls
            .iter()
            .filter_map(|pattern| {
                let stock = instance.stock.get(pattern.stock)?;
                let kinds = pattern.pieces.iter();
                Some(Roll {
                    stock: pattern.stock,
                    width: stock.width,
                    room: stock
                        .length
                        .saturating_sub(instance.taken(&pattern.pieces).0),
                    kinds: kinds
                        .flat_map(|(kind, count)| std::iter::repeat_n(*kind, *count as usize))
                        .collect(),
                })
            })
            .collect();
        let mut all = Gathering {
            instance,
            rolls,
            out,
        };
        all.insert();
        all
    }

    fn size(&self, kind: usize) -> (u32, u32) {
        self.instance
            .kinds
            .get(kind)
            .map_or((0, 0), |kind| (kind.width, kind.length))
    }

    /// Puts pieces that are in no roll into rolls with room, the longest first, each where the least is left.
    fn insert(&mut self) {
        let mut out = std::mem::take(&mut self.out);
        out.sort_by_key(|kind| (std::cmp::Reverse(self.length(*kind)), *kind));
        for kind in out {
            let (width, length) = self.size(kind);
            let fits = self
                .rolls
                .iter_mut()
                .filter(|roll| roll.room >= length && roll.width >= width);
            match fits.min_by_key(|roll| (roll.width, roll.room)) {
                Some(roll) => {
                    roll.room -= length;
                    roll.kinds.push(kind);
                }
                None => self.out.push(kind),
            }
        }
    }

    fn length(&self, kind: usize) -> u32 {
        self.size(kind).1
    }

    /// Fills pairs of rolls anew until no piece is left over, so many full pairs' work is done, or for long
    /// nothing became less.
    pub fn fill(&mut self, most: usize, chance: &mut Chance) {
        let mut space = Space::default();
        let pairs = self.rolls.len() * self.rolls.len().saturating_sub(1) / 2;
        let work = most.min(pairs.saturating_mul(pairs).saturating_mul(TURNS)) << MAX_MOVED;
        let (mut least, mut since, mut done) = (self.over(), 0, 0);
        while done < work && (since as f64) < PATIENCE * work as f64 && !self.out.is_empty() {
            let sets = BESIDE + self.step(chance, &mut space);
            done += sets;
            since += sets;
            let now = self.over();
            if now < least {
                (least, since) = (now, 0);
            }
        }
    }

    /// The length of what is in no roll.
    pub fn over(&self) -> u64 {
        let out = self.out.iter();
        out.map(|kind| u64::from(self.length(*kind))).sum()
    }

    /// Brings room together, whether or not anything is left over.
    pub fn gather(&mut self, moves: usize, chance: &mut Chance) {
        let mut space = Space::default();
        for _ in 0..moves {
            self.step(chance, &mut space);
        }
    }

    /// The rolls that hold something.
    pub fn patterns(&self) -> Vec<Pattern> {
        let held = self.rolls.iter().filter(|roll| !roll.kinds.is_empty());
        held.map(|roll| {
            let mut kinds = roll.kinds.clone();
            kinds.sort_unstable();
            let pieces = kinds.chunk_by(|a, b| a == b);
            Pattern {
                stock: roll.stock,
                pieces: pieces
                    .filter_map(|same| Some((*same.first()?, same.len() as u32)))
                    .collect(),
            }
        })
        .collect()
    }

    /// Fills a pair of rolls anew: mostly the roomiest is one of them. How many sets were looked at.
    fn step(&mut self, chance: &mut Chance, space: &mut Space) -> usize {
        if self.rolls.len() < 2 {
            return 0;
        }
        // A piece that is left over wants the room of rolls that are wide enough for it.
        let wanted = chance.below(self.out.len());
        let least = self.out.get(wanted).map_or(0, |kind| self.size(*kind).0);
        let roomiest = || {
            let rolls = self
                .rolls
                .iter()
                .enumerate()
                .filter(|(_, roll)| roll.width >= least);
            rolls
                .max_by_key(|(index, roll)| (roll.room, *index))
                .map_or(0, |(index, _)| index)
        };
        let one = if chance.below(4) != 0 {
            roomiest()
        } else {
            chance.below(self.rolls.len())
        };
        let other = (one + 1 + chance.below(self.rolls.len() - 1)) % self.rolls.len();
        let width = |index: usize| self.rolls.get(index).map_or(0, |roll| roll.width);
        // The wider one first: whatever goes into the second goes into the first.
        let (wide, narrow) = if width(one) >= width(other) {
            (one, other)
        } else {
            (other, one)
        };
        let (Some(mut first), Some(mut second)) = (
            self.rolls.get(wide).cloned(),
            self.rolls.get(narrow).cloned(),
        ) else {
            return 0;
        };
        let mut moved = Vec::new();
        for turn in 0..FROM_OUT.min(self.out.len()) {
            let index = if turn == 0 {
                wanted
            } else {
                chance.below(self.out.len())
            };
            let fits = self
                .out
                .get(index)
                .is_some_and(|kind| self.size(*kind).0 <= first.width);
            if fits {
                moved.push(self.out.swap_remove(index));
            }
        }
        // Where there are too many, some stay where they are.
        chance.shuffle(&mut first.kinds);
        chance.shuffle(&mut second.kinds);
        while moved.len() < MAX_MOVED && !(first.kinds.is_empty() && second.kinds.is_empty()) {
            let from = if first.kinds.len() >= second.kinds.len() {
                &mut first
            } else {
                &mut second
            };
            if let Some(kind) = from.kinds.pop() {
                from.room += self.instance.length(kind);
                moved.push(kind);
            }
        }
        chance.shuffle(&mut moved);
        let sizes: Vec<(u32, u32)> = moved.iter().map(|kind| self.size(*kind)).collect();
        let (into_first, into_second) = space.best(&sizes, &first, &second);
        let mut out = Vec::new();
        for (bit, kind) in moved.iter().enumerate() {
            let length = self.length(*kind);
            if into_first >> bit & 1 == 1 {
                first.room -= length;
                first.kinds.push(*kind);
            } else if into_second >> bit & 1 == 1 {
                second.room -= length;
                second.kinds.push(*kind);
            } else {
                out.push(*kind);
            }
        }
        self.out.extend(out);
        for (index, roll) in [(wide, first), (narrow, second)] {
            if let Some(slot) = self.rolls.get_mut(index) {
                *slot = roll;
            }
        }
        1 << moved.len()
    }
}

/// Tables over all sets of the pieces that are moved.
#[derive(Debug, Clone, Default)]
struct Space {
    /// Their length.
    length: Vec<u32>,
    /// Whether one is too wide for the second roll.
    wide: Vec<bool>,
    /// The longest part that goes into the second roll.
    part: Vec<u16>,
}

impl Space {
    /// Which pieces go into the wider roll and which into the other: the most length, then the most room in one of them.
    fn best(&mut self, sizes: &[(u32, u32)], first: &Roll, second: &Roll) -> (u16, u16) {
        let sets = 1usize << sizes.len().min(MAX_MOVED);
        self.length.clear();
        self.wide.clear();
        self.part.clear();
        for set in 0..sets {
            let lowest = set.trailing_zeros() as usize;
            let (width, length) = sizes.get(lowest).copied().unwrap_or((0, 0));
            let rest = set & set.wrapping_sub(1);
            let before = self.length.get(rest).copied().unwrap_or(0);
            let was = self.wide.get(rest).copied().unwrap_or(false);
            self.length.push(if set == 0 { 0 } else { before + length });
            self.wide.push(set != 0 && (was || width > second.width));
        }
        for set in 0..sets {
            let fits = self
                .length
                .get(set)
                .is_some_and(|length| *length <= second.room);
            if fits && !self.wide.get(set).copied().unwrap_or(true) {
                self.part.push(set as u16);
                continue;
            }
            let mut best = (0u32, 0u16);
            let mut bits = set;
            while bits != 0 {
                let part = self
                    .part
                    .get(set & !(bits & bits.wrapping_neg()))
                    .copied()
                    .unwrap_or(0);
                let length = self.length.get(usize::from(part)).copied().unwrap_or(0);
                if length > best.0 {
                    best = (length, part);
                }
                bits &= bits - 1;
            }
            self.part.push(best.1);
        }
        let mut best = (0u32, 0u64);
        let mut chosen = (0, 0);
        for set in 0..sets {
            let length = self.length.get(set).copied().unwrap_or(u32::MAX);
            if length > first.room {
                continue;
            }
            let part = self.part.get(sets - 1 - set).copied().unwrap_or(0);
            let other = self.length.get(usize::from(part)).copied().unwrap_or(0);
            let square = |room: u32| u64::from(room) * u64::from(room);
            // Every piece may use room in the wider roll, so there it is of more use, whole or not.
            let rooms = if first.width > second.width {
                u64::from(first.room - length)
            } else {
                square(first.room - length) + square(second.room - other)
            };
            if (length + other, rooms) > best {
                best = (length + other, rooms);
                chosen = (set as u16, part);
            }
        }
        chosen
    }
}

/// A xorshift generator (G. Marsaglia 2003): the same choices on every run.
#[derive(Debug, Clone)]
pub(super) struct Chance(pub u64);

impl Chance {
    pub fn below(&mut self, count: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % count.max(1) as u64) as usize
    }

    fn shuffle<T>(&mut self, list: &mut [T]) {
        for last in (1..list.len()).rev() {
            let other = self.below(last + 1);
            list.swap(last, other);
        }
    }
}
