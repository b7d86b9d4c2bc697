"""What the days taught of a kitchen, as text and as data: each factor with its spread, and how good the forecasts were."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cache
from statistics import median
from typing import Any

import numpy as np

from pourday.forecast.fuse import opens_s
from pourday.forecast.jug_law import JugFigure
from pourday.forecast.mould import MouldRun
from pourday.forecast.mould_case import Around, Case, PourInto, RoundMould
from pourday.forecast.pot import Guess, PotSetup, forecast
from pourday.forecast.pot_law import USUAL_POT
from pourday.language import ntr, tr, word
from pourday.learning.factors import FACTORS, OWN_WEIGHTS, PLACES
from pourday.learning.heat import LayerHeat, layer_heat
from pourday.learning.kitchen import DayTaught, LearnedKitchen, Taught, kitchen
from pourday.learning.stove import StoveFactor
from pourday.learning.times import UNKNOWN, log_quantiles
from pourday.reports.kitchen_days import days_that_count, kitchen_of
from pourday.store.kitchen_days import DayRow, ForecastCheck
from pourday.store.memories import KitchenChoices
from pourday.times import local
from pourday.wax.materials import families, family

_Z = 1.2816
DECIDED = ("agrees", "earlier", "later")
"""What came of a forecast of which looks tell whether it held."""


NAMES = {
    "top": tr("heat lost at the open top"),
    "wall": tr("heat lost at the walls"),
    "latent": tr("heat that the wax gives off as it sets"),
    "melting": tr("how far above its table the wax sets"),
    "conductivity": tr("how well the wax leads heat"),
}
"""Of each of `FACTORS`: what a person reads."""
STOVE_NAMES: Mapping[StoveFactor, str] = {
    "power": tr("heat that the full flame gives the bath"),
    "low": tr("share of it that the low flame gives"),
    "lag": tr("how slowly the burner warms up and dies away"),
    "loss": tr("heat that the bath loses"),
    "uptake": tr("how fast heat goes into molten wax"),
    "contact": tr("how fast it goes into solid wax, beside that"),
    "water": tr("water in the bath, where you did not say how much"),
}
"""Of each figure of the pot's law that days teach: what a person reads."""
STOVE_UNITS: Mapping[StoveFactor, str] = {
    "power": "W", "low": "", "lag": "s", "loss": "W/K", "uptake": "W/(kg K)", "contact": "", "water": "kg",
}  # fmt: skip
JUG_NAMES: Mapping[JugFigure, str] = {
    "cooling": tr("how fast a jug cools in the bath"),
    "bench": tr("how fast a jug cools on the bench"),
}
"""Of each figure of the jugs' law that days teach: what a person reads."""
OF_MOULD = tr("heat lost at its wall, beside the others")
_EXAMPLE = Case(
    RoundMould(0.035, 0.08, "dull metal"),
    (PourInto(0.0, 82.0, family("paraffin_pillar"), height=0.03),),
    (Around(20.0),),
)
"""What a factor does to the waits is said of 3 cm of paraffin in a metal mould 7 cm wide."""


def kitchen_data(rows: Sequence[DayRow], choices: KitchenChoices, now: float) -> dict[str, Any]:
    """The kitchen as data: `days`, `factors` and `forecasts`.

    A factor says how many times as much heat is lost as is computed (`unit` is `times`), or by how many K the melting
    range of the wax lies higher; early, likely and late are its 10, 50 and 90 % quantiles. `minutes` is what it does by
    itself to two waits of an example. `error` of forecasts is by what share of the wait the median of what came was off,
    above nought for later. `wax` is that of the newest day that counts.
    """
    known, used = kitchen_of(rows, choices, now), days_that_count(rows, choices)
    wax = max(used, key=lambda day: day.at).wax if used else ""
    factors = [
        _factor(name, "kitchen" if name in ("top", "wall") else wax, known.factor(name, wax))
        for name in (FACTORS if used else FACTORS[:2])
    ]
    factors += [_factor("", key, one) for key, one in known.moulds.items()]
    factors += [
        _stove_factor(figure, known.stove(figure)) for figure in STOVE_NAMES if known.stove(figure).days
    ]
    factors += [_jug_factor(figure, known.jug(figure)) for figure in JUG_NAMES if known.jug(figure).days]
    return {
        "days": [
            {
                "session": row.day.session,
                "at": row.day.at,
                "looks": row.day.looks,
                "readings": row.day.stove.readings if row.day.stove is not None else 0,
                "wax": row.day.wax,
                "counts": row.day in used,
                "top": _of_one_day(row.day),
            }
            for row in rows
            if row.day is not None
        ],
        "use": not choices.use_none,
        "wax": wax,
        "factors": factors,
        "example": _example(known, wax),
        "waits_for_a_crust": round(known.crust, 3),
        "forecasts": _forecasts([check for row in rows for check in row.checks]),
    }


def _of_one_day(day: DayTaught) -> float | None:
    """The factor at the top if a kitchen had no other day; None where the day taught nothing of it."""
    if not day.taught_of(0):
        return None
    return round(math.exp(kitchen([day], day.at).factor("top", day.wax).factor.mean), 3)


def _factor(name: str, of: str, taught: Taught) -> dict[str, Any]:
    """One factor; of a mould's wall where it has no name."""
    mean, sigma = taught.factor
    kelvin = name == "melting"
    ends = [mean + z * sigma for z in (-_Z, 0.0, _Z)]
    early, likely, late = ends if kelvin else map(math.exp, ends)
    return {
        "name": NAMES.get(name, OF_MOULD),
        "of": of,
        "unit": "K" if kelvin else "times",
        "likely": round(likely, 3),
        "early": round(early, 3),
        "late": round(late, 3),
        "rests_on": {"days": taught.days, "looks": taught.looks},
        "minutes": _minutes(FACTORS.index(name) if name else 1, ends),
    }


def _stove_factor(figure: StoveFactor, taught: Taught) -> dict[str, Any]:
    """One figure of the pot's law, over the usual one; `value` is the likely one itself, in `value_unit`."""
    early, likely, late = (math.exp(taught.factor.mean + z * taught.factor.sigma) for z in (-_Z, 0.0, _Z))
    minutes = [round(_molten_min(figure, x) - _molten_min(figure, 1.0), 1) for x in (early, likely, late)]
    return {
        "name": STOVE_NAMES[figure],
        "of": "stove",
        "unit": "times",
        "likely": round(likely, 3),
        "early": round(early, 3),
        "late": round(late, 3),
        "value": round(getattr(USUAL_POT, figure) * likely, 3),
        "value_unit": STOVE_UNITS[figure],
        "rests_on": {"days": taught.days, "readings": taught.looks},
        "minutes": {"molten": minutes} if figure in ("power", "uptake", "contact") else {},
    }


def _jug_factor(figure: JugFigure, taught: Taught) -> dict[str, Any]:
    """One figure of the jugs' law, over the usual one."""
    early, likely, late = (math.exp(taught.factor.mean + z * taught.factor.sigma) for z in (-_Z, 0.0, _Z))
    return {
        "name": JUG_NAMES[figure],
        "of": "jugs",
        "unit": "times",
        "likely": round(likely, 3),
        "early": round(early, 3),
        "late": round(late, 3),
        "rests_on": {"days": taught.days, "readings": taught.looks},
        "minutes": {},
    }


@cache
def _molten_min(figure: StoveFactor, times: float) -> float:
    """Minutes until a kilogram of paraffin is warm over a full flame, with one figure of the law so many times the usual."""
    law = replace(USUAL_POT, **{figure: getattr(USUAL_POT, figure) * times})
    setup = PotSetup(
        wax=family("paraffin_pillar"), kg=1.0, mode="on heat", mode_since=0.0,
        start_c=Guess(20.0, 2.0), bath_c=Guess(20.0, 3.0), law=law,
    )  # fmt: skip
    pot = forecast(setup, (), 0.0)
    spread = pot.reaches(80.0).spread
    return (pot.until if spread is None else spread.likely) / 60


@cache
def _example_heat() -> LayerHeat:
    return layer_heat(_EXAMPLE)


_WAITS: dict[str, Callable[[MouldRun], float | None]] = {
    "carries": opens_s,
    "cold": lambda run: run.demould_s,
}


def _minutes(i: int, values: Sequence[float]) -> dict[str, list[float]]:
    """By how many minutes the waits of the example are longer with one factor at each of three values."""
    at = tuple(np.array(values) if j == i else np.zeros(3) for j in range(len(FACTORS)))
    heat, out = _example_heat(), {}
    for name, read in _WAITS.items():
        times = [read(run) for run in heat.runs]
        waits = np.exp(heat.over_the_places(times, at))
        usual = (times[0] or math.inf) - heat.poured_s
        out[name] = [round(float(wait - usual) / 60, 1) for wait in waits]
    return out


def _example(known: LearnedKitchen, wax: str) -> dict[str, Any]:
    """The waits of the example in minutes, as computed and by all that the days taught together: early, likely, late."""
    heat, prior, out = _example_heat(), known.prior({}, wax), {}
    for name, read in _WAITS.items():
        times = [read(run) for run in heat.runs]
        logs = heat.over_the_places(times, prior.whereabouts(""))
        here = log_quantiles(logs, np.full(PLACES, 1.0)[:, None] * OWN_WEIGHTS, UNKNOWN["opens"])
        computed = (times[0] or math.inf) - heat.poured_s
        out[name] = {"computed": round(computed / 60, 1), "here": [round(math.exp(q) / 60, 1) for q in here]}
    return out


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


NOTHING_YET = (
    tr("No finished day has taught anything of this kitchen yet."),
    tr("Looks at a surface teach: each time you say how it looks. Demos and rehearsals never do."),
)


def day_line(day: dict[str, Any]) -> str:
    """One day of `kitchen_data`: what it taught, and whether it counts."""
    said = tr("nothing of the top") if day["top"] is None else tr("top {day:.2f}", day=day["top"])
    if day["readings"]:
        said = tr("{said}, {readings} readings of the pot", said=said, readings=day["readings"])
    return tr(
        "{session:<20} {looks} looks, {said}{forgotten}",
        session=day["session"],
        looks=day["looks"],
        said=said,
        forgotten="" if day["counts"] else tr("; forgotten"),
    )


def forecast_lines(data: dict[str, Any]) -> list[str]:
    """How good the forecasts were, by month and kind."""
    if not data["forecasts"]:
        return [tr("No forecast of a finished day could be held against what came yet.")]
    lines = [tr("Forecasts: what was said beside what came (four in five should lie inside):")]
    for row in data["forecasts"]:
        off = ""
        if row["error"] is not None:
            off = tr(
                ", came {share:.0%} {later} than likely",
                share=abs(row["error"]),
                later=tr("later") if row["error"] > 0 else tr("earlier"),
            )
        lines.append(
            tr(
                "  {month} {kind:<10} {told} said, {inside:.0%} inside, {earlier} came earlier, {later} later{off}",
                month=row["month"],
                kind=word(row["kind"]),
                told=row["told"],
                inside=row["inside"],
                earlier=row["came_earlier"],
                later=row["came_later"],
                off=off,
            )
        )
    return lines


def factor_lines(one: dict[str, Any]) -> list[str]:
    """One factor of `kitchen_data`: how large it is and what it rests on; what it does by itself."""
    of = "" if one["of"] in ("kitchen", "stove", "jugs") else f"{_wax_words(one['of'])}: "
    if one["unit"] == "K":
        size = tr(
            "{likely:+.1f} °C ({early:+.1f} to {late:+.1f})",
            likely=one["likely"],
            early=one["early"],
            late=one["late"],
        )
    elif one["of"] == "stove":
        size = tr(
            "{likely:.2f} times as usual ({early:.2f}-{late:.2f}), about {value} {unit}",
            likely=one["likely"],
            early=one["early"],
            late=one["late"],
            value=f"{one['value']:.0f}" if one["value"] >= 20 else f"{one['value']:.2g}",
            unit=one["value_unit"],
        ).rstrip()
    elif one["of"] == "jugs":
        size = tr(
            "{likely:.2f} times as usual ({early:.2f}-{late:.2f})",
            likely=one["likely"],
            early=one["early"],
            late=one["late"],
        )
    else:
        size = tr(
            "{likely:.2f} times as computed ({early:.2f}-{late:.2f})",
            likely=one["likely"],
            early=one["early"],
            late=one["late"],
        )
    does = ", ".join(
        tr("{longer} until {until}", longer=_longer(minutes[1]), until=_UNTIL[x])
        for x, minutes in one["minutes"].items()
    )
    first = tr(
        "{of}{one}: {size}; rests on {rests}", of=of, one=word(one["name"]), size=size, rests=_rests(one)
    )
    return [first, tr("  by itself {does}", does=does)] if does else [first]


def _rests(one: dict[str, Any]) -> str:
    """What a factor rests on: days, and looks or readings of the pot."""
    rests = one["rests_on"]
    days = rests["days"]
    if not days:
        return tr("nothing yet")
    if one["of"] == "jugs":
        readings = rests["readings"]
        return ntr(
            "{days} day, {readings} readings of jugs",
            "{days} days, {readings} readings of jugs",
            days,
            days=days,
            readings=readings,
        )
    if "readings" in rests:
        readings = rests["readings"]
        return ntr(
            "{days} day, {readings} readings of the pot",
            "{days} days, {readings} readings of the pot",
            days,
            days=days,
            readings=readings,
        )
    return ntr(
        "{days} day, {looks} looks", "{days} days, {looks} looks", days, days=days, looks=rests["looks"]
    )


def _wax_words(key: str) -> str:
    """The waxes of a blend by their names in the table; what is no such key stays as it is."""
    names = families()
    return ", ".join(names[x].short_name if x in names else x for x in key.split(", "))


_UNTIL = {
    "carries": tr("a layer carries"),
    "cold": tr("it is cold"),
    "molten": tr("a kilogram is at 80 °C"),
}


def _longer(minutes: float) -> str:
    n = abs(round(minutes))
    return (
        tr("{n} min {minutes}", n=n, minutes=tr("longer") if minutes > 0 else tr("less"))
        if n
        else tr("no difference")
    )


def example_lines(example: dict[str, Any]) -> list[str]:
    """All factors together, in minutes of an example."""
    lines = []
    for name, until in (("carries", tr("it carries the next")), ("cold", tr("it is cold"))):
        soon, likely, late = example[name]["here"]
        lines.append(
            tr(
                "3 cm in a metal mould 7 cm wide: computed {example:.0f} min until {until}, here about {likely:.0f} ({soon:.0f}-{late:.0f}).",
                example=example[name]["computed"],
                until=until,
                likely=likely,
                soon=soon,
                late=late,
            )
        )
    return lines


def kitchen_text(rows: Sequence[DayRow], choices: KitchenChoices, now: float) -> list[str]:
    """The kitchen in lines, as a person reads it."""
    data = kitchen_data(rows, choices, now)
    if not data["days"]:
        return list(NOTHING_YET)
    counted = sum(day["counts"] for day in data["days"])
    lines = [
        ntr(
            "What {days} finished day taught of this kitchen:",
            "What {days} finished days taught of this kitchen:",
            counted,
            days=counted,
        )
    ]
    if choices.use_none:
        lines.append(tr("None of it is used: “pourday kitchen --use” takes it up again."))
    lines += [f"  {line}" for one in data["factors"] for line in factor_lines(one)]
    lines += [f"  {line}" for line in example_lines(data["example"])]
    lines += ["", tr("Days:")]
    lines += [f"  {day_line(day)}" for day in data["days"]]
    if data["forecasts"]:
        lines += ["", *forecast_lines(data)]
    return lines
