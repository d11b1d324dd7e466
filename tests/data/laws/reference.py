"""Reference values for the laws and for mixed stacks, to 40 digits; the tables beside this file are its output.

Each law is written down here from its definition, in mpmath, by other ways than the engine's: the characteristic functions
are closed forms or Kummer's function of complex argument, quantiles are found by bisection. Every distribution function is
checked against scipy as it is written (1e-9). Figures are taken as the doubles that a program reads, exactly.

    python -m venv /tmp/v && /tmp/v/bin/pip install mpmath==1.4.1 scipy==1.17.1 numpy==2.4.6
    /tmp/v/bin/python reference.py laws > laws.csv
    /tmp/v/bin/python reference.py stacks > stacks.csv
"""

import sys

from mpmath import (betainc, besselj, besselk, beta, erfc, exp, expj, gamma, hyp1f1, inf, log, mp, mpc, mpf, nstr, pi, quad,
                    sqrt)
from scipy import stats

mp.dps = 40


def f(x):
    return mpf(float(x))


def Phi(z):
    return erfc(-z / sqrt(2)) / 2


class Law:
    """low, high: limits or None; middle: what the characteristic function is about."""

    low = high = None

    def above(self, x):
        return 1 - self.below(x)


class Normal(Law):
    def __init__(self, mean, sd):
        self.mean, self.sd, self.var = f(mean), f(sd), f(sd) ** 2
        self.middle, self.scale = self.mean, self.sd
        self.scipy = stats.norm(mean, sd)

    def below(self, x):
        return Phi((x - self.mean) / self.sd)

    def above(self, x):
        return Phi((self.mean - x) / self.sd)

    def cf(self, t):
        return exp(-(self.sd * t) ** 2 / 2)


class Pieces(Law):
    """A density of straight pieces between low ≤ first ≤ second ≤ high."""

    def __init__(self, low, first, second, high):
        self.low, self.first, self.second, self.high = map(f, (low, first, second, high))
        w = self.high - self.low
        self.middle, self.scale = (self.low + self.high) / 2, w / 2
        self.peak = 2 / (w + self.second - self.first)
        moment = lambda k: quad(lambda x: (x - self.middle) ** k * self.density(x), self.corners())
        self.mean = self.middle + moment(1)
        self.var = moment(2) - moment(1) ** 2
        self.scipy = stats.trapezoid(float((self.first - self.low) / w), float((self.second - self.low) / w),
                                     low, high - low)

    def corners(self):
        return sorted({self.low, self.first, self.second, self.high})

    def density(self, x):
        if x < self.first:
            return self.peak * (x - self.low) / (self.first - self.low)
        if x > self.second:
            return self.peak * (self.high - x) / (self.high - self.second)
        return self.peak

    def below(self, x):
        x = min(max(x, self.low), self.high)
        if x < self.first:
            return self.peak * (x - self.low) ** 2 / (self.first - self.low) / 2
        if x > self.second:
            return 1 - self.above(x)
        return self.peak * ((self.first - self.low) / 2 + x - self.first)

    def above(self, x):
        x = min(max(x, self.low), self.high)
        if x > self.second:
            return self.peak * (self.high - x) ** 2 / (self.high - self.second) / 2
        return 1 - self.below(x)

    def cf(self, t):
        # By parts, twice: jumps of the density over it, kinks over −t².
        total = mpc(0)
        slopes = [(self.low, mpf(0)), (self.first, mpf(0)), (self.second, mpf(0)), (self.high, mpf(0))]
        place = lambda x: expj(t * (x - self.middle))
        rise, drop = self.first - self.low, self.high - self.second
        total += -(0 if rise else self.peak) * place(self.low) + (0 if drop else self.peak) * place(self.high)
        total /= mpc(0, 1) * t
        for at, kink in ((self.low, self.peak / rise if rise else 0), (self.first, -self.peak / rise if rise else 0),
                         (self.second, -self.peak / drop if drop else 0), (self.high, self.peak / drop if drop else 0)):
            total -= kink * place(at) / t ** 2
        return total


class Arcsine(Law):
    def __init__(self, low, high):
        self.low, self.high = f(low), f(high)
        self.middle = self.mean = (self.low + self.high) / 2
        self.scale = (self.high - self.low) / 2
        self.var = self.scale ** 2 / 2
        self.scipy = stats.arcsine(low, high - low)

    def below(self, x):
        return mp.acos(-(x - self.middle) / self.scale) / pi

    def above(self, x):
        return mp.acos((x - self.middle) / self.scale) / pi

    def cf(self, t):
        return besselj(0, self.scale * t)


class TruncatedNormal(Law):
    def __init__(self, mean, sd, low, high):
        self.m, self.s, self.low, self.high = map(f, (mean, sd, low, high))
        self.a, self.b = (self.low - self.m) / self.s, (self.high - self.m) / self.s
        self.middle, self.scale = (self.low + self.high) / 2, (self.high - self.low) / 2
        mp.dps = 80
        self.mass = self.between(self.a, self.b)
        dens = lambda z: exp(-z * z / 2) / sqrt(2 * pi)
        first = (dens(self.a) - dens(self.b)) / self.mass
        second = 1 + (self.a * dens(self.a) - self.b * dens(self.b)) / self.mass
        self.mean, self.var = self.m + self.s * first, self.s ** 2 * (second - first ** 2)
        mp.dps = 40
        self.scipy = stats.truncnorm(float(self.a), float(self.b), mean, sd)

    @staticmethod
    def between(a, b):
        return Phi(-a) - Phi(-b) if a > 0 else Phi(b) - Phi(a)

    def below(self, x):
        return self.between(self.a, (x - self.m) / self.s) / self.mass

    def above(self, x):
        return self.between((x - self.m) / self.s, self.b) / self.mass

    def cf(self, t):
        # Plain quadrature, a few pieces a turn, over what holds all but 1e-50.
        mode = min(max(mpf(0), self.a), self.b)
        far = sqrt(mode ** 2 + 230)
        low, high = max(self.a, -far), min(self.b, far)
        count = 8 + int(abs(self.s * t) * (high - low) / 3)
        points = [low + (high - low) * mpf(k) / count for k in range(count + 1)]
        wave = lambda z: exp(-z * z / 2) * expj(self.s * t * z)
        value = mp.quadgl(wave, points, maxdegree=5) / sqrt(2 * pi) / self.between(self.a, self.b)
        return value * expj(t * (self.m - self.middle))


class Beta(Law):
    def __init__(self, a, b, low, high):
        self.a, self.b, self.low, self.high = map(f, (a, b, low, high))
        w, n = self.high - self.low, self.a + self.b
        self.middle, self.scale = (self.low + self.high) / 2, w / 2
        self.mean = self.low + w * self.a / n
        self.var = w ** 2 * self.a * self.b / n ** 2 / (n + 1)
        self.scipy = stats.beta(a, b, low, high - low)

    def below(self, x):
        return betainc(self.a, self.b, 0, (x - self.low) / (self.high - self.low), regularized=True)

    def above(self, x):
        return betainc(self.b, self.a, 0, (self.high - x) / (self.high - self.low), regularized=True)

    def cf(self, t):
        return hyp1f1(self.a, self.a + self.b, mpc(0, 2 * self.scale * t)) * expj(-self.scale * t)


class StudentT(Law):
    def __init__(self, mean, scale, freedom):
        self.m, self.s, self.v = f(mean), f(scale), f(freedom)
        self.middle, self.scale = self.m, self.s
        self.mean = self.m if self.v > 1 else None
        self.var = self.s ** 2 * self.v / (self.v - 2) if self.v > 2 else None
        self.scipy = stats.t(freedom, mean, scale)

    def below(self, x):
        return self.above(2 * self.m - x)

    def above(self, x):
        z = (x - self.m) / self.s
        half = betainc(self.v / 2, mpf(1) / 2, 0, self.v / (self.v + z * z), regularized=True) / 2
        return half if z > 0 else 1 - half

    def cf(self, t):
        z = sqrt(self.v) * abs(self.s * t)
        return besselk(self.v / 2, z) * z ** (self.v / 2) / gamma(self.v / 2) / 2 ** (self.v / 2 - 1)


LAWS = [
    ("normal", Normal, (20, 0.01)),
    ("normal", Normal, (-0.1, 0.2)),
    ("rectangular", lambda a, b: Pieces(a, a, b, b), (4.97, 5.03)),
    ("rectangular", lambda a, b: Pieces(a, a, b, b), (9.5e-6, 13.5e-6)),
    ("triangular", lambda a, m, b: Pieces(a, m, m, b), (2.96, 3.0, 3.05)),
    ("triangular", lambda a, m, b: Pieces(a, m, m, b), (0, 0, 1)),
    ("triangular", lambda a, m, b: Pieces(a, m, m, b), (-2, 1, 1)),
    ("triangular", lambda a, m, b: Pieces(a, m, m, b), (0, 0.001, 1)),
    ("trapezoidal", Pieces, (5.96, 5.98, 6.02, 6.04)),
    ("trapezoidal", Pieces, (5.96, 5.97, 6.02, 6.04)),
    ("trapezoidal", Pieces, (0, 0, 1, 3)),
    ("arcsine", Arcsine, (-0.5, 0.5)),
    ("arcsine", Arcsine, (3.98, 4.02)),
    ("truncated normal", TruncatedNormal, (1.5, 0.015, 1.47, 1.54)),
    ("truncated normal", TruncatedNormal, (0, 1, 2, 3)),
    ("truncated normal", TruncatedNormal, (-3, 1, 2, 40)),
    ("truncated normal", TruncatedNormal, (0, 100, 1, 2)),
    ("truncated normal", TruncatedNormal, (0, 1, -9.5, 12)),
    ("beta", Beta, (2, 3.5, 3.95, 4.05)),
    ("beta", Beta, (1, 4, 0, 1)),
    ("beta", Beta, (1.5, 1.25, 0, 1)),
    ("beta", Beta, (6, 2, -3, 5)),
    ("beta", Beta, (80, 30, 0, 1)),
    ("beta", Beta, (100, 100, 0, 1)),
    ("beta", Beta, (1, 100, 0, 1)),
    ("beta", Beta, (5, 100, 0, 1)),
    ("beta", Beta, (20, 20, 0, 1)),
    ("student t", StudentT, (50000623, 25, 18)),
    ("student t", StudentT, (215, 6, 24)),
    ("student t", StudentT, (0, 4, 5)),
    ("student t", StudentT, (0, 7, 8)),
    ("student t", StudentT, (1.0, 0.006, 5)),
    ("student t", StudentT, (0, 1, 2.5)),
    ("student t", StudentT, (0, 1, 1)),
]

PROBABILITIES = [1e-12, 1e-6, 0.001, 0.025, 0.5, 0.9, 0.999]


def quantile(law, p):
    low = law.low if law.low is not None else law.middle - law.scale * mpf(10) ** 15
    high = law.high if law.high is not None else law.middle + law.scale * mpf(10) ** 15
    for _ in range(190):
        x = (low + high) / 2
        if law.below(x) < p:
            low = x
        else:
            high = x
    return (low + high) / 2


def show(x):
    return nstr(x, 20, min_fixed=0, max_fixed=0)


def laws():
    print("law,figures,what,at,value,imaginary")
    for name, make, figures in LAWS:
        law = make(*figures)
        label = f"{name},{' '.join(map(repr, figures))}"
        for what in ("mean", "var"):
            if getattr(law, what) is not None:
                print(f"{label},{what},,{show(getattr(law, what))},")
        if law.low is not None:
            places = [law.low + 2 * law.scale * part for part in
                      map(mpf, ("0.000001", "0.01", "0.2", "0.5", "0.8", "0.99", "0.999999"))]
        else:
            places = [law.middle + law.scale * mpf(q) for q in ("-8", "-3", "-1", "0", "0.5", "2", "6", "40")]
        for x in map(float, places):
            below, above = law.below(f(x)), law.above(f(x))
            assert abs(float(below) - law.scipy.cdf(x)) < 1e-9, (label, x)
            print(f"{label},below,{x!r},{show(below)},")
            print(f"{label},above,{x!r},{show(above)},")
        for p in PROBABILITIES:
            print(f"{label},quantile,{p!r},{show(quantile(law, f(p)))},")
        for turns in (0.1, 1.0, 5.3, 31.7, 250.0):
            t = float(turns / law.scale)
            value = mpc(law.cf(f(t)))
            print(f"{label},characteristic,{t!r},{show(value.real)},{show(value.imag)}")


# The ten of one stack, the discrete one of the original left out; the second ends in a t in place of a rectangle.
NINE = [
    (1, Normal(20, 0.010)),
    (-1, Pieces(4.97, 4.97, 5.03, 5.03)),
    (1, Pieces(2.96, 3.00, 3.00, 3.05)),
    (1, Pieces(5.96, 5.98, 6.02, 6.04)),
    (1, TruncatedNormal(1.50, 0.015, 1.47, 1.54)),
    (-1, Beta(2, 3.5, 3.95, 4.05)),
    (1, Arcsine(-0.02, 0.02)),
    (-1, Pieces(7.98, 7.98, 8.02, 8.02)),
    (1, Pieces(0.99, 0.99, 1.01, 1.01)),
]
STACKS = {
    "S1": NINE,
    "S2": NINE[:-1] + [(1, StudentT(1.0, 0.006, 5))],
    "S3": [NINE[2], (-1, Beta(2, 3.5, 3.95, 4.05)), NINE[3], NINE[1], NINE[7]],
    "skew with three degrees": [NINE[2], (-1, Beta(1.5, 4, 0, 0.2)), (1, StudentT(0, 0.004, 3))],
    "skew with two and a half degrees": [(2, Pieces(0, 0, 0, 0.05)), (1, Normal(0, 0.01)), (-1, StudentT(0, 0.003, 2.5))],
    "sorted and arcsine": [(1, TruncatedNormal(0, 0.02, -0.01, 0.06)), (0.5, Arcsine(-0.03, 0.03)), (1, Normal(0, 0.004))],
}


def stacks():
    print("stack,what,at,value")
    for name, terms in STACKS.items():
        mean = sum(c * law.mean for c, law in terms)
        sd = sqrt(sum(c * c * law.var for c, law in terms))
        middle = sum(c * law.middle for c, law in terms)
        print(f"{name},mean,,{show(mean)}")
        print(f"{name},sd,,{show(sd)}")
        light = sum(abs(c) * law.scale for c, law in terms if law.low is not None)
        light += sum(14 * abs(c) * law.sd for c, law in terms if isinstance(law, Normal))
        heavy = [(abs(c) * law.s, law.v) for c, law in terms if isinstance(law, StudentT)]
        # A period so long that beyond it the sum is as its t term, within 1e-17 of the alternating sum (see `alias`).
        reach = light + 8 * sd + sum(s * sqrt(v) * mpf(10) ** (2 * mpf(v + 2.6) / v) for s, v in heavy)
        step = 2 * pi / (reach + light + 8 * sd)
        mp.dps = 30
        terms_of_sum, k = [], 0
        quiet = 0
        while quiet < 200:
            t = (k + mpf(1) / 2) * step
            value = expj(t * (middle - mean))
            for c, law in terms:
                value *= mp.conj(law.cf(-c * t)) if c < 0 else law.cf(c * t)
            terms_of_sum.append((t, value / (k + mpf(1) / 2)))
            quiet = quiet + 1 if abs(value) < mpf(10) ** -26 else 0
            k += 1
        print(name, k, "terms", file=sys.stderr)
        for q in ("-5.5", "-4", "-3", "-1", "0", "1", "2.5", "4", "6"):
            x = float(mean + mpf(q) * sd)
            z = f(x) - mean
            total = sum((value * expj(-t * z)).imag for t, value in terms_of_sum) / pi
            below = mpf(1) / 2 - total
            if heavy:
                below -= alias(heavy, 2 * pi / step, z)
            print(f"{name},below,{x!r},{nstr(below, 18, min_fixed=0, max_fixed=0)}")
            print(f"{name},above,{x!r},{nstr(1 - below, 18, min_fixed=0, max_fixed=0)}")
        mp.dps = 40


def alias(heavy, period, z):
    """The alternating sum of the tails of the t terms at multiples of the period, the rest of the sum being far nearer."""
    total = mpf(0)
    for s, v in heavy:
        tail = lambda w: betainc(v / 2, mpf(1) / 2, 0, v / (v + (w / s) ** 2), regularized=True) / 2
        total += mp.nsum(lambda j: (-1) ** (int(j) + 1) * (tail(j * period + z) - tail(j * period - z)), [1, inf])
    return total


if __name__ == "__main__":
    {"laws": laws, "stacks": stacks}[sys.argv[1]]()
