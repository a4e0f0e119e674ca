#!/usr/bin/env python3
"""Halves and doubles each assumed parameter of sim/PHYSICS.md, one at a time, and
tells which conclusions about false prints and misbehaving blades still hold.

    python3 testdata/sensitivity.py [PATTERN]

PATTERN is a regular expression for names such as blue.Grit. The tree is left as
it is: go builds with an overlay of the one changed file. Shares stay below one.
"""
import glob
import json
import os
import re
import subprocess
import sys
import tempfile

TESTS = [
    ("./sim/hand", "TestFalsePrints"),
    ("./sim/run", "Wring|Blunt|Steel|PushAndPower|ColourOn|Contrast|Flaking|Chamfer"),
]


def parameters(pattern):
    with open("sim/PHYSICS.md") as page:
        for line in page:
            cells = [c.strip() for c in line.split("|")]
            if len(cells) == 7 and re.match(r"(blue|blade|lay)\.\w+$", cells[1]):
                if "assumed" in cells[5] and re.search(pattern, cells[1]):
                    yield cells[1], float(cells[2])


def overlay(name, value, folder):
    """Writes the overlay in which the parameter has that value."""
    package, const = name.split(".")
    for path in sorted(glob.glob(f"sim/{package}/*.go")):
        with open(path) as f:
            text = f.read()
        changed, n = re.subn(rf"(?m)^(\s+{const}\s+=\s+)[0-9.]+", lambda m: m[1] + value, text)
        if n == 1:
            new = os.path.join(folder, "changed.go")
            with open(new, "w") as f:
                f.write(changed)
            with open(os.path.join(folder, "overlay.json"), "w") as f:
                json.dump({"Replace": {os.path.abspath(path): new}}, f)
            return os.path.join(folder, "overlay.json")
    sys.exit(f"{name} is not found in sim/{package}")


def failures(file):
    lost = []
    for package, tests in TESTS:
        done = subprocess.run(
            ["go", "test", "-count=1", "-overlay", file, package, "-run", tests],
            capture_output=True, text=True)
        if done.returncode and "--- FAIL" not in done.stdout:
            lost.append("does not build or run")
        lost += [t for t in re.findall(r"--- FAIL: (\S+)", done.stdout) if t != "TestFalsePrints"]
    return [t.replace("TestFalsePrints/", "").replace("_", " ") for t in lost]


def main():
    pattern = sys.argv[1] if len(sys.argv) > 1 else "."
    with tempfile.TemporaryDirectory() as folder:
        for name, value in parameters(pattern):
            for factor in (.5, 2):
                v = value * factor
                if value < 1 and v >= 1:
                    v = .95
                text = str(int(max(1, v))) if value == int(value) and v == int(v) else f"{v:.6g}"
                lost = failures(overlay(name, text, folder))
                print(f"{name} {value:g} -> {text}: {'; '.join(lost) or 'all hold'}", flush=True)


if __name__ == "__main__":
    main()
