"""Writes cases.csv: readings and sums of two gaps that share parts, an instrument's zero and shims, with the normalised
errors, the best estimates by least squares and the changes of two packs, all worked by numpy from the stated inputs.

    python make.py > cases.csv

The best estimate is worked the long way round: every unknown is a parameter, what is known of it beforehand is an
observation of its own, and the readings of the gaps are more observations; the stacked rows, each divided by its
standard deviation, go to numpy.linalg.lstsq. The engine updates the sum by the weighted difference instead.
The inputs are invented (numpy.random.default_rng(20)); the document that they stand for is in tests/engine/verify.rs.
"""

import sys

import numpy as np

INPUTS = "pocket cluster cover gasket gasket_sd limit_1 zero_1 sd_1 limit_2 zero_2 sd_2 limit_3 sd_3 shim shims ring tolerance found_1 found_2".split()
OUTPUTS = [f"{name}_{k}" for k in (1, 2) for name in ("predicted", "predicted_u", "found_u", "en", "best", "best_u")]
OUTPUTS += ["change_shims", "change_rings"]
TARGETS = np.array([0.10, 0.25])
# Columns: pocket, cluster, cover, gasket, zero 1, zero 2, size error of the shims, size error of the ring, readings.
PARTS = np.array(
    [
        # float = pocket - cluster - shims, both read with instrument 1
        [1.0, -1.0, 0.0, 0.0, 0.0, 0.0, np.nan, 0.0, 0.0, 0.0],
        # end = cover + gasket - cluster / 2 - rings + shims; the cover is read with instrument 2
        [0.0, -0.5, 1.0, 1.0, -0.5, 1.0, np.nan, -1.0, 0.0, 0.0],
    ]
)
# The second gap is read with instrument 2 too, so that its zero is in the reading and in the sum.
READINGS = np.array([[0, 0, 0, 0, 0, 0, 0, 0, 1, 0], [0, 0, 0, 0, 0, 1, 0, 0, 0, 1]], dtype=float)


def work(case):
    c = dict(zip(INPUTS, case))
    box = lambda half: half * half / 3.0
    one, two, three = (box(c[f"limit_{k}"]) + c[f"sd_{k}"] ** 2 for k in (1, 2, 3))
    variances = np.array(
        [one, one, two, c["gasket_sd"] ** 2, box(c["zero_1"]), box(c["zero_2"]), box(c["tolerance"]), box(c["tolerance"]), three, two]
    )
    sums = PARTS.copy()
    sums[0, 6], sums[1, 6] = -c["shims"], c["shims"]
    if c["ring"] == c["shim"]:  # one size of one kit has one error
        sums[:, 6] += sums[:, 7]
        sums[:, 7] = 0.0
    predicted = np.array(
        [
            c["pocket"] - c["cluster"] - c["shims"] * c["shim"],
            c["cover"] + c["gasket"] - c["cluster"] / 2 - c["ring"] + c["shims"] * c["shim"],
        ]
    )
    found = np.array([c["found_1"], c["found_2"]])
    spread = lambda rows: np.sqrt(np.diag(rows @ np.diag(variances) @ rows.T))
    predicted_u, found_u = spread(sums), spread(READINGS)
    en = (found - predicted) / (2 * spread(READINGS - sums))
    agrees = np.abs(en) <= 1
    # The true gap is the sum with its parts' deviations, and it is the reading with the reading's own: what is seen is the
    # difference of the two, S x - R x, with the reading's own error as noise.
    # Unknowns: all columns but the readings' own errors, which are the noise of the observations.
    unknown = np.flatnonzero((variances > 0) & (np.arange(10) < 8))
    prior = np.diag(1 / np.sqrt(variances[unknown]))
    noise = np.sqrt(variances[8:])
    rows, seen = [prior], [np.zeros(len(unknown))]
    for k in np.flatnonzero(agrees):
        rows.append(((sums - READINGS)[k, unknown] / noise[k])[None, :])
        seen.append(np.array([(found - predicted)[k] / noise[k]]))
    stacked = np.vstack(rows)
    estimate = np.linalg.lstsq(stacked, np.concatenate(seen), rcond=None)[0]
    inverse = np.linalg.pinv(stacked)
    best = predicted + sums[:, unknown] @ estimate
    best_u = np.sqrt(np.diag(sums[:, unknown] @ inverse @ inverse.T @ sums[:, unknown].T))
    value = np.where(agrees, best, found)
    change = np.linalg.solve(np.array([[-1.0, 0.0], [1.0, -1.0]]), TARGETS - value)
    out = []
    for k in (0, 1):
        out += [predicted[k], predicted_u[k], found_u[k], en[k], best[k] if agrees[k] else None, best_u[k] if agrees[k] else None]
    return out + list(change)


def main():
    rng = np.random.default_rng(20)
    print(f"# numpy {np.__version__}, Python {sys.version.split()[0]}; written by make.py, invented inputs")
    print(",".join(INPUTS + OUTPUTS))
    for row in range(14):
        shim, ring = (0.30, 0.30) if row % 3 == 0 else (0.30, 0.50)
        shims = 1 + row % 3
        zero = 0.0 if row == 5 else 0.010
        tolerance = 0.0 if row == 7 else 0.010
        case = [60 + rng.uniform(0, 1), 59.0, 40.0, 0.25, 0.012, 0.03, zero, 0.01, 0.01, 0.004, 0.003, 0.009, 0.003, shim, shims, ring, tolerance]
        case[1] = case[0] - 0.15 - shims * shim + rng.normal(0, 0.01)
        case[2] = 0.30 - 0.25 + case[1] / 2 + ring - shims * shim + rng.normal(0, 0.01)
        case[:3] = [round(one, 4) for one in case[:3]]
        predicted = [case[0] - case[1] - shims * shim, case[2] + 0.25 - case[1] / 2 - ring + shims * shim]
        off = {3: (0.09, 0.0), 8: (0.0, -0.12), 11: (0.11, 0.11)}.get(row, (0.0, 0.0))
        case += [round(predicted[k] + rng.normal(0, 0.02) + off[k], 4) for k in (0, 1)]
        texts = ["" if one is None else repr(float(one)) for one in case + work(case)]
        print(",".join(texts))


main()
