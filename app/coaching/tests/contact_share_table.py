"""Makes contact_share_table.json, what contact_share.rs and challenge.rs are checked
against.

Source: statsmodels' proportion_confint (method "wilson") and
confint_proportions_2indep (compare "diff", method "newcomb"), and SciPy's
beta.ppf for Jeffreys' posterior. Run it in a venv with numpy, scipy and
statsmodels, in this folder:

    python contact_share_table.py > contact_share_table.json
"""

import json

import scipy
import statsmodels
from scipy.stats import beta
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

SHARES = [
    (0, 1), (1, 1), (0, 20), (20, 20), (1, 29), (7, 12), (9, 10), (10, 20), (15, 148),
    (3, 40), (81, 263), (199, 200), (500, 1000), (1, 5000), (2500, 5000),
]
PAIRS = [
    ((56, 70), (48, 80)), ((9, 10), (3, 10)), ((6, 7), (2, 7)), ((5, 56), (0, 29)),
    ((0, 10), (0, 20)), ((10, 10), (0, 20)), ((20, 20), (20, 20)), ((12, 30), (25, 90)),
    ((1, 25), (30, 60)), ((250, 300), (60, 200)),
]

shares = []
for count, n in SHARES:
    low, high = proportion_confint(count, n, 0.05, method="wilson")
    a, b = count + 0.5, n - count + 0.5
    shares.append(
        dict(count=count, n=n, low=float(low), high=float(high),
             mean=float(beta.mean(a, b)),
             beta_low=float(beta.ppf(0.025, a, b)), beta_high=float(beta.ppf(0.975, a, b)))
    )

pairs = []
for (one, n_one), (two, n_two) in PAIRS:
    low, high = confint_proportions_2indep(one, n_one, two, n_two, compare="diff", method="newcomb")
    pairs.append(dict(one=one, n_one=n_one, two=two, n_two=n_two, low=float(low), high=float(high)))

made_by = f"contact_share_table.py with statsmodels {statsmodels.__version__}, SciPy {scipy.__version__}"
print(json.dumps({"made_by": made_by, "shares": shares, "pairs": pairs}, indent=1))
