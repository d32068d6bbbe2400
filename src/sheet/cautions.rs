//! Cautions that stand on every job sheet.

/// What to look out for on the job, and what the plan's loads are worth.
pub const CAUTIONS: &[&str] = &[
    "The heat tool burns gas, and hot film melts and drips: gloves, long sleeves, eyes covered, nothing \
     underneath that may catch fire. Keep an extinguisher at hand.",
    "Fuel vapour: open and ventilate the bilge before any flame, do not wrap over a leak, do not fuel nearby.",
    "Carbon monoxide gathers under the film: run no engine and no heater in there, open it before you go in.",
    "Dry film charges up and sparks: roll it out away from vapour.",
    "Ladders and wet decks: stand them on firm ground, have somebody hold them, keep one hand for yourself.",
    "A boat on stands: never tie a cover to its stands, never lean on them, never shift one.",
    "Knives: cut away from yourself and away from the hull, blade in when you put it down.",
    "Batteries off and shore power unplugged before you start.",
    "Nobody stays under a cover that carries snow or water.",
    "Loads are a planning check only: local building and fire codes, the makers' instructions and \
     licensed engineers decide.",
];
