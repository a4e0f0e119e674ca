#!/usr/bin/python3
"""Time the gauge and the X3P reader against their Debian peers, on the same data in
one run.

Usage, in the top folder: testdata/peers/speed.py [--rounds N] [--points N]

Both sides take turns, N rounds of them. Times are of the processor (user and
system, all threads), so that other work on the machine moves them little; what is
printed is how many times faster the program is: least, median and greatest over the
rounds.

HiGHS gets --points points (1000000, the same as the gauge) once, which wants some
minutes and 4 GB. It is given the dual of the linear programme and its interior-point
solver, the fastest way found: on 100000 points its simplex took six times as long, and
on a million it had not ended after 25 minutes.
"""

import argparse
import io
import re
import resource
import statistics
import subprocess
import tempfile
import time
import zipfile

import numpy as np
from scipy import ndimage, optimize


def cost(f, calls=3):
    t = time.process_time()
    for _ in range(calls):
        f()
    return (time.process_time() - t) / calls


class Bench:
    """The Go benchmarks of a package, built once."""

    def __init__(self, folder, package):
        self.binary = f"{folder}/{package.replace('/', '-')}.test"
        subprocess.run(["go", "test", "-c", "-o", self.binary, "./" + package], check=True)

    def time(self, name, calls=20):
        """Seconds a call, and the width in um that it reports."""
        pattern = "^Benchmark" + "$/^".join(name.split("/")) + "$"
        spent = []
        for n in (1, 1 + calls):  # what comes before the calls is in both
            before = resource.getrusage(resource.RUSAGE_CHILDREN)
            out = subprocess.run([self.binary, "-test.run", "^$", "-test.bench", pattern, "-test.benchtime", f"{n}x"], check=True, capture_output=True, text=True).stdout
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            spent.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
        width = re.search(r"ns/op\s+(\S+) pm", out)
        return (spent[1] - spent[0]) / calls, width and 1e-6 * float(width[1])


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
    """The minimum zone of the speckled face as a linear programme: seconds, um.

    Primal: least t with |z - a - bu - cv| <= t; the zone is 2 t. Dual: greatest
    sum w z with sum w = sum wu = sum wv = 0 and sum |w| = 1.
    """
    i, j = np.meshgrid(np.arange(1000), np.arange(1000))
    x, y = 0.1 * i, 0.1 * j
    z = 0.01 * (x - 50) ** 2 - 0.02 * x * y + 3 * hashed(1000) / 1000
    pick = np.arange(0, z.size, z.size // count)[:count]
    u, v, z = (x.ravel()[pick] - 50) / 50, (y.ravel()[pick] - 50) / 50, z.ravel()[pick]
    h = np.vstack([np.ones_like(z), u, v])
    a = np.vstack([np.hstack([h, -h]), np.ones((1, 2 * len(z)))])
    t = time.process_time()
    r = optimize.linprog(np.concatenate([-z, z]), A_eq=a, b_eq=[0, 0, 0, 1], method="highs-ipm")
    if r.status:
        raise SystemExit(f"HiGHS did not end: {r.message}")
    return time.process_time() - t, -2 * r.fun


def x3p():
    """An X3P of 2000 x 2000 float64 heights that do not pack: its bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as f:
        f.writestr("bindata/data.bin", (10 * np.random.default_rng(4).random(4000000)).tobytes())
    return out.getvalue()


def unzip(content):
    with zipfile.ZipFile(io.BytesIO(content)) as f:
        for name in f.namelist():
            f.read(name)


def main():
    p = argparse.ArgumentParser()
    p.add_argument("--rounds", type=int, default=5)
    p.add_argument("--points", type=int, default=1000000)
    opt = p.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        gauge, surface = Bench(folder, "sim/gauge"), Bench(folder, "sim/surface")
        print(f"{'':44} {'program':>11} {'peer':>11}   times faster: least, median, greatest")

        def race(what, ours, theirs):
            pairs = [(ours(), theirs()) for _ in range(opt.rounds)]
            show(what, [o for o, _ in pairs], [t for _, t in pairs], [t / o for o, t in pairs])

        def show(what, ours, theirs, ratios, note=""):
            ratios = [min(ratios), statistics.median(ratios), max(ratios)]
            print(f"{what:44} {1e3 * min(ours):8.1f} ms {1e3 * min(theirs):8.1f} ms   " + " ".join(f"{r:7.2f}" for r in ratios) + note, flush=True)

        label, eight = np.empty((2000, 2000), np.int32), np.ones((3, 3))
        for name, mask in (("spots", spots(2000)), ("random", hashed(2000) < 300)):
            race(f"ndimage.label, 4 M cells, {name}", lambda: gauge.time("Label4M/" + name)[0],
                 lambda: cost(lambda: ndimage.label(mask, eight, output=label)))
        z = hashed(2000) / 1000.0
        for cutoff in ("0.8", "2.5", "8", "25"):
            sigma = 0.187390625 * float(cutoff) / 0.1
            race(f"ndimage.gaussian_filter, 4 M cells, {cutoff} mm", lambda: gauge.time("Gaussian4M/cutoff" + cutoff)[0],
                 lambda: cost(lambda: ndimage.gaussian_filter(z, sigma)))
        packed = x3p()
        race("X3P of 4 M float64, zipfile (zlib)", lambda: surface.time("ReadX3P4M")[0], lambda: cost(lambda: unzip(packed)))
        race("X3P of 4 M float64, Go's own unzip", lambda: surface.time("ReadX3P4M")[0], lambda: surface.time("Unzip4M")[0])

        seconds, zone = highs(opt.points)
        for name in ("grid", "points"):
            ours = [gauge.time("MinimumZone1M/" + name) for _ in range(opt.rounds)]
            show(f"HiGHS, minimum zone of {opt.points} points ({name})", [t for t, _ in ours], [seconds], [seconds / t for t, _ in ours],
                 f"   zone {zone:.9g} and {ours[0][1]:.9g} um" + ("" if opt.points == 1000000 else "; the program had 1000000 points"))


main()
