"""Cheapest assignments by scipy.optimize.linear_sum_assignment, for tests/engine/assignment.rs.

Each case is a table of costs, rows by columns; a cost is up to three whole figures of which the first counts, then the
second, then the third. scipy takes one number, so they go in as first * 10**8 + second * 10**4 + third, with the sums of
second and third below 10**4: every number and sum is below 2**53 and exact as a double. `x` is a column that the row may
not have (scipy: infinity).

Run: python3 assignment.py > assignment.csv     (numpy and scipy from PyPI; seed 20261125)
"""

import sys

import numpy
import scipy
from scipy.optimize import linear_sum_assignment

rng = numpy.random.default_rng(20261125)
print(f"# scipy {scipy.__version__}, numpy {numpy.__version__}, Python {sys.version.split()[0]}; made by assignment.py")
print("# name;rows;columns;sum of first, second and third;costs, a row behind the other, figures joined by /")


def case(name, rows, columns, high, forbidden):
    """Prints one case that has an assignment."""
    while True:
        parts = [rng.integers(0, top, size=(rows, columns)) for top in high]
        missing = rng.random((rows, columns)) < forbidden
        cost = (parts[0] * 10**8 + parts[1] * 10**4 + parts[2]).astype(float)
        cost[missing] = numpy.inf
        try:
            row, column = linear_sum_assignment(cost)
        except ValueError:
            continue
        break
    sums = [int(part[row, column].sum()) for part in parts]
    assert sums[1] < 10**4 and sums[2] < 10**4
    cells = [
        "x" if missing[i, j] else "/".join(str(int(part[i, j])) for part in parts)
        for i in range(rows)
        for j in range(columns)
    ]
    print(f"{name};{rows};{columns};{'/'.join(map(str, sums))};{' '.join(cells)}")


for index in range(12):
    size = int(rng.integers(1, 9))
    case(f"square {index + 1}", size, size, (50, 50, 50), 0.0)
for index in range(12):
    rows = int(rng.integers(1, 8))
    case(f"wide {index + 1}", rows, rows + int(rng.integers(0, 9)), (3, 4, 60), 0.0)
for index in range(12):
    rows = int(rng.integers(2, 9))
    case(f"with gaps {index + 1}", rows, rows + int(rng.integers(0, 9)), (2, 2, 100), 0.4)
for index in range(6):
    case(f"ties {index + 1}", 8, 10, (2, 2, 2), 0.2)
case("a large one", 32, 60, (2, 2, 300), 0.1)
