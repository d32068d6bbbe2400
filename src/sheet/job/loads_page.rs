//! The page of loads, where the boat was planned for a site: a short table of checks, what each case does, cautions.

use super::page::{Page, inside};
use crate::plan::Plan;
use crate::sheet::flow::{Chapter, flow};
use crate::sheet::{Block, Paper, loads_list};
use crate::units::UnitSystem;

/// Heights of words that are tried, mm: the largest that lets all of it stand on the page.
const WORDS: [f64; 6] = [3.0, 2.8, 2.6, 2.4, 2.1, 1.8];

/// White between the two columns, mm.
const GAP: f64 = 8.0;

/// The page; `None` where the boat was planned for no site.
pub(super) fn page(plan: &Plan, units: UnitSystem, paper: Paper) -> Option<Page> {
    plan.loads.as_ref()?;
    let [left, top, right, bottom] = inside(paper);
    let wide = 0.5 * (right - left - GAP);
    let columns = [
        [left, top, left + wide, bottom],
        [right - wide, top, right, bottom],
    ];
    let mut blocks: Vec<Block> = loads_list::short(plan, units);
    blocks.extend(loads_list::under_load(plan, units));
    blocks.extend(loads_list::worth());
    let chapters = [Chapter { blocks, from: 0 }];
    let set = WORDS
        .iter()
        .find_map(|height| flow(&chapters, &columns, *height))?;
    let mut page = Page::new("Loads: a planning check of snow, wind and road");
    for part in set {
        page.drawing.put(part, [0.0; 2]);
    }
    Some(page)
}

#[cfg(test)]
mod tests {
    use super::super::job_sheet;
    use crate::boat::preset;
    use crate::loads::CAUTION;
    use crate::loads::site::{SiteOptions, from_options};
    use crate::plan::plan_at;
    use crate::sheet::{Item, Paper};
    use crate::units::UnitSystem;

    #[test]
    fn a_site_adds_a_page_with_checks_and_cautions() {
        let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
        boat.rules.coarsen(3.0);
        let site = from_options(&SiteOptions {
            code: Some("asce7-16".to_owned()),
            snow: Some("20 psf".to_owned()),
            wind: Some("110 mph".to_owned()),
            ..SiteOptions::default()
        })
        .unwrap();
        let plan = plan_at(&boat, &site, &boat.rules).unwrap();
        for paper in [Paper::Letter, Paper::A4] {
            let pages = job_sheet(&plan, UnitSystem::FeetInches, paper);
            let last = pages.last().unwrap();
            let words: String = last
                .items
                .iter()
                .filter_map(|item| match item {
                    Item::Text { text, .. } => Some(format!("{text} ")),
                    _ => None,
                })
                .collect();
            for wanted in ["FAILS", "post P2", "ASCE 7-16", "licensed engineers decide"] {
                assert!(words.contains(wanted), "{wanted} is not in {words}");
            }
            assert!(words.contains(&CAUTION[..20]));
            assert!(super::super::tests::faults(last, "loads").is_empty());
        }
    }
}
