//! Lessons for apprentices: a boat, a rival plan that does one thing wrong, and a question.
//!
//! A lesson is data ([`read`] reads one, [`lessons`] those that come with the program); its answer is not:
//! [`Lesson::play`] plans the boat, plans the rival with every piece pinned, and compares the two. [`storm`] is
//! the snow storm that may be watched over both.

mod change;
mod file;
mod measure;
mod rivals;
pub mod storm;
mod words;

pub use change::{Change, rival};
pub use file::read;
pub use measure::{Measure, Measured};
pub use rivals::Rival;

use crate::boat::{End, Hand, Problem, Problems, preset};
use crate::plan::{Plan, plan};
use crate::units::UnitSystem;
use file::problem;
use measure::times;
use nalgebra::Point3;
use std::sync::Arc;
use words::Numbers;

/// One answer that may be picked.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// What it says.
    pub text: String,
    /// It is right where the rival's number is less than so many times the plan's, and no choice before it is right.
    pub below: f64,
}

/// A place on the boat to look at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// The cap of a post of the plan.
    Post(String),
    /// The ridge midway between two posts of the plan.
    Between(String, String),
    /// The top of a box on the boat.
    Box(String),
    /// Both corners at the stern.
    SternCorners,
    /// Both corners at the bow.
    BowCorners,
}

/// A lesson, validated as far as its text goes.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesson {
    /// Its short name; empty for a lesson read from elsewhere.
    pub name: String,
    /// Title, one line.
    pub title: String,
    /// Name of the preset that it is played on.
    pub boat: String,
    /// What the rival does otherwise.
    pub changes: Vec<Change>,
    /// Where each of them stands in the file.
    change_places: Vec<Option<(usize, usize)>>,
    /// Depth of fresh snow that falls, m.
    pub snow: f64,
    /// What the crew did, with places for numbers; see [`Played::story`].
    story: String,
    /// What to watch, in words.
    pub watch: String,
    /// Where that is.
    pub watch_at: Place,
    /// What is compared.
    pub measure: Measure,
    /// What to predict before the storm.
    pub question: String,
    /// From the least to the most; just one of them is right.
    pub choices: Vec<Choice>,
    /// Why the answer is what it is, with places for numbers; see [`Played::explanation`].
    explanation: String,
    /// What to look out for when doing such work.
    pub caution: String,
}

macro_rules! lesson_files {
    ($($name:literal),* $(,)?) => {
        &[$(($name, include_str!(concat!("../../assets/lessons/", $name, ".ron")))),*]
    };
}

static LESSONS: &[(&str, &str)] = lesson_files![
    "low-post",
    "no-hip-strap",
    "slack-ridge-strap",
    "flat-hardtop",
    "missing-middle-post",
    "stern-corners",
];

/// The lessons that come with the program, in the order in which they are taught.
///
/// # Errors
/// Never for the lessons in the program: a test reads them all.
pub fn lessons() -> Result<Vec<Lesson>, Problems> {
    let mut lessons = Vec::new();
    let mut list = Vec::new();
    for (name, text) in LESSONS {
        match read(text) {
            Ok(lesson) => lessons.push(Lesson {
                name: (*name).to_owned(),
                ..lesson
            }),
            Err(problems) => list.extend(problems.list.into_iter().map(|problem| Problem {
                path: format!("{name}: {}", problem.path),
                ..problem
            })),
        }
    }
    if list.is_empty() {
        Ok(lessons)
    } else {
        Err(Problems { list })
    }
}

/// Short names of the lessons that come with the program, in the order in which they are taught.
pub fn names() -> impl Iterator<Item = &'static str> {
    LESSONS.iter().map(|(name, _)| *name)
}

/// A lesson with its answer.
#[derive(Debug, Clone)]
pub struct Played {
    /// The program's own plan, shared with whoever shows it.
    pub plan: Arc<Plan>,
    /// The plan with the lesson's change.
    pub rival: Arc<Plan>,
    /// All measures of the plan.
    pub plan_measured: Measured,
    /// All measures of the rival.
    pub rival_measured: Measured,
    /// The right choice, by its place among the lesson's choices.
    pub right: usize,
    /// The points to look at, on the plan's cover, m.
    pub watch: Vec<Point3<f64>>,
    lesson: Lesson,
}

impl Lesson {
    /// Plans both covers and answers the question.
    ///
    /// # Errors
    /// What in the lesson does not fit the boat and its plan.
    pub fn play(&self) -> Result<Played, Vec<Problem>> {
        let boat = preset(&self.boat)
            .ok_or_else(|| {
                vec![problem(
                    "boat",
                    format!("no preset '{}'", self.boat),
                    "see `hulltent presets`".to_owned(),
                )]
            })?
            .boat()
            .map_err(|problems| problems.list)?;
        let first = plan(&boat, &boat.rules)?;
        let watch = self.points(&first);
        let rival = change::rival_at(&first, &self.changes, &self.change_places);
        let (watch, rival) = match (watch, rival) {
            (Ok(watch), Ok(rival)) => (watch, rival),
            (watch, rival) => {
                return Err(rival
                    .err()
                    .into_iter()
                    .flatten()
                    .chain(watch.err())
                    .collect());
            }
        };
        let plan_measured = Measured::of(&first, self.snow);
        let rival_measured = Measured::of(&rival, self.snow);
        let ratio = times(
            rival_measured.get(self.measure),
            plan_measured.get(self.measure),
        );
        Ok(Played {
            right: self
                .choices
                .iter()
                .position(|choice| ratio < choice.below)
                // Without end over nothing: the last one, which has no limit.
                .unwrap_or(self.choices.len().saturating_sub(1)),
            plan: Arc::new(first),
            rival: Arc::new(rival),
            plan_measured,
            rival_measured,
            watch,
            lesson: self.clone(),
        })
    }

    /// The points that the lesson looks at, m.
    fn points(&self, plan: &Plan) -> Result<Vec<Point3<f64>>, Problem> {
        let post = |name: &str| {
            let posts = &plan.frame.posts;
            let found = posts.iter().find(|post| post.id == name);
            found.map(|post| post.top()).ok_or_else(|| {
                let names: Vec<&str> = posts.iter().map(|post| post.id.as_str()).collect();
                problem(
                    "watch.at",
                    format!("no post '{name}' in this plan"),
                    format!("one of {}", names.join(", ")),
                )
            })
        };
        let corners = |end| {
            Hand::BOTH
                .iter()
                .filter_map(|hand| plan.hull.corner(end, *hand))
                .map(|p| Point3::new(p.x, p.y, plan.hull.sheer_at(p.x)))
                .collect()
        };
        Ok(match &self.watch_at {
            Place::Post(name) => vec![post(name)?],
            Place::Between(aft, fore) => vec![nalgebra::center(&post(aft)?, &post(fore)?)],
            Place::Box(name) => {
                let boxes = &plan.boat.boxes;
                let found = boxes.iter().find(|b| b.name == *name).ok_or_else(|| {
                    let names: Vec<&str> = boxes.iter().map(|b| b.name.as_str()).collect();
                    problem(
                        "watch.at",
                        format!("no box '{name}' on this boat"),
                        format!("one of {}", names.join(", ")),
                    )
                })?;
                let middle = 0.5 * (found.from + found.to);
                vec![Point3::new(
                    middle,
                    found.offset,
                    0.5 * (found.top + found.top_fore),
                )]
            }
            Place::SternCorners => corners(End::Aft),
            Place::BowCorners => corners(End::Fore),
        })
    }
}

impl Played {
    fn fill(&self, text: &str, units: UnitSystem) -> String {
        let numbers = Numbers {
            measure: self.lesson.measure,
            plan: &self.plan_measured,
            rival: &self.rival_measured,
            snow: self.lesson.snow,
            min_slope: self.plan.rules.min_slope,
            changes: &self.lesson.changes,
        };
        numbers.fill(text, units)
    }

    /// What the crew did, in the reader's units.
    pub fn story(&self, units: UnitSystem) -> String {
        self.fill(&self.lesson.story, units)
    }

    /// Why the answer is what it is, with the computed numbers in the reader's units.
    pub fn explanation(&self, units: UnitSystem) -> String {
        self.fill(&self.lesson.explanation, units)
    }

    /// The lesson that was played.
    pub fn lesson(&self) -> &Lesson {
        &self.lesson
    }

    /// How many times the plan's number the rival's is; infinite over nothing.
    pub fn times(&self) -> f64 {
        times(
            self.rival_measured.get(self.lesson.measure),
            self.plan_measured.get(self.lesson.measure),
        )
    }
}
