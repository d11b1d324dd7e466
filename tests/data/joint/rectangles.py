"""Rectangle probabilities of the standard bivariate normal law, to 20 digits.

Each is four lower quadrants, L(h, k) = Phi(h) Phi(k) + (1/2 pi) times the integral over the angle from 0 to asin(rho) of
exp(-(h^2 + k^2 - 2 h k sin a) / (2 cos^2 a)); H. Ruben's and R. L. Plackett's identity, another way than the engine's.
Beside each stands what scipy makes of it (an independent program, good to about 1e-8 by its own statement).

    python rectangles.py > rectangles.csv
"""

import sys

import mpmath
import numpy
import scipy
from mpmath import mp, mpf
from scipy.stats import multivariate_normal

mp.dps = 60

CORRELATIONS = ["-0.999999", "-0.99", "-0.8", "-0.35", "0.001", "0.2", "0.5", "0.75", "0.925", "0.9999", "0.999999999"]
RECTANGLES = [
    ("-1", "1", "-1", "1"),
    ("-2.5", "0.7", "-0.4", "3"),
    ("-inf", "-1.3", "-inf", "-1.2"),
    ("0.5", "2.1", "-inf", "0.5"),
    ("-0.2", "inf", "-4", "1.9"),
    ("1.5", "3.5", "1.4", "6"),
    ("-3", "3", "-3", "3"),
    ("4", "inf", "4", "inf"),
]


def lower(h, k, rho):
    if h == mp.ninf or k == mp.ninf:
        return mpf(0)
    if h == mp.inf:
        return mp.ncdf(k)
    if k == mp.inf:
        return mp.ncdf(h)
    end = mp.asin(rho)
    # Near |rho| = 1 the integrand changes within cos of the end, so the panels get shorter towards it.
    cuts = [end * (1 - mpf(2) ** -n) for n in range(0, 40)] + [end]

    def f(a):
        return mp.exp(-(h * h + k * k - 2 * h * k * mp.sin(a)) / (2 * mp.cos(a) ** 2))

    return mp.ncdf(h) * mp.ncdf(k) + mp.quad(f, cuts) / (2 * mp.pi)


print(f"# mpmath {mpmath.__version__} at {mp.dps} digits, scipy {scipy.__version__}, numpy {numpy.__version__},"
      f" Python {sys.version.split()[0]}")
print("correlation,root,x_low,x_high,y_low,y_high,probability,scipy")
for text in CORRELATIONS:
    # The double nearest to the figure is what the engine is given.
    rho = mpf(float(text))
    root = mp.sqrt((1 - rho) * (1 + rho))
    for ends in RECTANGLES:
        a, b, c, d = (mpf(float(end)) for end in ends)
        p = lower(b, d, rho) - lower(a, d, rho) - lower(b, c, rho) + lower(a, c, rho)
        law = multivariate_normal(cov=[[1, float(rho)], [float(rho), 1]], allow_singular=True, abseps=1e-10, releps=1e-10)
        q = law.cdf([float(b), float(d)], lower_limit=[float(a), float(c)])
        print(",".join([text, mp.nstr(root, 20), *ends, mp.nstr(p, 20), f"{q:.10f}"]))
