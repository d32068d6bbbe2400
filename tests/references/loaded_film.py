"""Loaded films, a cable net, a sliding strap and wrinkled strips, computed apart from the crate.

What:
  - a square flat film and a saddle (hypar) film of least area with prestress, fixed edges, dead vertical load per
    plan area of the start surface, large displacement, no bending: quadratic finite elements under refinement, and a
    second discretisation by polynomials on one patch;
  - the law w0 = c a (q a/Et)^(1/3) of flat films without prestress, square and circle;
  - Hencky's circular film (Foppl's equations) by power series, by collocation and by shooting;
  - a cable net by force densities; an elastic strap that slides over two caps; strips in one-way tension.
With: scikit-fem 12.0.2, compas_fd 0.5.4 (compas 2.15.1), numpy 2.4.6, scipy 1.17.1, Python 3.
Run:  pip install scikit-fem==12.0.2 compas_fd==0.5.4 numpy scipy
      OMP_NUM_THREADS=1 python tests/references/loaded_film.py > tests/references/loaded_film.json
The laws and the spaces of functions stand in film_elements.py, cables and strips in loaded_cables.py, beside this.

Lengths in m, forces in N, forces per width in N/m, loads in Pa of plan, positive downward; z upward; angles in
degrees. Forces per width are nominal: per width of the start film; those of the loaded film are named so. All inputs
are invented. Printed to nine digits; how many of them hold, the refinements say.
"""

import json
import sys

import numpy as np
import skfem
from scipy.integrate import solve_bvp, solve_ivp
from scipy.optimize import brentq

from film_elements import Film, Polynomials, Triangles, check_law, least_area, principal
from loaded_cables import net_rows, strap_rows, strip_rows

STIFFNESS, NU, REST = 35600.0, 0.4, 100.0

# Halvings of the first mesh, of two cells a side (square) or four triangles (circle).
SQUARE_HALVINGS = (2, 3, 4)
CIRCLE_HALVINGS = (2, 3, 4)
# Odd, so that the highest polynomial of a deflection is even.
DEGREES = (7, 9)

# Refinement moves a deflection by less, and the second discretisation stands no further away, per cent.
REFINED = 0.05
# What counts as no displacement at all, m.
NOTHING = 1e-9

CENTER, EDGE_MIDDLE = (0.0, 0.0), (1.0, 0.0)
# All are corners of the coarsest mesh.
PLACES = ((0.0, 0.0), (0.5, 0.0), (0.5, 0.5), (0.5, -0.5), (0.75, 0.25), (-0.25, 0.75))


# ------------------------------------------------------------------------------------------ the square


def square(halvings):
    mesh = skfem.MeshTri.init_sqsymmetric().refined(halvings)
    mesh = skfem.MeshTri(2.0 * mesh.p - 1.0, mesh.t)
    return Triangles(mesh, lambda p: (np.abs(np.abs(p) - 1.0) < 1e-9).any(axis=0))


def circle(halvings):
    mesh = skfem.MeshTri2.init_circle(halvings)
    return Triangles(mesh, lambda p: np.abs(np.hypot(*p) - 1.0) < 1e-9)


def spaces():
    found = [(f"quadratic triangles, {2 * 2**h} cells a side", square(h)) for h in SQUARE_HALVINGS]
    return found + [(f"polynomials, {d} a way", Polynomials(d)) for d in DEGREES]


class Start:
    """A start surface on a space: heights above a lift that both spaces hold exactly."""

    def __init__(self, space, saddle):
        self.space, self.saddle = space, saddle
        x, y = space.points
        lift = np.array([0.2 * y, 0.2 * x]) if saddle else np.zeros((2, x.size))
        self.above = least_area(space, lift) if saddle else np.zeros(space.count)
        self.tangents = np.zeros((3, 2, x.size))
        self.tangents[0, 0] = self.tangents[1, 1] = 1.0
        self.tangents[2] = lift + space.spread(self.above[None])[0]

    def height(self, place):
        lift = 0.2 + 0.2 * place[0] * place[1] if self.saddle else 0.0
        return lift + float(self.space.probe(place, self.above[None])[0][0])

    def tangents_at(self, place):
        gradient = self.space.probe(place, self.above[None])[1][0]
        if self.saddle:
            gradient = gradient + 0.2 * np.array([place[1], place[0]])
        return np.array([[1.0, 0.0], [0.0, 1.0], gradient])[:, :, None]

    def sag(self, depth):
        """A first guess: the film hangs by `depth` in the middle."""
        nodal = np.zeros((3, self.space.count))
        if isinstance(self.space, Polynomials):
            nodal[2, 0] = -depth
        else:
            x, y = self.space.places
            nodal[2] = -depth * (1.0 - x**2) * (1.0 - y**2)
            nodal[:, ~self.space.free] = 0.0
        return nodal


def stress_at(film, start, place):
    """Principal forces and strains at a place, greater first; no direction where both are alike."""
    moved = film.space.probe(place, film.nodal)[1][:, :, None]
    tangents = start.tangents_at(place)
    stretches, nominal, loaded, way = principal(film.law, film.film, tangents, moved)
    even = abs(nominal[0, 0] - nominal[1, 0]) < 1e-6 * abs(nominal[0, 0])
    turn = float(np.degrees(np.arctan2(way[1, 0], way[0, 0])) % 180.0)
    return {
        "principal_N_per_m": nominal[:, 0].tolist(),
        "principal_of_loaded_width_N_per_m": loaded[:, 0].tolist(),
        "principal_strain": (stretches[:, 0] - 1.0).tolist(),
        "plan_direction_of_greater_deg": None if even else turn,
    }


def edge_pull(film, start):
    """Force per plan length that the edge x = 1 gives to the film at its middle: outward, upward."""
    moved = film.space.probe(EDGE_MIDDLE, film.nodal)[1][:, :, None]
    tangents = start.tangents_at(EDGE_MIDDLE)
    small = Film(film.space, tangents, film.film, 0.0, film.law)
    pull = small.first(moved)[:, 0, 0]
    return {"outward_N_per_m": float(pull[0]), "upward_N_per_m": float(pull[2])}


def film_row(name, space, saddle, law, pressure, rest, start, guess):
    film = Film(space, start.tangents, (STIFFNESS, NU, rest), pressure, law).solve(guess)
    row = {"by": name, "unknowns": 3 * int(space.free.sum())}
    row["center_deflection_m"] = -float(space.probe(CENTER, film.nodal)[0][2])
    if saddle:
        row["start_center_height_m"] = start.height(CENTER)
        row["loaded_center_height_m"] = start.height(CENTER) - row["center_deflection_m"]
    row["center"] = stress_at(film, start, CENTER)
    row["edge_middle"] = stress_at(film, start, EDGE_MIDDLE) | edge_pull(film, start)
    if not space.free.all():
        row["sum_of_upward_reactions_N"] = film.upward_reactions()
    row |= film.extremes()
    row["places"] = [
        {
            "at_m": list(p),
            "start_height_m": start.height(p),
            "displacement_m": space.probe(p, film.nodal)[0].tolist(),
        }
        for p in PLACES
    ]
    return row, film


def extrapolated(values):
    """Limit of three values under halving: the ratio of their differences taken as it is seen, where it is one."""
    first, second, third = values
    ratio = (third - second) / (second - first) if second != first else 0.0
    limit = third + (third - second) * ratio / (1.0 - ratio) if 0.0 < ratio < 0.7 else third
    move = 100.0 * abs((third - second) / third) if abs(third) > NOTHING else None
    return {"sequence": list(values), "limit": limit, "last_move_per_cent": move}


def film_case(name, saddle, law, pressure, rest, starts):
    rows = []
    for label, space, start in starts:
        guess = start.sag(0.0 if saddle else 0.1)
        rows.append(film_row(label, space, saddle, law, pressure, rest, start, guess)[0])
    meshes = rows[: len(SQUARE_HALVINGS)]
    limits = {"center_deflection_m": extrapolated([r["center_deflection_m"] for r in meshes])}
    for place in ("center", "edge_middle"):
        for k, which in enumerate(("greater", "lesser")):
            values = [r[place]["principal_N_per_m"][k] for r in meshes]
            limits[f"{place}_{which}_N_per_m"] = extrapolated(values)
    depth, second = limits["center_deflection_m"], rows[-1]["center_deflection_m"]
    apart = None
    if pressure > 0.0:
        apart = 100.0 * abs(depth["limit"] / second - 1.0)
        assert depth["last_move_per_cent"] < REFINED and apart < REFINED, (name, law, pressure, depth, apart)
    print(name, law, pressure, rest, depth["limit"], second, file=sys.stderr, flush=True)
    return {
        "name": name,
        "law": law,
        "side_m": 2.0,
        "stiffness_N_per_m": STIFFNESS,
        "poisson": NU,
        "prestress_N_per_m": rest,
        "load_Pa": pressure,
        "taut_everywhere": all(r["min_principal_N_per_m"] > 0.0 for r in meshes),
        "limits": limits,
        "polynomials_apart_per_cent": apart,
        "finest": rows[len(SQUARE_HALVINGS) - 1],
        "polynomials": rows[-1],
    }


def films():
    found = spaces()
    flat = [(label, space, Start(space, False)) for label, space in found]
    hypar = [(label, space, Start(space, True)) for label, space in found]
    cases = []
    for pressure in (20.0, 100.0, 300.0):
        for law in ("green", "stretch"):
            cases.append(film_case("flat square", False, law, pressure, REST, flat))
    # Without prestress, or with a trace of it, the corners go slack: the law that wrinkles stands beside the other.
    for rest in (0.0, 1.0):
        for law in ("green", "wrinkling"):
            cases.append(film_case("flat square", False, law, 20.0, rest, flat))
    for pressure, rest in ((0.0, REST), (20.0, REST), (50.0, REST), (100.0, 300.0), (300.0, 300.0)):
        for law in ("green", "stretch"):
            cases.append(film_case("hypar", True, law, pressure, rest, hypar))
    # Here the film goes slack across its hogging way.
    for pressure in (100.0, 300.0):
        cases.append(film_case("hypar", True, "wrinkling", pressure, REST, hypar))
    surface = {
        "about": "z = 0.2 + 0.2 x y on the edge of the plan square [-1, 1]^2: corners 0.4 at (1, 1) and (-1, -1), "
        "0 at the others; start surface of least area. Along (1, 1) it sags, along (1, -1) it hogs.",
        "start_heights": [
            {
                "at_m": list(p),
                "height_m": extrapolated([s.height(p) for _, _, s in hypar[: len(SQUARE_HALVINGS)]]),
                "by_polynomials_m": hypar[-1][2].height(p),
            }
            for p in PLACES
        ],
    }
    return {"hypar_start": surface, "cases": cases}


# ------------------------------------------------------------------------------- without any prestress


def coefficient_row(space, start, law, nu, scale):
    """c of w0 = c a (q a/Et)^(1/3) for (q a/Et)^(1/3) = scale, a = 1 m."""
    pressure = STIFFNESS * scale**3
    film = Film(space, start.tangents, (STIFFNESS, nu, 0.0), pressure, law).solve(start.sag(0.7 * scale))
    ends = film.extremes()
    depth = -float(space.probe(CENTER, film.nodal)[0][2])
    return {
        "coefficient": depth / scale,
        "center_N_per_m_over_scale": stress_at(film, start, CENTER)["principal_N_per_m"][0] / (STIFFNESS * scale**2),
        "min_over_max_principal": ends["min_principal_N_per_m"] / ends["max_principal_N_per_m"],
        "slack_area_m2": ends["slack_area_m2"],
    }


def coefficients():
    rows = []
    shapes = {
        "square, a half its side": [square(h) for h in SQUARE_HALVINGS] + [Polynomials(DEGREES[-1])],
        "circle, a its radius": [circle(h) for h in CIRCLE_HALVINGS],
    }
    for shape, found in shapes.items():
        starts = [Start(space, False) for space in found]
        laws = ("green", "wrinkling") if len(found) > 3 else ("green",)
        for law in laws:
            for nu in (0.25, 0.3, 0.4):
                for scale in (0.02, 0.04):
                    if law == "wrinkling" and scale == 0.02:
                        continue  # differences of metrics lose too many digits
                    solved = [coefficient_row(space, start, law, nu, scale) for space, start in zip(found, starts)]
                    meshes = solved[:3]
                    row = {"shape": shape, "law": law, "poisson": nu, "scale_(q_a/Et)^(1/3)": scale}
                    row["load_Pa_at_35600_N_per_m_and_a_1_m"] = STIFFNESS * scale**3
                    for key in ("coefficient", "center_N_per_m_over_scale"):
                        row[key] = extrapolated([s[key] for s in meshes])
                    row["min_over_max_principal"] = meshes[-1]["min_over_max_principal"]
                    row["slack_area_m2"] = meshes[-1]["slack_area_m2"]
                    if len(solved) > 3:
                        row["coefficient_by_polynomials"] = solved[3]["coefficient"]
                    if len(solved) == 3:
                        row["hencky"] = hencky(nu)["coefficient_w0"]
                        apart = 100.0 * abs(row["coefficient"]["limit"] / row["hencky"] - 1.0)
                        assert apart < REFINED, row
                    print(shape, law, nu, scale, row["coefficient"]["limit"], file=sys.stderr, flush=True)
                    rows.append(row)
    return rows


# ---------------------------------------------------------------------------------------------- Hencky

# n'' + 3 n'/x + 1/(8 n^2) = 0, n'(0) = 0, n'(1) + (1 - nu) n(1) = 0, and W' = -x/(2 n), W(1) = 0, where
# N_r = n (Et q^2 a^2)^(1/3), w = W a (q a/Et)^(1/3), x = r/a: Foppl's equations with N_theta = (x N_r)' and
# x (N_r + N_theta)' + Et w'^2/2 = 0.
# Terms of the series; what is left out is below rounding at x = 1.
TERMS = 400


def series(start):
    """n and 1/n of Hencky's series that begins with n(0) = start; coefficients of x^(2 k)."""
    n, over, square_over = np.zeros(TERMS), np.zeros(TERMS), np.zeros(TERMS)
    n[0], over[0], square_over[0] = start, 1.0 / start, 1.0 / start**2
    for k in range(1, TERMS):
        n[k] = -square_over[k - 1] / (8.0 * 4.0 * k * (k + 1))
        over[k] = -(n[1 : k + 1] @ over[k - 1 :: -1][:k]) / start
        square_over[k] = over[: k + 1] @ over[k::-1]
    return n, over


def hencky(nu):
    powers = 2.0 * np.arange(TERMS)

    def lack(start):
        n, _ = series(start)
        return float((powers * n).sum() + (1.0 - nu) * n.sum())

    start = brentq(lack, 0.38, 0.6, xtol=1e-15)
    n, over = series(start)
    assert abs(n[-1]) < 1e-16
    middle = float((over / (2.0 * (powers + 2.0))).sum())

    def right(x, y):
        steep = np.where(x > 0.0, y[1] / np.maximum(x, 1e-300), 0.0)
        pull = -1.0 / (8.0 * y[0] ** 2)
        return np.array([y[1], np.where(x > 0.0, pull - 3.0 * steep, pull / 4.0), -x / (2.0 * y[0])])

    ends = lambda p, q: np.array([p[1], q[1] + (1.0 - nu) * q[0], q[2]])
    x = np.linspace(0.0, 1.0, 101)
    guess = np.array([0.4 - 0.08 * x**2, -0.16 * x, 0.6 * (1.0 - x**2)])
    third = solve_bvp(right, ends, x, guess, tol=1e-10, max_nodes=100000)
    assert third.success

    # Shooting: n(x) = g m(x/s) with g^3 = s^2 solves it too, so one path with m(0) = 1 serves every edge.
    path = solve_ivp(right, (0.0, 4.0), [1.0, 0.0, 0.0], rtol=1e-12, atol=1e-14, dense_output=True)
    edge = lambda s: s * path.sol(s)[1] + (1.0 - nu) * path.sol(s)[0]
    s = brentq(edge, 0.5, 3.99, xtol=1e-14)
    growth = s ** (-2.0 / 3.0)
    shot = -path.sol(s)[2] * s ** (-2.0) / growth
    return {
        "poisson": nu,
        "coefficient_w0": middle,
        "coefficient_w0_by_collocation": float(third.sol(0.0)[2]),
        "coefficient_w0_by_shooting": float(shot),
        "hencky_b0": 4.0 * start,
        "N_center_over_(Et_q2_a2)^(1/3)": start,
        "N_radial_edge_over_(Et_q2_a2)^(1/3)": float(n.sum()),
    }


# ----------------------------------------------------------------------------------------------- print


def rounded(value):
    if isinstance(value, dict):
        return {k: rounded(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [rounded(v) for v in value]
    if isinstance(value, (float, np.floating)):
        return 0.0 if abs(value) < 1e-11 else float(f"{value:.9g}")
    if isinstance(value, np.integer):
        return int(value)
    return bool(value) if isinstance(value, np.bool_) else value


def main():
    check_law()
    answer = {
        "source": "tests/references/loaded_film.py: scikit-fem 12.0.2, compas_fd 0.5.4, scipy 1.17.1, numpy 2.4.6; "
        "computed for this project by programs that share no code with it; inputs invented",
        "laws": {
            "green": "St. Venant-Kirchhoff: second Piola-Kirchhoff force linear in Green's strain",
            "stretch": "nominal force per start width linear in the principal stretches",
            "wrinkling": "as stretch, with one-way tension N0 (1 - nu) + Et e where the other way would push",
        },
        "trust": "Deflections hold to 0.01 per cent (refinement against polynomials). Forces at the center hold to "
        "0.06 per cent where taut. At the middle of an edge take the limits of the triangles, to about 0.2 "
        "per cent; polynomials swing about them, by 0.8 per cent with prestress and 1.1 without, less as "
        "their number grows. Least forces stand in the corners and move with the mesh: take them as signs of "
        "taut or slack alone. Wrinkled hypar: forces at the center to 0.1 per cent (greater) and 0.2 N/m "
        "(lesser), at the middle of an edge to 1 per cent and 4 N/m.",
        "hencky": [hencky(nu) for nu in (0.25, 0.3, 0.4)],
        "strips": strip_rows(),
        "strap": strap_rows(),
        "net": net_rows(),
        "without_prestress": coefficients(),
        "films": films(),
    }
    print(json.dumps(rounded(answer), indent=1))


if __name__ == "__main__":
    main()
