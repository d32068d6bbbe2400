//! What every command that plans a boat is told: the boat, and what goes over its file.

use super::report::Failure;
use super::siting::Siting;
use super::source::read_boat;
use super::{progress, threads, values};
use crate::boat::{Boat, Problem, Rules};
use crate::disk::Source;
use crate::loads::Site;
use crate::plan::{Plan, plan, plan_certified, strengthen};
use clap::Args;
use std::path::PathBuf;

#[derive(Debug, Args)]
pub(super) struct Planning {
    /// Boat file, name of a preset, or - for a boat file on standard input
    pub boat: String,
    /// Least slope of the film, as "15 deg" or "3:12" [default: the boat file's, else 15 deg]
    #[arg(long, value_name = "ANGLE", value_parser = values::min_slope)]
    min_slope: Option<f64>,
    /// Clearance of the ridge over windshield and console, where their own is not given
    /// [default: the boat file's, else 10 in]
    #[arg(long, value_name = "LENGTH", value_parser = values::clearance)]
    clearance: Option<f64>,
    /// Longest span of the ridge strap [default: the boat file's, else 8 ft]
    #[arg(long, value_name = "LENGTH", value_parser = values::max_span)]
    max_span: Option<f64>,
    /// Greatest height of a cap over its footing [default: the boat file's, else 8 ft]
    #[arg(long, value_name = "LENGTH", value_parser = values::max_post)]
    max_post: Option<f64>,
    /// Size of the cover's cells [default: the boat file's, else 2 in]
    #[arg(long, value_name = "LENGTH", value_parser = values::cell)]
    cell: Option<f64>,
    /// Most threads that may run side by side [default: one for each core]. A plan can use two, and
    /// comes out the same with any number
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    threads: Option<u16>,
    /// Try every single change of the frame on the verdict's own film (a post left out or moved by a step, a cap or all
    /// caps a step lower, hip straps left out), and take what is cheaper; give it to all commands or to none, since posts
    /// may come out an inch lower
    #[arg(long)]
    certify: bool,
    #[command(flatten)]
    siting: Siting,
    /// Look for the cheapest frame that stands the site's loads: braced, thicker or more posts, more hip straps
    #[arg(long, help_heading = "Site (a planning check of snow, wind and road)")]
    strengthen: bool,
}

impl Planning {
    /// Reads the boat and plans it.
    pub fn plan(&self) -> Result<Plan, Failure> {
        threads::limit(self.threads)?;
        let Source {
            name,
            text,
            mut boat,
            ..
        } = read_boat(&self.boat)?;
        let site = self.siting.site()?;
        self.overrule(&mut boat);
        let rules = boat.rules.clone();
        let about = format!("planning {}", boat.name);
        progress::while_working(&about, || self.planned(&boat, site.as_ref(), &rules))
            .map_err(|problems| Failure::of_file(&name, Some(text), problems))
    }

    /// The files that are read for it.
    pub fn inputs(&self) -> Vec<PathBuf> {
        let boat = PathBuf::from(&self.boat);
        boat.is_file()
            .then_some(boat)
            .into_iter()
            .chain(self.siting.input())
            .collect()
    }

    fn planned(
        &self,
        boat: &Boat,
        site: Option<&Site>,
        rules: &Rules,
    ) -> Result<Plan, Vec<Problem>> {
        if let Some(site) = site.filter(|_| self.strengthen) {
            return strengthen(boat, site, rules);
        }
        let plan = if self.certify {
            plan_certified(boat, rules)
        } else {
            plan(boat, rules)
        }?;
        Ok(match site {
            Some(site) => plan.at(site),
            None => plan,
        })
    }

    /// What the command line says goes over the file.
    fn overrule(&self, boat: &mut Boat) {
        let rules = &mut boat.rules;
        for (value, rule) in [
            (self.min_slope, &mut rules.min_slope),
            (self.clearance, &mut rules.clearance),
            (self.max_span, &mut rules.max_span),
            (self.max_post, &mut rules.max_post),
            (self.cell, &mut rules.cell),
        ] {
            if let Some(value) = value {
                *rule = value;
            }
        }
    }
}
