#!/usr/bin/python3
"""Time the gauge against its Debian peers, on the same data in one run.

Usage, in the top folder: testdata/peers/speed.py [--points N]
--points is how many points HiGHS gets (default 1000000, the same as the gauge;
it may want minutes and some GB). The best of several runs counts on both sides.
"""

import argparse
import re
import subprocess
import time

import numpy as np
from scipy import ndimage, optimize


def best(f, runs=5):
    times = []
    for _ in range(runs):
        t = time.perf_counter()
        f()
        times.append(time.perf_counter() - t)
    return min(times)


def spots(n):
    m = np.zeros((n, n), bool)
    for s in range(n * n // 500):
        cx, cy, r = s * 73856093 % n, s * 19349663 // 7 % n, 4 + s % 9
        j, i = slice(max(cy - r, 0), cy + r + 1), slice(max(cx - r, 0), cx + r + 1)
        y, x = np.ogrid[j.start : min(j.stop, n), i.start : min(i.stop, n)]
        m[j, i] |= (x - cx) ** 2 + (y - cy) ** 2 <= r * r
    return m


def hashed(n):
    x, y = np.meshgrid(np.arange(n), np.arange(n))
    return ((x * 73856093) ^ (y * 19349663)) % 1000


def highs(count):
    """The minimum zone of the speckled face as one linear programme."""
    i, j = np.meshgrid(np.arange(1000), np.arange(1000))
    x, y = 0.1 * i, 0.1 * j
    z = 0.01 * (x - 50) ** 2 - 0.02 * x * y + 3 * hashed(1000) / 1000
    pick = np.arange(0, z.size, z.size // count)[:count]
    u, v, z = (x.ravel()[pick] - 50) / 50, (y.ravel()[pick] - 50) / 50, z.ravel()[pick]
    one = np.ones_like(z)
    a = np.vstack([np.column_stack([-one, -u, -v, -one]), np.column_stack([one, u, v, -one])])
    b = np.concatenate([-z, z])
    t = time.perf_counter()
    r = optimize.linprog([0, 0, 0, 1], a, b, bounds=[(None, None)] * 3 + [(0, None)], method="highs")
    return time.perf_counter() - t, 2 * r.x[3]


def main():
    p = argparse.ArgumentParser()
    p.add_argument("--points", type=int, default=1000000)
    opt = p.parse_args()
    out = subprocess.run(
        ["go", "test", "-run", "^$", "-count", "3", "-bench", "Label4M|Gaussian4M|MinimumZone1M", "./sim/gauge"],
        check=True, capture_output=True, text=True,
    ).stdout
    ours, width = {}, {}
    for name, ns, rest in re.findall(r"^Benchmark(\S+?)(?:-\d+)?\s+\d+\s+(\S+) ns/op(.*)$", out, re.M):
        ours[name] = min(ours.get(name, 1e99), float(ns) * 1e-9)
        if m := re.search(r"(\S+) um", rest):
            width[name] = float(m[1])

    def line(what, name, theirs, note=""):
        print(f"{what:44} {1e3 * ours[name]:9.2f} ms {1e3 * theirs:11.2f} ms {theirs / ours[name]:8.1f} x {note}")

    print(f"{'':44} {'gauge':>12} {'peer':>14} {'faster':>10}")
    label = np.empty((2000, 2000), np.int32)
    eight = np.ones((3, 3))
    for name, mask in (("spots", spots(2000)), ("random", hashed(2000) < 300)):
        line(f"ndimage.label, 4 M cells, {name}", "Label4M/" + name, best(lambda: ndimage.label(mask, eight, output=label)))
    z = hashed(2000) / 1000.0
    for cutoff in ("0.8", "2.5", "8"):
        sigma = 0.187390625 * float(cutoff) / 0.1
        line(f"ndimage.gaussian_filter, 4 M cells, {cutoff} mm", "Gaussian4M/cutoff" + cutoff, best(lambda: ndimage.gaussian_filter(z, sigma), 3))
    seconds, zone = highs(opt.points)
    note = f"zone {zone:.9g}; gauge {width['MinimumZone1M/grid']:.9g} um"
    if opt.points != 1000000:
        note += f"; HiGHS had {opt.points} points, the gauge 1000000"
    line("linprog HiGHS, minimum zone, grid", "MinimumZone1M/grid", seconds, note)
    line("linprog HiGHS, minimum zone, points", "MinimumZone1M/points", seconds)


main()
