//! The boat as it was changed, step by step: undo and redo without limit, and what has been saved of it.

use super::hands::Hands;
use super::model::{Quality, SolveRequest};
use super::shown::Guest;
use crate::boat::Boat;
use crate::viewer::hands::{control, shift};
use bevy::prelude::*;
use std::sync::Arc;

/// Something done to the boat. Whoever changes it writes this message; nobody else asks for plans.
#[derive(Message, Debug, Clone)]
pub enum Act {
    /// A finished change: it can be undone.
    Change {
        /// The boat from now on.
        boat: Box<Boat>,
        /// What was done, in words that follow "undo: ".
        what: String,
    },
    /// A change under way, such as a post that is being dragged: shown coarsely, not yet a step.
    Hold {
        /// The boat at this moment.
        boat: Box<Boat>,
    },
    /// What was held becomes a step.
    Release {
        /// What was done.
        what: String,
    },
    /// What was held is as it was before.
    LetGo,
    /// One step back.
    Undo,
    /// One step forth again.
    Redo,
    /// Another boat: its history begins here, and it counts as saved.
    Open {
        /// The boat.
        boat: Box<Boat>,
    },
}

impl Act {
    /// A finished change.
    pub fn change(boat: Boat, what: impl Into<String>) -> Act {
        Act::Change {
            boat: Box::new(boat),
            what: what.into(),
        }
    }

    /// A change under way.
    pub fn hold(boat: Boat) -> Act {
        Act::Hold {
            boat: Box::new(boat),
        }
    }
}

#[derive(Debug, Clone)]
struct Step {
    boat: Arc<Boat>,
    /// What led here.
    what: String,
    /// Different for every step that ever was.
    serial: u64,
}

/// The steps so far, and those that were undone.
#[derive(Resource, Debug, Clone)]
pub struct History {
    steps: Vec<Step>,
    at: usize,
    held: Option<Arc<Boat>>,
    next_serial: u64,
    saved: Option<u64>,
}

impl History {
    /// A history that begins with a boat, which counts as saved.
    pub fn new(boat: Boat) -> History {
        History {
            steps: vec![Step {
                boat: Arc::new(boat),
                what: String::new(),
                serial: 0,
            }],
            at: 0,
            held: None,
            next_serial: 1,
            saved: Some(0),
        }
    }

    fn step(&self) -> Option<&Step> {
        self.steps.get(self.at)
    }

    /// The boat as it stands after the last finished step; `None` never happens.
    pub fn boat(&self) -> Option<&Arc<Boat>> {
        self.step().map(|step| &step.boat)
    }

    /// The boat that is being changed right now, if one is.
    pub fn held(&self) -> Option<&Arc<Boat>> {
        self.held.as_ref()
    }

    /// Differs from state to state: what is saved or written beside is compared by it.
    pub fn serial(&self) -> u64 {
        self.step().map_or(0, |step| step.serial)
    }

    /// Whether the boat is as it was last saved or opened.
    pub fn is_saved(&self) -> bool {
        self.saved == Some(self.serial())
    }

    /// Notes that the state of this serial number has been saved.
    pub fn mark_saved(&mut self, serial: u64) {
        self.saved = Some(serial);
    }

    /// Notes that nothing of this history is on disk, as after a recovery.
    pub fn mark_unsaved(&mut self) {
        self.saved = None;
    }

    /// What undo would take back.
    pub fn undoes(&self) -> Option<&str> {
        (self.at > 0)
            .then(|| self.step().map(|step| step.what.as_str()))
            .flatten()
    }

    /// What redo would do again.
    pub fn redoes(&self) -> Option<&str> {
        self.steps.get(self.at + 1).map(|step| step.what.as_str())
    }

    fn push(&mut self, boat: Arc<Boat>, what: String) -> bool {
        if self.boat().is_some_and(|now| **now == *boat) {
            return false;
        }
        self.steps.truncate(self.at + 1);
        self.steps.push(Step {
            boat,
            what,
            serial: self.next_serial,
        });
        self.next_serial += 1;
        self.at = self.steps.len() - 1;
        true
    }

    /// Does what is asked; returns the boat to be planned and how finely, where that changed.
    pub(super) fn act(&mut self, act: &Act) -> Option<(Arc<Boat>, Quality)> {
        let was_held = self.held.take();
        let now = |history: &History| {
            let boat = history.boat()?.clone();
            Some((boat, Quality::Fine))
        };
        match act {
            Act::Hold { boat } => {
                let boat = Arc::new((**boat).clone());
                self.held = Some(boat.clone());
                let same = was_held.is_some_and(|held| *held == *boat);
                (!same).then_some((boat, Quality::Held))
            }
            Act::Change { boat, what } => {
                let boat = Arc::new((**boat).clone());
                (self.push(boat, what.clone()) || was_held.is_some())
                    .then(|| now(self))
                    .flatten()
            }
            Act::Release { what } => {
                let held = was_held?;
                self.push(held, what.clone());
                now(self)
            }
            Act::LetGo => was_held.and_then(|_| now(self)),
            Act::Undo if self.at > 0 => {
                self.at -= 1;
                now(self)
            }
            Act::Redo if self.at + 1 < self.steps.len() => {
                self.at += 1;
                now(self)
            }
            Act::Undo | Act::Redo => was_held.and_then(|_| now(self)),
            Act::Open { boat } => {
                let serial = self.next_serial;
                *self = History::new((**boat).clone());
                self.next_serial = serial + 1;
                if let Some(first) = self.steps.first_mut() {
                    first.serial = serial;
                }
                self.saved = Some(serial);
                now(self)
            }
        }
    }
}

/// When acts are done: whoever writes them does so before.
#[derive(SystemSet, Debug, Clone, PartialEq, Eq, Hash)]
pub struct Acts;

/// Keeps the history and asks for the plans. Ctrl Z undoes, Ctrl Y or Ctrl Shift Z does again.
pub struct HistoryPlugin;

impl Plugin for HistoryPlugin {
    fn build(&self, app: &mut App) {
        app.add_message::<Act>()
            .add_systems(Update, keys.before(Acts))
            .add_systems(Update, act.in_set(Acts));
    }
}

fn keys(keys: Res<ButtonInput<KeyCode>>, hands: Res<Hands>, mut acts: MessageWriter<Act>) {
    // In a field of a panel the same keys undo typing.
    if !hands.keys_free || !control(&keys) {
        return;
    }
    let shifted = shift(&keys);
    if keys.just_pressed(KeyCode::KeyZ) {
        acts.write(if shifted { Act::Redo } else { Act::Undo });
    }
    if keys.just_pressed(KeyCode::KeyY) {
        acts.write(Act::Redo);
    }
}

/// While a guest's plan is shown nobody sees what becomes of the boat: all but the opening of another is dropped.
fn act(
    mut acts: MessageReader<Act>,
    guest: Option<Res<Guest>>,
    mut history: ResMut<History>,
    mut requests: MessageWriter<SolveRequest>,
) {
    for act in acts.read() {
        if guest.is_some() && !matches!(act, Act::Open { .. }) {
            continue;
        }
        if let Some((boat, quality)) = history.act(act) {
            requests.write(SolveRequest {
                boat: (*boat).clone(),
                quality,
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::preset;
    use proptest::prelude::*;

    fn boat(length: f64) -> Boat {
        let mut boat = preset("open-runabout-18").unwrap().boat().unwrap();
        boat.length = length;
        boat
    }

    #[derive(Debug, Clone)]
    enum Random {
        Change(u8),
        Hold(u8),
        Release,
        LetGo,
        Undo,
        Redo,
        Save,
    }

    fn random() -> impl Strategy<Value = Random> {
        prop_oneof![
            4 => any::<u8>().prop_map(Random::Change),
            2 => any::<u8>().prop_map(Random::Hold),
            2 => Just(Random::Release),
            1 => Just(Random::LetGo),
            4 => Just(Random::Undo),
            3 => Just(Random::Redo),
            1 => Just(Random::Save),
        ]
    }

    proptest! {
        /// Against a plain model: a list of lengths and a place in it.
        #[test]
        fn undo_and_redo_walk_the_steps(actions in proptest::collection::vec(random(), 1..60)) {
            let mut history = History::new(boat(5.0));
            let mut lengths = vec![5.0];
            let (mut at, mut held, mut saved) = (0usize, None, Some((0usize, 5.0)));
            let mut asked = 5.0;
            for action in actions {
                let act = match action {
                    Random::Change(n) => {
                        let length = 5.0 + f64::from(n);
                        if lengths[at] != length {
                            lengths.truncate(at + 1);
                            if saved.is_some_and(|(place, _)| place > at) { saved = None; }
                            lengths.push(length);
                            at += 1;
                        }
                        held = None;
                        Act::change(boat(length), "length")
                    }
                    Random::Hold(n) => {
                        held = Some(5.0 + f64::from(n));
                        Act::hold(boat(5.0 + f64::from(n)))
                    }
                    Random::Release => {
                        if let Some(length) = held.take() && lengths[at] != length {
                            lengths.truncate(at + 1);
                            if saved.is_some_and(|(place, _)| place > at) { saved = None; }
                            lengths.push(length);
                            at += 1;
                        }
                        Act::Release { what: "drag".to_owned() }
                    }
                    Random::LetGo => { held = None; Act::LetGo }
                    Random::Undo => { held = None; at = at.saturating_sub(1); Act::Undo }
                    Random::Redo => { held = None; at = (at + 1).min(lengths.len() - 1); Act::Redo }
                    Random::Save => {
                        let serial = history.serial();
                        history.mark_saved(serial);
                        saved = Some((at, lengths[at]));
                        continue;
                    }
                };
                if let Some((boat, quality)) = history.act(&act) {
                    asked = boat.length;
                    prop_assert_eq!(quality == Quality::Held, history.held().is_some());
                }
                prop_assert_eq!(history.boat().unwrap().length, lengths[at]);
                // What was last asked for is what is shown.
                prop_assert_eq!(asked, held.unwrap_or(lengths[at]));
                prop_assert_eq!(history.undoes().is_some(), at > 0);
                prop_assert_eq!(history.redoes().is_some(), at + 1 < lengths.len());
                prop_assert_eq!(history.is_saved(), saved == Some((at, lengths[at])));
            }
            // All the way back, and forth again.
            for length in lengths[..at].iter().rev() {
                history.act(&Act::Undo);
                prop_assert_eq!(history.boat().unwrap().length, *length);
            }
            for length in &lengths[1..] {
                history.act(&Act::Redo);
                prop_assert_eq!(history.boat().unwrap().length, *length);
            }
        }
    }

    #[test]
    fn another_boat_begins_anew_and_counts_as_saved() {
        let mut history = History::new(boat(5.0));
        history.act(&Act::change(boat(6.0), "length"));
        assert!(!history.is_saved());
        let before = history.serial();
        history.act(&Act::Open {
            boat: Box::new(boat(7.0)),
        });
        assert!(history.is_saved() && history.undoes().is_none());
        assert_ne!(history.serial(), before);
    }
}
