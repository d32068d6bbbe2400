"""An elastic film of large displacement without bending: its law at a point, two spaces of functions, Newton's method.

Read by loaded_film.py; runs nothing by itself. Written for these references alone, with no code of the crate.

The start surface X(x, y) = (x, y, z0(x, y)) is described over the plan. Its metric is A = X,a . X,b, the loaded
film's a = x,a . x,b. Energy is per area of the start surface, W(A, a), with three laws:
  green    N0 tr E + k/2 (nu (tr E)^2 + (1 - nu) E : E), E = (a - A)/2 (St. Venant-Kirchhoff with prestress);
  stretch  N0 (e1 + e2) + k/2 ((e1 + e2)^2 - 2 (1 - nu) e1 e2), e the principal stretches less one: nominal force
           per start width is linear in the principal stretches.
  wrinkling  as `stretch`, but a film that would be pushed across its pull carries the pull alone,
           N0 (1 - nu) + Et e1, and nothing where it would be pushed both ways (tension field);
with k = Et/(1 - nu^2). The first two have the same linear terms and differ by the order of the strain.

Spaces: quadratic triangles of scikit-fem (straight sides on the square, quadratic sides on the circle), and, as a
second discretisation, one patch of Legendre polynomials times (1 - x^2)(1 - y^2) on the square [-1, 1]^2.
Lengths in m, forces in N, forces per width in N/m, loads in Pa of plan, z upward.
"""

import numpy as np
import scipy.sparse as sparse
import scipy.sparse.linalg
import skfem
from numpy.polynomial import legendre

# Newton rests when the residual is this part of the load; below it rounding speaks.
RESIDUAL = 1e-11
# Where a film wrinkles, points that pass from taut to wrinkled and back leave this.
WRINKLED_RESIDUAL = 1e-7
ITERATIONS = 200


# -------------------------------------------------------------------------------------------- the law


def inverse(m):
    det = m[0, 0] * m[1, 1] - m[0, 1] * m[1, 0]
    return np.array([[m[1, 1], -m[0, 1]], [-m[1, 0], m[0, 0]]]) / det, det


def outer(p, q):
    return np.einsum("abp,cdp->abcdp", p, q)


def twisted(p):
    return 0.5 * (np.einsum("acp,bdp->abcdp", p, p) + np.einsum("adp,bcp->abcdp", p, p))


def metric(tangents):
    return np.einsum("iap,ibp->abp", tangents, tangents)


def law_at(law, film, start, strain):
    """Energy, S = dW/dE and dS/dE at points; start metric and strain E are (2, 2, points)."""
    stiffness, nu, rest = film
    k = stiffness / (1.0 - nu**2)
    up, start_det = inverse(start)
    if law == "green":
        trace = np.einsum("abp,abp->p", up, strain)
        moduli = k * (nu * outer(up, up) + (1.0 - nu) * twisted(up))
        elastic = np.einsum("abcdp,cdp->abp", moduli, strain)
        energy = rest * trace + 0.5 * np.einsum("abp,abp->p", elastic, strain)
        return energy, rest * up + elastic, moduli
    loaded = start + 2.0 * strain
    down, det = inverse(loaded)
    trace = np.einsum("abp,abp->p", up, loaded)
    j = np.sqrt(det / start_det)
    s = np.sqrt(trace + 2.0 * j)
    energy = rest * (s - 2.0) + 0.5 * k * ((s - 2.0) ** 2 - 2.0 * (1.0 - nu) * (j - s + 1.0))
    slope = rest + k * (s - 2.0) + k * (1.0 - nu)
    by_trace, by_j = slope / (2.0 * s), slope / s - k * (1.0 - nu)
    bend = k / s - slope / s**2
    dj = 0.5 * j * down
    ddj = j * (0.25 * outer(down, down) - 0.5 * twisted(down))
    moduli = 4.0 * (
        bend / (4.0 * s) * outer(up, up)
        + bend / (2.0 * s) * (outer(up, dj) + outer(dj, up))
        + bend / s * outer(dj, dj)
        + by_j * ddj
    )
    stress = 2.0 * (by_trace * up + by_j * dj)
    if law == "wrinkling":
        relax(film, up, loaded, trace, j, energy, stress, moduli)
    return energy, stress, moduli


def relax(film, up, loaded, trace, j, energy, stress, moduli):
    """Puts one-way tension where the law `stretch` would push across, and nothing where it would push both ways."""
    stiffness, nu, rest = film
    k = stiffness / (1.0 - nu**2)
    gap = np.sqrt(np.maximum(trace**2 - 4.0 * j**2, 0.0))
    square = 0.5 * (trace + gap)
    one, two = np.sqrt(square), j / np.sqrt(square)
    across = rest + k * (two - 1.0 + nu * (one - 1.0))
    w = np.nonzero(across < 0.0)[0]
    one, square, gap = one[w], square[w], gap[w]
    along = rest * (1.0 - nu) + stiffness * (one - 1.0)
    pulled = along > 0.0
    # Eigenvectors of A^-1 a of length one on the start film: n along the pull, m across it.
    values, vectors = np.linalg.eig(np.einsum("abp,bcp->pac", up[..., w], loaded[..., w]))
    first = np.argmax(values.real, axis=1)
    rows = np.arange(len(w))
    start = inverse(up[..., w])[0]

    def unit(v):
        return v / np.sqrt(np.einsum("ap,abp,bp->p", v, start, v))

    n, m = unit(vectors.real[rows, :, first].T), unit(vectors.real[rows, :, 1 - first].T)
    nn = np.einsum("ap,bp->abp", n, n)
    nm = 0.5 * (np.einsum("ap,bp->abp", n, m) + np.einsum("ap,bp->abp", m, n))
    force = np.where(pulled, along, 0.0)
    edge = -rest / k - nu * (one - 1.0)
    both = one - 1.0 + edge
    held = rest * both + 0.5 * k * (both**2 - 2.0 * (1.0 - nu) * (one - 1.0) * edge)
    lowest = -0.5 * rest**2 * 2.0 * (1.0 - nu) / stiffness
    energy[w] = np.where(pulled, held, lowest)
    stress[..., w] = force / one * nn
    stiff = np.where(pulled, stiffness, 0.0)
    by_square, bend = force / (2.0 * one), (stiff - force / one) / (4.0 * square)
    moduli[..., w] = 4.0 * (bend * outer(nn, nn) + by_square * 2.0 / gap * outer(nm, nm))


def strain_of(start_tangents, moved):
    """E of displacement gradients, without the difference of metrics, which loses digits at small strains."""
    across = np.einsum("iap,ibp->abp", start_tangents, moved)
    return 0.5 * (across + across.transpose(1, 0, 2) + metric(moved))


def principal(law, film, start_tangents, moved):
    """Stretches and forces per width at points, greater stretch first: stretches (2, p), nominal force per start
    width (2, p), force per width of the loaded film (2, p), plan direction of the greater on the start film."""
    start, strain = metric(start_tangents), strain_of(start_tangents, moved)
    _, stress, _ = law_at(law, film, start, strain)
    loaded = start + 2.0 * strain
    mixed = np.einsum("abp,bcp->pac", inverse(start)[0], loaded)
    squares, vectors = np.linalg.eig(mixed)
    squares, vectors = squares.real, vectors.real
    order = np.argsort(-squares, axis=1)
    squares = np.take_along_axis(squares, order, 1)
    vectors = np.take_along_axis(vectors, order[:, None, :], 2)
    stretches = np.sqrt(squares).T
    # In the principal frame S is diagonal with S_i = nominal_i / stretch_i, and n is of length one on the start film.
    covectors = np.einsum("abp,pbi->pai", start, vectors)
    lengths = np.einsum("pai,pai->pi", vectors, covectors)
    second = np.einsum("pai,abp,pbi->pi", covectors, stress, covectors) / lengths
    nominal = second.T * stretches
    return stretches, nominal, nominal / stretches[::-1], vectors[:, :, 0].T


# ---------------------------------------------------------------------------------------------- spaces


class Space:
    """Functions with gradients (element, function, 2, point), values (element, function, point), weights (element,
    point), numbers (element, function), and which of the numbers may move."""

    def __init__(self, values, gradients, weights, numbers, free, places):
        self.values, self.gradients, self.weights, self.numbers = values, gradients, weights, numbers
        self.free, self.places = free, places
        self.count = int(numbers.max()) + 1

    def spread(self, nodal):
        """Gradients (components, 2, points) of a field of nodal numbers (components, count)."""
        return np.einsum("kea,eadq->kdeq", nodal[:, self.numbers], self.gradients, optimize=True).reshape(
            len(nodal), 2, -1
        )

    def vector(self, fluxes, loads):
        """Sum of flux (components, 2, points) times gradient, less load (components) times value."""
        flux = (fluxes * self.weights.ravel()).reshape(len(fluxes), 2, *self.weights.shape)
        local = np.einsum("kdeq,eadq->kea", flux, self.gradients, optimize=True)
        local -= np.asarray(loads)[:, None, None] * np.einsum("eaq,eq->ea", self.values, self.weights)
        return np.array([np.bincount(self.numbers.ravel(), part.ravel(), self.count) for part in local])

    def matrix(self, moduli):
        """Moduli (k, 2, l, 2, points) between gradients, as a sparse matrix of numbering k * count + n."""
        parts = len(moduli)
        weighted = (moduli * self.weights.ravel()).reshape(parts, 2, parts, 2, *self.weights.shape)
        local = np.einsum("eadq,kdlfeq,ebfq->kalbe", self.gradients, weighted, self.gradients, optimize=True)
        rows = np.arange(parts)[:, None, None] * self.count + self.numbers.T[None]
        shape = local.shape
        rows, columns = (
            np.broadcast_to(rows[:, :, None, None, :], shape),
            np.broadcast_to(rows[None, None], shape),
        )
        size = parts * self.count
        return sparse.csc_matrix((local.ravel(), (rows.ravel(), columns.ravel())), shape=(size, size))


class Triangles(Space):
    def __init__(self, mesh, held):
        self.mesh, self.element = mesh, skfem.ElementTriP2()
        basis = skfem.Basis(mesh, self.element, intorder=6)
        self.basis = basis
        values, gradients = self.arrays(basis)
        places = basis.doflocs
        moving = np.ones(basis.N, bool)
        moving[held(places)] = False
        super().__init__(values, gradients, basis.dx, basis.element_dofs.T, moving, places)
        self.points = np.asarray(basis.global_coordinates().value).reshape(2, -1)

    @staticmethod
    def arrays(basis):
        shape = (basis.nelems, basis.Nbfun, basis.X.shape[-1])
        values, gradients = np.zeros(shape), np.zeros((shape[0], shape[1], 2, shape[2]))
        for a in range(basis.Nbfun):
            values[:, a] = np.broadcast_to(basis.basis[a][0].value, (shape[0], shape[2]))
            gradients[:, a] = np.moveaxis(basis.basis[a][0].grad, 0, 1)
        return values, gradients

    def probe(self, place, nodal):
        """Value and gradient of a field at a corner of the mesh, the gradient as the mean over the triangles there."""
        node = int(np.argmin(np.linalg.norm(self.mesh.p - np.array(place)[:, None], axis=0)))
        elements = np.nonzero((self.mesh.t == node).any(axis=0))[0]
        corners = (np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]), np.ones(3))
        basis = skfem.Basis(self.mesh, self.element, elements=elements, quadrature=corners)
        values, gradients = self.arrays(basis)
        away = np.linalg.norm(np.asarray(basis.global_coordinates().value) - np.array(place)[:, None, None], axis=0)
        which = np.argmin(away, axis=1)
        assert away.min(axis=1).max() < 1e-9, "a probe must be a corner of the mesh"
        rows = np.arange(len(elements))
        local = nodal[:, basis.element_dofs.T]
        value = np.einsum("kea,ea->ke", local, values[rows, :, which]).mean(axis=1)
        gradient = np.einsum("kea,ead->kde", local, gradients[rows, :, :, which]).mean(axis=2)
        return value, gradient


class Polynomials(Space):
    """(1 - x^2)(1 - y^2) P_i(x) P_j(y), i and j below `degree`, on [-1, 1]^2, by Gauss's rule."""

    def __init__(self, degree):
        self.degree = degree
        nodes, rule = legendre.leggauss(2 * degree + 6)
        x, y = (m.ravel() for m in np.meshgrid(nodes, nodes, indexing="ij"))
        values, gradients = self.tables(x, y)
        weights = np.outer(rule, rule).ravel()
        numbers = np.arange(degree**2)[None]
        super().__init__(values[None], gradients[None], weights[None], numbers, np.ones(degree**2, bool), None)
        self.points = np.array([x, y])

    def tables(self, x, y):
        def along(t):
            bubble, slope = 1.0 - t**2, -2.0 * t
            plain = [legendre.legval(t, np.eye(self.degree)[i]) for i in range(self.degree)]
            steep = [legendre.legval(t, legendre.legder(np.eye(self.degree)[i])) for i in range(self.degree)]
            f = np.array([bubble * p for p in plain])
            return f, np.array([slope * p + bubble * d for p, d in zip(plain, steep)])

        (fx, dx), (fy, dy) = along(x), along(y)
        pair = lambda p, q: np.einsum("ip,jp->ijp", p, q).reshape(self.degree**2, -1)
        return pair(fx, fy), np.stack([pair(dx, fy), pair(fx, dy)], axis=1)

    def probe(self, place, nodal):
        values, gradients = self.tables(np.array([place[0]]), np.array([place[1]]))
        return nodal @ values[:, 0], np.einsum("ka,ad->kd", nodal, gradients[:, :, 0])


# ------------------------------------------------------------------------------------------ solutions


def settle(space, nodal, state, small=RESIDUAL):
    """Newton's method with a line search on the energy; `state(nodal)` gives energy, vector and matrix."""
    free = np.concatenate([space.free] * len(nodal))
    energy, vector, matrix, size = state(nodal)
    for _ in range(ITERATIONS):
        residual = vector.ravel()[free]
        if np.abs(residual).max() < small * size:
            return nodal
        step = np.zeros(nodal.size)
        step[free] = scipy.sparse.linalg.spsolve(matrix[free][:, free], -residual)
        step = step.reshape(nodal.shape)
        falls = float((vector * step).sum())
        part = 1.0 if falls < 0.0 else -1.0
        while True:
            tried = nodal + part * step
            new = state(tried)
            lower = new[0] <= energy + 1e-4 * part * falls + 1e-13 * abs(energy)
            nearer = np.linalg.norm(new[1].ravel()[free]) < 0.5 * np.linalg.norm(residual)
            if lower or nearer or abs(part) < 1e-6:
                break
            part *= 0.5
        nodal, (energy, vector, matrix, size) = tried, new
    raise RuntimeError(f"Newton did not rest: residual {np.abs(residual).max()} of {size}")


def least_area(space, lift_gradient):
    """Heights above a lift, zero on the edge, for which the surface has the least area. lift_gradient (2, points)."""
    weights = space.weights.ravel()

    def state(nodal):
        gradient = lift_gradient + space.spread(nodal)[0]
        root = np.sqrt(1.0 + (gradient**2).sum(axis=0))
        flux = gradient / root
        moduli = (np.eye(2)[:, :, None] - flux[:, None] * flux[None]) / root
        vector = space.vector(flux[None], [0.0])
        return float((root * weights).sum()), vector, space.matrix(moduli[None, :, None]), 1.0 / space.count

    return settle(space, np.zeros((1, space.count)), state)[0]


class Film:
    """A film on a space: start tangents (3, 2, points), what it is of, and what lies on it."""

    def __init__(self, space, start_tangents, film, pressure, law):
        self.space, self.start_tangents, self.film, self.law = space, start_tangents, film, law
        self.pressure = pressure
        self.start = metric(start_tangents)
        self.growth = np.sqrt(inverse(self.start)[1])

    def state(self, nodal):
        moved = self.space.spread(nodal)
        tangents, strain = self.start_tangents + moved, strain_of(self.start_tangents, moved)
        energy, stress, moduli = law_at(self.law, self.film, self.start, strain)
        first = self.first(moved, stress)
        second = np.einsum("iap,abcdp,jcp->ibjdp", tangents, moduli, tangents, optimize=True)
        second += np.einsum("ij,bdp->ibjdp", np.eye(3), stress)
        loads = [0.0, 0.0, -self.pressure]
        vector = self.space.vector(first, loads)
        weight = self.space.vector(np.zeros_like(first), loads)
        total = float((energy * self.growth * self.space.weights.ravel()).sum()) + float((weight * nodal).sum())
        # Held nodes give the size of a nodal force; polynomials have none, their forces are of the order of the rest.
        forces = np.abs(vector[:, ~self.space.free]) if not self.space.free.all() else self.film[2]
        size = max(np.abs(weight).max(), np.max(forces))
        return total, vector, self.space.matrix(second * self.growth), size

    def first(self, moved, stress=None):
        """Force per plan length on cuts across x and y, (3, 2, points), of displacement gradients."""
        if stress is None:
            stress = law_at(self.law, self.film, self.start, strain_of(self.start_tangents, moved))[1]
        return np.einsum("abp,iap->ibp", stress, self.start_tangents + moved) * self.growth

    def solve(self, guess):
        small = WRINKLED_RESIDUAL if self.law == "wrinkling" else RESIDUAL
        self.nodal = settle(self.space, guess, self.state, small)
        return self

    def extremes(self):
        """Least and greatest over all points of integration: forces per width and stretch less one."""
        moved = self.space.spread(self.nodal)
        stretches, nominal, _, _ = principal(self.law, self.film, self.start_tangents, moved)
        slack = (nominal[1] < 0.0) * self.growth * self.space.weights.ravel()
        return {
            "min_principal_N_per_m": float(nominal.min()),
            "max_principal_N_per_m": float(nominal.max()),
            "max_strain": float(stretches.max() - 1.0),
            "min_strain": float(stretches.min() - 1.0),
            "slack_area_m2": float(slack.sum()),
        }

    def upward_reactions(self):
        """Sum over the held nodes of the vertical force that the edge gives to the film, N."""
        return float(self.state(self.nodal)[1][2][~self.space.free].sum())


def check_law():
    """Stress and moduli against differences of the energy, taut, wrinkled and slack; raises when they do not agree."""
    rng = np.random.default_rng(7)
    film = (35600.0, 0.4, 100.0)
    tangents = np.array([[1.0, 0.0], [0.0, 1.0], [0.3, -0.2]])[:, :, None]
    start = metric(tangents)
    way = rng.standard_normal((2, 2, 1))
    way = 0.5 * (way + way.transpose(1, 0, 2))
    turn = np.array([[0.8, -0.6], [0.6, 0.8]])
    h = 1e-6
    for law, one, two in (
        ("green", 0.03, 0.01),
        ("stretch", 0.03, 0.01),
        ("wrinkling", 0.03, 0.01),
        ("wrinkling", 0.02, -0.03),
        ("wrinkling", -0.02, -0.03),
    ):
        strain = (turn @ np.diag([one, two]) @ turn.T)[:, :, None]
        low, high = (law_at(law, film, start, strain + sign * h * way) for sign in (-1.0, 1.0))
        _, stress, moduli = law_at(law, film, start, strain)
        slope, by_stress = (high[0] - low[0]) / (2.0 * h), np.einsum("abp,abp->p", stress, way)
        assert np.allclose(slope, by_stress, rtol=1e-5, atol=1e-6), (law, one, two, slope, by_stress)
        bend, by_moduli = (high[1] - low[1]) / (2.0 * h), np.einsum("abcdp,cdp->abp", moduli, way)
        assert np.allclose(bend, by_moduli, rtol=1e-5, atol=1e-4), (law, one, two, bend, by_moduli)
