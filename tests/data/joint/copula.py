"""Product-moment correlations of two laws that are quantiles of correlated standard normal variables.

Each is a double integral over the plane of the normal variables, cut at their zeros (where the laws have their kinks, all
of them being symmetric): Gauss-Legendre rules of 60 points on panels, numpy only; scipy's normal distribution function.
The engine solves the other way round and by a series.

    python copula.py > copula.csv
"""

import sys

import numpy as np
import scipy
from scipy.special import ndtr

FAR = 8.2
POINTS, WEIGHTS = np.polynomial.legendre.leggauss(60)


def axis():
    """Points and weights over [-FAR, FAR], with the density of a standard normal variable in the weights."""
    cuts = np.concatenate([-np.geomspace(FAR, 0.25, 8), [0.0], np.geomspace(0.25, FAR, 8)])
    x, w = [], []
    for a, b in zip(cuts, cuts[1:]):
        x.append((a + b) / 2 + (b - a) / 2 * POINTS)
        w.append((b - a) / 2 * WEIGHTS)
    x, w = np.concatenate(x), np.concatenate(w)
    return x, w * np.exp(-x * x / 2) / np.sqrt(2 * np.pi)


def normal(z):
    return z


def rectangular(z):
    return np.sqrt(12.0) * (ndtr(z) - 0.5)


def triangular(z):
    # On [-1, 1] the distribution function is (1 + x)^2 / 2 below zero; the variance is 1/6.
    tail = ndtr(-np.abs(z))
    return np.sign(z) * (1 - np.sqrt(2 * tail)) * np.sqrt(6.0)


LAWS = {"normal": normal, "rectangular": rectangular, "triangular": triangular}
PAIRS = [("normal", "rectangular"), ("normal", "triangular"), ("rectangular", "rectangular"),
         ("rectangular", "triangular"), ("triangular", "triangular")]

x, w = axis()
print(f"# numpy {np.__version__}, scipy {scipy.__version__}, Python {sys.version.split()[0]}")
print("first,second,normal_correlation,correlation")
for one, other in PAIRS:
    f, g = LAWS[one], LAWS[other]
    for rho in (-0.95, -0.6, -0.2, 0.05, 0.3, 0.5, 0.75, 0.9, 0.97):
        # E f(X) g(Y) = E f(X) E[g(Y) | X]; Y = rho X + root Z, cut where Y is zero.
        root = np.sqrt(1 - rho * rho)
        total = 0.0
        for z, weight in zip(x, w):
            middle = -rho * z / root
            inner = 0.0
            cuts = np.unique(np.concatenate([np.clip(middle + np.arange(-17, 18), -FAR, FAR), [-FAR, FAR]]))
            for a, b in zip(cuts, cuts[1:]):
                t = (a + b) / 2 + (b - a) / 2 * POINTS
                inner += np.sum((b - a) / 2 * WEIGHTS * np.exp(-t * t / 2) / np.sqrt(2 * np.pi) * g(rho * z + root * t))
            total += weight * f(z) * inner
        print(f"{one},{other},{rho},{total:.12f}")
