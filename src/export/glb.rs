//! Binary glTF 2.0 of a set of meshes.

use crate::geom::mesh::Mesh;
use gltf_json::accessor::{ComponentType, GenericComponentType, Type};
use gltf_json::buffer::{Buffer, Target, View};
use gltf_json::material::{
    AlphaMode, Material, PbrBaseColorFactor, PbrMetallicRoughness, StrengthFactor,
};
use gltf_json::mesh::{Mode, Primitive, Semantic};
use gltf_json::scene::{Node, Scene};
use gltf_json::validation::{Checked::Valid, USize64};
use gltf_json::{Accessor, Asset, Index, Root, Value};
use nalgebra::Vector3;

/// Dull as film and painted hulls are, so that no highlight hides a color.
const ROUGHNESS: f32 = 0.8;

/// One mesh of the scene.
#[derive(Debug, Clone, Copy)]
pub struct Part<'a> {
    /// Name of the node, its mesh and its material.
    pub name: &'a str,
    /// Meters; x forward, y to port, z up. Indices in range, coordinates finite.
    pub mesh: &'a Mesh,
    /// Its color.
    pub color: Paint<'a>,
}

/// Colors as linear red, green, blue and alpha, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Paint<'a> {
    /// One color; drawn with flat faces.
    Solid([f32; 4]),
    /// One color for each vertex of the mesh, white for any that lack one; drawn smooth.
    PerVertex(&'a [[f32; 4]]),
}

/// The parts as one binary glTF 2.0 file: a scene with a node, a mesh and a material for each part, in
/// the order given. A part without triangles is a node with nothing in it; without parts the file is
/// valid and empty.
///
/// Axes are turned to glTF's: x stays, up is +Y, port is -Z. Faces show from both sides. A color with
/// an alpha below 1 makes its part see-through. The file must stay below 4 GiB, the format's own limit.
///
/// # Units
/// Meters in, meters out, as glTF wants.
pub fn glb(parts: &[Part]) -> Vec<u8> {
    let mut scene = SceneBuilder::default();
    for part in parts {
        scene.add(part);
    }
    scene.finish()
}

/// What the graphics card gets of one part.
#[derive(Default)]
struct Shape {
    positions: Vec<[f32; 3]>,
    normals: Vec<[f32; 3]>,
    colors: Vec<[f32; 4]>,
    indices: Vec<u32>,
}

impl Shape {
    /// Three vertices to a triangle, each with the normal of its face.
    fn flat(mesh: &Mesh) -> Self {
        let mut shape = Self::default();
        for corners in &mesh.triangles {
            let normal = unit(doubled_normal(mesh, corners));
            for &v in corners {
                let index = shape.positions.len() as u32;
                shape.positions.push(position(mesh, v));
                shape.normals.push(normal);
                shape.indices.push(index);
            }
        }
        shape
    }

    /// The mesh's own vertices; each normal is the mean of the faces about it, weighted by their areas.
    fn smooth(mesh: &Mesh, colors: &[[f32; 4]]) -> Self {
        let mut sums = vec![Vector3::zeros(); mesh.vertices.len()];
        for corners in &mesh.triangles {
            let normal = doubled_normal(mesh, corners);
            for &v in corners {
                sums[v as usize] += normal;
            }
        }
        let count = mesh.vertices.len();
        let lacking = std::iter::repeat([1.0; 4]);
        let colors = colors.iter().copied().chain(lacking).take(count);
        Self {
            positions: (0..count as u32).map(|v| position(mesh, v)).collect(),
            normals: sums.into_iter().map(unit).collect(),
            colors: colors.map(|c| c.map(share)).collect(),
            indices: mesh.triangles.iter().flatten().copied().collect(),
        }
    }
}

/// A turn about the x axis, so that handedness is kept.
fn turned(v: Vector3<f64>) -> [f32; 3] {
    [v.x as f32, v.z as f32, -v.y as f32]
}

fn position(mesh: &Mesh, v: u32) -> [f32; 3] {
    turned(mesh.vertices[v as usize].coords)
}

fn doubled_normal(mesh: &Mesh, corners: &[u32; 3]) -> Vector3<f64> {
    let [a, b, c] = corners.map(|v| mesh.vertices[v as usize]);
    (b - a).cross(&(c - a))
}

/// glTF allows unit normals only, so what has no normal of its own looks up.
fn unit(normal: Vector3<f64>) -> [f32; 3] {
    turned(normal.try_normalize(0.0).unwrap_or_else(Vector3::z))
}

/// glTF allows colors of 0 to 1 only.
fn share(x: f32) -> f32 {
    if x.is_nan() { 1.0 } else { x.clamp(0.0, 1.0) }
}

#[derive(Default)]
struct SceneBuilder {
    root: Root,
    nodes: Vec<Index<Node>>,
    data: Vec<u8>,
}

impl SceneBuilder {
    fn add(&mut self, part: &Part) {
        let mesh = (!part.mesh.triangles.is_empty()).then(|| self.mesh(part));
        let node = self.root.push(Node {
            mesh,
            name: Some(part.name.to_owned()),
            ..Node::default()
        });
        self.nodes.push(node);
    }

    fn mesh(&mut self, part: &Part) -> Index<gltf_json::Mesh> {
        let (shape, base, see_through) = match part.color {
            Paint::Solid(color) => {
                let color = color.map(share);
                (Shape::flat(part.mesh), color, color[3] < 1.0)
            }
            Paint::PerVertex(colors) => {
                let shape = Shape::smooth(part.mesh, colors);
                let see_through = shape.colors.iter().any(|c| c[3] < 1.0);
                (shape, [1.0; 4], see_through)
            }
        };
        let mut attributes = std::collections::BTreeMap::new();
        let positions = self.floats(&shape.positions, Type::Vec3, true);
        attributes.insert(Valid(Semantic::Positions), positions);
        let normals = self.floats(&shape.normals, Type::Vec3, false);
        attributes.insert(Valid(Semantic::Normals), normals);
        if !shape.colors.is_empty() {
            let colors = self.floats(&shape.colors, Type::Vec4, false);
            attributes.insert(Valid(Semantic::Colors(0)), colors);
        }
        let indices = self.indices(&shape.indices);
        let material = self.root.push(material(part.name, base, see_through));
        self.root.push(gltf_json::Mesh {
            extensions: None,
            extras: Default::default(),
            name: Some(part.name.to_owned()),
            primitives: vec![Primitive {
                attributes,
                extensions: None,
                extras: Default::default(),
                indices: Some(indices),
                material: Some(material),
                mode: Valid(Mode::Triangles),
                targets: None,
            }],
            weights: None,
        })
    }

    fn floats<const N: usize>(
        &mut self,
        rows: &[[f32; N]],
        type_: Type,
        bounded: bool,
    ) -> Index<Accessor> {
        let bytes = rows.iter().flatten().flat_map(|x| x.to_le_bytes());
        let view = self.view(bytes, Target::ArrayBuffer);
        let mut accessor = accessor(view, rows.len(), ComponentType::F32, type_);
        if bounded {
            let bound = |start: f32, pick: fn(f32, f32) -> f32| {
                let all = rows.iter().fold([start; N], |mut so_far, row| {
                    for (so_far, &x) in so_far.iter_mut().zip(row) {
                        *so_far = pick(*so_far, x);
                    }
                    so_far
                });
                Some(Value::from(all.to_vec()))
            };
            accessor.min = bound(f32::INFINITY, f32::min);
            accessor.max = bound(f32::NEG_INFINITY, f32::max);
        }
        self.root.push(accessor)
    }

    fn indices(&mut self, indices: &[u32]) -> Index<Accessor> {
        let bytes = indices.iter().flat_map(|x| x.to_le_bytes());
        let view = self.view(bytes, Target::ElementArrayBuffer);
        let accessor = accessor(view, indices.len(), ComponentType::U32, Type::Scalar);
        self.root.push(accessor)
    }

    /// Every number written has four bytes, so each view starts aligned to four.
    fn view(&mut self, bytes: impl Iterator<Item = u8>, target: Target) -> Index<View> {
        let start = self.data.len();
        self.data.extend(bytes);
        self.root.push(View {
            // The one buffer, which `finish` describes once its length is known.
            buffer: Index::new(0),
            byte_length: USize64::from(self.data.len() - start),
            byte_offset: Some(USize64::from(start)),
            byte_stride: None,
            extensions: None,
            extras: Default::default(),
            name: None,
            target: Some(Valid(target)),
        })
    }

    fn finish(mut self) -> Vec<u8> {
        if !self.data.is_empty() {
            self.root.buffers.push(Buffer {
                byte_length: USize64::from(self.data.len()),
                extensions: None,
                extras: Default::default(),
                name: None,
                uri: None,
            });
        }
        // glTF knows no empty list, so without nodes there is no scene either.
        if !self.nodes.is_empty() {
            let scene = self.root.push(Scene {
                extensions: None,
                extras: Default::default(),
                name: None,
                nodes: self.nodes,
            });
            self.root.scene = Some(scene);
        }
        self.root.asset = Asset {
            generator: Some("hulltent".to_owned()),
            ..Asset::default()
        };
        // Turning to JSON fails only on values marked as invalid, and none are made here.
        let mut json = self.root.to_vec().unwrap_or_default();
        json.resize(json.len().next_multiple_of(4), b' ');
        container(&json, &self.data)
    }
}

fn accessor(view: Index<View>, count: usize, component: ComponentType, type_: Type) -> Accessor {
    Accessor {
        buffer_view: Some(view),
        byte_offset: None,
        count: USize64::from(count),
        component_type: Valid(GenericComponentType(component)),
        extensions: None,
        extras: Default::default(),
        type_: Valid(type_),
        min: None,
        max: None,
        name: None,
        normalized: false,
        sparse: None,
    }
}

fn material(name: &str, base: [f32; 4], see_through: bool) -> Material {
    Material {
        alpha_mode: Valid(if see_through {
            AlphaMode::Blend
        } else {
            AlphaMode::Opaque
        }),
        double_sided: true,
        name: Some(name.to_owned()),
        pbr_metallic_roughness: PbrMetallicRoughness {
            base_color_factor: PbrBaseColorFactor(base),
            metallic_factor: StrengthFactor(0.0),
            roughness_factor: StrengthFactor(ROUGHNESS),
            ..PbrMetallicRoughness::default()
        },
        ..Material::default()
    }
}

/// Header and chunks (glTF 2.0 specification, chapter 4); both chunks have whole fours of bytes.
fn container(json: &[u8], data: &[u8]) -> Vec<u8> {
    let chunks = [(b"JSON", json), (b"BIN\0", data)];
    let chunks = chunks.iter().filter(|(_, bytes)| !bytes.is_empty());
    let length: usize = 12 + chunks.clone().map(|(_, b)| 8 + b.len()).sum::<usize>();
    let mut file = Vec::with_capacity(length);
    file.extend(b"glTF");
    file.extend(2_u32.to_le_bytes());
    file.extend((length as u32).to_le_bytes());
    for (kind, bytes) in chunks {
        file.extend((bytes.len() as u32).to_le_bytes());
        file.extend(*kind);
        file.extend(*bytes);
    }
    file
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Point3;

    const WHITE: [f32; 4] = [1.0; 4];

    fn roof() -> Mesh {
        Mesh {
            vertices: [
                [-1.0, -1.0, 0.0],
                [1.0, -1.0, 0.1],
                [1.0, 1.0, 0.0],
                [-1.0, 1.0, 0.2],
                [0.0, 0.0, 1.3],
            ]
            .map(Point3::from)
            .to_vec(),
            triangles: vec![[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]],
        }
    }

    /// Reads the file back with an importer of its own and holds it against the parts.
    fn check(parts: &[Part], source: &str) {
        let bytes = glb(parts);
        assert_eq!(bytes.len() % 4, 0, "{source}");
        assert_eq!(bytes, glb(parts), "same parts, same bytes: {source}");
        let (document, buffers, _) = gltf::import_slice(&bytes).unwrap();
        let generator = document.as_json().asset.generator.as_deref();
        assert_eq!(generator, Some("hulltent"), "{source}");
        let nodes: Vec<_> = document
            .default_scene()
            .iter()
            .flat_map(|s| s.nodes())
            .collect();
        assert_eq!(nodes.len(), parts.len(), "{source}");
        for (node, part) in nodes.iter().zip(parts) {
            assert_eq!(node.name(), Some(part.name), "{source}");
            assert_eq!(node.mesh().is_none(), part.mesh.triangles.is_empty());
            for primitive in node.mesh().iter().flat_map(|m| m.primitives()) {
                let reader = primitive.reader(|b| buffers.get(b.index()).map(|d| &d[..]));
                let positions: Vec<_> = reader.read_positions().unwrap().collect();
                let normals: Vec<_> = reader.read_normals().unwrap().collect();
                let indices: Vec<_> = reader.read_indices().unwrap().into_u32().collect();
                let corners: Vec<_> = part.mesh.triangles.iter().flatten().collect();
                assert_eq!(indices.len(), corners.len(), "{source}");
                for (&read, &&corner) in indices.iter().zip(&corners) {
                    let p = part.mesh.vertices[corner as usize];
                    let want = [p.x as f32, p.z as f32, -p.y as f32];
                    assert_eq!(positions[read as usize], want, "{source}");
                }
                for normal in &normals {
                    let length = Vector3::from(*normal).norm();
                    assert!((length - 1.0).abs() < 1e-6, "{normal:?}: {source}");
                }
                for axis in 0..3 {
                    let along = || positions.iter().map(|p| p[axis]);
                    let bounds = primitive.bounding_box();
                    assert_eq!(bounds.min[axis], along().fold(f32::INFINITY, f32::min));
                    assert_eq!(bounds.max[axis], along().fold(-f32::INFINITY, f32::max));
                }
                let material = primitive.material();
                let pbr = material.pbr_metallic_roughness();
                assert!(material.double_sided(), "{source}");
                assert_eq!([pbr.metallic_factor(), pbr.roughness_factor()], [0.0, 0.8]);
                let colors = reader.read_colors(0).map(|c| c.into_rgba_f32());
                match part.color {
                    Paint::Solid(color) => {
                        assert_eq!(pbr.base_color_factor(), color, "{source}");
                        assert!(colors.is_none(), "{source}");
                        assert_eq!(positions.len(), indices.len(), "flat: {source}");
                    }
                    Paint::PerVertex(want) => {
                        let read: Vec<_> = colors.unwrap().collect();
                        assert_eq!(read.len(), part.mesh.vertices.len(), "{source}");
                        for (k, read) in read.iter().enumerate() {
                            assert_eq!(read, want.get(k).unwrap_or(&WHITE), "{source}");
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn an_importer_reads_the_same() {
        let (roof, empty) = (roof(), Mesh::default());
        let colors = [[0.25, 0.5, 0.75, 1.0]; 5];
        let part = |name, mesh, color| Part { name, mesh, color };
        let gray = Paint::Solid([0.1, 0.2, 0.3, 1.0]);
        let see_through = Paint::Solid([0.1, 0.2, 0.3, 0.4]);
        let mapped = Paint::PerVertex(&colors);
        check(&[], "no part");
        check(&[part("empty", &empty, gray)], "no triangle");
        check(&[part("gray", &roof, gray)], "one color, flat");
        check(&[part("mapped", &roof, mapped)], "a color a vertex, smooth");
        check(
            &[part("few", &roof, Paint::PerVertex(&colors[..2]))],
            "white for the rest",
        );
        check(
            &[
                part("hull \"é\"", &roof, see_through),
                part("none", &empty, mapped),
                part("film", &roof, mapped),
            ],
            "several, names with quotes and accents",
        );
    }

    #[test]
    fn turns_axes_and_normals() {
        // A level triangle seen from above faces +Y in glTF and keeps its handedness.
        let mesh = Mesh {
            vertices: vec![
                Point3::origin(),
                Point3::new(2.0, 0.0, 0.0),
                Point3::new(0.0, 3.0, 0.0),
                Point3::new(9.0, 9.0, 9.0),
            ],
            triangles: vec![[0, 1, 2], [1, 1, 2]],
        };
        let flat = Shape::flat(&mesh);
        assert_eq!(
            flat.positions[..3],
            [[0.0; 3], [2.0, 0.0, 0.0], [0.0, 0.0, -3.0]]
        );
        assert!(flat.normals.iter().all(|n| *n == [0.0, 1.0, 0.0]));
        let smooth = Shape::smooth(&mesh, &[[f32::NAN, -1.0, 2.0, 0.5]]);
        assert!(smooth.normals.iter().all(|n| *n == [0.0, 1.0, 0.0]));
        assert_eq!(smooth.colors[..2], [[1.0, 0.0, 1.0, 0.5], WHITE]);
    }

    #[test]
    fn alpha_decides_how_a_part_is_drawn() {
        let mesh = roof();
        let clear = [[1.0, 1.0, 1.0, 0.5]];
        for (color, mode) in [
            (Paint::Solid(WHITE), gltf::material::AlphaMode::Opaque),
            (Paint::Solid(clear[0]), gltf::material::AlphaMode::Blend),
            (Paint::PerVertex(&[]), gltf::material::AlphaMode::Opaque),
            (Paint::PerVertex(&clear), gltf::material::AlphaMode::Blend),
        ] {
            let part = Part {
                name: "film",
                mesh: &mesh,
                color,
            };
            let (document, _, _) = gltf::import_slice(glb(&[part])).unwrap();
            assert_eq!(document.materials().next().unwrap().alpha_mode(), mode);
        }
    }
}
