"""A stabilised explicit step: second-order Runge-Kutta-Chebyshev.

B. P. Sommeijer, L. F. Shampine and J. G. Verwer, "RKC: an explicit solver for parabolic PDEs",
J. Comput. Appl. Math. 88 (1998) 315-326, with damping 2/13. s stages bear about 0.65 s² times the step that a
plain explicit step bears, and every stage only adds up flows, so heat is kept to the last digit.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from pourday.kitchen.truth import Floats

_DAMPING = 2.0 / 13.0
"""ε of the paper, by whose formulas the weights are made: without it a stage would sit at the edge of stability."""


def stages(seconds: float, stiffness: float) -> int:
    """Stages needed for a step, where `stiffness` (1/s) bounds the largest rate."""
    return max(2, math.ceil(math.sqrt(1.0 + 1.54 * seconds * stiffness)))


def _weights(s: int) -> tuple[float, tuple[tuple[float, float, float, float], ...]]:
    """The first stage's weight, then (mu, nu, mu~, gamma~) of stages 2 to s."""
    w0 = 1.0 + _DAMPING / s**2
    t, dt, ddt = [1.0, w0], [0.0, 1.0], [0.0, 0.0]
    for j in range(2, s + 1):
        t.append(2 * w0 * t[j - 1] - t[j - 2])
        dt.append(2 * t[j - 1] + 2 * w0 * dt[j - 1] - dt[j - 2])
        ddt.append(4 * dt[j - 1] + 2 * w0 * ddt[j - 1] - ddt[j - 2])
    w1 = dt[s] / ddt[s]
    b = [ddt[j] / dt[j] ** 2 if j >= 2 else 0.0 for j in range(s + 1)]
    b[0] = b[1] = b[2]
    rows = []
    for j in range(2, s + 1):
        slope = 2 * b[j] * w1 / b[j - 1]
        before = 1.0 - b[j - 1] * t[j - 1]
        rows.append((2 * b[j] * w0 / b[j - 1], -b[j] / b[j - 2], slope, -before * slope))
    return b[1] * w1, tuple(rows)


def step(state: Floats, rate: Callable[[Floats], Floats], seconds: float, s: int) -> Floats:
    """The state after `seconds`, by s stages of `rate`."""
    first, rows = _weights(s)
    start = rate(state)
    older, newer = state, state + (first * seconds) * start
    for mu, nu, slope, gamma in rows:
        moved = mu * newer + nu * older + (1.0 - mu - nu) * state
        moved += (slope * seconds) * rate(newer) + (gamma * seconds) * start
        older, newer = newer, moved
    return newer
