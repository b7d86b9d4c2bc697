"""A mould by the method of lines, written on its own: nodes instead of cells, temperature instead of heat.

Nothing of the program's solver, grid, curves or coefficients is used, only a case's figures (sizes, wax
table, wall). Nodes lie on every surface, crowded towards surfaces and seams; the latent heat is an
apparent heat capacity; k is taken at the mean temperature of two nodes; the wall may be cut into several
sheets. SciPy's BDF marches it. Loaded by path.

Sources: Churchill and Chu (1975) with Popiel's (2008) factor, McAdams' plates, Stefan and Boltzmann,
Hottel's two discs, Sutherland's air (White), as in Incropera chapter 9 and VDI Heat Atlas.
"""

from __future__ import annotations

import numpy as np
from scipy.integrate import solve_ivp
from scipy.sparse import coo_matrix

WALLS = {  # thickness m, W/(m K), kg/m3, J/(kg K), emissivity: EN ISO 10077-2 and handbooks
    "bright metal": (0.0006, 160, 2700, 900, 0.09),
    "dull metal": (0.0006, 160, 2700, 900, 0.90),
    "plastic": (0.002, 0.20, 1200, 1200, 0.90),
    "silicone": (0.006, 0.35, 1200, 1300, 0.90),
    "glass": (0.003, 1.0, 2500, 840, 0.94),
}
SEAM = 2e4
"""W/(m² K) between the two nodes of a seam: 10 µm of wax."""


def air(t_c):
    """k, kinematic viscosity, Prandtl number at 1 atm."""
    t = np.clip(t_c, -60.0, 200.0) + 273.15
    mu = 1.716e-5 * (t / 273.15) ** 1.5 * 383.55 / (t + 110.4)
    k = 0.02414 * (t / 273.0) ** 1.5 * 467.0 / (t + 194.0)
    return k, mu * 287.05 * t / 101325, mu * 1007 / k


def grashof(ts, ta, length):
    ts = np.clip(ts, -60.0, 200.0)  # where a trial step of Newton's strays to
    film = (ts + ta) / 2
    k, nu, pr = air(film)
    return 9.80665 * np.abs(ts - ta) / (film + 273.15) * length**3 / nu**2, k, pr


def shine(emissivity, ts, ta):
    return emissivity * 5.670374e-8 * ((ts + 273.15) ** 4 - (ta + 273.15) ** 4)


def side_flux(ts, ta, height, diameter, emissivity):
    """W/m² off an upright cylinder."""
    gr, k, pr = grashof(ts, ta, height)
    nu = 0.68 + 0.67 * (gr * pr) ** 0.25 / (1 + (0.492 / pr) ** 0.5625) ** (4 / 9)
    nu = nu * (1 + 0.3 * (np.sqrt(32) * np.maximum(gr, 1) ** -0.25 * height / diameter) ** 0.909)
    return nu * k / height * (ts - ta), shine(emissivity, ts, ta)


def disc_flux(ts, ta, radius, factor, emissivity):
    gr, k, pr = grashof(ts, ta, radius / 2)
    nu = np.maximum(factor * (gr * pr) ** 0.25, 0.5)
    return nu * k * 2 / radius * (ts - ta), shine(emissivity, ts, ta)


class Stuff:
    """A wax by its figures in the table."""

    def __init__(self, wax):
        self.w = wax
        hot = wax.density_liquid * (1 - wax.liquid_expansion * (wax.liquidus_c - wax.density_liquid_at_c))
        self.rho = (hot + wax.density_solid) / 2

    @staticmethod
    def triangle(t, a, b, c):
        """Density of a triangle from a over b to c, and what lies below t."""
        top = 2 / (c - a)
        up, down = (t - a) / (b - a), (c - t) / (c - b)
        density = top * np.clip(np.minimum(up, down), 0, 1)
        below = np.where(
            t < b, np.clip(up, 0, 1) ** 2 * (b - a), (c - a) - np.clip(down, 0, 1) ** 2 * (c - b)
        )
        return density, below / (c - a)

    def melted(self, t):
        return self.triangle(t, self.w.solidus_c, self.w.peak_c, self.w.liquidus_c)[1]

    def capacity(self, t):
        w = self.w
        density, melted = self.triangle(t, w.solidus_c, w.peak_c, w.liquidus_c)
        c = w.cp_solid + (w.cp_liquid - w.cp_solid) * melted + w.latent_main * density
        if w.transition_low_c is not None:
            low, high = w.transition_low_c, w.transition_high_c
            c = c + w.latent_transition * self.triangle(t, low, (low + high) / 2, high)[0]
        return self.rho * c

    def k(self, t):
        return self.w.conductivity_solid + self.melted(t) * (
            self.w.conductivity_liquid - self.w.conductivity_solid
        )


def crowded(n, both=True):
    """n nodes from 0 to 1, close together at 1 and, where asked, at 0."""
    s = np.linspace(0, 1, n)
    return (1 - np.cos(np.pi * s)) / 2 if both else np.sin(np.pi * s / 2)


class Lines:
    """One mould in air; wall of `sheets` sheets."""

    def __init__(self, case, sheets, rings=22, rows=26):
        self.case, self.v, self.rows, self.sheets = case, case.vessel, rows, sheets
        self.radius, self.room = case.vessel.radius, case.around[0].room_c
        self.r = self.radius * crowded(rings, both=False)
        edges = np.concatenate([[0], (self.r[1:] + self.r[:-1]) / 2, [self.radius]])
        self.area, self.edge = np.pi * np.diff(edges**2), edges[1:-1]
        thick, k, rho, cp, self.emissivity = WALLS[self.v.material]
        thick = self.v.wall or thick
        if self.v.insulation:
            self.emissivity = 0.9
        self.sheet_r, self.sheet_c = thick / k / sheets, thick * rho * cp / sheets
        self.draught = case.around[0].draught
        self.z, self.layer, self.t = np.zeros(0), np.zeros(0, int), np.zeros((0, rings))
        warm = self.v.warm_c if self.v.warm_c is not None else self.room
        self.side, self.base, self.warm = np.zeros((0, sheets)), np.full((sheets, rings), warm), warm
        self.stuff = []

    def pour(self, k):
        p, foot = self.case.pours[k], self.z[-1] if self.z.size else 0.0
        self.stuff.append(Stuff(p.wax))
        self.z = np.concatenate([self.z, foot + p.height * crowded(self.rows)])
        self.layer = np.concatenate([self.layer, np.full(self.rows, k)])
        self.t = np.vstack([self.t, np.full((self.rows, self.r.size), p.celsius)])
        self.side = np.vstack([self.side, np.full((self.rows, self.sheets), self.warm)])
        gap = np.diff(self.z)
        self.seams = np.diff(self.layer) > 0
        gap = np.where(self.seams, 0.0, gap)
        self.gap = gap
        self.dz = np.concatenate([[0], gap]) / 2 + np.concatenate([gap, [0]]) / 2

    def unpack(self, y):
        n, m, s = self.z.size, self.r.size, self.sheets
        a, b = n * m, n * m + n * s
        return y[:a].reshape(n, m), y[a:b].reshape(n, s), y[b:].reshape(s, m)

    def outward(self, sheet, flux):
        """W/m² from the outermost sheet's middle through half of it, wrapping and film."""
        behind = self.sheet_r / 2 + self.v.insulation
        ts = sheet
        for _ in range(30 if self.v.insulation else 8):
            q = flux(ts)
            h = q / np.where(np.abs(ts - self.room) > 1e-9, ts - self.room, 1e-9)
            h = np.maximum(h, 1e-3)
            ts = self.room + (sheet - self.room) / (1 + h * behind)
        return (sheet - self.room) / (behind + 1 / h)

    def rate(self, _time, y):
        t, side, base = self.unpack(y)
        c = np.empty_like(t)
        for i, stuff in enumerate(self.stuff):
            rows = self.layer == i
            c[rows] = stuff.capacity(t[rows])
        gain = np.zeros_like(t)
        flow = np.empty((t.shape[0] - 1, t.shape[1]))
        across = np.empty((t.shape[0], t.shape[1] - 1))
        for i, stuff in enumerate(self.stuff):
            rows = np.flatnonzero(self.layer == i)
            a, b = rows[0], rows[-1] + 1
            x = t[a:b]
            flow[a : b - 1] = stuff.k((x[1:] + x[:-1]) / 2) * np.diff(x, axis=0) / self.gap[a : b - 1, None]
            across[a:b] = stuff.k((x[:, 1:] + x[:, :-1]) / 2) * np.diff(x, axis=1) / np.diff(self.r)
        flow[self.seams] = SEAM * np.diff(t, axis=0)[self.seams]
        flow = flow * self.area
        gain[:-1] += flow
        gain[1:] -= flow
        across = across * 2 * np.pi * self.edge * self.dz[:, None]
        gain[:, :-1] += across
        gain[:, 1:] -= across
        v, scale = self.v, self.case.surface_scale * self.draught
        # walls, from the wax outwards
        s_area = 2 * np.pi * self.radius * self.dz[:, None]
        inner = np.column_stack([t[:, -1], side])
        through = (inner[:, :-1] - inner[:, 1:]) / (self.sheet_r * np.r_[0.5, np.ones(self.sheets - 1)])
        out = self.outward(
            side[:, -1],
            lambda ts: (
                scale
                * v.side_factor
                * sum(side_flux(ts, self.room, v.height, 2 * self.radius, self.emissivity))
            ),
        )
        net = through - np.column_stack([through[:, 1:], out])
        gain[:, -1] -= through[:, 0] * s_area[:, 0]
        down = np.vstack([t[0], base])
        fall = (down[:-1] - down[1:]) / (self.sheet_r * np.r_[0.5, np.ones(self.sheets - 1)])[:, None]
        under = self.outward(
            base[-1],
            lambda ts: (
                scale * v.side_factor * sum(disc_flux(ts, self.room, self.radius, 0.27, self.emissivity))
            ),
        )
        base_net = fall - np.vstack([fall[1:], under])
        gain[0] -= fall[0] * self.area
        well = v.height - self.z[-1]
        share = 1.0
        if well > 0:
            h = (self.radius / well) ** 2
            s = 2 + 1 / h
            share = (1 + (s - np.sqrt(s * s - 4)) / 2) / 2
        top = sum(disc_flux(t[-1], self.room, self.radius, 0.54, 0.95)) * share * scale * v.top_factor
        gain[-1] -= top * self.area
        wax = gain / (c * self.dz[:, None] * self.area)
        return np.concatenate([wax.ravel(), (net / self.sheet_c).ravel(), (base_net / self.sheet_c).ravel()])

    def pattern(self):
        n, m, s = self.z.size, self.r.size, self.sheets
        total = n * m + n * s + s * m
        cell = np.arange(n * m).reshape(n, m)
        side = n * m + np.arange(n * s).reshape(n, s)
        base = n * m + n * s + np.arange(s * m).reshape(s, m)
        lines = (
            [cell[:-1], cell[1:]],
            [cell[:, :-1], cell[:, 1:]],
            [cell[:, -1], side[:, 0]],
            [cell[0], base[0]],
        )
        lines += [side[:, :-1], side[:, 1:]], [base[:-1], base[1:]]
        a = np.concatenate([x.ravel() for x, _ in lines])
        b = np.concatenate([x.ravel() for _, x in lines])
        i, j = np.concatenate([a, b, np.arange(total)]), np.concatenate([b, a, np.arange(total)])
        return coo_matrix((np.ones(i.size), (i, j)), shape=(total, total)).tocsr()

    def run(self, start, times, rtol):
        """Temperatures (times, rows, rings) at these times; goes on from the last of them."""
        y = np.concatenate([self.t.ravel(), self.side.ravel(), self.base.ravel()])
        found = solve_ivp(
            self.rate, (start, times[-1]), y, method="BDF", t_eval=times, rtol=rtol, atol=rtol * 30,
            jac_sparsity=self.pattern(), first_step=1e-3,
        )  # fmt: skip
        assert found.success, found.message
        self.path = found.y.T
        self.stand_at(-1)
        return np.array([self.unpack(x)[0] for x in self.path])

    def stand_at(self, n):
        """Stand as at the n-th time of the last run."""
        self.t, self.side, self.base = (x.copy() for x in self.unpack(self.path[n]))


def events(case, sheets=1, rtol=1e-5, until=60000.0, **size):
    """{(layer, event): s from its pour} of a mould in air with at most one `Around`."""
    lines, seen = Lines(case, sheets, **size), []
    for k, p in enumerate(case.pours):
        lines.pour(k)
        end = case.pours[k + 1].at_s if k + 1 < len(case.pours) else p.at_s + until
        at = p.at_s + np.geomspace(1.0, end - p.at_s, 500)
        at[-1] = end
        seen.append((at, lines.run(p.at_s, at, rtol), lines.z.copy(), lines.layer.copy()))
    return read(case, lines, seen)


def first(at, below, level):
    """First time a falling value is at a level."""
    i = np.flatnonzero(below <= level)
    if i.size == 0:
        return None
    i = i[0]
    return (
        at[0]
        if i == 0
        else at[i - 1] + (below[i - 1] - level) / (below[i - 1] - below[i]) * (at[i] - at[i - 1])
    )


def last(at, value, level):
    i = np.flatnonzero(value > level)
    if i.size == 0 or i[-1] == at.size - 1:
        return None
    i = i[-1]
    return at[i] + (value[i] - level) / (value[i] - value[i + 1]) * (at[i + 1] - at[i])


def too_cold(stuff, hot_c, half_c):
    """°C of an edge that wax of its own kind at `hot_c` no longer turns half liquid (two half-spaces, Carslaw and
    Jaeger), or at which it has come off the wall: 20 K below its solidus, as the program has it."""
    w = stuff.w
    hot_density = w.density_liquid * (1 - w.liquid_expansion * (w.liquidus_c - w.density_liquid_at_c))
    liquid = np.sqrt(w.conductivity_liquid * hot_density * w.cp_liquid)
    solid = np.sqrt(w.conductivity_solid * w.density_solid * w.cp_solid)
    return max(half_c - (hot_c - half_c) * liquid / solid, w.solidus_c - 20.0)


def read(case, lines, seen):
    out, room = {}, lines.room
    for k, p in enumerate(case.pours):
        stuff, (at, t, z, layer) = lines.stuff[k], seen[k]
        span = np.linspace(stuff.w.solidus_c, stuff.w.liquidus_c, 4001)
        level = {s: float(np.interp(1 - s, stuff.melted(span), span)) for s in (0.5, 0.9, 0.99)}
        top = t[:, -1]
        edge = np.array([np.interp(lines.radius - 0.001, lines.r, x) for x in top])
        mean = (1 - stuff.melted(top)) @ (lines.area / lines.area.sum())
        out[k, "closes"] = first(at, edge, too_cold(stuff, p.celsius, level[0.5]))
        for name, s in (("skin", 0.5), ("firm", 0.9), ("set", 0.99)):
            out[k, name + "_axis"] = first(at, top[:, 0], level[s])
            out[k, name + "_edge"] = first(at, edge, level[s])
            out[k, name] = first(at, -mean, -s)
        depth = (z[-1] - z[layer == k])[::-1]
        column = t[:, layer == k, 0][:, ::-1]
        for name, d in (("crust_2mm", 0.002), ("crust_5mm", 0.005)):
            fine = np.linspace(0, d, 60)
            hottest = np.array([np.interp(fine, depth, x).max() for x in column])
            out[k, name] = first(at, hottest, level[0.99]) if p.height >= d else None
        hot = [(a, x[:, lay == k].max(axis=(1, 2))) for a, x, _, lay in seen[k:]]
        at, hottest = (np.concatenate(x) for x in zip(*hot, strict=True))
        out[k, "solid"], out[k, "near_room"] = last(at, hottest, level[0.99]), last(at, hottest, room + 3)
    return {key: None if t is None else t - case.pours[key[0]].at_s for key, t in out.items()}
