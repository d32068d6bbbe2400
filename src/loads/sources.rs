//! Where the loads of a site are from, in words.

use super::level::{Method, snow, wind};
use super::site::Site;
use super::snow::{Surface, balanced, one_sided};
use super::wind::velocity_pressure;

/// A slope and a height over the ground at which a load has its usual source, rad and m: a cover's.
const USUAL_SLOPE: f64 = 0.4;
const USUAL_HEIGHT: f64 = 3.0;

/// The formulas and factors by which a site's snow and wind are taken, one sentence each.
pub fn sources(site: &Site) -> Vec<String> {
    let mut told = Vec::new();
    let allowable = Method::AllowableStress;
    let even = balanced(site, USUAL_SLOPE, Surface::Other);
    if let (Some(even), Some(drifted)) = (even, one_sided(site, USUAL_SLOPE)) {
        let level = snow(site.code, allowable);
        told.push(format!(
            "Balanced snow: {}. Drifted: {}. Times {:.2} for allowable stress: {}.",
            even.source, drifted.source, level.factor, level.source
        ));
    }
    if let Some(stream) = velocity_pressure(site, USUAL_HEIGHT) {
        let level = wind(site.code, allowable);
        told.push(format!(
            "Wind: {} at the top of the cover. Times {:.2} for allowable stress: {}.",
            stream.source, level.factor, level.source
        ));
    }
    told
}

#[cfg(test)]
mod tests {
    use super::super::site::{SiteOptions, from_options};
    use super::*;

    #[test]
    fn each_load_names_its_formula() {
        let told = |code: &str, wind: Option<&str>| {
            let options = SiteOptions {
                code: Some(code.to_owned()),
                snow: Some("1 kPa".to_owned()),
                wind: wind.map(str::to_owned),
                ..SiteOptions::default()
            };
            sources(&from_options(&options).unwrap()).join(" ")
        };
        for (code, wind, parts) in [
            (
                "asce7-16",
                Some("110 mph"),
                &["7.4-1", "26.10-1", "0.60"][..],
            ),
            ("asce7-22", None, &["ASCE 7-22", "0.70"]),
            ("en1991", Some("26 m/s"), &["EN 1991-1-3", "EN 1991-1-4"]),
        ] {
            let words = told(code, wind);
            for part in parts {
                assert!(words.contains(part), "{part} is not in {words}");
            }
        }
    }
}
