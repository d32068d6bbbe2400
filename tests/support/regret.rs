//! What a frame costs, and how much dearer a plan is than the same boat's under tighter limits.

use hulltent::boat::{Boat, Rules};
use hulltent::plan::{Plan, plan_alone};
use hulltent::takeoff::{Learned, PostKind, PriceBook, Quote};
use rayon::prelude::*;

/// A foot, m.
pub const FOOT: f64 = 0.3048;

/// What a cover costs in materials and hours, by the demo's invented prices; more than any where they do not reach.
pub fn cost(plan: &Plan) -> f64 {
    let Ok(book) = PriceBook::demo() else {
        return f64::INFINITY;
    };
    let materials = &plan.takeoff.materials;
    Quote::new(materials, PostKind::default(), &book, &Learned::default()).map_or(
        f64::INFINITY,
        |quote| {
            book.currency
                .amount(quote.materials_cost + quote.labour_cost)
        },
    )
}

/// How a boat fared.
pub enum Outcome {
    /// It cannot be planned at all.
    Impossible,
    /// Its plan does not shed, but one under tighter limits does.
    Missed,
    /// Neither does.
    Short,
    /// How much dearer its plan is than the cheapest under tighter limits, as a part of that; zero where it is cheaper.
    Regret(f64),
}

/// Plans a boat under given rules, and under those with lower posts (3 to 6 ft) or shorter spans (5 to 7 ft).
pub fn regret(boat: &Boat, rules: &Rules) -> Outcome {
    let Ok(free) = plan_alone(boat, rules) else {
        return Outcome::Impossible;
    };
    let posts = [3.0, 4.0, 5.0, 6.0].map(|feet| Rules {
        max_post: feet * FOOT,
        ..rules.clone()
    });
    let spans = [5.0, 6.0, 7.0].map(|feet| Rules {
        max_span: feet * FOOT,
        ..rules.clone()
    });
    let least = posts
        .into_par_iter()
        .chain(spans)
        .filter_map(|rules| plan_alone(boat, &rules).ok())
        .filter(Plan::sheds)
        .map(|plan| cost(&plan))
        .reduce(|| f64::INFINITY, f64::min);
    match (free.sheds(), least.is_finite()) {
        (true, true) => Outcome::Regret((cost(&free) / least - 1.0).max(0.0)),
        (true, false) => Outcome::Regret(0.0),
        (false, true) => Outcome::Missed,
        (false, false) => Outcome::Short,
    }
}
