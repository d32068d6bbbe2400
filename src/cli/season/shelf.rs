//! Where a season's jobs, boats and sites come from: a list with files beside it, a folder of boat files, a store.

use crate::boat::{self, Boat, Problem, preset};
use crate::cli::report::Failure;
use crate::disk::{self, Unread};
use crate::loads::Site;
use crate::loads::site::{SiteOptions, read_with};
use crate::season::store::{self, Store, StoreError, StoredFile, StoredJob};
use crate::season::{
    AsBuilt, BoatWanted, CellProblem, JOB_COLUMNS, Job, Wanted, boat_file, read_jobs,
};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Where jobs come from.
#[derive(Debug)]
pub(in crate::cli) enum Shelf {
    /// A job list, or a folder whose boat files are the jobs.
    Files {
        /// The list as text.
        list: String,
        /// The folder that boats and sites lie in.
        folder: PathBuf,
    },
    /// The store of a season.
    Store {
        /// Where it lies.
        path: PathBuf,
        /// What it holds.
        store: Store,
    },
}

/// Problems as sentences, each with what mends it.
type Told = Vec<String>;

/// A problem as a sentence.
pub(super) fn told(problem: &Problem) -> String {
    let place = match problem.place {
        Some((line, column)) => format!("line {line}, column {column}: "),
        None => String::new(),
    };
    let path = if problem.path.is_empty() {
        String::new()
    } else {
        format!("{}: ", problem.path)
    };
    let hint = if problem.hint.is_empty() {
        String::new()
    } else {
        format!("; {}", problem.hint)
    };
    format!("{place}{path}{}{hint}", problem.what)
}

/// A store's refusal.
pub(in crate::cli) fn stored(error: StoreError) -> Failure {
    Failure::plain(error.to_string(), error.hint())
}

/// Opens a store that is there and looks whether all of it is whole, before anything of it is used.
pub(in crate::cli) fn whole_store(path: &Path) -> Result<Store, Failure> {
    let store = Store::open(path).map_err(stored)?;
    store.check().map_err(stored)?;
    Ok(store)
}

impl Shelf {
    /// Opens whatever holds the jobs.
    pub fn open(path: &Path) -> Result<Shelf, Failure> {
        if path.is_dir() {
            return folder(path);
        }
        if store::is_store(path) {
            return Ok(Shelf::Store {
                path: path.to_owned(),
                store: whole_store(path)?,
            });
        }
        Ok(Shelf::Files {
            list: disk::read_text(path)?,
            folder: path.parent().map_or_else(PathBuf::new, Path::to_owned),
        })
    }

    /// Whether it is the store at a place.
    pub fn is_store_at(&self, place: &Path) -> bool {
        let same = |path: &PathBuf| {
            let real = |path: &Path| path.canonicalize().ok();
            real(path).is_some() && real(path) == real(place)
        };
        matches!(self, Shelf::Store { path, .. } if same(path))
    }

    /// The jobs that can be read, and what is wrong with the others.
    pub fn jobs(&self) -> Result<(Vec<Job>, Vec<CellProblem>), Failure> {
        let list = match self {
            Shelf::Files { list, .. } => list.clone(),
            Shelf::Store { store, .. } => list_of(&store.jobs().map_err(stored)?)?,
        };
        read_jobs(&list).map_err(|problems| {
            let told: Vec<String> = problems.iter().map(ToString::to_string).collect();
            Failure::plain(
                format!("this is no job list: {}", told.join("\n")),
                "see assets/demo-season/jobs.csv for how one looks",
            )
        })
    }

    /// The boats of jobs as they are planned, each with its site: read side by side, each file once.
    pub fn all_wanted(&self, jobs: &[Job]) -> Vec<Result<Wanted, Told>> {
        let names = jobs.iter().filter_map(|job| match &job.boat {
            BoatWanted::Named(name) => Some(name.as_str()),
            BoatWanted::Tape(_) => None,
        });
        let names: BTreeSet<&str> = names.collect();
        let boats: BTreeMap<&str, Result<Boat, Told>> = names
            .into_iter()
            .map(|name| (name, self.boat(name)))
            .collect();
        let sites: BTreeSet<&str> = jobs.iter().filter_map(|job| job.site.as_deref()).collect();
        let sites: BTreeMap<&str, Result<Site, Told>> = sites
            .into_iter()
            .map(|name| (name, self.site(name)))
            .collect();
        let wanted = |job: &Job| {
            let named = |name: &str| boats.get(name).cloned().unwrap_or_else(|| Err(Vec::new()));
            let site = job.site.as_deref();
            let site = site.map(|name| sites.get(name).cloned().unwrap_or_else(|| Err(Vec::new())));
            laid_over(job, named, site.transpose())
        };
        jobs.par_iter().map(wanted).collect()
    }

    /// The boat of a job as it is planned, with its site.
    pub fn wanted(&self, job: &Job) -> Result<Wanted, Told> {
        let site = job.site.as_ref().map(|name| self.site(name)).transpose();
        laid_over(job, |name| self.boat(name), site)
    }

    /// A boat by its name: a file of the shelf, else a preset.
    fn boat(&self, name: &str) -> Result<Boat, Told> {
        match self {
            Shelf::Files { folder, .. } => {
                let below = disk::below(folder, name).map_err(|fault| vec![fault.to_string()])?;
                let Some(path) = below else {
                    return from_preset(name);
                };
                match disk::read_file(&path) {
                    Ok(source) => Ok(source.boat),
                    Err(Unread::Fault(fault)) => Err(vec![fault.to_string()]),
                    Err(Unread::Problems { name, list, .. }) => {
                        let problems = list.iter();
                        Err(problems
                            .map(|problem| format!("{name}: {}", told(problem)))
                            .collect())
                    }
                }
            }
            Shelf::Store { store, .. } => match store.file(name) {
                Err(error) => Err(vec![format!("{error}; {}", error.hint())]),
                Ok(Some(file)) => {
                    let companion = |wanted: &str| {
                        let found = file.companions.iter().find(|(name, _)| name == wanted);
                        found
                            .map(|(_, text)| text.clone())
                            .ok_or_else(|| format!("'{wanted}' is not in the store"))
                    };
                    boat::read(&file.text, &companion).map_err(|problems| {
                        let problems = problems.list.iter();
                        problems
                            .map(|problem| format!("{name}: {}", told(problem)))
                            .collect()
                    })
                }
                Ok(None) => from_preset(name),
            },
        }
    }

    fn site(&self, name: &str) -> Result<Site, Told> {
        let text = match self {
            Shelf::Files { folder, .. } => {
                let path = disk::below(folder, name).map_err(|fault| vec![fault.to_string()])?;
                let path = path.unwrap_or_else(|| folder.join(name));
                disk::read_text(&path).map_err(|fault| vec![fault.to_string()])?
            }
            Shelf::Store { store, .. } => match store.file(name) {
                Err(error) => return Err(vec![format!("{error}; {}", error.hint())]),
                Ok(Some(file)) => file.text,
                Ok(None) => return Err(vec![format!("the site '{name}' is not in the store")]),
            },
        };
        read_with(&text, &SiteOptions::default()).map_err(|problems| {
            let problems = problems.list.iter();
            problems
                .map(|problem| format!("{name}: {}", told(problem)))
                .collect()
        })
    }

    /// Puts jobs that were read of it, boat files and site files into a store; nothing where it is the store itself.
    pub fn keep_in(&self, jobs: &[Job], into: &mut Store) -> Result<(), Failure> {
        let (files, jobs) = match self {
            Shelf::Store { path, store } => {
                if into.is_at(path) {
                    return Ok(());
                }
                (
                    store.files().map_err(stored)?,
                    store.jobs().map_err(stored)?,
                )
            }
            Shelf::Files { folder, .. } => (
                files_of(jobs, folder),
                jobs.iter().map(stored_job).collect(),
            ),
        };
        into.put_season(&files, &jobs).map_err(stored)
    }
}

/// A job's boat with what the job changes of its rules, and its site.
fn laid_over(
    job: &Job,
    named: impl FnOnce(&str) -> Result<Boat, Told>,
    site: Result<Option<Site>, Told>,
) -> Result<Wanted, Told> {
    let mut boat = match &job.boat {
        BoatWanted::Tape(tape) => {
            let none = |_: &str| Err("there is none".to_owned());
            boat::read(&boat_file(&job.name, tape), &none)
                .map_err(|problems| problems.list.iter().map(told).collect::<Told>())?
        }
        BoatWanted::Named(name) => named(name)?,
    };
    job.options.lay_over(&mut boat);
    Ok(Wanted { boat, site: site? })
}

fn from_preset(name: &str) -> Result<Boat, Told> {
    let Some(found) = preset(name) else {
        let known = boat::presets().iter().map(|preset| preset.name);
        let hint = match boat::suggest(name, known) {
            Some(near) => format!("did you mean the preset '{near}'?"),
            None => "give the name of a boat file beside the list, or of a preset".to_owned(),
        };
        return Err(vec![format!(
            "no file and no preset is called '{name}'; {hint}"
        )]);
    };
    found
        .boat()
        .map_err(|problems| problems.list.iter().map(told).collect())
}

/// A folder's boat files as a job list, by name.
fn folder(path: &Path) -> Result<Shelf, Failure> {
    let unreadable = |error: std::io::Error| {
        Failure::plain(
            format!("{} cannot be read: {error}", path.display()),
            "check whether you may read it",
        )
    };
    let mut names = Vec::new();
    for entry in path.read_dir().map_err(unreadable)? {
        let file = entry.map_err(unreadable)?.path();
        let is_boat = file.extension().is_some_and(|ending| ending == "ron");
        if let Some(name) = file.file_name().filter(|_| is_boat) {
            names.push(name.to_string_lossy().into_owned());
        }
    }
    names.sort();
    let rows = names.iter().map(|name| {
        let stem = name.strip_suffix(".ron").unwrap_or(name);
        [stem.to_owned(), name.clone()]
    });
    let list = crate::export::csv_table(&["name", "boat"], rows)
        .map_err(|error| Failure::plain(error.to_string(), "rename the boat files"))?;
    Ok(Shelf::Files {
        list,
        folder: path.to_owned(),
    })
}

/// The files that jobs name, as far as they lie beside the list; what is wrong with them is told when they are read.
fn files_of(jobs: &[Job], folder: &Path) -> Vec<StoredFile> {
    let mut files: Vec<StoredFile> = Vec::new();
    let mut seen = BTreeSet::new();
    for job in jobs {
        let boat = match &job.boat {
            BoatWanted::Named(name) => Some(name),
            BoatWanted::Tape(_) => None,
        };
        for (name, is_boat) in boat
            .map(|name| (name, true))
            .into_iter()
            .chain(job.site.as_ref().map(|name| (name, false)))
        {
            if !seen.insert(name) {
                continue;
            }
            let Ok(Some(path)) = disk::below(folder, name) else {
                continue;
            };
            let read = if is_boat {
                disk::read_file(&path)
                    .ok()
                    .map(|source| (source.text, source.companions))
            } else {
                disk::read_text(&path).ok().map(|text| (text, Vec::new()))
            };
            if let Some((text, companions)) = read {
                files.push(StoredFile {
                    name: name.clone(),
                    text,
                    companions,
                });
            }
        }
    }
    files.sort_by(|a, b| a.name.cmp(&b.name));
    files
}

fn stored_job(job: &Job) -> StoredJob {
    StoredJob {
        name: job.name.clone(),
        cells: job.cells.clone(),
    }
}

/// Stored jobs as a job list.
pub(in crate::cli) fn list_of(jobs: &[StoredJob]) -> Result<String, Failure> {
    let rows = jobs.iter().map(|job| {
        JOB_COLUMNS.map(|column| {
            let cell = job.cells.iter().find(|(name, _)| name == column);
            cell.map_or_else(String::new, |(_, text)| text.clone())
        })
    });
    crate::export::csv_table(&JOB_COLUMNS, rows)
        .map_err(|error| Failure::plain(error.to_string(), "the store is damaged"))
}

/// What crews recorded, in the order in which it was. Notes that cannot be read are passed over.
pub(in crate::cli) fn notes(store: &Store) -> Result<Vec<AsBuilt>, Failure> {
    let notes = store.notes().map_err(stored)?;
    let read = notes
        .iter()
        .filter_map(|note| serde_json::from_str(&note.text).ok());
    Ok(read.collect())
}
