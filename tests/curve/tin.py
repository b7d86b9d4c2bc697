"""Wax cooling in a tin, simulated apart from the program: nothing of `pourday` is used here.

Conduction in a long cylinder (finite volumes, explicit, enthalpy form) of wax whose heat comes free over a shaped
range: a sharp upper edge, a tail below it, a shoulder, a solid-solid step. Liquid moves, so it conducts more than
it would at rest. A probe in the middle lags and is rounded; draughts change the heat loss; some stir.

What a wax's congealing point *is* comes from the same wax in the apparatus of ASTM D87 (a 25 mm tube in an air
jacket in a bath at 25 °C, a perfect thermometer, read every 15 s): the mean of the first five readings in a row
within 0.1 K. Where there are none the wax has no such point. Ranges of shapes, heats and losses are estimates of
what kitchens and waxes do; latent heats lie in the published brackets of 80 to 215 kJ/kg.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
CELLS, STEP = 14, 1.0
"""Rings of the tin, and s of a step of time: half of what an explicit scheme bears here with stirred wax."""
_DENSITY, _CONDUCTIVITY = 850.0, 0.2
_GRID = np.arange(-20.0, 130.0, 0.02)


@dataclass(frozen=True)
class Case:
    """One wax in one kitchen, and how it was read."""

    kind: str
    """`plateau`, `soft`, `smooth` or `bath`: what the case was made to be."""
    edge: float
    """°C where the main heat is given off most."""
    above: float
    """K, width of the upper flank (half a normal curve)."""
    below: float
    """K, length of the tail below (exponential); of soft wax: the width of its normal curve."""
    latent: float
    """J/kg."""
    shoulder: float
    """Share of the latent heat that comes in a shoulder, and K below the edge where it lies."""
    shoulder_below: float
    solid_step: float
    """J/kg of a solid-solid change 17 K below."""
    radius: float
    loss: float
    """W/m²K."""
    around: float
    """°C of room or bath."""
    start: float
    lag: float
    """s."""
    resolution: float
    draught: float
    """Share by which the loss wanders."""
    stirred: bool
    every: float = 15.0
    lasts: float = 9000.0
    seed: int = 0


def _enthalpy(case: Case) -> tuple[Array, Array]:
    """J/kg and solid share over `_GRID`."""
    t = _GRID
    if case.kind in ("soft", "smooth"):
        shape = np.exp(-0.5 * ((t - case.edge) / case.below) ** 2)
    else:
        over = np.exp(-0.5 * ((t - case.edge) / case.above) ** 2)
        shape = np.where(t > case.edge, over, np.exp((np.minimum(t, case.edge) - case.edge) / case.below))
        shape = shape / shape.sum()
        side = np.exp(-0.5 * ((t - case.edge + case.shoulder_below) / 1.5) ** 2)
        shape = (1 - case.shoulder) * shape + case.shoulder * side / side.sum()
    melted = np.cumsum(shape) / shape.sum()
    step = np.exp(-0.5 * ((t - case.edge + 17) / 2) ** 2)
    heat = np.cumsum(2100 + 200 * melted) * 0.02 + case.latent * melted
    return heat + case.solid_step * np.cumsum(step) / step.sum(), 1 - melted


def _centres(cases: list[Case]) -> list[Array]:
    """°C in the middle of each tin, once a second; all tins are marched together."""
    tables = [_enthalpy(case) for case in cases]
    even = np.array([np.linspace(heat[0], heat[-1], 6000) for heat, _ in tables])
    warm = np.array([np.interp(row, heat, _GRID) for row, (heat, _) in zip(even, tables, strict=True)])
    solid = np.array([np.interp(row, heat, s) for row, (heat, s) in zip(even, tables, strict=True)])
    heat = np.array([[np.interp(c.start, _GRID, h)] * CELLS for c, (h, _) in zip(cases, tables, strict=True)])
    radius, around, loss = (
        np.array([[getattr(c, name)] for c in cases]) for name in ("radius", "around", "loss")
    )
    edges = np.linspace(0, 1, CELLS + 1)
    area, volume = 2 * radius * edges[1:], radius**2 * np.diff(edges**2)
    dx = radius / CELLS
    rng = np.random.default_rng([case.seed for case in cases])
    wander = np.zeros((len(cases), 1))
    size, stirred = np.array([[c.draught] for c in cases]), np.array([[c.stirred] for c in cases])
    rows, low, per = np.arange(len(cases))[:, None], even[:, :1], even[:, 1:2] - even[:, :1]
    out = np.empty((int(max(c.lasts for c in cases)) + 60, len(cases)))
    for second in range(len(out)):
        at = (heat - low) / per
        index = at.astype(int)
        part = at - index
        celsius = warm[rows, index] * (1 - part) + warm[rows, index + 1] * part
        out[second] = celsius[:, 0]
        liquid = solid[rows, index] < 0.08
        k = _CONDUCTIVITY * np.where(liquid, np.where(stirred & (second % 180 < 25), 4.0, 2.5), 1.0)
        flow = np.minimum(k[:, 1:], k[:, :-1]) * np.diff(celsius) / dx * area[:, :-1]
        wander += -wander * STEP / 120 + size * np.sqrt(2 * STEP / 120) * rng.standard_normal(wander.shape)
        film = loss * np.clip(1 + wander, 0.4, 2.5)
        out_flow = (celsius[:, -1:] - around) / (1 / film + dx / 2 / _CONDUCTIVITY) * area[:, -1:]
        gained = np.zeros_like(heat)
        gained[:, :-1] += flow
        gained[:, 1:] -= flow
        gained[:, -1:] -= out_flow
        heat = heat + gained * STEP / (_DENSITY * volume)
    return list(out.T)


def read(case: Case, centre: Array) -> tuple[Array, Array]:
    """What the person has: s and °C, through the lag, the noise and the steps of the probe."""
    rng = np.random.default_rng([case.seed, 7])
    probe = np.empty_like(centre)
    probe[0] = centre[0]
    for i in range(1, len(centre)):
        probe[i] = probe[i - 1] + (centre[i] - probe[i - 1]) / case.lag
    seconds = np.arange(0.0, case.lasts + 1, case.every)
    seen = probe[seconds.astype(int)] + 0.03 * rng.standard_normal(len(seconds))
    return seconds, np.round(seen / case.resolution) * case.resolution


def by_standard(centre: Array) -> float | None:
    """ASTM D87 on a perfect log: mean of the first five 15 s readings in a row within 0.1 K, 3 K or more down."""
    readings = centre[::15]
    for i in range(len(readings) - 4):
        five = readings[i : i + 5]
        if five[0] < readings[0] - 3 and np.ptp(five) <= 0.1 and five.mean() > 27:
            return float(five.mean())
    return None


def made(count: int = 200) -> list[Case]:
    """The cases: 140 with a plateau, 20 soft, 20 smooth, 20 that only stop at their bath."""
    cases = []
    for seed in range(count):
        rng = np.random.default_rng([2026, seed])
        between = rng.uniform
        kind = ("plateau",) * 7 + ("soft", "smooth", "bath")
        which = kind[(seed // 2) % 10]
        edge = between(44, 68)
        case = Case(
            kind=which, edge=edge, above=between(0.2, 0.6), below=between(0.8, 3.0),
            latent=between(110, 200) * 1e3, shoulder=rng.choice([0.0, between(0.1, 0.35)]),
            shoulder_below=between(5, 10), solid_step=rng.choice([0.0, between(20, 50)]) * 1e3,
            radius=between(0.016, 0.028), loss=between(8, 14), around=between(16, 26),
            start=edge + between(12, 25), lag=between(5, 25), resolution=float(rng.choice([0.1, 0.5, 1.0])),
            draught=float(rng.choice([0.0, 0.1, 0.3])), stirred=bool(rng.random() < 0.3),
            every=float(rng.choice([5, 15, 15, 30])), lasts=between(6000, 10500), seed=seed,
        )  # fmt: skip
        if which == "soft":
            case = replace(
                case, below=between(3, 5), latent=between(90, 130) * 1e3, edge=between(36, 46), start=75.0
            )
        if which == "smooth":
            case = replace(
                case, below=between(9, 14), latent=between(0, 90) * 1e3, edge=between(35, 45), solid_step=0.0
            )
        if which == "bath":  # it stops at the bath before it sets
            case = replace(case, around=between(40, 62), loss=between(60, 250), lasts=between(3000, 7000))
            case = replace(case, edge=case.around - between(5, 15), start=case.around + between(15, 30))
        cases.append(case)
    return cases


def run(cases: list[Case]) -> list[tuple[Array, Array, float | None]]:
    """For each case its log (s, °C) and the congealing point by the standard, where it has one."""
    standard = [
        replace(
            c,
            radius=0.0125,
            loss=9.0,
            around=25.0,
            draught=0.0,
            stirred=False,
            lasts=6000.0,
            start=max(c.start, c.edge + 12),
        )
        for c in cases
    ]
    logs = [read(case, centre) for case, centre in zip(cases, _centres(cases), strict=True)]
    truths = [by_standard(centre[:6000]) for centre in _centres(standard)]
    return [(*log, truth) for log, truth in zip(logs, truths, strict=True)]
