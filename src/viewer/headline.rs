//! The verdict in one line: shedding and, where there is a site, loads. A good word is never alone while a check fails.

use super::load::burden::Burden;
use super::look;
use super::shown::Shown;
use crate::loads::Loads;
use crate::plan::Plan;
use crate::sheet::{capitalized, verdict_line};
use bevy_egui::egui;
use std::sync::Arc;

/// What is known of the loads of a plan.
#[derive(Debug, Clone, Copy)]
pub enum LoadsKnown<'a> {
    /// Nobody has said where the boat stands.
    NoSite,
    /// There is a site, but this plan was not checked yet.
    NotYet,
    /// The check gave up.
    GaveUp,
    /// Checked.
    Checked(&'a Loads),
}

impl<'a> LoadsKnown<'a> {
    /// What is known of a plan of the boat's own.
    pub fn of(burden: Option<&'a Burden>, plan: &Arc<Plan>) -> LoadsKnown<'a> {
        let Some(burden) = burden.filter(|burden| burden.site.is_some()) else {
            return LoadsKnown::NoSite;
        };
        match burden.of(plan) {
            None => LoadsKnown::NotYet,
            Some(weighed) => weighed
                .loads
                .as_deref()
                .map_or(LoadsKnown::GaveUp, LoadsKnown::Checked),
        }
    }

    /// Of what is shown; a guest has no site.
    pub fn of_shown(burden: Option<&'a Burden>, shown: &Shown) -> LoadsKnown<'a> {
        match shown.plan().filter(|_| shown.guest().is_none()) {
            Some(plan) => LoadsKnown::of(burden, plan),
            None => LoadsKnown::NoSite,
        }
    }
}

/// The verdict of a plan in a few words: on shedding and, where there is a site, on its loads.
pub fn headline(plan: &Plan, loads: LoadsKnown) -> String {
    let checked = match loads {
        LoadsKnown::Checked(loads) => Some(loads),
        _ => None,
    };
    let mut words = capitalized(&verdict_line(plan, checked));
    match loads {
        LoadsKnown::NotYet => words.push_str("; loads not checked"),
        LoadsKnown::GaveUp => words.push_str("; loads could NOT be checked"),
        LoadsKnown::NoSite | LoadsKnown::Checked(_) => {}
    }
    words
}

/// Whether the verdict of [`headline`] is good in all that is checked; `None` as long as that is not known.
pub fn is_good(plan: &Plan, loads: LoadsKnown) -> Option<bool> {
    match loads {
        _ if !plan.sheds() => Some(false),
        LoadsKnown::NoSite => Some(true),
        LoadsKnown::NotYet => None,
        LoadsKnown::GaveUp => Some(false),
        LoadsKnown::Checked(loads) => Some(loads.stands()),
    }
}

/// The ink of a verdict by [`is_good`].
pub fn ink(good: Option<bool>) -> egui::Color32 {
    match good {
        Some(true) => look::GOOD,
        Some(false) => look::BAD,
        None => look::FADED,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;
    use crate::loads::site::{SiteOptions, from_options};
    use crate::loads::{Check, weigh_at_site};
    use crate::plan::plan;
    use crate::viewer::load::burden::Weighed;

    #[test]
    fn a_good_verdict_is_not_alone_while_loads_fail() {
        let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
        boat.rules.coarsen(2.0);
        let plan = Arc::new(plan(&boat, &boat.rules).unwrap());
        assert!(plan.sheds());
        let site = |snow: &str| {
            from_options(&SiteOptions {
                code: Some("asce7-16".to_owned()),
                snow: Some(snow.to_owned()),
                ..SiteOptions::default()
            })
            .unwrap()
        };
        let check = |burden: &Burden, parts: &[&str], good: Option<bool>| {
            let loads = LoadsKnown::of(Some(burden), &plan);
            let line = headline(&plan, loads);
            for part in parts {
                assert!(line.contains(part), "{line}");
            }
            assert_eq!(is_good(&plan, loads), good, "{line}");
        };
        assert_eq!(headline(&plan, LoadsKnown::NoSite), "The cover sheds");
        check(&Burden::default(), &["The cover sheds"], Some(true));
        let mut burden = Burden::new(Some(site("90 psf")), None);
        check(&burden, &["The cover sheds", "loads not checked"], None);
        let take = |burden: &mut Burden, loads: Option<Loads>| {
            burden.take(Weighed {
                plan: plan.clone(),
                loads: loads.map(Arc::new),
                capacity: None,
            });
        };
        take(&mut burden, None);
        check(&burden, &["could NOT be checked"], Some(false));
        let heavy = weigh_at_site(&plan.stage(), &site("90 psf"));
        take(&mut burden, Some(heavy.clone()));
        check(
            &burden,
            &["The cover sheds, but does NOT stand its loads"],
            Some(false),
        );
        let mut light = heavy;
        light.checks.retain(Check::passes);
        assert!(!light.checks.is_empty());
        take(&mut burden, Some(light));
        check(
            &burden,
            &["The cover sheds and stands its loads"],
            Some(true),
        );
    }
}
