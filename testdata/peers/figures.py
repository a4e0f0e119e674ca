"""Figures of a height map by other means than the program's own.

numpy, scipy and scikit-image alone; nothing here was taken from the Go code.
Lateral mm, height um, z[j, i] at y row j and x column i, NaN is missing.
"""

import math

import numpy as np
from scipy import ndimage, optimize, spatial
from skimage import measure as skmeasure


class Heights:
    def __init__(self, z, dx, dy, x0=0.0, y0=0.0):
        self.z, self.dx, self.dy = z, dx, dy
        self.x = x0 + dx * np.arange(z.shape[1])
        self.y = y0 + dy * np.arange(z.shape[0])
        self.X, self.Y = np.meshgrid(self.x, self.y)
        self.valid = ~np.isnan(z)
        self.cell = dx * dy

    def points(self):
        v = self.valid
        return np.column_stack([self.X[v], self.Y[v], self.z[v]])

    def centroid(self):
        return self.X[self.valid].mean(), self.Y[self.valid].mean()


def read(path):
    """A matrix with its pitch in a comment, or x,y,z points on a lattice."""
    pitch, origin, rows = None, (0.0, 0.0), []
    with open(path, encoding="utf-8-sig") as f:
        for line in f:
            line = line.rstrip("\r\n")
            if line.startswith("#"):
                key, _, value = line[1:].partition(":")
                if key.strip() in ("pitch_mm", "origin_mm"):
                    pair = [float(v) for v in value.split(",")]
                    pair = (pair * 2)[:2]
                    if key.strip() == "pitch_mm":
                        pitch = pair
                    else:
                        origin = pair
                continue
            if line:
                rows.append(line.split(","))
    number = lambda s: float(s) if s.strip() else math.nan
    if pitch:
        z = np.array([[number(s) for s in r] for r in rows])
        return Heights(z, pitch[0], pitch[1], origin[0], origin[1])
    p = np.array([[number(s) for s in r] for r in rows[1:]])
    xs, ys = np.unique(p[:, 0]), np.unique(p[:, 1])
    dx = (xs[-1] - xs[0]) / (len(xs) - 1)
    dy = (ys[-1] - ys[0]) / (len(ys) - 1)
    z = np.full((len(ys), len(xs)), math.nan)
    i = np.rint((p[:, 0] - xs[0]) / dx).astype(int)
    j = np.rint((p[:, 1] - ys[0]) / dy).astype(int)
    z[j, i] = p[:, 2]
    return Heights(z, dx, dy, xs[0], ys[0])


# Flatness


def hull(p):
    """The corners of the convex hull of points, which alone decide a zone."""
    q = p.copy()
    fit = np.linalg.lstsq(np.column_stack([np.ones(len(p)), p[:, :2]]), p[:, 2], rcond=None)[0]
    q[:, 2] -= fit[0] + p[:, :2] @ fit[1:]
    spread = np.ptp(q, axis=0)
    if spread[2] <= 1e-9 * (1 + np.abs(p[:, 2]).max()):
        return p
    q = (q - q.mean(axis=0)) / spread
    return p[spatial.ConvexHull(q, qhull_options="QJ" if len(q) < 5 else "Qt").vertices]


def vertical_zone(p):
    """Least h and the slopes with z - a - bx - cy within h of nought, doubled."""
    c = p[:, :2].mean(axis=0)
    s = np.abs(p[:, :2] - c).max(axis=0)
    u = (p[:, :2] - c) / s
    n = len(p)
    one = np.ones((n, 1))
    a = np.vstack([np.hstack([-one, -u, -one]), np.hstack([one, u, -one])])
    z = p[:, 2] - p[:, 2].mean()
    k = max(np.abs(z).max(), 1e-300)
    r = optimize.linprog([0, 0, 0, 1], a, np.concatenate([-z, z]) / k, bounds=[(None, None)] * 3 + [(0, None)], method="highs")
    assert r.success, r.message
    slopes = r.x[1:3] * k / s
    rest = p[:, 2] - p[:, :2] @ slopes
    return np.ptp(rest), slopes


def normal_zone(p):
    """The zone along its normal: turn until the vertical answer lies level."""
    q = np.column_stack([p[:, :2], p[:, 2] / 1000])
    q = q - q.mean(axis=0)
    best = math.inf
    for _ in range(20):
        w, (b, c) = vertical_zone(np.column_stack([q[:, :2], q[:, 2] * 1000]))
        n = np.array([-b / 1000, -c / 1000, 1])
        best = min(best, w / np.linalg.norm(n))
        if abs(b) + abs(c) < 1e-9:
            break
        n /= np.linalg.norm(n)
        e = np.cross([0, 1, 0], n)
        e /= np.linalg.norm(e)
        q = q @ np.column_stack([e, np.cross(n, e), n])
    return best


def least_squares(p):
    """Normal distances to the plane of least squared normal distances, um."""
    q = np.column_stack([p[:, :2], p[:, 2] / 1000])
    q = q - q.mean(axis=0)
    n = np.linalg.svd(q, full_matrices=False)[2][2]
    d = q @ (n if n[2] > 0 else -n) * 1000
    return {"ls_total": np.ptp(d), "ls_peak": d.max(), "ls_valley": -d.min(), "ls_rms": math.sqrt((d * d).mean())}


def flatness(h):
    p = h.points()
    corners = hull(p)
    out = least_squares(p)
    out["minimum_zone"] = vertical_zone(corners)[0]
    out["minimum_zone_normal"] = normal_zone(corners)
    return out


# Texture


def texture(h):
    p = h.points()
    a = np.column_stack([np.ones(len(p)), p[:, :2] - p[:, :2].mean(axis=0)])
    z = p[:, 2] - a @ np.linalg.lstsq(a, p[:, 2], rcond=None)[0]
    sq = math.sqrt((z**2).mean())
    out = {"sa_um": np.abs(z).mean(), "sq_um": sq, "sz_um": np.ptp(z)}
    if sq > 1e-12:
        out["ssk"] = (z**3).mean() / sq**3
        out["sku"] = (z**4).mean() / sq**4
    out.update(core(np.sort(z)[::-1]))
    return out


def core(z):
    """ISO 13565-2: the first 40 % of least fall, a line in it, triangles."""
    n = len(z)
    ratio = (np.arange(n) + 0.5) / n
    span = max(round(0.4 * n), 1)
    fall = z[:-span] - z[span:]
    first = int(np.argmax(fall <= fall.min() + 1e-12 * (z[0] - z[-1])))
    part = slice(first, first + span + 1)
    slope, level = np.polyfit(ratio[part] - 0.5, z[part], 1)
    top, bottom = level - slope / 2, level + slope / 2
    tiny = 1e-12 * (z[0] - z[-1])
    out = {"sk_um": top - bottom, "spk_um": 0.0, "svk_um": 0.0, "smr1_pct": 0.0, "smr2_pct": 100.0}
    over = int((z > top + tiny).sum())
    if over:
        at = float(np.interp(-top, -z[over - 1 : over + 1], ratio[over - 1 : over + 1]))
        out["smr1_pct"] = 100 * at
        out["spk_um"] = 2 * (z[:over] - top).sum() / n / at
    under = int((z < bottom - tiny).sum())
    if under:
        k = n - under
        at = float(np.interp(-bottom, -z[k - 1 : k + 1], ratio[k - 1 : k + 1]))
        out["smr2_pct"] = 100 * at
        out["svk_um"] = 2 * (bottom - z[k:]).sum() / n / (1 - at)
    return out


# Seats: planes [a, b, c] for a + b x + c y


def rigid_seat(h, load):
    p = hull(h.points())
    c = np.array(load)
    s = np.abs(p[:, :2] - c).max(axis=0)
    z0 = p[:, 2].max()
    a = -np.column_stack([np.ones(len(p)), (p[:, :2] - c) / s])
    r = optimize.linprog([1, 0, 0], a, -(p[:, 2] - z0), bounds=[(None, None)] * 3, method="highs")
    assert r.success, r.message
    b = r.x[1:] / s
    return np.array([r.x[0] + z0 - b @ c, b[0], b[1]])


def bed_seat(h, load, force, k=20.0):
    """Least k/2 sum max(0, z - plane)^2 dA + F plane(load): Newton with a line
    search that only ever goes down, on a bed hardened by halves."""
    p = h.points()
    s = np.abs(p[:, :2] - np.array(load)).max()
    m = np.column_stack([np.ones(len(p)), (p[:, :2] - np.array(load)) / s])
    z = p[:, 2]
    top = np.array([force, 0, 0])
    x = np.array([z.max(), 0.0, 0.0])

    def energy(x, k):
        d = np.maximum(0, z - m @ x)
        return k / 2 * (d * d).sum() * h.cell + force * x[0]

    for stage in k * 2.0 ** np.arange(-24, 1):
        for _ in range(200):
            d = np.maximum(0, z - m @ x)
            on = d > 0
            grad = top - stage * h.cell * (m[on].T @ d[on])
            if np.abs(grad).max() < 1e-13 * force:
                break
            hess = stage * h.cell * (m[on].T @ m[on]) + 1e-14 * stage * h.cell * np.eye(3)
            if on.sum() < 3:
                hess += 1e-6 * stage * h.cell * np.eye(3)
            step = -np.linalg.solve(hess, grad)
            e, t = energy(x, stage), 1.0
            while t > 1e-12 and energy(x + t * step, stage) > e + 1e-4 * t * (grad @ step):
                t /= 2
            if t <= 1e-12:
                break
            x = x + t * step
    b = x[1:] / s
    return np.array([x[0] - b @ np.array(load), b[0], b[1]])


def gaps(h, plane):
    return plane[0] + plane[1] * h.X + plane[2] * h.Y - h.z


# Bearing


def bearing(h, plane, film, min_spot=0.5, neck=1.0, connect=8):
    with np.errstate(invalid="ignore"):
        blue = gaps(h, plane) <= film + 1e-6
    out = {"film_um": film, "cells": int(blue.sum()), "area_pct": 100 * blue.sum() / h.valid.sum()}
    links = np.ones((3, 3)) if connect == 8 else ndimage.generate_binary_structure(2, 1)
    patches, n = ndimage.label(blue, links)
    assert n == skmeasure.label(blue, connectivity=2 if connect == 8 else 1).max()
    size = np.bincount(patches.ravel(), minlength=n + 1) * h.cell
    kept = [k for k in range(1, n + 1) if size[k] >= min_spot * (1 - 1e-9)]
    out["spots"] = len(kept)
    for key in ("points", "points_per_in2", "frame_min", "frame_max", "clark_evans", "vmr_3x3"):
        out[key] = None
    if neck > 0 and max(h.dx, h.dy) > neck / 2 * (1 + 1e-9):
        return out
    core = np.zeros_like(blue)
    if neck > 0:
        away = ndimage.distance_transform_edt(np.pad(blue, 1), sampling=(h.dy, h.dx))[1:-1, 1:-1]
        core = away > neck / 2 * (1 + 1e-9)
    cores, m = ndimage.label(core, np.ones((3, 3)))
    at = []
    owner = np.zeros(m + 1, int)
    owner[cores[core]] = patches[core]
    for k in kept:
        mine = [c for c in range(1, m + 1) if owner[c] == k]
        image, ids = (cores, mine) if mine else (patches, [k])
        for y, x in ndimage.center_of_mass(np.ones_like(h.z), image, ids):
            at.append((h.x[0] + h.dx * x, h.y[0] + h.dy * y))
    at = np.array(at).reshape(-1, 2)
    area = h.valid.sum() * h.cell
    out["points"] = len(at)
    out["points_per_in2"] = len(at) / area * 645.16
    cols, rows = np.nonzero(h.valid.any(axis=0))[0], np.nonzero(h.valid.any(axis=1))[0]
    lo = np.array([h.x[cols[0]] - h.dx / 2, h.y[rows[0]] - h.dy / 2])
    hi = np.array([h.x[cols[-1]] + h.dx / 2, h.y[rows[-1]] + h.dy / 2])
    counts = frames(h, at, lo, hi)
    if counts:
        out["frame_min"], out["frame_max"] = min(counts), max(counts)
    if len(at) >= 2:
        near = spatial.cKDTree(at).query(at, k=2)[0][:, 1]
        out["clark_evans"] = near.mean() / (0.5 * math.sqrt(area / len(at)))
    if len(at):
        box = np.clip(np.floor(3 * (at - lo) / (hi - lo) + 1e-9).astype(int), 0, 2)
        q = np.bincount(box[:, 1] * 3 + box[:, 0], minlength=9)
        out["vmr_3x3"] = q.var(ddof=1) / q.mean()
    return out


def frames(h, at, lo, hi, side=25.4):
    def starts(lo, hi):
        room = hi - lo - side
        if room < -1e-9:
            return []
        s = [lo + k for k in range(int(room + 1e-9) + 1)]
        return s + ([hi - side] if hi - side > s[-1] + 1e-9 else [])

    counts = []
    for y in starts(lo[1], hi[1]):
        for x in starts(lo[0], hi[0]):
            inside = (
                (h.X + h.dx / 2 > x + 1e-9) & (h.X - h.dx / 2 < x + side - 1e-9)
                & (h.Y + h.dy / 2 > y + 1e-9) & (h.Y - h.dy / 2 < y + side - 1e-9)
            ) if not h.valid.all() else None
            if inside is not None and (inside & ~h.valid).any():
                continue
            counts.append(int((
                (at[:, 0] >= x - 1e-9) & (at[:, 0] < x + side - 1e-9)
                & (at[:, 1] >= y - 1e-9) & (at[:, 1] < y + side - 1e-9)
            ).sum()))
    return counts


# Instruments


def bare_range(h, plane, ball=1.5):
    """A ball drawn along the middle row: grey dilation by its underside."""
    g = -gaps(h, plane)
    r = ball / 2
    ni, nj = int(r / h.dx), int(r / h.dy)
    ii, jj = np.meshgrid(np.arange(-ni, ni + 1), np.arange(-nj, nj + 1))
    d2 = (ii * h.dx) ** 2 + (jj * h.dy) ** 2
    under = d2 <= r * r
    drop = np.where(under, -1000 * (r - np.sqrt(np.maximum(0, r * r - d2))), 0.0)
    top = ndimage.grey_dilation(np.where(h.valid, g, -1e30), footprint=under, structure=drop, mode="constant", cval=-1e30)
    j = h.z.shape[0] // 2
    on = np.nonzero(h.valid[j])[0]
    if not len(on):
        return None
    a, b = h.x[on[0]] - h.dx / 2 + 2, h.x[on[-1]] + h.dx / 2 - 2
    take = h.valid[j] & (h.x >= a - 1e-9) & (h.x <= b + 1e-9)
    return np.ptp(top[j][take]) if take.any() else None


def bridged_range(h, plane, along=9.0, across=30.0, step=5.0):
    x0, x1 = h.x[0] - h.dx / 2, h.x[-1] + h.dx / 2
    y0, y1 = h.y[0] - h.dy / 2, h.y[-1] + h.dy / 2
    mid = (y0 + y1) / 2
    if y1 - y0 < across - 1e-9:
        return None
    heights, x = [], x0 + along / 2
    while x + along / 2 <= x1 + 1e-9:
        i = np.nonzero(np.abs(h.x - x) <= along / 2 + 1e-9)[0]
        j = np.nonzero(np.abs(h.y - mid) <= across / 2 + 1e-9)[0]
        part = Heights(h.z[np.ix_(j, i)], h.dx, h.dy, h.x[i[0]], h.y[j[0]])
        if part.valid.all():
            p = rigid_seat(part, (x, mid))
            heights.append(p[0] - plane[0] + (p[1] - plane[1]) * x + (p[2] - plane[2]) * mid)
        x += step
    return np.ptp(heights) if heights else None
