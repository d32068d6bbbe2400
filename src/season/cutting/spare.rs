//! Better plans with room to spare: counts of rolls with more of everything than is needed, ever less of it while the pieces
//! go in. Several counts are tried side by side, and those that come near go on.

use super::bound::Row;
use super::gather::{Chance, Gathering};
use super::instance::Pattern;
use super::moved::moved;
use super::solve::Way;
use rayon::prelude::*;
use std::collections::BTreeSet;

/// Spare needs that counts are asked for with, parts of the need: the less spare, the cheaper and the harder.
const SPARE: [f64; 8] = [0.0005, 0.001, 0.002, 0.004, 0.007, 0.011, 0.016, 0.025];

/// The one that is begun with, by its place: most orders go in with it.
const FIRST: usize = 5;

/// Counts that are tried side by side.
const EACH: usize = 12;

/// A first try does this part of the work; so many that came nearest do all of it.
const RACE: usize = 8;
const GO_ON: usize = 4;

/// Parts of the spare need at which pieces did not go in that are asked for again: other counts cost little more.
const AGAIN: [f64; 4] = [1.0, 0.8, 0.6, 0.4];

/// They are gone through so often that pieces times turns come to this; small orders are cheap to try.
const TRIES: usize = 500;
const MAX_TURNS: usize = 8;

impl Way<'_> {
    /// Goes down from spare needs at which the pieces go in to one at which they do not, and tries more counts there.
    pub fn spare(&mut self, rows: &[Row], mut tried: BTreeSet<Vec<u32>>) {
        let Some(least) = self.least_spare(rows, &mut tried) else {
            return;
        };
        let pieces: u32 = self.demand.iter().sum();
        let turns = (TRIES / pieces.max(1) as usize).clamp(1, MAX_TURNS);
        let mut none = 0;
        for part in AGAIN.iter().cycle().take(turns * AGAIN.len()) {
            let found = self.try_counts(rows, part * least, &mut tried);
            none = if found.is_none() { none + 1 } else { 0 };
            if self.proved() || none == AGAIN.len() {
                return;
            }
        }
    }

    /// The greatest spare need at which the pieces did not go in.
    fn least_spare(&mut self, rows: &[Row], tried: &mut BTreeSet<Vec<u32>>) -> Option<f64> {
        let (mut level, mut packed, mut failed) = (FIRST, false, None);
        while let Some(spare) = SPARE.get(level) {
            let found = self.try_counts(rows, *spare, tried);
            if self.proved() {
                return None;
            }
            match found {
                Some(true) if failed.is_some() => break,
                Some(false) if packed => return Some(*spare),
                Some(true) => packed = true,
                Some(false) => {
                    failed = Some(*spare);
                    level += 1;
                    continue;
                }
                // Nothing with so much to spare is cheaper than the plan that there is.
                None if packed || failed.is_some() => break,
                None => {}
            }
            let Some(next) = level.checked_sub(1) else {
                break;
            };
            level = next;
        }
        failed
    }

    /// The cheapest counts with a spare need that were not tried yet, side by side from the best plan on: whether the pieces
    /// go into some of them. `None` where no such counts are cheaper than that plan.
    fn try_counts(
        &mut self,
        rows: &[Row],
        spare: f64,
        tried: &mut BTreeSet<Vec<u32>>,
    ) -> Option<bool> {
        let more = |row: &Row| Row {
            worth: row.worth.clone(),
            need: row.need + (row.need as f64 * spare) as i128,
        };
        let spared: Vec<Row> = rows.iter().map(more).collect();
        let some = self.ask(&spared, tried, EACH).found;
        tried.extend(some.iter().map(|(_, counts)| counts.clone()));
        let best = self.best.as_ref().filter(|_| !some.is_empty())?;
        let begin = |(_, counts): &(u64, Vec<u32>)| {
            let (rolls, out) = moved(self.instance, best, counts);
            let mut run = Gathering::new(self.instance, &rolls, out);
            let mut chance = self.chance.clone();
            run.fill(self.effort.parts / RACE, &mut chance);
            (run, chance)
        };
        let mut runs: Vec<(Gathering, Chance)> = some.par_iter().map(begin).collect();
        if runs.iter().all(|(run, _)| !run.out.is_empty()) {
            runs.sort_by_key(|(run, _)| run.over());
            runs.truncate(GO_ON);
            let parts = self.effort.parts;
            runs.par_iter_mut()
                .for_each(|(run, chance)| run.fill(parts, chance));
        }
        let packed = runs.iter().filter(|(run, _)| run.out.is_empty());
        let packed: Vec<Vec<Pattern>> = packed.map(|(run, _)| run.patterns()).collect();
        let found = !packed.is_empty();
        for rolls in packed {
            self.take(rolls);
        }
        // Other choices next time.
        self.chance.below(2);
        Some(found)
    }
}
