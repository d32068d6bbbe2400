"""Cables and strips: a net by force densities, an elastic strap over caps, and films in one-way tension.

Read by loaded_film.py; runs nothing by itself. The net comes from compas_fd (fd_numpy); each of its members is then
made elastic with a natural length from its force, and scipy finds the same shape by least energy. The strap is found
by scipy's root and by least energy. Strips are closed forms, checked by least energy across.
Lengths in m, forces in N, z upward, loads in N with their sign (downward negative).
"""

import math

import numpy as np
from compas_fd.solvers import fd_numpy
from scipy.optimize import minimize, minimize_scalar, root

# Two ways to one answer agree to this, m or N.
AGREE = 1e-7

# ------------------------------------------------------------------------------------------- the net

CELLS = 6
# Axial stiffness that gives members their natural lengths.
NET_STIFFNESS = 50e3


def net_rows():
    count = CELLS + 1
    nodes, fixed, loads, numbers = [], [], [], {}
    for i in range(count):
        for j in range(count):
            x, y = -1.0 + 2.0 * i / CELLS, -1.0 + 2.0 * j / CELLS
            edge = i in (0, CELLS) or j in (0, CELLS)
            if i in (0, CELLS) and j in (0, CELLS):
                continue  # no member reaches a corner
            numbers[i, j] = len(nodes)
            nodes.append([x, y, 0.2 + 0.2 * x * y if edge else 0.0])
            loads.append([0.0, 0.0, 0.0 if edge else -(4.0 + 1.5 * i + 0.5 * j)])
            if edge:
                fixed.append(numbers[i, j])
    edges, densities = [], []
    for i in range(count):
        for j in range(count):
            if i < CELLS and 0 < j < CELLS:
                edges.append([numbers[i, j], numbers[i + 1, j]])
                densities.append(300.0 + 20.0 * j)
            if j < CELLS and 0 < i < CELLS:
                edges.append([numbers[i, j], numbers[i, j + 1]])
                densities.append(250.0 + 10.0 * i)
    pairs = [tuple(e) for e in edges]
    found = fd_numpy(vertices=nodes, fixed=fixed, edges=pairs, forcedensities=densities, loads=loads)
    places = np.asarray(found.vertices)
    lengths, forces = np.asarray(found.lengths).ravel(), np.asarray(found.forces).ravel()
    free = [n for n in range(len(nodes)) if n not in fixed]

    # Least energy of elastic members from the flat net: the same shape, by another way.
    natural = lengths / (1.0 + forces / NET_STIFFNESS)
    ends, weights = np.array(edges), np.array(loads)

    def energy(moved):
        xyz = np.array(nodes, float)
        xyz[free] = moved.reshape(-1, 3)
        along = xyz[ends[:, 1]] - xyz[ends[:, 0]]
        now = np.linalg.norm(along, axis=1)
        pull = NET_STIFFNESS * (now / natural - 1.0)
        slope = np.zeros_like(xyz)
        np.add.at(slope, ends[:, 1], (pull / now)[:, None] * along)
        np.add.at(slope, ends[:, 0], -(pull / now)[:, None] * along)
        total = 0.5 * float((pull * (now - natural)).sum()) - float((weights * xyz).sum())
        return total, (slope - weights)[free].ravel()

    begin = np.array(nodes, float)[free].ravel()
    patient = {"maxiter": 20000, "gtol": 1e-8, "ftol": 0.0}
    rough = minimize(energy, begin, jac=True, method="L-BFGS-B", options=patient)
    fine = root(lambda m: energy(m)[1], rough.x, method="hybr", tol=1e-12)
    apart = float(np.abs(fine.x.reshape(-1, 3) - places[free]).max())
    left = float(np.abs(np.asarray(found.residuals)[free]).max())
    assert apart < AGREE and left < AGREE, (apart, left)
    return {
        "about": "Force densities by compas_fd.solvers.fd_numpy. Nodes of a 7 x 7 grid without corners. Free nodes' "
        "given places count for nothing. Natural length = length/(1 + force/stiffness).",
        "nodes_m": nodes,
        "fixed": fixed,
        "edges": edges,
        "force_density_N_per_m": densities,
        "load_N": loads,
        "stiffness_N": NET_STIFFNESS,
        "found_nodes_m": places.tolist(),
        "lengths_m": lengths.tolist(),
        "forces_N": forces.tolist(),
        "natural_lengths_m": natural.tolist(),
        "residual_of_free_nodes_below_N": AGREE,
        "least_energy_apart_below_m": AGREE,
    }


# ----------------------------------------------------------------------------------------- the strap

STRAP_STIFFNESS, STRAP_REST = 40e3, 800.0
HELD = ((0.0, 0.0), (2.0, 1.2), (4.0, 1.3), (6.0, 0.2))
GENTLE = ((0.0, 1.1), (2.0, 1.2), (4.0, 1.3), (6.0, 1.25))
LOADS = (150.0, 250.0, 100.0)
GENTLE_LOADS = (150.0, 250.0, 200.0)


def chain(held, loaded):
    """End, load, cap, load, cap, load, end."""
    return np.array([held[0], loaded[0], held[1], loaded[1], held[2], loaded[2], held[3]])


def strap_parts(held, loads, pieces):
    """Energy and gradient (with respect to the loaded nodes) of a strap in pieces, each of one tension. A piece is a
    list of segments 0..5 of the chain."""
    held, loads = np.array(held), np.array(loads)
    span = np.linalg.norm(np.diff(held, axis=0), axis=1)
    rest = np.repeat(0.5 * span, 2)
    natural = [rest[p].sum() / (1.0 + STRAP_REST / STRAP_STIFFNESS) for p in pieces]

    def parts(loaded):
        points = chain(held, loaded.reshape(3, 2))
        along = np.diff(points, axis=0)
        now = np.linalg.norm(along, axis=1)
        tension, energy = np.zeros(6), 0.0
        for piece, own in zip(pieces, natural):
            t = STRAP_STIFFNESS * (now[piece].sum() / own - 1.0)
            tension[piece] = t
            energy += 0.5 * t * (now[piece].sum() - own)
        pull = (tension / now)[:, None] * along
        slope = np.array([pull[2 * k] - pull[2 * k + 1] for k in range(3)])
        slope[:, 1] += loads
        return energy + float(loads @ loaded.reshape(3, 2)[:, 1]), slope.ravel(), tension, now

    return parts, natural, rest


ONE = [[0, 1, 2, 3, 4, 5]]
TIED = [[0], [1, 2], [3, 4], [5]]


def strap_case(name, about, held, loads, pieces, moving):
    """moving: which of x1, z1, x2, z2, x3, z3 may move from the middles of the spans."""
    parts, natural, rest = strap_parts(held, loads, pieces)
    middles = 0.5 * (np.array(held)[1:] + np.array(held)[:-1])
    whole = middles.ravel().copy()
    moving = np.array(moving, bool)

    def put(free):
        full = whole.copy()
        full[moving] = free
        return full

    begin = middles.ravel()[moving] - 0.02 * np.tile([0.0, 1.0], 3)[moving]
    least = minimize(
        lambda f: parts(put(f))[0],
        begin,
        jac=lambda f: parts(put(f))[1][moving],
        method="BFGS",
        options={"gtol": 1e-6},
    )
    exact = root(lambda f: parts(put(f))[1][moving], least.x, tol=1e-13)
    left = float(np.abs(parts(put(exact.x))[1][moving]).max())
    apart = float(np.abs(least.x - exact.x).max())
    assert left < AGREE and apart < AGREE, (name, left, apart)
    loaded = put(exact.x)
    _, slope, tension, now = parts(loaded)
    points = chain(np.array(held), loaded.reshape(3, 2))
    pulls = tension[:, None] * np.diff(points, axis=0) / now[:, None]
    caps = [(pulls[2 * k + 1] - pulls[2 * k + 2]).tolist() for k in range(2)]
    return {
        "name": name,
        "about": about,
        "held_m": [list(p) for p in held],
        "downward_loads_N": list(loads),
        "stiffness_N": STRAP_STIFFNESS,
        "rest_tension_N": STRAP_REST,
        "rest_length_m": float(rest.sum()),
        "natural_lengths_of_pieces_m": [float(n) for n in natural],
        "points_m": points.tolist(),
        "segment_lengths_m": now.tolist(),
        "segment_tensions_N": tension.tolist(),
        "force_of_strap_on_caps_N": [[-c for c in cap] for cap in caps],
        "sideways_force_that_holds_x_N": slope[0::2].tolist(),
        "residual_below_N": AGREE,
        "least_energy_apart_below_m": AGREE,
    }


def strap_slid():
    """One tension, loads free to slide, on steep outer spans: they run down to the ends. Only the middle one counts."""
    held, loads = np.array(HELD), np.array(LOADS)
    span = np.linalg.norm(np.diff(held, axis=0), axis=1)
    natural = span.sum() / (1.0 + STRAP_REST / STRAP_STIFFNESS)

    def lack(at):
        a, b = held[1] - at, held[2] - at
        la, lb = np.linalg.norm(a), np.linalg.norm(b)
        t = STRAP_STIFFNESS * ((span[0] + span[2] + la + lb) / natural - 1.0)
        return t * (a / la + b / lb) - np.array([0.0, loads[1]])

    exact = root(lack, [3.0, 1.2], tol=1e-13)
    assert np.abs(lack(exact.x)).max() < 1e-8
    now = [np.linalg.norm(held[1] - exact.x), np.linalg.norm(held[2] - exact.x)]
    tension = STRAP_STIFFNESS * ((span[0] + span[2] + sum(now)) / natural - 1.0)
    # At rest on an end: the strap's pull along the span and the load together are no more than the tension.
    for end, cap, load in ((0, 1, loads[0]), (3, 2, loads[2])):
        way = (held[cap] - held[end]) / np.linalg.norm(held[cap] - held[end])
        assert np.linalg.norm(tension * way - [0.0, load]) < tension
    points = chain(held, np.array([held[0], exact.x, held[3]]))
    # Anywhere near, the energy is higher.
    parts, _, _ = strap_parts(HELD, LOADS, ONE)
    near = points[1::2] + np.array([[1e-9, 0.0], [0.0, 0.0], [1e-9, 0.0]])
    here, rng = parts(near.ravel())[0], np.random.default_rng(3)
    assert all(parts((near + 0.05 * rng.standard_normal((3, 2))).ravel())[0] > here for _ in range(200))
    return {
        "name": "one tension, loads slide, steep",
        "about": "No place in the outer spans holds a sliding load (it would need T <= P/(2 sin slope)): both run to "
        "the ends, where the strap's energy has a kink. A trap, not a fine test: see the other rows.",
        "held_m": [list(p) for p in HELD],
        "downward_loads_N": list(LOADS),
        "stiffness_N": STRAP_STIFFNESS,
        "rest_tension_N": STRAP_REST,
        "rest_length_m": float(span.sum()),
        "natural_lengths_of_pieces_m": [float(natural)],
        "points_m": points.tolist(),
        "segment_tensions_N": [float(tension)] * 6,
    }


def strap_rows():
    every, upright = [True] * 6, [False, True] * 3
    return [
        strap_slid(),
        strap_case(
            "one tension, loads slide, gentle",
            "The strap slides through caps and loads alike; loaded nodes free in x and z.",
            GENTLE,
            GENTLE_LOADS,
            ONE,
            every,
        ),
        strap_case(
            "one tension, x held",
            "The strap slides through caps and loads alike; loaded nodes free in z, their x held at mid-span.",
            HELD,
            LOADS,
            ONE,
            upright,
        ),
        strap_case(
            "loads tied to the strap",
            "The strap slides over the caps alone; loaded nodes are its own points, free in x and z: four pieces, "
            "each of one tension, cut at the loads.",
            HELD,
            LOADS,
            TIED,
            every,
        ),
    ]


# ---------------------------------------------------------------------------------------- the strips


def across(stiffness, nu, rest, along, cross):
    """Forces per width along and across of a film strained so; a film pushed across pulls one way."""
    k = stiffness / (1.0 - nu**2)
    one, two = rest + k * (along + nu * cross), rest + k * (cross + nu * along)
    if two >= 0.0:
        return one, two
    return max(rest * (1.0 - nu) + stiffness * along, 0.0), 0.0


def by_energy(stiffness, nu, rest, along, cross):
    """The same force along, as the slope of the energy that is least over how much of `cross` goes into wrinkles."""
    k = stiffness / (1.0 - nu**2)

    def density(e):
        inner = lambda c: rest * (e + c) + 0.5 * k * (e**2 + c**2 + 2.0 * nu * e * c)
        # A wrinkled film's own strain across is anything above the strain of its edges.
        found = minimize_scalar(inner, bounds=(cross, cross + 0.2), method="bounded", options={"xatol": 1e-14})
        return min(found.fun, inner(cross))

    h = 1e-4
    return (density(along + h) - density(along - h)) / (2.0 * h)


def strip_rows():
    stiffness, nu = 35600.0, 0.4
    rows = []
    for along, rest in ((0.002, 0.0), (0.01, 0.0)):
        rows.append(
            {
                "name": "strip, long sides free",
                "formula": "N_along = Et e, N_across = 0, e_across = -nu e",
                "stiffness_N_per_m": stiffness,
                "poisson": nu,
                "prestress_N_per_m": rest,
                "strain_along": along,
                "strain_across": -nu * along,
                "N_along_N_per_m": stiffness * along,
                "N_across_N_per_m": 0.0,
            }
        )
    for along, cross, rest in (
        (0.005, -0.0015, 0.0),
        (0.005, -0.002, 0.0),
        (0.005, -0.0025, 0.0),
        (0.005, -0.02, 0.0),
        (0.01, -0.01, 0.0),
        (0.005, -0.004, 100.0),
        (0.005, -0.006, 100.0),
        (0.005, -0.02, 100.0),
        (-0.001, -0.02, 100.0),
        (-0.005, -0.02, 100.0),
    ):
        one, two = across(stiffness, nu, rest, along, cross)
        checked = by_energy(stiffness, nu, rest, along, cross) if one > 0.0 else 0.0
        assert abs(checked - one) < 1e-3 * max(1.0, abs(one)), (along, cross, rest, one, checked)
        push = rest + stiffness / (1.0 - nu**2) * (cross + nu * along)
        state = "edge of slack" if abs(push) < 1e-9 else "taut" if push > 0.0 else "wrinkled" if one > 0.0 else "slack"
        rows.append(
            {
                "name": "rectangle, all edges moved evenly",
                "formula": "taut: N = N0 + k (e + nu e'), k = Et/(1 - nu^2); across would push: N_along = "
                "N0 (1 - nu) + Et e, N_across = 0",
                "stiffness_N_per_m": stiffness,
                "poisson": nu,
                "prestress_N_per_m": rest,
                "strain_along": along,
                "strain_across": cross,
                "N_along_N_per_m": one,
                "N_across_N_per_m": two,
                "state": state,
            }
        )
    for slide in (0.005, 0.02):
        # x -> x + slide y: principal stretches of simple shear are sqrt(1 + s^2/4) +- s/2.
        greater, lesser = (math.sqrt(1.0 + 0.25 * slide**2) + sign * 0.5 * slide for sign in (1.0, -1.0))
        one, two = across(stiffness, nu, 0.0, greater - 1.0, lesser - 1.0)
        shear = np.array([[1.0, slide], [0.0, 1.0]])
        squares, ways = np.linalg.eigh(shear.T @ shear)
        assert abs(math.sqrt(squares[1]) - greater) < 1e-12
        way = ways[:, 1]
        first = one * np.outer(shear @ way / greater, way)
        rows.append(
            {
                "name": "rectangle sheared, edges moved by x -> x + s y",
                "formula": "stretches sqrt(1 + s^2/4) +- s/2; N = Et (greater - 1) one way, nominal",
                "stiffness_N_per_m": stiffness,
                "poisson": nu,
                "prestress_N_per_m": 0.0,
                "slide_s": slide,
                "principal_strain": [greater - 1.0, lesser - 1.0],
                "N_principal_N_per_m": [one, two],
                "start_direction_of_pull_deg": math.degrees(math.atan2(way[1], way[0])) % 180.0,
                "force_per_length_on_edge_y_N_per_m": first[:, 1].tolist(),
                "force_per_length_on_edge_x_N_per_m": first[:, 0].tolist(),
                "state": "wrinkled",
            }
        )
    return rows
