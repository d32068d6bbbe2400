//! A storm over both covers: it runs, stops, goes faster and slower, and is the library's own storm all the time.

use super::Teaches;
use super::comparison::{Comparison, OfRival};
use super::work::Pair;
use crate::lesson::storm::Storm;
use crate::viewer::hands::Hands;
use crate::viewer::hands::control;
use crate::viewer::scene::{Lying, MainStage, Stage};
use bevy::prelude::*;
use std::sync::Arc;

/// Speeds of the storm.
pub const SPEEDS: [u32; 5] = [1, 2, 4, 8, 16];

/// Hours of the storm in a second at the lowest speed.
const HOURS: f64 = 1.0;

/// Part of the snow that melts in a second at the lowest speed.
const THAW: f64 = 0.1;

/// Asks the storm to do something.
#[derive(Message, Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weather {
    /// Run, or stop; from the beginning where it is over.
    RunOrStop,
    /// Go faster.
    Faster,
    /// Go slower.
    Slower,
    /// All that is left at once.
    ToEnd,
    /// From the beginning, stopped.
    Again,
    /// Let melt what lies, once the storm is over.
    Thaw,
}

/// A storm over two covers.
#[derive(Resource, Debug, Clone)]
pub struct Snowfall {
    fresh: [Storm; 2],
    storms: [Storm; 2],
    /// How long it snows, hours.
    end: f64,
    runs: bool,
    speed: usize,
    /// All the snow has fallen.
    over: bool,
    /// Part of it that has melted, once it melts.
    melted: Option<f64>,
}

impl Snowfall {
    /// A storm that has not begun.
    ///
    /// # Units
    /// `snow` is the depth of fresh snow that will fall on level ground, m.
    pub fn new(pair: &Pair, snow: f64) -> Snowfall {
        let storms = pair.storms.clone();
        Snowfall {
            end: storms[0].rules().hours(snow),
            fresh: storms.clone(),
            storms,
            runs: false,
            speed: 0,
            over: false,
            melted: None,
        }
    }

    /// The storms over the plan and its rival.
    pub fn storms(&self) -> &[Storm; 2] {
        &self.storms
    }

    /// How long it snows, hours.
    pub fn end(&self) -> f64 {
        self.end
    }

    /// How long it has snowed, hours.
    pub fn hours(&self) -> f64 {
        self.storms[0].hours()
    }

    /// Whether it goes on by itself.
    pub fn runs(&self) -> bool {
        self.runs
    }

    /// Times the lowest speed.
    pub fn speed(&self) -> u32 {
        SPEEDS.get(self.speed).copied().unwrap_or(1)
    }

    /// Whether all the snow has fallen.
    pub fn is_over(&self) -> bool {
        self.over
    }

    /// Part of the snow that has melted, from 0 to 1; `None` before it begins to melt.
    pub fn melted(&self) -> Option<f64> {
        self.melted
    }

    /// Does what is asked.
    pub fn turn(&mut self, weather: Weather) {
        match weather {
            Weather::RunOrStop => {
                let done = match self.melted {
                    Some(melted) => melted >= 1.0,
                    None => self.over,
                };
                if done {
                    self.again();
                }
                self.runs = done || !self.runs;
            }
            Weather::Faster => self.speed = (self.speed + 1).min(SPEEDS.len() - 1),
            Weather::Slower => self.speed = self.speed.saturating_sub(1),
            Weather::ToEnd if self.melted.is_some() => self.melt(1.0),
            Weather::ToEnd => self.fall(f64::INFINITY),
            Weather::Again => self.again(),
            Weather::Thaw => {
                if self.over && self.melted.is_none() {
                    self.melted = Some(0.0);
                    self.runs = true;
                }
            }
        }
    }

    fn again(&mut self) {
        self.storms = self.fresh.clone();
        self.runs = false;
        self.over = false;
        self.melted = None;
    }

    /// Goes on for a time on the clock, s.
    pub fn go_on(&mut self, seconds: f64) {
        if !self.runs {
            return;
        }
        let passed = seconds * f64::from(self.speed());
        match self.melted {
            Some(melted) => self.melt(melted + THAW * passed),
            None => self.fall(HOURS * passed),
        }
    }

    /// Lets it snow for so many hours, but no longer than the storm lasts.
    fn fall(&mut self, hours: f64) {
        if self.over {
            self.runs = false;
            return;
        }
        let left = self.end - self.hours();
        for storm in &mut self.storms {
            storm.step(hours.min(left));
        }
        if hours >= left {
            self.over = true;
            self.runs = false;
        }
    }

    /// Melts until so much of what lay has melted.
    fn melt(&mut self, until: f64) {
        let melted = self.melted.unwrap_or(0.0);
        // Of what is left.
        let part = if until >= 1.0 {
            1.0
        } else {
            (until - melted) / (1.0 - melted)
        };
        for storm in &mut self.storms {
            storm.thaw(part);
        }
        self.melted = Some(until.min(1.0));
        if until >= 1.0 {
            self.runs = false;
        }
    }
}

/// Lets the storm go on, and lays its snow on the covers.
pub struct SnowfallPlugin;

impl Plugin for SnowfallPlugin {
    fn build(&self, app: &mut App) {
        app.add_message::<Weather>().add_systems(
            Update,
            (
                keys.run_if(resource_exists::<ButtonInput<KeyCode>>),
                go_on.run_if(resource_exists::<Snowfall>),
                lay,
            )
                .chain()
                .in_set(Teaches)
                .after(super::comparison::stand),
        );
    }
}

fn keys(
    keys: Res<ButtonInput<KeyCode>>,
    hands: Option<Res<Hands>>,
    snowfall: Option<Res<Snowfall>>,
    mut weather: MessageWriter<Weather>,
) {
    let bound = control(&keys);
    if snowfall.is_none() || bound || hands.is_some_and(|hands| !hands.keys_free) {
        return;
    }
    for (key, what) in [
        (KeyCode::Space, Weather::RunOrStop),
        (KeyCode::Comma, Weather::Slower),
        (KeyCode::Period, Weather::Faster),
    ] {
        if keys.just_pressed(key) {
            weather.write(what);
        }
    }
}

fn go_on(mut weather: MessageReader<Weather>, mut snowfall: ResMut<Snowfall>, time: Res<Time>) {
    if snowfall.runs() {
        snowfall.go_on(time.delta_secs_f64());
    }
    for what in weather.read() {
        snowfall.turn(*what);
    }
}

/// Puts on each stage what its storm has laid there.
fn lay(
    mut commands: Commands,
    snowfall: Option<Res<Snowfall>>,
    comparison: Option<Res<Comparison>>,
    stages: Query<
        (Entity, Ref<Stage>, Has<OfRival>, Has<Lying>),
        Or<(With<MainStage>, With<OfRival>)>,
    >,
) {
    for (entity, stage, of_rival, lies) in &stages {
        let storm = snowfall
            .as_ref()
            .zip(comparison.as_ref())
            .filter(|(_, comparison)| {
                // Snow of another plan would lie on other triangles.
                Arc::ptr_eq(&comparison.plans[usize::from(of_rival)], &stage.plan)
            });
        match storm {
            None if lies => {
                commands.entity(entity).remove::<Lying>();
            }
            None => {}
            Some((snowfall, _)) => {
                if lies && !snowfall.is_changed() && !stage.is_changed() {
                    continue;
                }
                let storm = &snowfall.storms[usize::from(of_rival)];
                commands.entity(entity).insert(Lying {
                    snow: (0..storm.masses().len()).map(|t| storm.depth(t)).collect(),
                    full: storm.fill().collect(),
                });
            }
        }
    }
}
