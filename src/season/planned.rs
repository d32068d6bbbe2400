//! Boats planned for a season: what is kept of each plan, and many of them side by side.

use crate::boat::{Boat, Problem, write};
use crate::loads::{Loads, Site, weigh_at_site};
use crate::plan::{Plan, plan};
use crate::takeoff::Materials;
use crate::units::UnitSystem;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// What a season keeps of a boat's plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Planned {
    /// Length of the hull, m.
    pub length: f64,
    /// Greatest beam, m.
    pub beam: f64,
    /// Everything that the cover takes.
    pub materials: Materials,
    /// What is wrong with the cover, each in feet and in meters; empty where it sheds.
    pub lacks: Vec<[String; 2]>,
    /// What the site's loads do to it; `None` where the job has no site.
    pub loads: Option<Standing>,
}

/// How a cover stands its loads.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Standing {
    /// Whether every check holds.
    pub stands: bool,
    /// The check that is nearest to failing, or fails by most; empty where there is none.
    pub governing: String,
    /// What is asked over what can be done there, at most `MAX_ASKED`.
    pub ratio: f64,
}

/// What is asked of something that can do nothing.
pub const MAX_ASKED: f64 = 99.0;

/// A boat to be planned.
#[derive(Debug, Clone)]
pub struct Wanted {
    /// The boat, with what its job changes of the rules.
    pub boat: Boat,
    /// Where it stands.
    pub site: Option<Site>,
}

/// Changes whenever plans of the same boat may come out otherwise than before.
const PLANS_OF: &str = concat!("hulltent ", env!("CARGO_PKG_VERSION"), ", plans 3\n");

impl Wanted {
    /// A text that is the same for two boats only where their plans are: boat file with its rules, site, version.
    #[must_use]
    pub fn key(&self) -> String {
        let written = write(&self.boat, UnitSystem::Metric);
        let mut key = PLANS_OF.to_owned();
        key.push_str(&written.text);
        for (name, text) in &written.companions {
            key.push_str(&format!("\n{name}:\n{text}"));
        }
        if let Some(site) = &self.site {
            key.push_str(&format!("\n{site:?}"));
        }
        key
    }
}

impl Planned {
    /// Plans a boat.
    ///
    /// # Errors
    /// What is impossible about it.
    pub fn of(wanted: &Wanted) -> Result<Planned, Vec<Problem>> {
        let boat = &wanted.boat;
        let plan = plan(boat, &boat.rules)?;
        let loads = wanted
            .site
            .as_ref()
            .map(|site| weigh_at_site(&plan.stage(), site));
        Ok(Planned::from_plan(&plan, loads.as_ref()))
    }

    fn from_plan(plan: &Plan, loads: Option<&Loads>) -> Planned {
        let systems = [UnitSystem::FeetInches, UnitSystem::Metric];
        Planned {
            length: plan.boat.length,
            beam: plan.boat.beam,
            materials: plan.takeoff.materials.clone(),
            lacks: plan
                .shortfalls
                .iter()
                .map(|shortfall| systems.map(|units| shortfall.sentence(units)))
                .collect(),
            loads: loads.map(|loads| Standing {
                stands: loads.stands(),
                governing: loads
                    .governing()
                    .map_or_else(String::new, |check| check.name.clone()),
                ratio: loads
                    .governing()
                    .map_or(0.0, |check| check.ratio().min(MAX_ASKED)),
            }),
        }
    }

    /// Whether the cover sheds, and stands its loads where its job has a site.
    #[must_use]
    pub fn is_good(&self) -> bool {
        self.lacks.is_empty() && self.loads.as_ref().is_none_or(|loads| loads.stands)
    }
}

/// A boat's plan, or what is impossible about it.
pub type PlanOrProblems = Result<Planned, Vec<Problem>>;

/// Plans boats side by side (rayon), each kind once; the answers do not depend on the number of threads. `known` gives a
/// plan that was made before by its key; `done` is told of each key that is planned now, as soon as it is. A boat that
/// cannot be planned does not keep the others.
pub fn plan_all(
    wanted: &[Wanted],
    known: &(dyn Fn(&str) -> Option<Planned> + Sync),
    done: &(dyn Fn(&str, &PlanOrProblems) + Sync),
) -> Vec<PlanOrProblems> {
    let keys: Vec<String> = wanted.par_iter().map(Wanted::key).collect();
    let mut kinds: BTreeMap<&str, &Wanted> = BTreeMap::new();
    for (key, wanted) in keys.iter().zip(wanted) {
        kinds.entry(key).or_insert(wanted);
    }
    // The largest first, so that none of them is left for the end when all others are done.
    let mut kinds: Vec<(&str, &Wanted)> = kinds.into_iter().collect();
    kinds.sort_by(|a, b| b.1.boat.length.total_cmp(&a.1.boat.length));
    let plans: BTreeMap<&str, PlanOrProblems> = kinds
        .par_iter()
        .with_max_len(1)
        .map(|(key, wanted)| {
            if let Some(planned) = known(key) {
                return (*key, Ok(planned));
            }
            let planned = guarded(wanted);
            done(key, &planned);
            (*key, planned)
        })
        .collect();
    let plan = |key: &String| {
        plans
            .get(key.as_str())
            .cloned()
            .unwrap_or_else(|| Err(Vec::new()))
    };
    keys.iter().map(plan).collect()
}

/// A fault in hulltent itself costs one boat, not the season.
fn guarded(wanted: &Wanted) -> PlanOrProblems {
    catch_unwind(AssertUnwindSafe(|| Planned::of(wanted))).unwrap_or_else(|_| {
        Err(vec![Problem {
            path: String::new(),
            place: None,
            what: "hulltent itself failed on this boat".to_owned(),
            hint: "plan it alone with `hulltent plan`, and tell the developers".to_owned(),
        }])
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;
    use std::sync::Mutex;

    fn wanted(name: &str) -> Wanted {
        let mut boat = preset(name).unwrap().boat().unwrap();
        boat.rules.coarsen(4.0);
        Wanted { boat, site: None }
    }

    #[test]
    fn each_kind_is_planned_once_and_a_bad_boat_keeps_nobody() {
        let mut impossible = wanted("open-runabout-18");
        impossible.boat.rules.cell = 1e3;
        impossible.boat.beam = 0.0;
        let list = [
            wanted("jon-boat-16"),
            impossible,
            wanted("jon-boat-16"),
            wanted("open-aluminium-14"),
        ];
        let told = Mutex::new(Vec::new());
        let none = |_: &str| None;
        let plans = plan_all(&list, &none, &|key, _| {
            told.lock().unwrap().push(key.to_owned())
        });
        assert!(plans[0].is_ok() && plans[3].is_ok() && plans[1].is_err());
        assert_eq!(plans[0], plans[2]);
        assert_eq!(told.lock().unwrap().len(), 3);
        // What is known is not planned again, and reads back as it was written.
        let known = plans[0].clone().unwrap();
        let text = serde_json::to_string(&known).unwrap();
        assert_eq!(serde_json::from_str::<Planned>(&text).unwrap(), known);
        let key = list[0].key();
        let kept = |asked: &str| (asked == key).then(|| known.clone());
        told.lock().unwrap().clear();
        let again = plan_all(&list[..1], &kept, &|_, _| {
            told.lock().unwrap().push(String::new())
        });
        assert_eq!(again[0], plans[0]);
        assert!(told.lock().unwrap().is_empty());
    }

    #[test]
    fn keys_tell_boats_apart() {
        let plain = wanted("jon-boat-16");
        let mut steeper = plain.clone();
        steeper.boat.rules.min_slope += 0.01;
        let mut renamed = plain.clone();
        renamed.boat.name.push('x');
        assert_ne!(plain.key(), steeper.key());
        assert_ne!(plain.key(), wanted("open-aluminium-14").key());
        assert_eq!(plain.key(), wanted("jon-boat-16").key());
    }
}
