"""Robust fits by statsmodels (RLM, Huber's norm, scale by the median of sizes), for src/num/robust.rs.

pip install statsmodels; python robust_fit.py > robust_fit.json
The data are invented, by a seeded generator.
"""

import json

import numpy as np
import statsmodels.api as sm


def case(name, rows, observed):
    norm = sm.robust.norms.HuberT(t=1.345)
    model = sm.RLM(observed, rows, M=norm)
    fit = model.fit(maxiter=2000, tol=1e-14, scale_est="mad", cov="H1", conv="coefs")
    return {
        "name": name,
        "rows": np.asarray(rows).tolist(),
        "observed": np.asarray(observed).tolist(),
        "coefficients": fit.params.tolist(),
        "errors": fit.bse.tolist(),
        "scale": float(fit.scale),
        "least_squares": sm.OLS(observed, rows).fit().params.tolist(),
    }


def main():
    generator = np.random.default_rng(20261126)
    cases = []
    book = generator.uniform(0.5, 3.0, 24)
    taken = 1.3 * book + generator.normal(0.0, 0.12, 24)
    cases.append(case("through the origin", book[:, None], taken))
    slips = taken.copy()
    slips[[2, 9, 17]] *= 4.0
    cases.append(case("through the origin, outliers", book[:, None], slips))
    x = np.column_stack([np.ones(15), np.linspace(0.0, 7.0, 15)])
    y = x @ [0.4, 1.1] + generator.normal(0.0, 0.2, 15)
    cases.append(case("a line", x, y))
    y = y.copy()
    y[13:] -= 9.0
    cases.append(case("a line, outliers at its end", x, y))
    x = np.column_stack([np.ones(30), generator.normal(size=(30, 2))])
    y = x @ [1.0, -2.0, 0.5] + generator.standard_t(2, 30)
    cases.append(case("two columns, heavy tails", x, y))
    print(json.dumps(cases, indent=1))


main()
