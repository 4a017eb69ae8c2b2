"""Distances and overlap depths of convex shapes, by SciPy. Reads pairs as JSON, and writes [low, high] for each: the gap is between them."""
import itertools
import json
import sys

import numpy as np
from scipy.optimize import lsq_linear, minimize
from scipy.spatial import ConvexHull


def plane(axis):
    e = np.cross(axis, [1, 0, 0] if abs(axis[0]) < 0.6 else [0, 1, 0])
    e /= np.linalg.norm(e)
    return e, np.cross(axis, e)


def columns(a, b):
    """The difference of the cores is c + G·x: each of the first k of x between -1 and 1, each further two of them in the unit circle."""
    c = np.array(a["centre"]) - np.array(b["centre"])
    halves = [h for s in (a, b) for h in s["half"] or []]
    rims = [s["rim"] * e for s in (a, b) if s["rim"] > 0 for e in plane(np.array(s["axis"]))]
    return c, np.array(halves + rims).reshape(-1, 3).T, len(halves)


def distance(c, g, k):
    if g.shape[1] == 0:
        return np.linalg.norm(c)
    if g.shape[1] == k:
        x = lsq_linear(g, -c, bounds=(-1, 1), method="bvls", tol=1e-15, max_iter=1000).x
        return np.linalg.norm(c + g @ x)
    # Columns of about unit size, and an objective of about one, for the optimiser's one tolerance.
    size = np.abs(g).max()
    g, c = g / size, c / size
    round_ = [{
        "type": "ineq",
        "fun": lambda x, i=i: 1 - x[i] ** 2 - x[i + 1] ** 2,
        "jac": lambda x, i=i: np.array([-2 * x[j] if j in (i, i + 1) else 0.0 for j in range(len(x))]),
    } for i in range(k, g.shape[1], 2)]
    bounds = [(-1, 1)] * g.shape[1]
    best = np.inf
    for start in (np.zeros(g.shape[1]), np.full(g.shape[1], 0.3), np.full(g.shape[1], -0.3)):
        x = minimize(lambda x: (c + g @ x) @ (c + g @ x) / 2, start, jac=lambda x: g.T @ (c + g @ x), bounds=bounds,
                     constraints=round_, method="SLSQP", options={"ftol": 1e-16, "maxiter": 1000}).x
        for i in range(k, g.shape[1], 2):
            x[i:i + 2] /= max(1, np.hypot(*x[i:i + 2]))
        best = min(best, np.linalg.norm(c + g @ np.clip(x, -1, 1)))
    return best * size


def depth(c, g, k, corners, outside):
    """The nearest face of the hull of the difference, each rim a polygon inside or around the circle."""
    points = np.array([c])
    for h in g[:, :k].T:
        points = np.concatenate([points - h, points + h])
    turn = 2 * np.pi * np.arange(corners) / corners
    reach = 1 / np.cos(np.pi / corners) if outside else 1
    for i in range(k, g.shape[1], 2):
        ring = reach * (np.outer(np.cos(turn), g[:, i]) + np.outer(np.sin(turn), g[:, i + 1]))
        points = (points[:, None, :] + ring[None, :, :]).reshape(-1, 3)
    return -ConvexHull(points).equations[:, 3].max()


for a, b in json.load(sys.stdin):
    c, g, k = columns(a, b)
    rims = (g.shape[1] - k) // 2
    d = distance(c, g, k)
    low = high = d
    if d < 1e-4:
        corners = (3, 600, 40)[rims]
        low, high = -depth(c, g, k, corners, True), -depth(c, g, k, corners, False)
    r = a["round"] + b["round"]
    print(json.dumps([low - r, high - r]))
