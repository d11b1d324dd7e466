"""The sizes that serve most of a population, and how many to keep: coverage by scipy's mixed-integer solver, and quantities
for one size by the binomial law.

Coverage: the line of spaces is cut at every end of a window; a cell counts where a chosen window covers it, and at most K
windows are chosen. One shim a pack, the space normal. Run with scipy 1.17.1 and numpy 2.4.6; writes coverage.csv and
quantities.csv.
"""
import os

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.stats import binom, norm

HERE = os.path.dirname(os.path.abspath(__file__))

# mean, sd, low, high of the band, first and last candidate and step (um), K.
COVERAGE = [
    (0.85, 0.071, 0.20, 0.30, 400, 900, 20, 2),
    (0.85, 0.071, 0.20, 0.30, 400, 900, 20, 3),
    (0.85, 0.20, 0.20, 0.26, 300, 1000, 25, 5),
    (1.50, 0.30, 0.05, 0.12, 600, 2400, 30, 8),
    (2.00, 0.10, 0.00, 0.04, 1700, 2200, 10, 4),
    (0.60, 0.25, 0.10, 0.30, 100, 700, 50, 1),
]

# mean, sd, low, high, the one size, builds, service.
QUANTITIES = [
    (0.85, 0.071, 0.20, 0.30, 0.60, 40, 0.95),
    (0.85, 0.071, 0.20, 0.30, 0.60, 40, 0.99),
    (0.85, 0.071, 0.20, 0.30, 0.70, 25, 0.90),
    (0.85, 0.071, 0.10, 0.40, 0.60, 12, 0.95),
]


def coverage(mean, sd, low, high, first, last, step, most):
    sizes = np.arange(first, last + 1, step) / 1000
    ends = np.unique(np.round(np.concatenate([sizes + low, sizes + high]), 9))
    cells = norm.cdf(ends[1:], mean, sd) - norm.cdf(ends[:-1], mean, sd)
    middle = (ends[1:] + ends[:-1]) / 2
    covers = (sizes[None, :] + low < middle[:, None]) & (middle[:, None] < sizes[None, :] + high)
    n, m = len(sizes), len(cells)
    # Choose x of the sizes; y says that a cell is covered: y <= sum of the x that cover it.
    objective = np.concatenate([np.zeros(n), -cells])
    covered = LinearConstraint(np.hstack([-covers.astype(float), np.eye(m)]), -np.inf, 0)
    few = LinearConstraint(np.concatenate([np.ones(n), np.zeros(m)])[None, :], 0, most)
    found = milp(objective, constraints=[covered, few], integrality=np.concatenate([np.ones(n), np.zeros(m)]),
                 bounds=Bounds(0, 1), options={"mip_rel_gap": 1e-12})
    chosen = found.x[:n] > 0.5
    return float(cells[(covers & chosen[None, :]).any(axis=1)].sum())


def main():
    with open(os.path.join(HERE, "coverage.csv"), "w") as out:
        out.write("mean,sd,low,high,first_um,last_um,step_um,most,reached\n")
        for case in COVERAGE:
            out.write(",".join(map(str, case)) + f",{coverage(*case)!r}\n")
    with open(os.path.join(HERE, "quantities.csv"), "w") as out:
        out.write("mean,sd,low,high,size,builds,service,quantity,service_there,service_one_fewer,use_per_100\n")
        for mean, sd, low, high, size, builds, service in QUANTITIES:
            p = norm.cdf(size + high, mean, sd) - norm.cdf(size + low, mean, sd)
            quantity = int(binom.ppf(service, builds, p))
            there, fewer = binom.cdf(quantity, builds, p), binom.cdf(quantity - 1, builds, p)
            out.write(f"{mean},{sd},{low},{high},{size},{builds},{service},{quantity},{float(there)!r},{float(fewer)!r},{float(100 * p)!r}\n")


main()
