#!/usr/bin/env python3
"""Check values for the repeat statistics from pingouin 0.7.0 and scipy 1.17.1:

    pip install pingouin==0.7.0 scipy==1.17.1
    python3 reference.py > reference.json

The readings are invented: teeth, observers and noise drawn with numpy's default generator.
"""

import json

import numpy as np
import pandas as pd
import pingouin
import scipy
from scipy import stats

pingouin.options["round.column.CI95"] = None


def intraclass(rows):
    n, k = rows.shape
    long = pd.DataFrame(
        [(tooth, column, rows[tooth, column]) for tooth in range(n) for column in range(k)],
        columns=["tooth", "column", "reading"],
    )
    table = pingouin.intraclass_corr(long, "tooth", "column", "reading")
    return {
        row["Type"]: {"value": row["ICC"], "F": row["F"], "interval": [float(end) for end in row["CI95"]]}
        for row in table.to_dict("records")
    }


def columns_of(rows):
    first, second = rows[:, 0], rows[:, 1]
    differences = first - second
    n = len(differences)
    bias = stats.ttest_1samp(differences, 0.0).confidence_interval(0.95)
    return {
        "bias": float(differences.mean()),
        "bias_interval": [float(bias.low), float(bias.high)],
        "sd": float(differences.std(ddof=1)),
        "pearson": float(stats.pearsonr(first, second).statistic),
        "n": n,
    }


def main():
    draw = np.random.default_rng(20_261_125)
    tables = []
    for n, k, between, within, bias in [(8, 3, 1.5, 0.4, 0.3), (30, 2, 0.8, 0.3, 0.0), (5, 5, 0.2, 0.6, 0.1), (250, 2, 2.0, 0.2, -0.1)]:
        teeth = draw.normal(9.0, between, (n, 1))
        observers = draw.normal(0.0, 1.0, (1, k)) * bias
        rows = np.round(teeth + observers + draw.normal(0.0, within, (n, k)), 3)
        tables.append({"rows": rows.tolist(), "intraclass": intraclass(rows), "first_two_columns": columns_of(rows)})
    versions = {"pingouin": pingouin.__version__, "scipy": scipy.__version__, "numpy": np.__version__, "pandas": pd.__version__}
    print(json.dumps({"versions": versions, "tables": tables}))


if __name__ == "__main__":
    main()
