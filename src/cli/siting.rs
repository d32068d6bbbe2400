//! What every command that checks loads is told about the place: a site file, and what goes over it.

use super::report::Failure;
use crate::disk;
use crate::loads::Site;
use crate::loads::site::{SiteOptions, from_options, read_with};
use clap::Args;
use std::path::PathBuf;

#[derive(Debug, Default, Args)]
#[command(next_help_heading = "Site (a planning check of snow, wind and road)")]
pub(super) struct Siting {
    /// Site file: code, snow, wind, exposure, how the boat is kept, what the yard builds with
    #[arg(long, value_name = "FILE")]
    site: Option<PathBuf>,
    /// Code that snow and wind are by: asce7-16, asce7-22, en1991 or nbcc
    #[arg(long, value_name = "CODE")]
    code: Option<String>,
    /// Ground snow by that code, as "20 psf" or "0.96 kPa"
    #[arg(long, value_name = "PRESSURE")]
    snow: Option<String>,
    /// Rain in the snow, nbcc alone
    #[arg(long, value_name = "PRESSURE")]
    rain: Option<String>,
    /// Basic wind speed by that code, as "110 mph" or "26 m/s"; for nbcc its pressure, as "0.45 kPa"
    #[arg(long, value_name = "SPEED")]
    wind: Option<String>,
    /// How wind reaches the cover: sheltered, partial or full
    #[arg(long, value_name = "EXPOSURE")]
    exposure: Option<String>,
    /// Terrain by that code: B, C or D; 0, I to IV; open or rough
    #[arg(long, value_name = "TERRAIN")]
    terrain: Option<String>,
    /// How the boat is kept: outdoors, roof or hauled
    #[arg(long, value_name = "HOW")]
    stored: Option<String>,
    /// Speed on the road of a boat that is hauled, as "60 mph"
    #[arg(long, value_name = "SPEED")]
    speed: Option<String>,
}

impl Siting {
    /// The file that is read for it.
    pub fn input(&self) -> Option<PathBuf> {
        self.site.clone()
    }

    /// The site; `None` where nothing is said about it.
    pub fn site(&self) -> Result<Option<Site>, Failure> {
        let options = SiteOptions {
            code: self.code.clone(),
            snow: self.snow.clone(),
            rain: self.rain.clone(),
            wind: self.wind.clone(),
            exposure: self.exposure.clone(),
            terrain: self.terrain.clone(),
            stored: self.stored.clone(),
            speed: self.speed.clone(),
        };
        let Some(path) = &self.site else {
            if options == SiteOptions::default() {
                return Ok(None);
            }
            return from_options(&options)
                .map(Some)
                .map_err(|problems| Failure::of_file("the options", None, problems.list));
        };
        let text = disk::read_text(path)?;
        read_with(&text, &options).map(Some).map_err(|problems| {
            Failure::of_file(&path.display().to_string(), Some(text), problems.list)
        })
    }
}
