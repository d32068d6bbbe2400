//! A quote as a printed page; the customer's shows the boat under its cover.

use super::cover_drawing::{View, reach};
use super::drawing::{Align, Drawing};
use super::list_pages::{inside, list_pages, one_page};
use super::{Audience, Paper, cover_profile, quote_sheet};
use crate::plan::Plan;
use crate::takeoff::Quote;
use crate::units::UnitSystem;

/// White between the words and the picture, mm.
const GAP: f64 = 8.0;
/// In less room a picture shows nothing, mm.
const LEAST: f64 = 40.0;
/// Height of the words under the picture, and of their line, mm.
const WORDS: f64 = 2.8;
const LINE: f64 = 7.0;

/// A quote as one page, or more where its lines do not go onto one.
///
/// # Units
/// Millimeters of paper.
#[must_use]
pub fn quote_pages(
    plan: &Plan,
    quote: &Quote,
    audience: Audience,
    units: UnitSystem,
    paper: Paper,
) -> Vec<Drawing> {
    let sheet = quote_sheet(plan, quote, audience, units);
    let shows = match audience {
        Audience::Customer => "Quote",
        Audience::Yard => "Quote with inner costs: for the yard alone",
    };
    let Some(mut page) = one_page(&sheet, shows, paper) else {
        return list_pages(&sheet, shows, paper);
    };
    if audience == Audience::Customer {
        picture(&mut page, plan, paper);
    }
    vec![page]
}

/// The covered boat from starboard, as large as what is left of the page allows.
fn picture(page: &mut Drawing, plan: &Plan, paper: Paper) {
    let [left, _, right, bottom] = inside(paper);
    let top = page.bounds()[3] + GAP;
    let high = bottom - LINE - top;
    if high < LEAST {
        return;
    }
    let [from, to] = reach(plan);
    let [lowest, highest] = cover_profile::heights(plan);
    let wide = right - left;
    let scale = (wide / (to - from)).min(high / (highest - lowest));
    let view = View {
        scale,
        from,
        left: left + 0.5 * (wide - scale * (to - from)),
        axis: top + scale * highest,
        words: WORDS,
    };
    cover_profile::covered(page, plan, view);
    page.words(
        [
            0.5 * (left + right),
            view.axis - scale * lowest + LINE - 1.5,
        ],
        "The boat under its cover, from starboard.",
        WORDS,
        Align::Middle,
        false,
    );
}
