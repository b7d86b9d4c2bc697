"""What the days taught of a kitchen, as text and as data: each factor with its spread, and how good the forecasts were."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import median
from typing import Any

from pourday.guide.outlook.learned import TOP_POWER
from pourday.learning.factors import LogFactor
from pourday.learning.kitchen import DayTaught, Taught, kitchen
from pourday.reports.kitchen_days import days_that_count, kitchen_of
from pourday.store.kitchen_days import DayRow, ForecastCheck
from pourday.store.memories import KitchenChoices
from pourday.times import local

EXAMPLE = 45.0
"""Minutes that a layer takes to carry where nothing is known: what a factor does to a wait is said of it."""
_Z = 1.2816
DECIDED = ("agrees", "earlier", "later")
"""What came of a forecast of which looks tell whether it held."""


def kitchen_data(rows: Sequence[DayRow], choices: KitchenChoices, now: float) -> dict[str, Any]:
    """The kitchen as data: `days`, `factors` and `forecasts`.

    A factor says how many times as much heat is lost as is computed; early, likely and late are its 10, 50 and 90 %
    quantiles. `error` of forecasts is by what share of the wait the median of what came was off, above nought for later.
    """
    known, used = kitchen_of(rows, choices, now), days_that_count(rows, choices)
    factors = [
        ("heat lost at the open top", "kitchen", known.top),
        ("heat lost at the walls", "kitchen", known.wall),
    ]
    factors += [("heat lost at its wall, beside the others", key, one) for key, one in known.moulds.items()]
    return {
        "days": [
            {
                "session": row.day.session,
                "looks": row.day.looks,
                "counts": row.day in used,
                "top": None if row.day.top is None else _of_one_day(row.day),
            }
            for row in rows
            if row.day is not None
        ],
        "use": not choices.use_none,
        "factors": [_factor(*one) for one in factors],
        "waits_for_a_crust": round(known.crust, 3),
        "forecasts": _forecasts([check for row in rows for check in row.checks]),
    }


def _of_one_day(day: DayTaught) -> float:
    """The factor at the top if a kitchen had no other day."""
    return round(quantiles(kitchen([day], day.at).top.factor)[1], 3)


def _factor(name: str, of: str, taught: Taught) -> dict[str, Any]:
    early, likely, late = quantiles(taught.factor)
    return {
        "name": name,
        "of": of,
        "likely": round(likely, 3),
        "early": round(early, 3),
        "late": round(late, 3),
        "rests_on": {"days": taught.days, "looks": taught.looks},
    }


def quantiles(factor: LogFactor) -> tuple[float, float, float]:
    """10, 50 and 90 % quantiles of a factor that is known by its logarithm."""
    early, likely, late = (math.exp(factor.mean + z * factor.sigma) for z in (-_Z, 0.0, _Z))
    return early, likely, late


def _forecasts(checks: Sequence[ForecastCheck]) -> list[dict[str, Any]]:
    """Told against came, by kind and by month."""
    groups: dict[tuple[str, str], list[ForecastCheck]] = {}
    for check in checks:
        if check.how in DECIDED:
            groups.setdefault((check.kind, f"{local(check.t):%Y-%m}"), []).append(check)
    return [
        {
            "kind": kind,
            "month": month,
            "told": len(group),
            "inside": round(sum(c.how == "agrees" for c in group) / len(group), 3),
            "came_earlier": sum(c.how == "earlier" for c in group),
            "came_later": sum(c.how == "later" for c in group),
            "error": _error([c.off for c in group if c.off is not None]),
        }
        for (kind, month), group in sorted(groups.items())
    ]


def _error(offs: Sequence[float]) -> float | None:
    return round(math.expm1(median(offs)), 3) if offs else None


def kitchen_text(rows: Sequence[DayRow], choices: KitchenChoices, now: float) -> list[str]:
    """The kitchen in lines, as a person reads it."""
    data = kitchen_data(rows, choices, now)
    if not data["days"]:
        return [
            "No finished day has taught anything of this kitchen yet.",
            "Looks at a surface teach: each time you say how it looks. Demos and rehearsals never do.",
        ]
    counted = sum(day["counts"] for day in data["days"])
    lines = [f"What {counted} finished {'day' if counted == 1 else 'days'} taught of this kitchen:"]
    if choices.use_none:
        lines.append("None of it is used: “pourday kitchen --use” takes it up again.")
    for one in data["factors"]:
        share, low, high = one["likely"], one["early"], one["late"]
        rests = one["rests_on"]
        of = "" if one["of"] == "kitchen" else f"{one['of']}: "
        lines.append(
            f"  {of}{one['name']} {share:.2f} times as computed ({low:.2f}-{high:.2f}; {rests['days']} days, {rests['looks']} looks)"
        )
    top = data["factors"][0]
    soon, likely, late = (EXAMPLE * top[x] ** -TOP_POWER for x in ("late", "likely", "early"))
    lines.append(
        f"  A layer computed to carry after {EXAMPLE:.0f} min takes about {likely:.0f} min here ({soon:.0f}-{late:.0f})."
    )
    lines += ["", "Days:"]
    for day in data["days"]:
        said = "nothing of the top" if day["top"] is None else f"top {day['top']:.2f}"
        lines.append(
            f"  {day['session']:<20} {day['looks']} looks, {said}{'' if day['counts'] else '; forgotten'}"
        )
    if data["forecasts"]:
        lines += ["", "Forecasts, told against came (four in five should lie inside):"]
    for row in data["forecasts"]:
        off = ""
        if row["error"] is not None:
            off = f", came {abs(row['error']):.0%} {'later' if row['error'] > 0 else 'earlier'} than likely"
        lines.append(
            f"  {row['month']} {row['kind']:<10} {row['told']} told, {row['inside']:.0%} inside, "
            f"{row['came_earlier']} came earlier, {row['came_later']} later{off}"
        )
    return lines
