//! What a plan costs: hull, frame, cover at three sizes of cell, film and fittings, loads, the whole plan, the job
//! sheet in all its formats, a season.
//!
//! `cargo bench` runs all; the README's table comes from here.

// A bench that cannot set up its boat has nothing to measure: let it stop there.
#![allow(clippy::expect_used)]

#[path = "../tests/support/regret.rs"]
mod regret;
#[path = "../tests/support/yard.rs"]
mod yard;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use hulltent::boat::{Boat, preset, read};
use hulltent::cover::stretch;
use hulltent::export::{dxf, html, pdf, svg};
use hulltent::film::lay;
use hulltent::fittings::fit;
use hulltent::frame::design;
use hulltent::hull::Hull;
use hulltent::loads::site::{SiteOptions, from_options};
use hulltent::loads::{Case, Stage, snow_capacity, under_snow, weigh};
use hulltent::plan::{Sought, plan, plan_alone};
use hulltent::season::cutting::Effort;
use hulltent::season::{StockList, Tape, Wanted, WantedPiece, boat_file, film_plan, plan_all};
use hulltent::sheet::{Paper, frame_plot, job_sheet, plan_sheet};
use hulltent::takeoff::PriceBook;
use hulltent::units::UnitSystem;
use regret::Outcome;
use std::collections::BTreeMap;
use std::hint::black_box;

/// The 18 ft class, and the 40 ft class.
const BOATS: [&str; 2] = ["open-runabout-18", "flybridge-40"];

/// Cells as a part of the rules' 2 in: 4 in, 2 in, 1 in. Half the cell is four times the cells.
const CELLS: [f64; 3] = [2.0, 1.0, 0.5];

fn boat(name: &str) -> Boat {
    preset(name)
        .expect("a preset")
        .boat()
        .expect("a preset that reads")
}

fn hull(c: &mut Criterion) {
    let mut group = c.benchmark_group("hull");
    for name in BOATS {
        let boat = boat(name);
        group.bench_function(name, |b| {
            b.iter(|| Hull::build(black_box(&boat), &boat.rules).expect("a hull"))
        });
    }
    group.finish();
}

fn frame(c: &mut Criterion) {
    let mut group = c.benchmark_group("frame");
    for name in BOATS {
        let boat = boat(name);
        let hull = Hull::build(&boat, &boat.rules).expect("a hull");
        group.bench_function(name, |b| {
            b.iter(|| {
                design(&hull, black_box(&boat), &boat.rules, &[], &[], None).expect("a frame")
            })
        });
    }
    group.finish();
}

fn cover(c: &mut Criterion) {
    let mut group = c.benchmark_group("cover");
    for name in BOATS {
        let boat = boat(name);
        let planned = plan(&boat, &boat.rules).expect("a plan");
        for part in CELLS {
            let cell = part * boat.rules.cell;
            group.bench_with_input(
                BenchmarkId::new(name, format!("{:.0} in cells", cell / 0.0254)),
                &cell,
                |b, cell| {
                    b.iter(|| {
                        stretch(&planned.hull, black_box(&planned.frame), &boat.rules, *cell)
                            .expect("a cover")
                    })
                },
            );
        }
    }
    group.finish();
}

fn film_and_fittings(c: &mut Criterion) {
    let mut group = c.benchmark_group("film");
    for name in BOATS {
        let boat = boat(name);
        let planned = plan(&boat, &boat.rules).expect("a plan");
        let (hull, rules) = (&planned.hull, &boat.rules);
        group.bench_function(BenchmarkId::new(name, "pleats"), |b| {
            b.iter(|| {
                lay(
                    hull,
                    &boat,
                    rules,
                    &planned.frame,
                    black_box(&planned.cover),
                )
            })
        });
        group.bench_function(BenchmarkId::new(name, "fittings"), |b| {
            b.iter(|| {
                fit(
                    hull,
                    &boat,
                    rules,
                    &planned.frame,
                    black_box(&planned.cover),
                    &planned.film,
                )
            })
        });
    }
    group.finish();
}

fn job_sheets(c: &mut Criterion) {
    let mut group = c.benchmark_group("job sheet");
    for name in BOATS {
        let boat = boat(name);
        let planned = plan(&boat, &boat.rules).expect("a plan");
        group.bench_function(name, |b| {
            b.iter(|| {
                let units = UnitSystem::FeetInches;
                let pages = job_sheet(black_box(&planned), units, Paper::Letter);
                let pictures: usize = pages.iter().map(|page| svg(page).len()).sum();
                let paper = pdf(&pages, name).expect("a PDF").len();
                let plot = dxf(&frame_plot(&planned, units)).expect("a DXF").len();
                pictures + paper + plot + html(name, &pages, &plan_sheet(&planned, units)).len()
            })
        });
    }
    group.finish();
}

fn loads(c: &mut Criterion) {
    let options = SiteOptions {
        code: Some("asce7-16".to_owned()),
        snow: Some("20 psf".to_owned()),
        ..SiteOptions::default()
    };
    let site = from_options(&options).expect("a site");
    let mut group = c.benchmark_group("loads");
    group.sample_size(10);
    for name in BOATS {
        let boat = boat(name);
        let planned = plan(&boat, &boat.rules).expect("a plan");
        for part in [2.0, 1.0] {
            let cell = part * boat.rules.cell;
            let cover = stretch(&planned.hull, &planned.frame, &boat.rules, cell).expect("a cover");
            let stage = Stage {
                cover: &cover,
                ..planned.stage()
            };
            let cells = format!("{name}, {:.0} in cells", cell / 0.0254);
            group.bench_function(BenchmarkId::new("balanced snow", cells), |b| {
                b.iter(|| under_snow(black_box(&stage), &site, Case::BalancedSnow))
            });
        }
        group.bench_function(BenchmarkId::new("all cases and capacity", name), |b| {
            b.iter(|| weigh(black_box(&planned.stage()), &site))
        });
        group.bench_function(BenchmarkId::new("snow capacity", name), |b| {
            b.iter(|| snow_capacity(black_box(&planned.stage()), &site))
        });
    }
    group.finish();
}

fn whole_plan(c: &mut Criterion) {
    let mut group = c.benchmark_group("whole plan");
    for name in BOATS {
        let boat = boat(name);
        group.bench_function(name, |b| {
            b.iter(|| plan(black_box(&boat), &boat.rules).expect("a plan"))
        });
    }
    group.finish();
}

/// The search for a frame on the film; `cargo bench --bench plan -- frames` also prints how much dearer random boats' plans
/// are than under tighter limits. `HULLTENT_BOATS` says how many boats (30), `HULLTENT_SEED` which (1), `HULLTENT_KEEP` in
/// which folder those that fall short or are dearer are kept.
fn frames(c: &mut Criterion) {
    let mut group = c.benchmark_group("frames");
    group.sample_size(10);
    for name in [BOATS[0], "center-console-24", BOATS[1]] {
        let boat = boat(name);
        group.bench_function(name, |b| {
            b.iter(|| plan_alone(black_box(&boat), &boat.rules).expect("a plan"))
        });
    }
    group.finish();
    if !std::env::args().any(|argument| argument == "frames") {
        return;
    }
    let option = |name: &str, usual: u64| {
        let given = std::env::var(name).ok().and_then(|text| text.parse().ok());
        given.unwrap_or(usual)
    };
    let (count, mut seed) = (
        option("HULLTENT_BOATS", 30),
        option("HULLTENT_SEED", 1).max(1),
    );
    let mut number = || {
        // Park and Miller's generator (1988).
        seed = seed * 48_271 % 2_147_483_647;
        seed as f64 / 2_147_483_647.0
    };
    let mut kinds: BTreeMap<&str, Tally> = BTreeMap::new();
    let mut planned = 0;
    while planned < count {
        let numbers: Vec<f64> = (0..yard::DECISIONS).map(|_| number()).collect();
        let drawn = yard::boat(&numbers);
        let Ok(boat) = read(&drawn.text, &|_| Err(String::new())) else {
            continue;
        };
        let outcome = regret::regret(&boat, &boat.rules);
        if matches!(outcome, Outcome::Impossible) {
            continue;
        }
        planned += 1;
        let sheds = matches!(outcome, Outcome::Regret(_));
        let mends = !sheds
            && plan(&boat, &boat.rules)
                .is_ok_and(|plan| matches!(plan.remedy, Some(Sought::Remedy(_))));
        let kept = match outcome {
            Outcome::Regret(part) => (part > DEARER).then_some("dearer"),
            Outcome::Missed => Some("missed"),
            _ => Some("short"),
        };
        if let (Some(why), Ok(folder)) = (kept, std::env::var("HULLTENT_KEEP")) {
            let file = format!("{folder}/{why}-{planned}.ron");
            std::fs::write(file, &drawn.text).expect("a folder for boats that are worth a look");
        }
        for kind in [drawn.kind, "all"] {
            kinds.entry(kind).or_default().add(&outcome, mends);
        }
    }
    println!(
        "frames: random boats of a yard, and how much dearer they are than under tighter limits"
    );
    for (kind, tally) in &mut kinds {
        println!("  {kind:<18} {}", tally.line());
    }
}

/// A plan so much dearer than one under tighter limits is told, as a part of one.
const DEARER: f64 = 0.02;

/// How boats of one kind fared.
#[derive(Default)]
struct Tally {
    regrets: Vec<f64>,
    short: usize,
    missed: usize,
    /// Of those that do not shed, how many a remedy mends that the plan names.
    mended: usize,
}

impl Tally {
    fn add(&mut self, outcome: &Outcome, mends: bool) {
        self.mended += usize::from(mends);
        match outcome {
            Outcome::Regret(part) => self.regrets.push(*part),
            Outcome::Short => self.short += 1,
            Outcome::Missed => self.missed += 1,
            Outcome::Impossible => {}
        }
    }

    fn line(&mut self) -> String {
        self.regrets.sort_by(f64::total_cmp);
        let shed = self.regrets.len();
        let at = |place: usize| 100.0 * self.regrets.get(place).copied().unwrap_or(0.0);
        format!(
            "{shed} of {} shed, {} more under tighter limits alone, {} with what the plan names; median {:.1} %, at most {:.1} %, over 2 %: {}",
            shed + self.short + self.missed,
            self.missed,
            self.mended,
            at(shed / 2),
            at(shed.saturating_sub(1)),
            self.regrets.iter().filter(|part| **part > DEARER).count(),
        )
    }
}

/// Boats by five numbers of the tape, all different.
fn fleet(boats: usize) -> Vec<Wanted> {
    (0..boats)
        .map(|k| {
            let part = k as f64 / boats as f64;
            let length = 4.3 + 3.0 * part;
            let tape = Tape {
                length,
                beam: 0.31 * length + 0.6,
                bow: 0.18 * length + 0.15,
                stern: 0.15 * length + 0.1,
                windshield: (k % 4 > 0).then_some(0.15 * length + 0.55),
            };
            let text = boat_file(&format!("boat {k}"), &tape);
            let none = |_: &str| Err(String::new());
            let boat = read(&text, &none).expect("a boat from the tape");
            Wanted { boat, site: None }
        })
        .collect()
}

fn season(c: &mut Criterion) {
    let mut group = c.benchmark_group("season");
    group.sample_size(10);
    for boats in [75, 150, 300] {
        let wanted = fleet(boats);
        group.bench_function(BenchmarkId::new("plan boats", boats), |b| {
            b.iter(|| plan_all(black_box(&wanted), &|_| None, &|_, _| ()))
        });
        let plans = plan_all(&wanted, &|_| None, &|_, _| ());
        let pieces: Vec<WantedPiece> = plans
            .iter()
            .flatten()
            .map(|planned| WantedPiece {
                label: String::new(),
                job: 0,
                width: planned.materials.film.width,
                length: planned.materials.film.length,
            })
            .collect();
        let book = PriceBook::demo().expect("the demo price book");
        let (stock, effort) = (StockList::default(), Effort::default());
        group.bench_function(BenchmarkId::new("film plan", boats), |b| {
            b.iter(|| film_plan(pieces.clone(), &book, &stock, &effort).expect("a film plan"))
        });
    }
    group.finish();
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20);
    targets = hull, frame, cover, film_and_fittings, loads, whole_plan, job_sheets, season, frames
}
criterion_main!(benches);
