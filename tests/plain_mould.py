"""A mould's heat written down plainly for SciPy's BDF: the same equations and cells, none of our code.

Cells are numbered row by row. The unknowns are heat per kg; temperature, solid share and
conductivity follow from a table of (°C, J/kg, solid share). Loaded by path in the tests that hold
the program's solver against it.
"""

from __future__ import annotations

import numpy as np
from scipy.integrate import solve_ivp
from scipy.sparse import lil_matrix


class PlainMould:
    """One mould with fixed cell edges z, r (m), films (side, base, top) in W/(m² K) and a room in °C."""

    def __init__(self, z, r, films, room_c, materials, material):
        """`materials`: each (celsius, heat, solid, k_solid, k_liquid, density); `material`: its number by row."""
        self.shape = (len(z) - 1, len(r) - 1)
        self.films, self.room_c, self.materials, self.material = (
            films,
            room_c,
            materials,
            np.asarray(material),
        )
        dz, dr = np.diff(z), np.diff(r)
        area = np.pi * (r[1:] ** 2 - r[:-1] ** 2)
        rho = np.array([m[5] for m in materials])[self.material]
        self.mass = rho[:, None] * dz[:, None] * area[None, :]
        self.area, self.dz, self.r, self.dr = area, dz, r, dr
        # Distance from a ring's area-weighted mean radius to its edges, along a parabola in r.
        mid = (r[1:] ** 2 + r[:-1] ** 2) / 2
        with np.errstate(divide="ignore"):
            self.inner = (mid - r[:-1] ** 2) / (2 * r[:-1])
        self.outer = (r[1:] ** 2 - mid) / (2 * r[1:])
        self.side = 2 * np.pi * dz

    def state(self, heat):
        """Temperature, conductivity and its integral over temperature in every cell."""
        t, k, through = (np.empty(self.shape) for _ in range(3))
        for i, m in enumerate(self.materials):
            rows = self.material == i
            t[rows] = np.interp(heat[rows], m[1], m[0])
            k_at = m[4] + (m[3] - m[4]) * m[2]
            k[rows] = np.interp(t[rows], m[0], k_at)
            table = np.concatenate([[0.0], np.cumsum(np.diff(m[0]) * (k_at[1:] + k_at[:-1]) / 2)])
            through[rows] = np.interp(t[rows], m[0], table)
        return t, k, through

    def flow(self, low, high, d_low, d_high, alike):
        """W/m² from the second cell to the first; within one wax by the integral of k (Kirchhoff)."""
        (t1, k1, q1), (t2, k2, q2) = low, high
        return np.where(alike, (q2 - q1) / (d_low + d_high), (t2 - t1) / (d_low / k1 + d_high / k2))

    def rate(self, _t, flat):
        now = self.state(flat.reshape(self.shape))
        t, k, _ = now
        gain = np.zeros(self.shape)
        half = self.dz[:, None] / 2
        alike = (self.material[1:] == self.material[:-1])[:, None]
        up = self.area * self.flow([x[:-1] for x in now], [x[1:] for x in now], half[:-1], half[1:], alike)
        gain[:-1] += up
        gain[1:] -= up
        across = self.flow(
            [x[:, :-1] for x in now], [x[:, 1:] for x in now], self.outer[:-1], self.inner[1:], True
        )
        across = across * self.side[:, None] * self.r[1:-1]
        gain[:, :-1] += across
        gain[:, 1:] -= across
        side, base, top = self.films
        gain[:, -1] -= (
            self.side * self.r[-1] * (t[:, -1] - self.room_c) / (1 / side + self.outer[-1] / k[:, -1])
        )
        gain[0] -= self.area * (t[0] - self.room_c) / (1 / base + half[0] / k[0])
        gain[-1] -= self.area * (t[-1] - self.room_c) / (1 / top + half[-1] / k[-1])
        return (gain / self.mass).ravel()

    def sparsity(self):
        rows, cols = self.shape
        out = lil_matrix((rows * cols, rows * cols))
        for i in range(rows):
            for j in range(cols):
                for a, b in ((i, j), (i + 1, j), (i - 1, j), (i, j + 1), (i, j - 1)):
                    if 0 <= a < rows and 0 <= b < cols:
                        out[i * cols + j, a * cols + b] = 1
        return out.tocsr()

    def run(self, heat, start_s, at_s, rtol=1e-6, atol=1.0):
        """Heat at the times asked for, from an initial heat of shape (rows, rings)."""
        found = solve_ivp(
            self.rate, (start_s, at_s[-1]), heat.ravel(), method="BDF", t_eval=at_s, rtol=rtol, atol=atol,
            jac_sparsity=self.sparsity(), first_step=0.01,
        )  # fmt: skip
        assert found.success, found.message
        return found.y.T.reshape(len(at_s), *self.shape)
