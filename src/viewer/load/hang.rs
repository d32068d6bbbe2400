//! The cover as it hangs under a case: the plan with the loaded film in place of the taut one, to be drawn.

use super::burden::Burden;
use super::stress;
use crate::geom::mesh::Mesh;
use crate::geom::sample::HeightField;
use crate::loads::Loaded;
use crate::plan::Plan;
use crate::viewer::model::Model;
use crate::viewer::shown::{Guest, Hanging};
use crate::viewer::teach::comparison::Comparison;
use bevy::prelude::*;
use nalgebra::Point3;
use std::sync::Arc;

/// Hangs the boat's own plan under the chosen case as soon as it is weighed; while a lesson or a rival is shown it stays
/// taut, as storms are over taut film.
pub fn hang(
    mut commands: Commands,
    model: Res<Model>,
    burden: Res<Burden>,
    guest: Option<Res<Guest>>,
    comparison: Option<Res<Comparison>>,
    hanging: Option<Res<Hanging>>,
) {
    let alone = guest.is_none() && comparison.is_none();
    let wanted = model.plan.as_ref().filter(|_| alone).and_then(|plan| {
        let loads = burden.loads(plan)?;
        let loaded = loads.under(burden.case?)?;
        Some((plan, loads, loaded))
    });
    match (wanted, hanging) {
        (None, None) => {}
        (None, Some(_)) => commands.remove_resource::<Hanging>(),
        (Some((plan, loads, loaded)), hanging) => {
            let same = hanging.is_some_and(|hanging| {
                Arc::ptr_eq(&hanging.of, plan)
                    && Arc::ptr_eq(&hanging.loads, loads)
                    && hanging.case == loaded.case
                    && hanging.tint.is_some() == burden.by_stress
            });
            if !same {
                commands.insert_resource(Hanging {
                    of: plan.clone(),
                    plan: Arc::new(hung(plan, loaded)),
                    loads: loads.clone(),
                    case: loaded.case,
                    tint: burden
                        .by_stress
                        .then(|| stress::colors(loaded, &loads.site)),
                });
            }
        }
    }
}

/// A plan with its film as it hangs: mesh, slopes, patches, hollows and loads of posts are those under the load, and what
/// is fitted into the film has come with it. Only to be drawn: the film's other figures are still those of the taut one.
pub fn hung(plan: &Plan, loaded: &Loaded) -> Plan {
    let mut hung = plan.clone();
    let cover = &mut hung.cover;
    cover.mesh = loaded.mesh.clone();
    cover.slopes = loaded.slopes.clone();
    cover.patches = loaded.patches.clone();
    cover.ponds = loaded.ponds.clone();
    cover.post_loads = loaded.post_loads.clone();
    cover.least_slope = loaded.least_slope;
    let flattest = loaded
        .slopes
        .iter()
        .position(|slope| *slope == loaded.least_slope);
    if let Some(flattest) = flattest {
        let [a, b, c] = loaded.mesh.triangle(flattest);
        cover.least_slope_at = Point3::from((a.coords + b.coords + c.coords) / 3.0);
    }
    lower(&mut hung, &plan.cover.mesh, &loaded.mesh);
    hung
}

/// Moves what is fitted into the film with it.
fn lower(hung: &mut Plan, taut: &Mesh, loaded: &Mesh) {
    let [taut, loaded] = [taut, loaded].map(HeightField::new);
    let follow = |p: &mut Point3<f64>| {
        // What lies on the skirt stays.
        if let (Some(from), Some(to)) = (taut.at(p.xy()), loaded.at(p.xy())) {
            p.z += to - from;
        }
    };
    let pleats = hung.film.pleats.iter_mut();
    pleats.flat_map(|pleat| &mut pleat.line).for_each(follow);
    let vents = hung.fittings.vents.iter_mut();
    vents.for_each(|vent| follow(&mut vent.at));
}
