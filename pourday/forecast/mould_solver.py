"""The heat in a batch of moulds, step by step.

Every mould is one slice of an array with a leading axis. Around its wax cells lie the wall (some
sheets: rows under it, rings around it) and one more row or ring of surroundings, so that every
flow of heat is a face between two neighbours. Surroundings keep their temperature whatever flows into
them and count what they got: what leaves the wax and what arrives outside agree to rounding.

The state is the place of each cell on its material's heat curve (in table steps, linear in J/kg).
Time goes by the stabilised explicit Runge-Kutta-Legendre scheme of second order (Meyer, Balsara,
Aslam 2014), which needs nothing but sweeps over whole arrays. Conductivities and surface
coefficients stay as they are for a step: those of its middle, carried on from the last step's change.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pourday.forecast import mould_outside as outside
from pourday.forecast.mould_case import Around, Array, Case, HeatField
from pourday.forecast.mould_grid import ring_areas
from pourday.forecast.mould_tables import BOX, LOW_C, Tables


@lru_cache(maxsize=128)
def _legendre(s: int) -> tuple[float, Array]:
    """Weights of the Runge-Kutta-Legendre scheme with s stages (RKL2): the first, then a row (5,) a stage.

    A row weighs the state, its change, the change at the stage before, and the two stages before
    in the order in which they lie in `Batch._stack` at that stage.
    """
    j = np.arange(s + 1, dtype=np.float64)
    b = np.full(s + 1, 1 / 3)
    b[2:] = (j[2:] ** 2 + j[2:] - 2) / (2 * j[2:] * (j[2:] + 1))
    w = 4 / (s * s + s - 2)
    out = np.empty((s - 1, 5))
    for i in range(2, s + 1):
        mu = (2 * i - 1) / i * b[i] / b[i - 1]
        nu = -(i - 1) / i * b[i] / b[i - 2]
        before = (nu, mu) if i % 2 == 0 else (mu, nu)
        out[i - 2] = (1 - mu - nu, -(1 - b[i - 1]) * mu * w, mu * w, *before)
    return w / 3, out


@dataclass(frozen=True, eq=False)
class _Way:
    """All faces that heat crosses in one direction, upwards or outwards, each at the place of the cell before it.

    Flat arrays over the cells of the whole batch; resistances in K/W for wax of 1 W/(m K).
    """

    hop: int
    """How many places further the cell behind the face lies."""
    near: Array
    """From the middle of the cell before it to the face,"""
    far: Array
    """and from there to the middle of the cell behind it."""
    both: Array
    """The sum of the two."""
    extra: Array
    """What else lies in the way: wall and film, or infinity where there is no face."""
    unlike: NDArray[np.intp]
    """Faces whose two cells are not of one wax."""


def _way(near: Array, far: Array, extra: Array, material: NDArray[np.intp], hop: int) -> _Way:
    """The faces `hop` places apart, from arrays of a value a cell; `material` as in `Batch._material`."""
    low, high = near.reshape(-1)[:-hop], far.reshape(-1)[hop:]
    one = (material[hop:] == material[:-hop]) & (material[hop:] >= 0)
    return _Way(hop, low, high, low + high, extra.reshape(-1), np.flatnonzero(~one & (low + high > 0)))


@dataclass(frozen=True, eq=False)
class HeatFrame:
    """What it takes to turn one mould's share of a batch's state back into heat once the batch is gone."""

    case: Case
    start: HeatField
    """The field the batch began with, for its edges and layers."""
    zero: Array
    """Place of each cell at no heat,"""
    per_step: Array
    """and heat per table step: J/kg in wax, K in a wall."""
    first: int
    """Number of the lowest row of wax."""

    def field(self, at_s: float, x: Array) -> HeatField:
        """The field at a time from the state `x` noted then: (rows, rings), with wall and surroundings around."""
        f, nr = self.start, self.start.r.size - 1
        heats = (x - self.zero) * self.per_step
        first, sheets = self.first, len(f.base_c)
        wax = slice(first, first + f.layer.size)
        side = heats[wax, nr : nr + sheets].copy()
        below = heats[first - sheets : first, :nr][::-1].copy()
        return HeatField(at_s, f.z, f.r, f.layer, heats[wax, :nr].copy(), side, below)


class Batch:
    """Moulds computed together from one moment each until something is poured or moved in one of them.

    `cases` and `fields` are one a mould; all fields have the same number of rings. Call `prepare` before
    every `step` and before reading `celsius` or `surface`.
    """

    def __init__(self, cases: Sequence[Case], fields: Sequence[HeatField]) -> None:
        self.cases, self.fields = cases, fields
        self.t = np.array([f.at_s for f in fields], dtype=np.float64)
        """Every mould keeps its own clock, s."""
        count, self.rings = len(cases), fields[0].r.size - 1
        self.first = 1 + max(len(outside.sheets_of(case.vessel)) for case in cases)
        """The lowest row of wax: surroundings and the most sheets that a wall has here lie below it."""
        rows = max(f.layer.size for f in fields) + self.first + 1
        shape = (count, rows, self.rings + self.first)
        self.top_row = np.array([self.first + f.layer.size - 1 for f in fields])
        self._tables = Tables()
        self._x0, self.x = np.zeros(shape), np.zeros(shape)
        self._per_step, self._gain, self._steep = (np.zeros(shape) for _ in range(3))
        self._rz, self._rin, self._rout = (np.zeros(shape) for _ in range(3))
        self._material = np.full(shape, -1)
        """First table entry of the wax in a cell, -1 for all else."""
        # A face belongs to the cell on its low side: above it (ez) or outside it (er). Where there is
        # none, at the end of a row or a mould too, the resistance is infinite, so that every sweep
        # can run over the flat array from end to end.
        self._extra = np.full((2, *shape), np.inf)
        self._ez, self._er = self._extra
        self._faces: list[tuple[NDArray[Any], ...]] = []
        self._films: list[Array] = []
        # Surroundings come first in the tables: what they got is counted at small numbers, without rounding.
        for m in range(count):
            self._walls(m)
        for m in range(count):
            self._wax_cells(m)
        self._finish()

    # ------------------------------------------------------------------ building

    def _wax_cells(self, m: int) -> None:
        """Put mould m's wax into the arrays: state, materials, resistances, no face left open among them."""
        case, field = self.cases[m], self.fields[m]
        n, nr, first = field.layer.size, self.rings, self.first
        inside = (m, slice(first, first + n), slice(0, nr))
        dz, areas = np.diff(field.z)[:, None], ring_areas(field.r)[None, :]
        squares, edges = field.r**2, field.r
        mid = (squares[1:] + squares[:-1]) / 2
        self._rz[inside] = dz / 2 / areas
        # Exact for a parabola in r, which every late profile is close to.
        self._rout[inside] = (squares[1:] - mid) / (4 * np.pi * squares[1:]) / dz
        self._rin[inside][:, 1:] = ((mid - squares[:-1])[1:] / (4 * np.pi * edges[1:-1] ** 2)) / dz
        for k in range(int(field.layer[-1]) + 1):
            pour = case.pours[k]
            at, low, step, steep = self._tables.wax(pour.heat_curve(case.width_scale), pour.wax)
            rows = np.flatnonzero(field.layer == k)
            part = (m, slice(int(rows[0]) + first, int(rows[-1]) + first + 1), slice(0, nr))
            self._x0[part] = at - low / step
            self._per_step[part] = step
            self.x[part] = at + (field.heat[rows] - low) / step
            self._gain[part] = 1 / (pour.density * areas * dz[rows] * step)
            self._steep[part] = steep
            self._material[part] = at
        self._ez[m, first : first + n - 1, :nr] = 0.0
        self._er[m, first : first + n, : nr - 1] = 0.0

    def _walls(self, m: int) -> None:
        """Put mould m's wall and surroundings into the arrays, and the faces between."""
        case, field = self.cases[m], self.fields[m]
        n, nr, first = field.layer.size, self.rings, self.first
        around = case.at(field.at_s)
        dz, areas = np.diff(field.z), ring_areas(field.r)
        side_area = 2 * np.pi * field.r[-1] * dz
        resistance, heat = outside.wall_of(case.vessel)
        room = self._tables.surroundings(around.room_c)
        base_at, side_at, films = self._water(case, field.z, around)
        wax, sheets = slice(first, first + n), outside.sheets_of(case.vessel)
        out, under = nr + len(sheets), first - 1 - len(sheets)
        for cells, at in (((m, first + n, slice(0, nr)), room), ((m, under, slice(0, nr)), base_at)):
            self._surround(cells, at)
        self._surround((m, wax, out), side_at)
        before = 0.0
        for i, share in enumerate(sheets):
            ring, row = nr + i, first - 1 - i
            self._wall_cells((m, wax, ring), field.side_c[:, i], heat * share * side_area)
            self._wall_cells((m, row, slice(0, nr)), field.base_c[i], heat * share * areas)
            self._er[m, wax, ring - 1] = resistance * (before + share) / 2 / side_area
            self._ez[m, row, :nr] = resistance * (before + share) / 2 / areas
            before = share
        here = (case.vessel, around, case.surface_scale)
        below, above = outside.base(*here), outside.top(*here, float(field.z[-1]))
        across = np.arange(nr)
        self._open("r", m, first + np.arange(n), out - 1, side_area, films)
        self._open("z", m, under, across, areas, self._film(below))
        self._open("z", m, first + n - 1, across, areas, self._film(above))

    def _water(self, case: Case, z: Array, around: Around) -> tuple[int, NDArray[np.intp], NDArray[np.intp]]:
        """Table entries of what lies around the base and beside each row; the film of each row (as `_film`)."""
        wet = outside.under_water(z, around)
        room = self._tables.surroundings(around.room_c)
        bath = self._tables.surroundings(around.bath_c) if around.bath_c is not None else room
        here = (case.vessel, around, case.surface_scale)
        dry_film = outside.side_dry(*here)
        wet_film = outside.side_wet(*here) if around.bath_c is not None else dry_film
        dry_at = self._film(dry_film)
        wet_at = self._film(wet_film) if around.bath_c is not None else dry_at
        side_at = np.where(wet == 1, bath, room)
        films = np.where(wet == 1, wet_at, dry_at)
        for i in np.flatnonzero((wet > 0) & (wet < 1)):
            mixed, celsius = outside.at_the_water_line(
                dry_film, wet_film, float(wet[i]), float(np.diff(z)[i]), around
            )
            films[i], side_at[i] = self._film(mixed), self._tables.surroundings(celsius)
        return bath if wet[0] > 0 else room, side_at, films

    def _surround(self, cells: tuple[object, ...], at: int | NDArray[np.intp]) -> None:
        """Make cells surroundings, `at` their table entries: so large that they keep their temperature."""
        self._x0[cells] = at  # type: ignore[index]
        self.x[cells] = at  # type: ignore[index]
        self._per_step[cells] = BOX  # type: ignore[index]
        self._gain[cells] = 1 / BOX  # type: ignore[index]

    def _wall_cells(self, cells: tuple[object, ...], celsius: Array, heat: Array) -> None:
        """Make cells wall of this temperature, °C, and heat capacity, J/K."""
        at = self._tables.wall()
        self._x0[cells] = at - LOW_C  # type: ignore[index]
        self.x[cells] = at - LOW_C + celsius  # type: ignore[index]
        self._per_step[cells] = 1.0  # type: ignore[index]
        self._gain[cells] = 1 / heat  # type: ignore[index]
        self._steep[cells] = 1.0  # type: ignore[index]

    def _film(self, table: Array) -> int:
        """Take in a table of coefficients over `NODES_C`; the place of its first value among all."""
        self._films.append(table)
        return (len(self._films) - 1) * outside.NODES_C.size

    def _open(
        self,
        way: str,
        m: int,
        row: int | NDArray[np.intp],
        ring: int | NDArray[np.intp],
        area: Array,
        film: int | NDArray[np.intp],
    ) -> None:
        """Take in mould m's faces to its surroundings in one direction, up (`z`) or outwards (`r`): row and ring of the cell
        before each, its area in m², its film as `_film` gave it; of every one, or one for all."""
        rows, cols = self.x.shape[1:]
        cell = (m * rows + row) * cols + ring
        inner = cell + cols if way == "z" and np.all(row < self.first) else cell
        place = cell if way == "z" else cell + self.x.size
        self._faces.append(tuple(np.broadcast_arrays(inner, place, area, film)))

    def _finish(self) -> None:
        """Lay out the flat arrays that stepping works on, once all moulds are in."""
        self._a, self._s, self._per_k, self._b = self._tables.joined()
        self._inner, self._place, self._area, self._film_at = map(
            np.concatenate, zip(*self._faces, strict=True)
        )
        self._film_values = np.concatenate(self._films)
        self._slope_most = self._steep * self._gain
        start = self._material.reshape(-1)
        self._up = _way(self._rz, self._rz, self._ez, start, self.x.shape[2])
        self._out = _way(self._rout, self._rin, self._er, start, 1)
        size, across = self.x.size, self.x.shape[2]
        # Rows: state, its change over a step, that at the stage, the two stages before.
        self._stack, self._y = np.empty((5, size)), np.empty(size)
        self._stack[0] = self.x.ravel()
        self.x = self._stack[0].reshape(self.x.shape)
        self._gain_dt = np.empty(self.x.shape)
        self._gain_flat = self._gain_dt.reshape(-1)
        self._index = np.empty(size, dtype=np.intp)
        self._t, self._kinv, self._w = (np.empty(size) for _ in range(3))
        # Conductances (up, outwards) of now, of the step before, and those a step is made with.
        self._now, self._before, self._half = (np.zeros((2, size)) for _ in range(3))
        self._gz, self._gr = self._now
        self._dt = np.zeros(len(self.cases))
        self._through, self._net = np.empty(size), np.empty(size)
        self.celsius = self._t.reshape(self.x.shape)
        # Flows through all faces with nothing before the first and after the last, so that what a
        # cell gains is the difference of neighbours.
        self._fz, self._fr = np.zeros(size + across), np.zeros(size + 1)

    # ------------------------------------------------------------------ stepping

    def _look_up(self, x: Array) -> None:
        """Put the temperatures of a state into `_t`; `_index` and `_w` keep each cell's entry and s x."""
        np.copyto(self._index, x, casting="unsafe")
        self._s.take(self._index, out=self._w, mode="clip")
        np.multiply(self._w, x, out=self._w)
        self._a.take(self._index, out=self._t, mode="clip")
        np.add(self._t, self._w, out=self._t)

    def prepare(self) -> Array:
        """Bring temperatures and conductances up to now; the fastest decay in each mould, 1/s, shape (moulds,)."""
        self._look_up(self._stack[0])
        # The look-up left s x of every cell, which the integral of k needs too.
        np.copyto(self._through, self._w)
        self._per_k.take(self._index, out=self._kinv, mode="clip")
        self._through /= self._kinv
        self._through += self._b.take(self._index, mode="clip")
        self._outside()
        across = self.x.shape[2]
        self._now, self._before = self._before, self._now
        self._gz, self._gr = self._now
        self._conduct(self._gz, self._up)
        self._conduct(self._gr, self._out)
        total = np.add(self._gz, self._gr, out=self._w)
        total[across:] += self._gz[:-across]
        total[1:] += self._gr[:-1]
        total *= self._slope_most.reshape(-1)
        return np.asarray(2 * total.reshape(self.x.shape[0], -1).max(axis=1))

    def _outside(self) -> None:
        """Bring the resistances of all faces to the surroundings up to now."""
        t = (self._t.take(self._inner) - outside.NODES_C[0]) / outside.SPACING
        i = np.minimum(np.maximum(t, 0.0), outside.NODES_C.size - 2).astype(np.intp)
        low = self._film_values.take(self._film_at + i)
        film = low + (self._film_values.take(self._film_at + i + 1) - low) * (t - i)
        self._extra.reshape(-1)[self._place] = 1 / (film * self._area)

    def _conduct(self, g: Array, way: _Way) -> None:
        """Put the conductances of the faces of one direction, W/K, into `g`.

        Within one wax k is its mean over the temperatures between the two cells (Kirchhoff), so
        that a half frozen cell does not hold up the heat of its frozen neighbour.
        """
        t, k, through, hop = self._t, self._kinv, self._through, way.hop
        rise, gain, inner = self._fr[1 : t.size - hop + 1], self._net[:-hop], g[:-hop]
        np.subtract(t[hop:], t[:-hop], out=rise)
        np.subtract(through[hop:], through[:-hop], out=gain)
        np.copyto(inner, k[:-hop])
        np.divide(rise, gain, out=inner, where=np.abs(gain) > 1e-7)
        np.multiply(inner, way.both, out=inner)
        low, high = way.unlike, way.unlike + hop
        inner[low] = way.near[low] * k[low] + way.far[low] * k[high]
        g[-hop:] = 1.0
        g += way.extra
        np.divide(1.0, g, out=g)

    def _half_way(self, dt: Array) -> None:
        """Carry the conductances on to the middle of a step of dt, by their change over the step before.

        Where that one is not known they stay. Never below half: what rose steeply need not go on.
        """
        half, known = self._half, self._dt > 0
        ahead = np.divide(dt, 2 * self._dt, out=np.zeros_like(dt), where=known)
        np.subtract(self._now, self._before, out=half)
        by_mould = half.reshape(2, dt.size, -1)
        by_mould *= np.minimum(ahead, 1.0)[:, None]
        half += self._now
        np.maximum(half, np.multiply(self._now, 0.5, out=self._before), out=half)
        self._gz, self._gr = half
        self._dt = dt

    def _rate(self, out: Array) -> None:
        """Put into `out` how many table steps each cell gains in its mould's time step, as `_look_up` left it."""
        t, w, hop = self._t, self._w, self.x.shape[2]
        fr, fz = self._fr[1:-1], self._fz[hop:-hop]
        np.subtract(t[1:], t[:-1], out=fr)
        np.multiply(fr, self._gr[:-1], out=fr)
        np.subtract(t[hop:], t[:-hop], out=fz)
        np.multiply(fz, self._gz[:-hop], out=fz)
        np.subtract(self._fr[1:], self._fr[:-1], out=out)
        np.subtract(self._fz[hop:], self._fz[:-hop], out=w)
        np.add(out, w, out=out)
        np.multiply(out, self._gain_flat, out=out)

    def step(self, dt: Array, rate: Array) -> None:
        """One step of dt seconds, each mould its own (0: it waits); `prepare` came before and gave the rate."""
        s = max(3, int(np.ceil((np.sqrt(9 + 8 * float((dt * rate).max())) - 1) / 2)) | 1)
        first, stages = _legendre(s)
        stack, y = self._stack, self._y
        self._half_way(dt)
        np.multiply(self._gain, dt[:, None, None], out=self._gain_dt)
        self._rate(stack[1])
        stack[3] = stack[0]
        np.multiply(stack[1], first, out=y)
        np.add(y, stack[0], out=y)
        stack[4] = y
        for i, weights in enumerate(stages):
            self._look_up(y)
            self._rate(stack[2])
            np.dot(weights, stack, out=y)
            stack[3 + i % 2] = y
        stack[0] = y
        self.t += dt

    # ------------------------------------------------------------------ reading

    def surface(self) -> Array:
        """Temperature of the open wax itself (moulds, rings), °C; `prepare` came before.

        The parabola through the top row's mean with the slopes of the heat that leaves it and of
        the heat that comes up into it.
        """
        m, row, nr = np.arange(len(self.cases)), self.top_row, self.rings
        shape = self.x.shape
        g, t = self._gz.reshape(shape), self.celsius
        half = self._rz[m, row, :nr] * self._kinv.reshape(shape)[m, row, :nr]
        inner = t[m, row, :nr]
        out = (inner - t[m, row + 1, :nr]) * g[m, row, :nr]
        up = (t[m, row - 1, :nr] - inner) * g[m, row - 1, :nr]
        return np.asarray(inner - half * (2 * out + up) / 3)

    def lost(self) -> Array:
        """J that each mould gave to its surroundings since this batch began."""
        box = self._per_step == BOX
        return np.asarray(np.where(box, (self.x - self._x0) * BOX, 0.0).sum(axis=(1, 2)))

    def frame(self, m: int) -> HeatFrame:
        """What reads mould m's share of a state that was noted."""
        return HeatFrame(self.cases[m], self.fields[m], self._x0[m], self._per_step[m], self.first)
