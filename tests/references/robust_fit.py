"""Robust fits by statsmodels (RLM, Huber's norm, scale by the median of sizes), for src/num/robust.rs.

pip install statsmodels; python robust_fit.py > robust_fit.json
Made with statsmodels 0.15.0 and numpy 2.4.6. The data are invented, by a seeded generator: `truth` is what they were
made from before slips were put in.
"""

import json

import numpy as np
import statsmodels.api as sm


def case(name, rows, truth, observed, gross):
    norm = sm.robust.norms.HuberT(t=1.345)
    model = sm.RLM(observed, rows, M=norm)
    fit = model.fit(maxiter=5000, tol=1e-14, scale_est="mad", cov="H1", conv="coefs")
    return {
        "name": name,
        "rows": np.asarray(rows).tolist(),
        "observed": np.asarray(observed).tolist(),
        "truth": list(truth),
        "gross": gross,
        "coefficients": fit.params.tolist(),
        "errors": fit.bse.tolist(),
        "scale": float(fit.scale),
        "weights": fit.weights.tolist(),
        "least_squares": sm.OLS(observed, rows).fit().params.tolist(),
    }


def main():
    generator = np.random.default_rng(20261126)
    cases = []

    book = generator.uniform(0.5, 3.0, 24)
    taken = 1.3 * book + generator.normal(0.0, 0.12, 24)
    cases.append(case("through the origin", book[:, None], [1.3], taken, False))
    slips = taken.copy()
    slips[[2, 9, 17]] *= 4.0
    cases.append(case("through the origin, three slips", book[:, None], [1.3], slips, True))

    x = np.column_stack([np.ones(15), np.linspace(0.0, 7.0, 15)])
    y = x @ [0.4, 1.1] + generator.normal(0.0, 0.2, 15)
    cases.append(case("a line", x, [0.4, 1.1], y, False))
    y = y.copy()
    y[11] += 30.0
    y[13] += 60.0
    cases.append(case("a line, two slips near its end", x, [0.4, 1.1], y, True))

    x = np.column_stack([np.ones(30), generator.normal(size=(30, 2))])
    y = x @ [1.0, -2.0, 0.5] + generator.standard_t(2, 30)
    cases.append(case("three columns, heavy tails", x, [1.0, -2.0, 0.5], y, False))

    length = generator.uniform(5.0, 14.0, 60)
    # Columns of very different size.
    x = np.column_stack([np.ones(60), length, length**2, 1e4 * generator.integers(0, 2, 60)])
    truth = [0.5, 0.3, 0.02, 1.5e-4]
    y = x @ truth + generator.normal(0.0, 0.25, 60)
    y[::9] += 40.0
    cases.append(case("four columns of unlike size, seven slips", x, truth, y, True))

    few = np.column_stack([np.ones(4), [1.0, 2.0, 3.0, 5.0]])
    cases.append(case("four rows, two columns", few, [0.0, 1.0], np.array([1.1, 1.9, 3.2, 4.9]), False))

    # Four in ten are slips to one side.
    x = np.column_stack([np.ones(50), generator.uniform(0.0, 10.0, 50)])
    y = x @ [3.0, -0.7] + generator.normal(0.0, 0.3, 50)
    y[:20] += generator.uniform(5.0, 9.0, 20)
    cases.append(case("many slips to one side", x, [3.0, -0.7], y, False))

    print(json.dumps(cases))


main()
