//! How film answers to stretch: linear where it is taut, along its wrinkles only where it wrinkles, not at all where
//! it is slack.
//!
//! The energy of a unit of unstressed film as a function of its two principal stretches. What a film can do by wrinkling
//! lowers that energy to the least one over all greater stretches (relaxed energy, Pipkin 1986, from memory): it is convex
//! and rises with each stretch, so that a loaded film has one shape whatever the way to it.

/// What a film is made of and how tight it is at rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmLaw {
    /// Modulus times thickness, N/m.
    pub stiffness: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Tension at rest, the same all ways, N/m of the film as it hangs.
    pub tension: f64,
    /// Stiffness that film keeps whatever it does, as a part of its own: folded film is not nothing, and the shape of wrinkled
    /// film is then decided in every place; see [`FilmLaw::LEFT_OVER`].
    pub left_over: f64,
}

/// What film does in a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// Pulled both ways.
    Taut,
    /// Pulled one way, in wrinkles along it.
    Wrinkled,
    /// Not pulled.
    Slack,
}

/// Energy of a unit of unstressed film and its derivatives by the principal stretches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Response {
    pub energy: f64,
    /// Pull per unstressed width along the first and the second stretch, N/m.
    pub pull: [f64; 2],
    /// Second derivatives: along the first, along the second, mixed.
    pub stiffness: [f64; 3],
    pub state: State,
}

impl FilmLaw {
    /// What is left over in covers: three parts in a thousand of what the usual tension at rest does against bending out of
    /// the film's plane.
    pub const LEFT_OVER: f64 = 1e-5;

    /// The stretch that the film has at rest, from which it would shrink if it were cut loose.
    pub(super) fn rest_stretch(&self) -> f64 {
        let pull = self.tension * (1.0 - self.poisson);
        1.0 + pull / (self.stiffness - pull)
    }

    /// The answer to two principal stretches, the greater first.
    pub(super) fn respond(&self, [first, second]: [f64; 2]) -> Response {
        let (a, b) = (first - 1.0, second - 1.0);
        if a <= 0.0 {
            return Response {
                energy: 0.0,
                pull: [0.0; 2],
                stiffness: [0.0; 3],
                state: State::Slack,
            };
        }
        if b <= -self.poisson * a {
            return Response {
                energy: 0.5 * self.stiffness * a * a,
                pull: [self.stiffness * a, 0.0],
                stiffness: [self.stiffness, 0.0, 0.0],
                state: State::Wrinkled,
            };
        }
        let plane = self.stiffness / (1.0 - self.poisson * self.poisson);
        Response {
            energy: 0.5 * plane * (a * a + b * b + 2.0 * self.poisson * a * b),
            pull: [
                plane * (a + self.poisson * b),
                plane * (b + self.poisson * a),
            ],
            stiffness: [plane, plane, self.poisson * plane],
            state: State::Taut,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LAW: FilmLaw = FilmLaw {
        stiffness: 35_600.0,
        poisson: 0.4,
        tension: 100.0,
        left_over: FilmLaw::LEFT_OVER,
    };

    #[test]
    fn at_rest_it_pulls_as_it_was_shrunk() {
        let stretch = LAW.rest_stretch();
        let response = LAW.respond([stretch; 2]);
        // Per width as it hangs, which is longer than the unstressed one by the stretch.
        for pull in response.pull {
            assert!((pull / stretch - LAW.tension).abs() < 1e-9);
        }
    }

    #[test]
    fn pull_and_stiffness_are_the_derivatives_of_the_energy() {
        let step = 1e-6;
        for stretches in [
            [1.02, 1.01],
            [1.02, 0.999],
            [1.02, 0.98],
            [1.003, 0.5],
            [0.99, 0.9],
        ] {
            let here = LAW.respond(stretches);
            for k in 0..2 {
                let moved = |by: f64| {
                    let mut to = stretches;
                    to[k] += by;
                    LAW.respond(to)
                };
                let (plus, minus) = (moved(step), moved(-step));
                let pull = (plus.energy - minus.energy) / (2.0 * step);
                assert!((pull - here.pull[k]).abs() < 1e-4, "{stretches:?}");
                let own = (plus.pull[k] - minus.pull[k]) / (2.0 * step);
                assert!((own - here.stiffness[k]).abs() < 1e-2, "{stretches:?}");
                let mixed = (plus.pull[1 - k] - minus.pull[1 - k]) / (2.0 * step);
                assert!((mixed - here.stiffness[2]).abs() < 1e-2, "{stretches:?}");
            }
        }
    }

    /// One-way tension by hand: pulled along, free or pressed together across, film carries its stiffness times strain.
    #[test]
    fn wrinkled_film_pulls_one_way_alone() {
        for across in [0.9, 0.95, 1.0 - 0.4 * 0.02] {
            let response = LAW.respond([1.02, across]);
            assert!((response.pull[0] - 35_600.0 * 0.02).abs() < 1e-6);
            assert!(response.pull[1].abs() < 1e-6);
        }
        assert_eq!(LAW.respond([1.0, 0.9]).state, State::Slack);
    }
}
