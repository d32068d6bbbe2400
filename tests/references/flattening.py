"""Straight lines and flat sheets on given meshes, by an independent open library.

What: meshes by formula (tests/flattening/meshes.rs makes the same ones); on them
  - exact geodesic distances from the ridge line (or the pole) to points of the rim: igl.exact_geodesic
    (Mitchell, Mount and Papadimitriou's window propagation, as libigl carries it);
  - flat sheets by least squares conformal maps (igl.lscm) and by as-rigid-as-possible maps (igl.arap_solve):
    area, energy, least and greatest scale, sector angle.
With: libigl 2.6.3, numpy 2.4.6, scipy 1.17.1, Python 3.
Run:  pip install libigl==2.6.3 numpy scipy
      python3 tests/references/flattening.py > tests/references/flattening.json

Lengths in m, areas in m2, angles in degrees. The ARAP energy is the sum over triangles of
area ((s1 - 1)^2 + (s2 - 1)^2), s the singular values of the map from the triangle to the sheet; it is taken here
from the flat triangles, not from the library.
"""

import json
import math

import igl
import numpy as np

TURN = 2.0 * math.pi

# Pieces that each edge of a source line is split in: distances to its points stand for those to the line.
PIECES = 64

# Solves of ARAP, each of some steps, until the energy rests.
SOLVES = 4000
REST = 1e-13


# ---------------------------------------------------------------------------------------------- meshes


def grid(cells, place):
    """u forward, v to port; vertex (i, j) at i (nv + 1) + j."""
    nu, nv = cells
    vertices = [place(i / nu, j / nv) for i in range(nu + 1) for j in range(nv + 1)]
    triangles = []
    for i in range(nu):
        for j in range(nv):
            p, q = i * (nv + 1) + j, (i + 1) * (nv + 1) + j
            triangles += [[p, q, q + 1], [p, q + 1, p + 1]]
    return np.array(vertices), np.array(triangles)


def polar(rings, sectors, place):
    """Pole first, then ring by ring; place(part of the way to the rim, angle)."""
    vertices = [place(0.0, 0.0)]
    for i in range(1, rings + 1):
        vertices += [place(i / rings, TURN * j / sectors) for j in range(sectors)]
    triangles = [[0, 1 + j, 1 + (j + 1) % sectors] for j in range(sectors)]
    for i in range(1, rings):
        for j in range(sectors):
            p, q = 1 + (i - 1) * sectors + j, 1 + (i - 1) * sectors + (j + 1) % sectors
            s, r = p + sectors, q + sectors
            triangles += [[p, s, r], [p, r, q]]
    return np.array(vertices), np.array(triangles)


def split(mesh, times):
    """Each triangle into four at the middles of its edges, new vertices in the order in which they are met."""
    vertices, triangles = [list(v) for v in mesh[0]], [list(t) for t in mesh[1]]
    for _ in range(times):
        middles, finer = {}, []

        def middle(a, b):
            key = (min(a, b), max(a, b))
            if key not in middles:
                middles[key] = len(vertices)
                vertices.append([0.5 * (p + q) for p, q in zip(vertices[a], vertices[b])])
            return middles[key]

        for a, b, c in triangles:
            d, e, f = middle(a, b), middle(b, c), middle(c, a)
            finer += [[a, d, f], [d, b, e], [f, e, c], [d, e, f]]
        triangles = finer
    return np.array(vertices), np.array(triangles)


def cap(half_angle, rings, sectors):
    a = math.radians(half_angle)
    return polar(
        rings,
        sectors,
        lambda part, phi: (
            math.sin(a * part) * math.cos(phi),
            math.sin(a * part) * math.sin(phi),
            math.cos(a * part),
        ),
    )


def cone(rings, sectors):
    return polar(rings, sectors, lambda part, phi: (part * math.cos(phi), part * math.sin(phi), 1.0 - part))


def pyramid(times):
    around = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1)]
    vertices = [(0.0, 0.0, 1.0)] + [(float(x), float(y), 0.0) for x, y in around]
    triangles = [[0, 1 + k, 1 + (k + 1) % 8] for k in range(8)]
    return split((vertices, triangles), times)


def hip_roof(times):
    vertices = [(1, 0, 1), (3, 0, 1), (0, 0, 0), (0, -1, 0), (4, -1, 0), (4, 0, 0), (4, 1, 0), (0, 1, 0)]
    triangles = [[0, 2, 3], [0, 3, 4], [0, 4, 1], [1, 4, 5], [1, 5, 6], [1, 6, 7], [1, 7, 0], [0, 7, 2]]
    return split(([tuple(map(float, v)) for v in vertices], triangles), times)


def saddle(cells):
    return grid(cells, lambda u, v: (3.0 * u, 1.5 * v, 2.0 - 0.6 * 1.5 * v + 0.25 * (3.0 * u - 1.5) * 1.5 * v))


def half_cylinder(cells):
    return grid(
        cells,
        lambda u, v: (2.0 * u, math.sin(0.25 * TURN * v), math.cos(0.25 * TURN * v)),
    )


def band(cells):
    """Unit ball from a great circle (the xz plane, as a ridge) down to port by 1.2 rad."""
    return grid(
        cells,
        lambda u, v: (
            math.cos(1.2 * v) * math.sin(1.5 * u - 0.75),
            math.sin(1.2 * v),
            math.cos(1.2 * v) * math.cos(1.5 * u - 0.75),
        ),
    )


# ------------------------------------------------------------------------------------------- geodesics


def areas(vertices, triangles):
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    return 0.5 * np.linalg.norm(np.cross(b - a, c - a), axis=1)


def with_points(mesh, inserted):
    """The same surface with vertices inserted in edges: {(a, b): parts from a to b, rising}."""
    vertices, triangles = [list(v) for v in mesh[0]], []
    numbers = {}
    for (a, b), parts in inserted.items():
        new = []
        for part in parts:
            new.append(len(vertices))
            vertices.append([p + part * (q - p) for p, q in zip(mesh[0][a], mesh[0][b])])
        numbers[a, b] = new
        numbers[b, a] = new[::-1]
    for t in mesh[1]:
        split_edges = [k for k in range(3) if (int(t[k]), int(t[(k + 1) % 3])) in numbers]
        assert len(split_edges) <= 1
        if not split_edges:
            triangles.append([int(v) for v in t])
            continue
        k = split_edges[0]
        a, b, c = int(t[k]), int(t[(k + 1) % 3]), int(t[(k + 2) % 3])
        chain = [a] + numbers[a, b] + [b]
        triangles += [[p, q, c] for p, q in zip(chain, chain[1:])]
    fine = np.array(vertices), np.array(triangles)
    assert abs(areas(*fine).sum() - areas(*mesh).sum()) < 1e-12
    return fine, numbers


def edges(mesh):
    found = set()
    for t in mesh[1]:
        for k in range(3):
            a, b = int(t[k]), int(t[(k + 1) % 3])
            if (b, a) not in found:
                found.add((a, b))
    return sorted(found)


def distances(mesh, on_line, targets):
    """Exact distances from the line of the vertices that `on_line` picks (or from one vertex) to points given as
    (a, b, part) in edges. Also the longest piece between sources."""
    vertices, _ = mesh
    line = [e for e in edges(mesh) if on_line(vertices[e[0]]) and on_line(vertices[e[1]])]
    inserted = {e: [k / PIECES for k in range(1, PIECES)] for e in line}
    for a, b, part in targets:
        inserted[a, b] = [part]
    (fine_vertices, fine_triangles), numbers = with_points(mesh, inserted)
    sources = {k for k in range(len(vertices)) if on_line(vertices[k])}
    for e in line:
        sources.update(numbers[e])
    piece = max((np.linalg.norm(vertices[a] - vertices[b]) for a, b in line), default=0.0) / PIECES
    ends = [numbers[a, b][0] for a, b, _ in targets]
    none = np.array([], dtype=np.int64)
    found = igl.exact_geodesic(
        np.asfortranarray(fine_vertices),
        np.asfortranarray(fine_triangles.astype(np.int64)),
        np.array(sorted(sources), dtype=np.int64),
        none,
        np.array(ends, dtype=np.int64),
        none,
    )
    return {
        "source_piece": float(piece),
        "targets": [
            {"point": [float(x) for x in fine_vertices[e]], "distance": float(d)} for e, d in zip(ends, found)
        ],
    }


def rim_targets(mesh, picked, part=0.3):
    """Points in those edges of the rim whose middles are nearest to the picked places."""
    vertices, triangles = mesh
    seen = {}
    for t in triangles:
        for k in range(3):
            e = tuple(sorted((int(t[k]), int(t[(k + 1) % 3]))))
            seen[e] = seen.get(e, 0) + 1
    rim = [e for e, n in sorted(seen.items()) if n == 1]
    middles = np.array([0.5 * (vertices[a] + vertices[b]) for a, b in rim])
    return [(*rim[int(np.argmin(np.linalg.norm(middles - np.array(p), axis=1)))], part) for p in picked]


# --------------------------------------------------------------------------------------- flat sheets


def submesh(mesh, keep):
    """The triangles that are kept, with their vertices renumbered."""
    vertices, triangles = mesh
    triangles = triangles[[bool(keep(vertices[t].mean(axis=0))) for t in triangles]]
    used = np.unique(triangles)
    number = {int(v): k for k, v in enumerate(used)}
    return vertices[used], np.array([[number[int(v)] for v in t] for t in triangles])


def cut_open(mesh, on_line):
    """Cuts the mesh along a line of vertices from the rim to an inner vertex (number 0, which stays whole): the
    triangles to the left of the line, seen from outside going outward, get vertices of their own."""
    vertices, triangles = mesh[0].tolist(), mesh[1].copy()
    line = [k for k in range(1, len(vertices)) if on_line(mesh[0][k])]
    copy = {}
    for k in line:
        copy[k] = len(vertices)
        vertices.append(vertices[k])
    direction = mesh[0][line[0]] - mesh[0][0]
    for n, t in enumerate(triangles):
        middle = mesh[0][t].mean(axis=0) - mesh[0][0]
        left = direction[0] * middle[1] - direction[1] * middle[0] > 0.0
        if left:
            triangles[n] = [copy.get(int(v), int(v)) for v in t]
    return np.array(vertices), triangles


def singular(mesh, flat):
    vertices, triangles = mesh
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    u = b - a
    length = np.linalg.norm(u, axis=1)
    x = np.einsum("ij,ij->i", c - a, u) / length
    y = 2.0 * areas(vertices, triangles) / length
    p, q, r = (flat[triangles[:, k]] for k in range(3))
    j0 = (q - p) / length[:, None]
    j1 = ((r - p) - j0 * x[:, None]) / y[:, None]
    maps = np.stack([j0, j1], axis=2)
    return np.linalg.svd(maps, compute_uv=False), np.linalg.det(maps)


def measure(mesh, flat):
    s, turned = singular(mesh, flat)
    a = areas(*mesh)
    return {
        "area": float((a * np.abs(turned)).sum()),
        "energy": float((a * ((s - 1.0) ** 2).sum(axis=1)).sum()),
        "product": float((a * (s[:, 0] - 1.0) * (s[:, 1] - 1.0)).sum()),
        "least_scale": float(s.min()),
        "greatest_scale": float(s.max()),
        "folded_triangles": int(min((turned < 0).sum(), (turned > 0).sum())),
    }


def lscm(mesh):
    """The conformal sheet, free but for two nodes far from each other; scaled so that no triangle's area is larger
    on the mesh than on the sheet (film does not stretch)."""
    vertices, triangles = mesh
    rim = igl.boundary_loop(triangles.astype(np.int64))
    first = int(rim[0])
    far = int(rim[int(np.argmax(np.linalg.norm(vertices[rim] - vertices[first], axis=1)))])
    pinned = np.array([first, far], dtype=np.int64)
    flat, _ = igl.lscm(
        np.asfortranarray(vertices),
        np.asfortranarray(triangles.astype(np.int64)),
        pinned,
        np.asfortranarray([[0.0, 0.0], [1.0, 0.0]]),
    )
    _, turned = singular(mesh, flat)
    return flat / math.sqrt(np.abs(turned).min())


def arap(mesh, start):
    vertices, triangles = mesh
    data = igl.ARAPData()
    data.energy = igl.ARAP_ENERGY_TYPE_ELEMENTS
    data.max_iter = 20
    pinned = np.array([0], dtype=np.int32)
    igl.arap_precomputation(
        np.asfortranarray(vertices), np.asfortranarray(triangles.astype(np.int64)), 2, pinned, data
    )
    flat, last = np.asfortranarray(start), math.inf
    for _ in range(SOLVES):
        flat = np.asfortranarray(igl.arap_solve(np.asfortranarray(flat[pinned]), data, flat))
        energy = measure(mesh, flat)["energy"]
        if last - energy <= REST * max(energy, 1e-20):
            break
        last = energy
    return flat


def sheets(mesh):
    conformal = lscm(mesh)
    s, _ = singular(mesh, conformal)
    start = conformal / np.median(s)
    # The library lays conformal sheets either side up.
    _, turned = singular(mesh, start)
    if np.median(turned) < 0.0:
        start = start * np.array([1.0, -1.0])
    rigid = arap(mesh, start)
    return {"mesh_area": float(areas(*mesh).sum()), "lscm": measure(mesh, conformal), "arap": measure(mesh, rigid)}, rigid


def sector(mesh, flat, node):
    """Angle that the flat triangles fill at a node, in degrees."""
    total = 0.0
    for t in mesh[1]:
        if node in t:
            k = int(np.where(t == node)[0][0])
            u, v = (flat[t[(k + m) % 3]] - flat[node] for m in (1, 2))
            total += math.atan2(abs(u[0] * v[1] - u[1] * v[0]), float(u @ v))
    return math.degrees(total)


# ----------------------------------------------------------------------------------------------- rows


def described(mesh):
    vertices, triangles = mesh
    weights = 1.0 + np.arange(len(vertices))
    return {
        "vertices": len(vertices),
        "triangles": len(triangles),
        "area": float(areas(*mesh).sum()),
        "check": float((weights * (vertices @ np.array([1.0, 2.0, 3.0]))).sum() / weights.sum()),
    }


def main():
    rows = []

    def add(name, mesh, **parts):
        rows.append({"name": name, **described(mesh), **parts})

    ridge = lambda p: abs(p[1]) < 1e-12
    for half_angle in (30, 45, 60):
        mesh = cap(half_angle, 12, 40)
        a = math.radians(half_angle)
        places = [(math.sin(a) * math.cos(f), math.sin(a) * math.sin(f), math.cos(a)) for f in (0.2, 1.7, 3.9, 5.5)]
        pole = lambda p: abs(p[0]) + abs(p[1]) < 1e-12
        flat, _ = sheets(mesh)
        add(f"cap {half_angle}", mesh, lengths=distances(mesh, pole, rim_targets(mesh, places)), flat=flat)

    mesh = cone(8, 40)
    opened = cut_open(mesh, lambda p: abs(p[1]) < 1e-12 and p[0] > 0.0)
    flat, rigid = sheets(opened)
    flat["sector"] = sector(opened, rigid, 0)
    places = [(math.cos(f), math.sin(f), 0.0) for f in (0.5, 1.2, 2.1)]
    add("cone", mesh, lengths=distances(mesh, ridge, rim_targets(mesh, places)), flat=flat)

    mesh = pyramid(3)
    opened = cut_open(mesh, lambda p: abs(p[0] - p[1]) < 1e-12 and p[0] > 0.0)
    flat, rigid = sheets(opened)
    flat["sector"] = sector(opened, rigid, 0)
    places = [(0.3, 1.0, 0.0), (-0.6, 1.0, 0.0)]
    add("pyramid", mesh, lengths=distances(mesh, ridge, rim_targets(mesh, places)), flat=flat)

    mesh = hip_roof(3)
    flat, _ = sheets(submesh(mesh, lambda p: p[1] > 0.0))
    places = [(0.4, 1.0, 0.0), (1.3, 1.0, 0.0), (2.2, 1.0, 0.0), (3.7, 1.0, 0.0)]
    add("hip roof", mesh, lengths=distances(mesh, ridge, rim_targets(mesh, places)), flat=flat)

    places = [(0.4, 1.5, 0.0), (1.1, 1.5, 0.0), (1.9, 1.5, 0.0), (2.6, 1.5, 0.0)]
    for cells in ((12, 6), (24, 12)):
        mesh = saddle(cells)
        here = [(x, y, 2.0 - 0.6 * y + 0.25 * (x - 1.5) * y) for x, y, _ in places]
        flat, _ = sheets(mesh)
        name = f"saddle {cells[0]} x {cells[1]}"
        add(name, mesh, lengths=distances(mesh, ridge, rim_targets(mesh, here)), flat=flat)

    mesh = half_cylinder((10, 12))
    flat, _ = sheets(mesh)
    places = [(0.3, 1.0, 0.0), (1.0, 1.0, 0.0), (1.7, 1.0, 0.0)]
    add("half cylinder", mesh, lengths=distances(mesh, ridge, rim_targets(mesh, places)), flat=flat)

    mesh = band((20, 16))
    flat, _ = sheets(mesh)
    places = [(math.cos(1.2) * math.sin(f), math.sin(1.2), math.cos(1.2) * math.cos(f)) for f in (-0.5, 0.1, 0.4)]
    add("band", mesh, lengths=distances(mesh, ridge, rim_targets(mesh, places)), flat=flat)

    print(
        json.dumps(
            {
                "source": "tests/references/flattening.py: libigl 2.6.3 (exact_geodesic, lscm, arap_solve)",
                "rows": rows,
            },
            indent=1,
        )
    )


main()
