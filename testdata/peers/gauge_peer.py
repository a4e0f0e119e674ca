#!/usr/bin/python3
"""Hold the output of `measure HEIGHTS --json` against figures computed anew.

Usage: gauge_peer.py HEIGHTS.csv MEASURE.json [--rigid] [--load X,Y]
       [--min-spot MM2] [--neck MM] [--connect 4|8]
The options are those that measure was given. Heights in um. Prints a table and
exits 1 when any figure differs. Needs Debian's python3-numpy, python3-scipy and
python3-skimage.
"""

import argparse
import json
import sys

import numpy as np

sys.dont_write_bytecode = True
import figures
from compare import Table


def main():
    p = argparse.ArgumentParser()
    p.add_argument("heights")
    p.add_argument("measured")
    p.add_argument("--rigid", action="store_true")
    p.add_argument("--load")
    p.add_argument("--min-spot", type=float, default=0.5)
    p.add_argument("--neck", type=float, default=1.0)
    p.add_argument("--connect", type=int, default=8)
    opt = p.parse_args()
    h = figures.read(opt.heights)
    with open(opt.measured) as f:
        got = json.load(f)
    t = Table()
    t.same("valid_cells", got["valid_cells"], int(h.valid.sum()))
    for key, want in figures.flatness(h).items():
        t.close("flatness " + key, got["flatness_um"][key], want, 1e-7, 1e-9)
    for key, want in figures.texture(h).items():
        t.close("texture " + key, got["texture"][key], want, 1e-6, 1e-9)

    load = tuple(float(v) for v in opt.load.split(",")) if opt.load else h.centroid()
    if opt.rigid:
        plane = figures.rigid_seat(h, load)
    else:
        plane = figures.bed_seat(h, load, 0.00177 * h.valid.sum() * h.cell)
    gap = figures.gaps(h, plane)[h.valid]
    t.close("seat max gap", got["seat"]["max_gap_um"], gap.max(), 1e-6, 2e-6)
    t.close("seat mean gap", got["seat"]["mean_gap_um"], gap.mean(), 1e-6, 2e-6)
    theirs = np.array(got["seat"]["plane_um"])
    t.close("seat plane", 0, np.abs(figures.gaps(h, theirs) - figures.gaps(h, plane))[h.valid].max(), 0, 2e-6)

    # On the plane that was reported, so that a cell on the brink counts alike.
    want = figures.bearing(h, theirs, got["bearing"]["film_um"], opt.min_spot, opt.neck, opt.connect)
    for key in want:
        t.close("bearing " + key, got["bearing"][key], want[key], 1e-9, 0)
    sys.exit(t.verdict())


main()
