//! `hulltent store`: a job list with its boat files in one SQLite file, and out of it again.

use super::report::Failure;
use super::season::{Shelf, list_of, stored, tell, whole_store};
use super::{Outcome, talk};
use crate::disk;
use crate::season::store::Store;
use clap::{Args, Subcommand};
use std::path::PathBuf;

#[derive(Debug, Args)]
pub(super) struct Arguments {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Put a job list with the boat and site files that it names into a store; plans and notes in it stay
    Import {
        /// Store: an SQLite file, made if need be
        store: PathBuf,
        /// Job list (CSV), or a folder of boat files
        jobs: PathBuf,
    },
    /// Write a store's job list, its boat and site files and its notes into a folder
    Export {
        /// Store
        store: PathBuf,
        /// Folder; it is made if need be
        #[arg(long, value_name = "DIR")]
        out: PathBuf,
    },
    /// Look whether a store is whole
    Check {
        /// Store
        store: PathBuf,
    },
}

pub(super) fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    match &arguments.what {
        What::Import { store, jobs } => {
            let shelf = Shelf::open(jobs)?;
            let (found, problems) = shelf.jobs()?;
            tell(jobs, &problems);
            let mut into = Store::open_or_create(store).map_err(stored)?;
            into.check().map_err(stored)?;
            shelf.keep_in(&found, &mut into)?;
            talk::say(&format!(
                "{} jobs are in {2}; next: `hulltent season {2} --out DIR`{1}",
                found.len(),
                if problems.is_empty() {
                    ""
                } else {
                    ", or mend what was told and import again"
                },
                store.display()
            ));
            Ok(if problems.is_empty() {
                Outcome::Good
            } else {
                Outcome::FallsShort
            })
        }
        What::Export { store, out } => {
            let from = whole_store(store)?;
            let list = list_of(&from.jobs().map_err(stored)?)?;
            let mut files = vec![("jobs.csv".to_owned(), list.into_bytes())];
            for file in from.files().map_err(stored)? {
                files.push((file.name, file.text.into_bytes()));
                let companions = file.companions.into_iter();
                files.extend(companions.map(|(name, text)| (name, text.into_bytes())));
            }
            let notes = from.notes().map_err(stored)?;
            let rows = notes
                .into_iter()
                .map(|note| [note.job, note.serial.to_string(), note.text]);
            let notes = crate::export::csv_table(&["job", "serial", "note"], rows)
                .map_err(|error| Failure::plain(error.to_string(), "the store is damaged"))?;
            files.push(("notes.csv".to_owned(), notes.into_bytes()));
            plain_names(&files)?;
            disk::write_all(out, &files, std::slice::from_ref(store))?;
            talk::say(&format!("next: look at {}/jobs.csv", out.display()));
            Ok(Outcome::Good)
        }
        What::Check { store } => {
            whole_store(store)?;
            talk::say(&format!("{} is whole", store.display()));
            Ok(Outcome::Good)
        }
    }
}

/// A store from elsewhere cannot write outside of the folder.
fn plain_names(files: &[disk::Bytes]) -> Result<(), Failure> {
    let plain = |name: &str| {
        let parts: Vec<_> = std::path::Path::new(name).components().collect();
        matches!(parts.as_slice(), [std::path::Component::Normal(_)])
    };
    match files.iter().find(|(name, _)| !plain(name)) {
        None => Ok(()),
        Some((name, _)) => Err(Failure::plain(
            format!("the store holds a file '{name}', which is no plain name"),
            "files lie beside the job list: import again from one folder",
        )),
    }
}
