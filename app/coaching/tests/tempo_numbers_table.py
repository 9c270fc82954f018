"""Makes tempo_numbers_table.json, the numbers that tempo_numbers.rs is checked
against.

Source: SciPy's t.interval, variation, ttest_ind(equal_var=False) and linregress;
statsmodels' ttost_ind(usevar='unequal') and robust.mad. Run it in a venv with
numpy, scipy and statsmodels, in this folder:

    python tempo_numbers_table.py > tempo_numbers_table.json
"""

import json

import numpy
import scipy
import statsmodels
from scipy import stats
from statsmodels.robust.scale import mad
from statsmodels.stats.weightstats import ttost_ind

random = numpy.random.default_rng(20250103)


def made(mean_s, sd_s, n):
    return [float(count) for count in numpy.round(random.normal(mean_s, sd_s, n), 6)]


SETS = [
    [1.42, 1.38, 1.45, 1.40, 1.41],
    [1.42, 1.38, 1.45, 1.40, 2.41, 1.39, 1.44],
    [1.4, 1.4, 1.4, 1.4, 1.4, 1.8, 1.4, 1.41],
    made(1.6, 0.02, 10),
    made(1.2, 0.2, 40),
    made(2.6, 0.4, 6) + [0.3],
]


def far_off(counts):
    counts = numpy.array(counts)
    distance = abs(counts - numpy.median(counts))
    scale = mad(counts)
    if scale == 0:
        scale = 1.2533 * distance.mean()
    return [int(place) for place in numpy.flatnonzero(distance > 3.5 * scale)]


sets = []
for counts in SETS:
    low, high = stats.t.interval(
        0.95, len(counts) - 1, loc=numpy.mean(counts), scale=stats.sem(counts)
    )
    sets.append(
        dict(
            counts_s=counts,
            variation=float(stats.variation(counts, ddof=1)),
            low_s=float(low),
            high_s=float(high),
            far_off=far_off(counts),
        )
    )

PAIRS = [
    (made(1.4, 0.05, 5), made(1.4, 0.05, 5), 0.1),
    (made(1.4, 0.03, 12), made(1.42, 0.06, 9), 0.1),
    (made(1.4, 0.1, 8), made(1.7, 0.02, 20), 0.1),
    (made(1.4, 0.04, 10), made(1.52, 0.05, 10), 0.1),
    (made(1.4, 0.3, 6), made(1.5, 0.2, 5), 0.05),
    (made(1.9, 0.05, 40), made(1.93, 0.15, 30), 0.1),
    (made(2.0, 0.05, 15), [1.9] * 5, 0.2),
]

pairs = []
for earlier, later, band_s in PAIRS:
    test = stats.ttest_ind(later, earlier, equal_var=False)
    within_95, within_90 = test.confidence_interval(0.95), test.confidence_interval(0.90)
    p, _, _ = ttost_ind(
        numpy.array(later), numpy.array(earlier), -band_s, band_s, usevar="unequal"
    )
    pairs.append(
        dict(
            earlier_s=earlier,
            later_s=later,
            band_s=band_s,
            freedom=float(test.df),
            low_95_s=float(within_95.low),
            high_95_s=float(within_95.high),
            low_90_s=float(within_90.low),
            high_90_s=float(within_90.high),
            p_difference=float(test.pvalue),
            p_same=float(p),
        )
    )

trends = []
for means, sd_s in [
    ([1.4, 1.45, 1.5, 1.55], 0.03),
    ([1.4, 1.41, 1.39, 1.4, 1.42, 1.38], 0.05),
    ([2.0, 1.9, 1.85, 1.8, 1.7, 1.7, 1.6, 1.5], 0.1),
]:
    counts = [made(mean_s, sd_s, 5 + place % 4) for place, mean_s in enumerate(means)]
    line = stats.linregress(range(len(counts)), [numpy.mean(one) for one in counts])
    half = float(stats.t.ppf(0.975, len(counts) - 2)) * float(line.stderr)
    trends.append(
        dict(
            sets_s=counts,
            slope_s=float(line.slope),
            low_s=float(line.slope) - half,
            high_s=float(line.slope) + half,
        )
    )

made_by = (
    f"tempo_numbers_table.py with SciPy {scipy.__version__}, "
    f"statsmodels {statsmodels.__version__}, NumPy {numpy.__version__}"
)
print(json.dumps(dict(made_by=made_by, sets=sets, pairs=pairs, trends=trends)).replace("}, {", "},\n {"))
