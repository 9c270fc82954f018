"""Prints Cohen's kappa of tables of two observers by scikit-learn, and its
large-sample interval by statsmodels, as JSON.

    python3 agreement.py > agreement.json

The test `agreement` compares; it runs this script when both packages are there.
"""

import json
import random

import numpy
from sklearn.metrics import cohen_kappa_score
from statsmodels.stats.inter_rater import cohens_kappa

# Both yes, first alone, second alone, both not yet.
CHOSEN = [
    [20, 5, 10, 15],
    [15, 5, 10, 70],
    [31, 12, 4, 58],
    [1, 1, 1, 1],
    [1, 0, 1, 1],
    [10, 0, 0, 10],
    [0, 10, 10, 0],
    [1, 9, 9, 1],
    [97, 1, 1, 1],
    [1, 1, 1, 9997],
    [3, 0, 0, 1],
    [45, 15, 25, 15],
    [25, 35, 5, 35],
]


def line(both_yes, first_yes, second_yes, both_not_yet):
    first = [1] * (both_yes + first_yes) + [0] * (second_yes + both_not_yet)
    second = [1] * both_yes + [0] * first_yes + [1] * second_yes + [0] * both_not_yet
    table = numpy.array([[both_yes, first_yes], [second_yes, both_not_yet]])
    result = cohens_kappa(table)
    return json.dumps({
        "pairs": [both_yes, first_yes, second_yes, both_not_yet],
        "sklearn_kappa": float(cohen_kappa_score(first, second)),
        "statsmodels_kappa": float(result.kappa),
        "standard_error": float(result.std_kappa),
        "low": float(result.kappa_low),
        "high": float(result.kappa_upp),
    })  # fmt: skip


def main():
    chance = random.Random(20)
    tables = [*CHOSEN]
    while len(tables) < 60:
        most = chance.choice([4, 20, 200])
        table = [chance.randint(0, most) for _ in range(4)]
        yes = table[0] + table[1], table[0] + table[2]
        if all(0 < count < sum(table) for count in yes):
            tables.append(table)
    print("[\n" + ",\n".join(line(*table) for table in tables) + "\n]")


if __name__ == "__main__":
    main()
