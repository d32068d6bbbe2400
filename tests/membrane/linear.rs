//! The linear film: Dirichlet's energy, unit tension, a load per plan area that presses upward.

use crate::sheet::Sheet;
use hulltent::num::bounded::Energy;
use hulltent::num::sparse::SymmetricMatrix;

/// Half the squared gradient over the plan, less load times height; linear elements.
pub struct Dirichlet {
    couplings: Vec<[(u32, u32, f64); 9]>,
    load: Vec<f64>,
    unknowns: Vec<u32>,
    row_of: Vec<Option<u32>>,
}

impl Dirichlet {
    pub fn new(sheet: &Sheet, load: f64) -> Dirichlet {
        let mut unknowns = Vec::new();
        let mut row_of = vec![None; sheet.points.len()];
        for (node, row) in row_of.iter_mut().enumerate() {
            if !sheet.fixed[node] {
                *row = Some(unknowns.len() as u32);
                unknowns.push(node as u32);
            }
        }
        let mut node_load = vec![0.0; sheet.points.len()];
        let couplings = sheet
            .triangles
            .iter()
            .map(|triangle| {
                let [a, b, c] = triangle.map(|node| sheet.points[node as usize]);
                let doubled = (b - a).perp(&(c - a));
                for node in triangle {
                    node_load[*node as usize] += load * doubled / 6.0;
                }
                let opposite = [c - b, a - c, b - a];
                std::array::from_fn(|k| {
                    let (i, j) = (k / 3, k % 3);
                    let stiffness = opposite[i].dot(&opposite[j]) / (2.0 * doubled);
                    (triangle[i], triangle[j], stiffness)
                })
            })
            .collect();
        Dirichlet {
            couplings,
            load: node_load,
            unknowns,
            row_of,
        }
    }

    fn rows(&self, a: u32, b: u32) -> Option<[u32; 2]> {
        Some([self.row_of[a as usize]?, self.row_of[b as usize]?])
    }

    fn all(&self) -> impl Iterator<Item = &(u32, u32, f64)> {
        self.couplings.iter().flatten()
    }
}

impl Energy for Dirichlet {
    fn nodes(&self) -> usize {
        self.load.len()
    }

    fn unknowns(&self) -> &[u32] {
        &self.unknowns
    }

    fn pattern(&self) -> SymmetricMatrix {
        let pairs: Vec<[u32; 2]> = self
            .all()
            .filter_map(|&(a, b, _)| self.rows(a, b))
            .collect();
        SymmetricMatrix::with_pattern(self.unknowns.len(), &pairs)
    }

    fn value(&self, z: &[f64]) -> f64 {
        let bent: f64 = self
            .all()
            .map(|&(a, b, stiffness)| 0.5 * stiffness * z[a as usize] * z[b as usize])
            .sum();
        let lifted: f64 = self.load.iter().zip(z).map(|(load, z)| load * z).sum();
        bent - lifted
    }

    fn derivatives(&self, z: &[f64], gradient: &mut [f64], hessian: &mut SymmetricMatrix) -> f64 {
        hessian.values.fill(0.0);
        for (force, load) in gradient.iter_mut().zip(&self.load) {
            *force = -load;
        }
        for &(a, b, stiffness) in self.all() {
            gradient[a as usize] += stiffness * z[b as usize];
            // The matrix keeps one of each pair of couplings.
            if let Some([row, column]) = self.rows(a, b).filter(|[row, column]| row >= column) {
                let place = hessian.entry(row, column).expect("it is in the pattern");
                hessian.values[place] += stiffness;
            }
        }
        self.value(z)
    }
}
