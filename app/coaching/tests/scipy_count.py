"""Makes count_table.json, the numbers that count.rs is checked against.

Source: SciPy's tmean and tstd (divided by n - 1) on NumPy float64 arrays; each
row is also held against exact fractions here, so that the table is not just
another rounding. Run it in a venv with numpy and scipy, in this folder:

    python scipy_count.py > count_table.json
"""

import json
import math
from fractions import Fraction

import numpy
import scipy
from scipy import stats

random = numpy.random.default_rng(20250101)


def plain(values):
    return [float(value) for value in values]


SETS = {
    # name: (counts in seconds, relative tolerance that the arithmetic allows)
    "two alike": ([1.5, 1.5], 1e-12),
    "two apart": ([1.2, 1.8], 1e-12),
    "five of one drill": ([1.42, 1.38, 1.45, 1.40, 1.41], 1e-12),
    "the whole range": ([0.2, 6.0, 0.2, 6.0, 3.1], 1e-12),
    "a round of ten": (plain(numpy.round(random.normal(1.6, 0.08, 10), 6)), 1e-12),
    "a season of 400": (plain(numpy.round(random.normal(1.4, 0.1, 400), 6)), 1e-12),
    # The textbook way (sum of squares less square of sum) has no digit right in
    # these: no count looks like it, but no spread may come out wrong for it.
    "nanoseconds apart": (plain(1.5 + 1e-9 * random.normal(0.0, 1.0, 50)), 1e-6),
    "far from zero": ([1e7 + 0.1 * (place % 3) for place in range(301)], 1e-6),
}


def exact_sd(values):
    values = [Fraction(value) for value in values]
    mean = sum(values) / len(values)
    variance = sum((value - mean) ** 2 for value in values) / (len(values) - 1)
    return math.sqrt(variance)


rows = []
for name, (counts_s, relative) in SETS.items():
    array = numpy.array(counts_s)
    mean_s, sd_s = float(stats.tmean(array)), float(stats.tstd(array))
    assert math.isclose(sd_s, exact_sd(counts_s), rel_tol=relative, abs_tol=1e-15), name
    rows.append(
        dict(name=name, counts_s=counts_s, relative=relative, n=len(array), mean_s=mean_s, sd_s=sd_s)
    )

made_by = f"scipy_count.py with SciPy {scipy.__version__}, NumPy {numpy.__version__}"
print(json.dumps({"made_by": made_by, "sets": rows}, indent=1))
