#!/usr/bin/python3
"""Hold the final figures of a run against figures computed anew from its
heights.

Usage: run_peer.py HEIGHTS.csv REPLAY.json
HEIGHTS.csv is what `convert RUN OUT.csv` wrote, REPLAY.json what
`replay RUN --json` printed. The part is seated anew on a bed of 20 N/mm^2 per um
under 0.00177 N/mm^2 of its own weight at its centroid. Prints a table and exits
1 when any figure differs. Needs Debian's python3-numpy, python3-scipy and
python3-skimage.
"""

import json
import sys

sys.dont_write_bytecode = True
import figures
from compare import Table


def main():
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    h = figures.read(sys.argv[1])
    with open(sys.argv[2]) as f:
        final = json.load(f)["final"]
    t = Table()
    flat = figures.flatness(h)
    t.close("minimum_zone_um", final["minimum_zone_um"], flat["minimum_zone"], 1e-7, 1e-9)
    t.close("ls_total_um", final["ls_total_um"], flat["ls_total"], 1e-7, 1e-9)
    plane = figures.bed_seat(h, h.centroid(), 0.00177 * h.valid.sum() * h.cell)
    # The two seats agree to some 1e-6 um: a cell that lies so near the film may
    # fall on either side of it, and no figure may lie outside what that allows.
    film = final["film_um"]
    brink = [figures.bearing(h, plane, film + d) for d in (-3e-6, 0, 3e-6)]
    for key in ("area_pct", "points_per_in2", "frame_min", "frame_max"):
        t.among(key, final[key], [b[key] for b in brink])
    t.close("bare_range_um", final["bare_range_um"], figures.bare_range(h, plane), 1e-6, 1e-5)
    t.close("bridged_range_um", final["bridged_range_um"], figures.bridged_range(h, plane), 1e-6, 1e-5)
    sys.exit(t.verdict())


main()
