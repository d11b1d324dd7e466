"""How often a kit gets there with parts as they will be read: random units, worked by numpy from the description of the job.

A unit is drawn, its parts are read, the pack is chosen by the readings in the order of choice (verdict, hundredths unless
sure, distance with its slack, fewest shims, distance, looser, thinner), and the true gap is looked at. All sums over packs
are made one by one here, and the probability in band is the distribution function of the doubt in closed form: normal, or
the triangle that two rectangles of one width make. Run with numpy 2.4.6 and scipy 1.17.1; writes as_measured.csv.
"""
import itertools
import os

import numpy as np
from scipy.stats import norm

N = 2_000_000
CONFIDENCE = 0.95


def triangle(half):
    """The distribution function of the sum of two rectangles of half-width `half`."""

    def below(x):
        x = np.clip(x / (2 * half), -1, 1)
        return np.where(x < 0, 0.5 * (1 + x) ** 2, 1 - 0.5 * (1 - x) ** 2)

    return below


def packs(sizes, least, most):
    found = {}
    for count in range(least, most + 1):
        for pack in itertools.combinations_with_replacement(sizes, count):
            t = round(sum(pack), 6)
            found.setdefault(t, count)
    return sorted(found.items())


def run(seed, sd_a, sd_b, mean, low, high, target, kit, below, sd_doubt, errors):
    """`errors(rng)` draws what the space is read wrong by; `below` is the law of the doubt, symmetric."""
    rng = np.random.default_rng(seed)
    space = mean + sd_a * rng.standard_normal(N) - sd_b * rng.standard_normal(N)
    read = space - errors(rng)
    half = (high - low) / 2
    slack = max(sd_doubt / 2, 0.005)
    t = np.array([one for one, _ in kit])
    shims = np.array([count for _, count in kit])
    inside = 0
    for start in range(0, N, 20_000):
        gap = read[start : start + 20_000, None] - t[None, :]
        p = below(high - gap) - below(low - gap)
        rank = np.where(p >= CONFIDENCE, 0, np.where(p <= 1 - CONFIDENCE, 2, 1))
        hundredths = np.where(rank == 0, 100, np.floor(p * 100 + 1e-9)).astype(int)
        klass = rank * 1000 - hundredths
        best = klass.min(axis=1, keepdims=True)
        distance = np.abs(gap - target)
        off = np.where(klass == best, distance, np.inf)
        level = off <= off.min(axis=1, keepdims=True) + slack
        fewest = np.where(level, shims[None, :], 999)
        level &= fewest == fewest.min(axis=1, keepdims=True)
        chosen = np.where(level, distance, np.inf).argmin(axis=1)
        true = space[start : start + 20_000] - t[chosen]
        inside += int(((true >= low) & (true <= high)).sum())
    share = inside / N
    return share, (share * (1 - share) / N) ** 0.5


def uniform(half):
    return lambda rng: rng.uniform(-half, half, N) + rng.uniform(-half, half, N)


def normal(sd):
    return lambda rng: sd * rng.standard_normal(N)


# name, document's parts, and the run. The doubt of the space: a read as often as told with the tool, b alike.
CASES = [
    # One reading each, repeatability 0.01: the space is read to 0.01 x root 2.
    ("scatter", dict(sd_a=0.045, sd_b=0.055, mean=0.85, low=0.20, high=0.30, target=0.25,
                     kit=packs([0.1, 0.2, 0.3, 0.5], 1, 3)), "n", 0.01 * 2**0.5),
    # Two places for a, read twice each, and one reading for b: 0.01 x root(1/4 + 1).
    ("places", dict(sd_a=0.045, sd_b=0.055, mean=0.85, low=0.20, high=0.30, target=0.25,
                    kit=packs([0.1, 0.2, 0.3, 0.5], 1, 3)), "n", 0.01 * (1 / 4 + 1) ** 0.5),
    # A limit of error of 0.02 each: rectangles, their sum a triangle of half-width 0.04.
    ("limit", dict(sd_a=0.045, sd_b=0.055, mean=0.85, low=0.20, high=0.30, target=0.25,
                   kit=packs([0.1, 0.2, 0.3, 0.5], 1, 3)), "t", 0.02),
    # A poor tool on a narrow band: most units cannot be told.
    ("poor", dict(sd_a=0.03, sd_b=0.04, mean=1.36, low=0.10, high=0.16, target=0.14,
                  kit=packs([0.4, 0.6, 0.8], 1, 2)), "n", 0.04 * 2**0.5),
    # Holes, and a zero of 0.05 that both readings share, which cancels: the scatter alone is left.
    ("zero", dict(sd_a=0.10, sd_b=0.10, mean=1.36, low=0.10, high=0.25, target=0.15,
                  kit=packs([0.40, 0.60, 1.00], 1, 2)), "n", 0.01 * 2**0.5),
]


def main():
    lines = ["name,reached_as_measured,standard_error"]
    for seed, (name, job, kind, size) in enumerate(CASES, 11):
        if kind == "n":
            share, error = run(seed, below=lambda x, s=size: norm.cdf(x / s), sd_doubt=size, errors=normal(size), **job)
        else:
            sd = size * (2 / 3) ** 0.5
            share, error = run(seed, below=triangle(size), sd_doubt=sd, errors=uniform(size), **job)
        lines.append(f"{name},{share!r},{error:.3e}")
    with open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "as_measured.csv"), "w") as out:
        out.write("\n".join(lines) + "\n")


main()
