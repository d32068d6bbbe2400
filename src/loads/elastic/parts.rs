//! What an elastic film is made from, and how it hangs: data.

use super::super::law::State;
use crate::num::bounded::Status;
use nalgebra::{Point3, Vector3};

/// A strap that slides through what it is led over.
#[derive(Debug, Clone, PartialEq)]
pub struct Cable {
    /// Nodes along it.
    pub nodes: Vec<u32>,
    /// Modulus times cross-section, N.
    pub stiffness: f64,
    /// Tension at rest, N.
    pub tension: f64,
    /// What it has beyond its ends to its anchors, m.
    pub lead: f64,
}

/// Something under a node that pushes up when it is pressed down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Support {
    /// The node.
    pub node: u32,
    /// Height of the node from which on it pushes, m.
    pub height: f64,
    /// Force for each meter under it, N/m.
    pub stiffness: f64,
}

/// What an elastic film is made from.
///
/// # Units
/// Meters and newtons; see [`FilmLaw`](crate::loads::FilmLaw), [`Cable`], [`Support`].
#[derive(Debug, Clone, Copy)]
pub struct Parts<'a> {
    /// Where the film hangs at rest.
    pub points: &'a [Point3<f64>],
    /// Its triangles.
    pub triangles: &'a [[u32; 3]],
    /// Nodes that do not move.
    pub fixed: &'a [bool],
    /// Stiff pieces in it, each with its nodes and its grip: caps of posts, which move without turning.
    pub caps: &'a [(Vec<u32>, Grip)],
    /// Straps.
    pub cables: &'a [Cable],
    /// What it may rest on.
    pub supports: &'a [Support],
}

/// What holds a cap sideways besides the straps that are tied to it: a strap that is threaded through it.
///
/// At rest it holds whatever pulls the cap sideways, since a frame stands before its film is on.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Grip {
    /// Force for each meter that the cap moves along x and along y, N/m.
    pub stiffness: [f64; 2],
}

/// A film as it hangs under its load.
#[derive(Debug, Clone)]
pub struct LoadedShape {
    /// Where each node is, m.
    pub points: Vec<Point3<f64>>,
    /// Pull of each triangle along its principal directions per unstressed width, the greater first, N/m.
    pub pulls: Vec<[f64; 2]>,
    /// What the film does in each triangle.
    pub states: Vec<State>,
    /// Tension of each strap, N.
    pub cable_tensions: Vec<f64>,
    /// Push of each support, N.
    pub pushes: Vec<f64>,
    /// Force of each cap's grip on it, N.
    pub grips: Vec<Vector3<f64>>,
    /// Force that holds each fixed node, N; zero at the others.
    pub reactions: Vec<Vector3<f64>>,
    /// Energy at the start and after each step, J.
    pub energies: Vec<f64>,
    /// How the solution ended.
    pub status: Status,
    /// Largest force left over at a free node, N.
    pub residual: f64,
}
