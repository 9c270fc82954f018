"""Makes statistics_table.json, the numbers that statistics.rs is checked against.

Source: SciPy's gammaln, betainc, betaincinv, stdtr, stdtrit and ndtri. Run it
in a venv with numpy and scipy, in this folder:

    python scipy_statistics.py > statistics_table.json
"""

import json

import numpy
import scipy
from scipy import special, stats

xs = [1e-8, 0.1, 0.4999, 0.5, 0.9, 1.0, 1.5, 2.0, 2.5, 3.0, 7.25, 20.0, 171.0, 1234.5, 1e6]
ln_gamma = [[x, float(special.gammaln(x))] for x in xs]

shapes = [(0.5, 0.5), (1, 1), (0.5, 8), (3, 2.5), (11, 31), (0.05, 4), (200, 0.5), (500.5, 700.5), (5000, 9000), (10000, 0.5)]
beta_cdf = []
for a, b in shapes:
    for x in [1e-9, 0.003, 0.2, 0.357, 0.5, 0.83, 0.999]:
        below = float(special.betainc(a, b, x))
        if below > 1e-250:
            beta_cdf.append([x, a, b, below])

beta_quantile = []
for a, b in shapes:
    for p in [1e-6, 0.025, 0.05, 0.5, 0.8, 0.975]:
        x = float(stats.beta.ppf(p, a, b))
        # Near 1 the table itself has lost the digits that matter, and at the
        # bottom of the numbers there are none.
        if 1e-250 < x < 1 - 1e-9:
            beta_quantile.append([p, a, b, x])

freedoms = [0.7, 1, 2, 3.37, 8, 9.5, 29, 120, 998.25, 20000]
t_cdf = [
    [t, df, float(stats.t.cdf(t, df))]
    for df in freedoms
    for t in [-40.0, -3.2, -1.0, -0.01, 0.0, 0.3, 2.0, 5.5]
]
t_quantile = [
    [p, df, float(stats.t.ppf(p, df))]
    for df in freedoms
    for p in [1e-9, 0.001, 0.025, 0.05, 0.3, 0.5, 0.7, 0.95, 0.975, 0.999]
]
ps = [1e-300, 1e-20, 1e-9, 0.001, 0.025, 0.074, 0.076, 0.3, 0.5, 0.6, 0.925, 0.975, 0.9999]
normal_quantile = [[p, float(special.ndtri(p))] for p in ps]

print(
    json.dumps(
        {
            "made_by": f"scipy_statistics.py with SciPy {scipy.__version__}, NumPy {numpy.__version__}",
            "ln_gamma": ln_gamma,
            "beta_cdf": beta_cdf,
            "beta_quantile": beta_quantile,
            "t_cdf": t_cdf,
            "t_quantile": t_quantile,
            "normal_quantile": normal_quantile,
        },
    ).replace("], [", "],\n [")
)
