//! Fields for those who have no site file: a code, ground snow and wind by it. They are read as the options of the
//! command line are.

use crate::boat::Problem;
use crate::loads::Site;
use crate::loads::site::{Code, SiteOptions, from_options};
use crate::units::UnitSystem;
use crate::viewer::look;
use bevy::prelude::*;
use bevy_egui::egui;
use egui::RichText;

/// What is being written.
#[derive(Resource, Debug, Clone, Default, PartialEq)]
pub struct Form {
    /// The code; that of the units' home where none was chosen.
    pub code: Option<Code>,
    /// Ground snow, as typed.
    pub snow: String,
    /// Rain in it, as typed: for a code that asks for it.
    pub rain: String,
    /// Wind, as typed.
    pub wind: String,
    /// Why it could not be read.
    pub problems: Vec<Problem>,
}

/// The code that is proposed.
fn usual(units: UnitSystem) -> Code {
    match units {
        UnitSystem::FeetInches => Code::Asce716,
        UnitSystem::Metric => Code::En1991,
    }
}

/// Examples of snow and wind by a code.
fn examples(code: Code) -> [&'static str; 2] {
    match code {
        Code::Asce716 | Code::Asce722 => ["20 psf", "110 mph"],
        Code::En1991 => ["0.8 kPa", "26 m/s"],
        Code::Nbcc => ["1.5 kPa", "0.4 kPa"],
    }
}

impl Form {
    /// The site of what is written, or what is wrong with it.
    pub fn read(&self, units: UnitSystem) -> Result<Site, Vec<Problem>> {
        let code = self.code.unwrap_or_else(|| usual(units));
        let given = |text: &str| Some(text.trim().to_owned()).filter(|text| !text.is_empty());
        let (snow, wind) = (given(&self.snow), given(&self.wind));
        if snow.is_none() && wind.is_none() {
            return Err(vec![Problem {
                path: String::new(),
                place: None,
                what: "neither snow nor wind is given".to_owned(),
                hint: "ask the building office for the place's values by this code".to_owned(),
            }]);
        }
        from_options(&SiteOptions {
            code: Some(code.key().to_owned()),
            snow,
            rain: given(&self.rain).filter(|_| code == Code::Nbcc),
            wind,
            ..SiteOptions::default()
        })
        .map_err(|problems| problems.list)
    }

    /// Draws the fields; gives the site once it is asked for and can be read.
    pub fn draw(&mut self, ui: &mut egui::Ui, units: UnitSystem) -> Option<Site> {
        ui.label("Snow and wind of the place, by the code that holds there:");
        let code = self.code.unwrap_or_else(|| usual(units));
        ui.horizontal_wrapped(|ui| {
            for other in Code::ALL {
                let button = ui.selectable_label(other == code, other.key());
                if button.on_hover_text(other.name()).clicked() {
                    self.code = Some(other);
                }
            }
        });
        let [snow, wind] = examples(code);
        let mut rows = vec![("ground snow", &mut self.snow, snow)];
        if code == Code::Nbcc {
            rows.push(("rain in it", &mut self.rain, "0.4 kPa"));
        }
        rows.push(("wind", &mut self.wind, wind));
        let mut asked = false;
        egui::Grid::new("site fields")
            .num_columns(2)
            .show(ui, |ui| {
                for (name, text, example) in rows {
                    ui.label(RichText::new(name).color(look::FADED));
                    let field = egui::TextEdit::singleline(text)
                        .id(egui::Id::new(("site field", name)))
                        .hint_text(format!("as {example}"))
                        .desired_width(120.0);
                    let left = ui.add(field).lost_focus();
                    asked |= left && ui.input(|input| input.key_pressed(egui::Key::Enter));
                    ui.end_row();
                }
            });
        asked |= ui.button("load the cover").clicked();
        for problem in &self.problems {
            let words = RichText::new(format!("{}; {}", problem.what, problem.hint));
            ui.label(words.small().color(look::BAD));
        }
        if !asked {
            return None;
        }
        match self.read(units) {
            Ok(site) => {
                self.problems.clear();
                Some(site)
            }
            Err(problems) => {
                self.problems = problems;
                None
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_typed_is_read_as_options_are() {
        for (code, snow, wind, wanted) in [
            (None, "20 psf", "", Ok((true, false))),
            (Some(Code::En1991), "0.8 kPa", "26 m/s", Ok((true, true))),
            (Some(Code::Asce722), " ", "110 mph", Ok((false, true))),
            (None, "", " ", Err("neither snow nor wind")),
            (None, "20 furlongs", "", Err("furlongs")),
            // All problems at once.
            (None, "20 furlongs", "windy", Err("windy")),
        ] {
            let form = Form {
                code,
                snow: snow.to_owned(),
                wind: wind.to_owned(),
                ..Form::default()
            };
            let read = form.read(UnitSystem::FeetInches);
            match (read, wanted) {
                (Ok(site), Ok(wanted)) => {
                    assert_eq!((site.snow.is_some(), site.wind.is_some()), wanted);
                    assert_eq!(site.code, code.unwrap_or(Code::Asce716));
                }
                (Err(problems), Err(wanted)) => {
                    let words = format!("{problems:?}");
                    assert!(words.contains(wanted), "{wanted}: {words}");
                }
                (read, wanted) => panic!("{snow} {wind}: {read:?} {wanted:?}"),
            }
        }
    }
}
