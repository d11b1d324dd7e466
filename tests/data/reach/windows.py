"""How often a kit gets there, as sums of differences of the normal distribution function.

One gap, space - shims, the space normal; every thickness t that a pack can have serves the spaces from t + low to t + high.
The union of these windows is made here on whole nanometres, over every multiset of sizes, and the probability is taken
with 50 digits. Run with mpmath 1.4.1; writes windows.csv beside it.
"""
import itertools
import os

from mpmath import mp, mpf, ncdf

mp.dps = 50

# mean, sd, low, high (mm); sizes (mm); fewest, most shims.
CASES = [
    ("0.60", "0.071", "0.20", "0.29", ["0.10", "0.20", "0.30", "0.50"], 1, 3),
    ("0.85", "0.0710633520", "0.20", "0.30", ["0.10", "0.20", "0.30", "0.50"], 1, 3),
    ("1.36", "0.20", "0.10", "0.25", ["0.40", "0.60", "1.00"], 1, 2),
    ("1.36", "0.60", "0.10", "0.25", ["0.40", "0.60", "1.00"], 1, 2),
    ("0.50", "0.30", "0.05", "0.06", ["0.10", "0.15", "0.35"], 0, 2),
    ("2.00", "0.05", "0.00", "0.10", ["1.70", "1.80", "1.90", "2.00"], 1, 1),
    ("5.00", "0.05", "0.00", "0.10", ["1.70", "1.80"], 1, 1),
]


def nm(text):
    return int(round(float(text) * 1e6))


def main():
    lines = ["mean,sd,low,high,sizes,least,most,reached"]
    for mean, sd, low, high, sizes, least, most in CASES:
        sums = set()
        for count in range(least, most + 1):
            for pack in itertools.combinations_with_replacement(sizes, count):
                sums.add(sum(nm(one) for one in pack))
        windows = []
        for t in sorted(sums):
            a, b = t + nm(low), t + nm(high)
            if windows and a <= windows[-1][1]:
                windows[-1][1] = max(windows[-1][1], b)
            else:
                windows.append([a, b])
        m, s = mpf(mean), mpf(sd)
        mm = lambda n: mpf(n) / mpf(10) ** 6
        # The tails one by one: a difference of two numbers near one would lose digits even here.
        total = sum(
            ncdf(-(mm(a) - m) / s) - ncdf(-(mm(b) - m) / s) if mm(a) > m else ncdf((mm(b) - m) / s) - ncdf((mm(a) - m) / s)
            for a, b in windows
        )
        lines.append(f"{mean},{sd},{low},{high},{'/'.join(sizes)},{least},{most},{mp.nstr(total, 20)}")
    with open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "windows.csv"), "w") as out:
        out.write("\n".join(lines) + "\n")


main()
