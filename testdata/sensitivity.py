#!/usr/bin/env python3
"""Halves and doubles each figure of colour, blade, hand and master in
sim/PHYSICS.md that was assumed or comes from memory, one at a time, and tells
which conclusions still stand.

    python3 testdata/sensitivity.py [PATTERN] > testdata/sensitivity.csv

PATTERN is a regular expression for names such as blue.Grit. The tree is left as
it is: go builds with an overlay of the changed files. Shares stay below one. A
conclusion is a test of the suite; a figure that only one switch or one act ever
asks for is held against the tests of that switch, all others against the false
prints and against four coupons (the suite works twelve), worked by the careful hand
and, where they make ripple, by one that never crosses. It takes about three quarters
of an hour of one core; sim/physics_test.go holds what it found to the page.
"""
import csv
import glob
import json
import os
import re
import subprocess
import sys
import tempfile

HAND, RUN, SEAT = "./sim/hand", "./sim/run", "./sim/seat"

# Which tests ask for a figure: the first pattern that fits its name.
ASKED = [
    (r"blue\.(RollEvens|Dab|Streak|Taken|Least|DefaultPasses)",
     [(HAND, "TestFalsePrints/(rolled|film|thick|oil)")]),
    (r"blue\.Turn", [(HAND, "TestFalsePrints/thick")]),
    (r"blue\.Oil", [(HAND, "TestFalsePrints/oil")]),
    (r"blue\.Grit", [(HAND, "TestFalsePrints/grit")]),
    (r"blue\.Wring", [(RUN, "Wring")]),
    (r"blue\.Contrast", [(RUN, "TestContrast")]),
    (r"blue\.(Bright|Soiled)", [(RUN, "TestColourOnThePart")]),
    (r"blade\.Edge(Burr|Reach|Wave|Left)", [(HAND, "TestFalsePrints/edges"), (RUN, "TestChamfer")]),
    (r"blade\.Steel", [(RUN, "TestSteelIsCutWet")]),
    (r"blade\.Torn", [(RUN, "TestABluntEdgeTears")]),
    (r"blade\.(Flake|HalfMoon|Quarter|Checker)", [(RUN, "TestFlaking")]),
    (r"lay\.Power", [(RUN, "TestPushAndPower")]),
    (r"seat\.DefaultDepth", [(RUN, "TestStraightedgeInOverlappingSteps")]),
    (r"seat\.DefaultShare", [(SEAT, "TestPlateUses"), (HAND, "TestCarefulHandBrings"), (RUN, "TestHalfTurn")]),
    (r"blade\.(Burr|Stone)", [(HAND, "TestFalsePrints|TestCarefulHandBrings"), (RUN, "TestUnstonedBurrs")]),
    (r"blade\.(Chatter|Riding|AlignedLay)", [(HAND, "TestFalsePrints|TestCarefulHandBrings|TestNeverCrossing")]),
    (r"blade\.(EdgeLife|Blunt|AngleRef)", [(HAND, "TestFalsePrints|TestCarefulHandBrings"), (RUN, "TestABluntEdgeTears")]),
    (r"", [(HAND, "TestFalsePrints|TestCarefulHandBrings")]),
]
# Held elsewhere: sim/run/sensitivity_test.go halves and doubles these itself.
ELSEWHERE = {"seat.Stiffness", "seat.WearPerMetre"}


def parameters(pattern):
    with open("sim/PHYSICS.md") as page:
        for line in page:
            cells = [c.strip() for c in line.split("|")]
            if len(cells) == 7 and re.match(r"(blue|blade|lay|seat)\.\w+$", cells[1]):
                guessed = re.search("assumed|memory", cells[5])
                if guessed and cells[1] not in ELSEWHERE and re.search(pattern, cells[1]):
                    yield cells[1], cells[2]


def overlay(name, value, folder):
    """Writes the overlay in which the parameter has that value and there are four
    coupons."""
    package, const = name.split(".")
    changes = [(f"sim/{package}/*.go", rf"(?m)^(\s+{const}\s+=\s+|const {const}\s+=\s+)(?:[0-9.]+|math\.Pi / \d+)", value),
               ("sim/hand/outcome_test.go", r"(?m)^(\s+coupons\s+=\s+)12", "4")]
    replace = {}
    for files, what, to in changes:
        for path in sorted(glob.glob(files)):
            with open(path) as f:
                text = f.read()
            changed, n = re.subn(what, lambda m: m[1] + to, text)
            if n == 1:
                new = os.path.join(folder, os.path.basename(path))
                with open(new, "w") as f:
                    f.write(changed)
                replace[os.path.abspath(path)] = new
                break
        else:
            sys.exit(f"{what} is not found in {files}")
    with open(os.path.join(folder, "overlay.json"), "w") as f:
        json.dump({"Replace": replace}, f)
    return os.path.join(folder, "overlay.json")


def outcome(file, asked):
    """The tests that held and those that fell."""
    held, fell = [], []
    for package, tests in asked:
        done = subprocess.run(
            ["go", "test", "-vet=off", "-count=1", "-v", "-overlay", file, package, "-run", tests],
            capture_output=True, text=True)
        found = re.findall(r"--- (PASS|FAIL): (\S+)", done.stdout)
        if not found:
            fell.append("does not build")
        for how, test in found:
            if test != "TestFalsePrints":
                (held if how == "PASS" else fell).append(test)
    return held, fell


def main():
    pattern = sys.argv[1] if len(sys.argv) > 1 else "."
    out = csv.writer(sys.stdout, lineterminator="\n")
    out.writerow(["parameter", "value", "set to", "held", "fell"])
    with tempfile.TemporaryDirectory() as folder:
        for name, stands in parameters(pattern):
            value = float(stands)
            asked = next(tests for fits, tests in ASKED if re.match(fits, name))
            for factor in (.5, 2):
                v = value * factor
                if value < 1 and v >= 1:
                    v = .95
                text = str(int(max(1, v))) if value == int(value) and v == int(v) else f"{v:.6g}"
                held, fell = outcome(overlay(name, text, folder), asked)
                out.writerow([name, stands, text, len(held), " ".join(fell)])
                sys.stdout.flush()


if __name__ == "__main__":
    main()
