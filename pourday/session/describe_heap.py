"""Facts about wax that nobody knows in words, a line each."""

from __future__ import annotations

from collections.abc import Callable

from pourday.language import tr, word
from pourday.session import events as ev
from pourday.session.heap import HeapFact
from pourday.units import Units, show_mass, show_temperature

_STEPS: dict[ev.HeapStep, str] = {
    "a heap": tr("it is a heap to be melted and cleaned"),
    "clean wax": tr("it is clean wax that nobody knows"),
    "sorted": tr("sorted the heap by look and smell"),
    "molten": tr("all of it is molten"),
    "wicks out": tr("took wicks and metal out"),
    "settled": tr("let it settle"),
    "strained": tr("strained it"),
    "kept warm": tr("kept it warm to see whether water settles"),
    "curve": tr("the cooling curve"),
    "density": tr("the density"),
    "weighed": tr("what it weighed as it came"),
    "weighed clean": tr("what it weighed clean"),
    "water": tr("whether water is in it"),
    "colour": tr("its colour"),
    "smell": tr("its smell"),
    "melted before": tr("how often it was melted"),
    "surface": tr("how it looks when it has set"),
    "thumbnail": tr("what a thumbnail does to it"),
    "float or sink": tr("whether it floats"),
}
_SEEN = (
    ("colour", tr('its colour is')), ("smell", tr('it smells:')), ("surface", tr('it looks:')), ("nail", tr('a thumbnail:'))
)  # fmt: skip


def say_heap_fact(fact: HeapFact, units: Units, step: float) -> str:
    """The fact as one sentence without a full stop; `step` is that of the scale, kg."""

    def mass(kg: float | None) -> str:
        return tr("not weighed") if kg is None else show_mass(kg, units, step)

    match fact:
        case ev.HeapStepDone():
            return say_step(fact.step, fact.came)
        case ev.HeapWeighed():
            return tr("weighed the wax {what}: {mass}", what=word(fact.what), mass=mass(fact.kg))
        case ev.WaxSeen():
            return _say_looks(fact)
        case ev.WaterTested():
            how = {"dry": tr("none seen"), "wet": tr("there is some"), "not looked": tr("nobody looked")}
            return tr("water in the wax: {how}", how=how[fact.came])
        case ev.TinTold(what="nothing"):
            return tr("another tin for the cooling curve")
        case ev.TinTold(what="weight"):
            return tr("the wax in the tin: {mass}", mass=mass(fact.kg))
        case ev.TinTold():
            heat = tr("not read") if fact.around_c is None else show_temperature(fact.around_c, units, 1)
            return tr("around the tin: {heat}", heat=heat)
        case ev.BlockWeighed():
            return _say_block(fact, mass)
        case ev.LotNamed():
            return tr("the lot is called {name}", name=fact.name)
        case _:
            return _say_cooling(fact, units, mass)


def _say_looks(fact: ev.WaxSeen) -> str:
    """What was seen of the wax, by look, smell, nail and float."""
    said = [f"{words} {value}" for name, words in _SEEN if (value := getattr(fact, name)) is not None]
    if fact.floats is not None:
        floats = tr("floats") if fact.floats else tr("sinks")
        said.append(tr("a piece {floats}{in_what}", floats=floats, in_what=_in(fact.liquid)))
    elif fact.liquid is not None:
        said.append(tr("a liquid of {liquid:.0f} kg/m3 to lay a piece in", liquid=fact.liquid))
    if fact.melted is not None:
        said.append(tr("melted {how_often} before, as far as is known", how_often=how_often(fact.melted)))
    return "; ".join(said) or tr("looked at the wax")


def _say_block(fact: ev.BlockWeighed, mass: Callable[[float | None], str]) -> str:
    """What a block weighed dry, and what water it pushes aside, as far as each was weighed."""
    said = []
    if fact.dry_kg is not None:
        said.append(tr("dry {mass}", mass=mass(fact.dry_kg)))
    if fact.water_kg is not None:
        said.append(tr("it pushes {mass} of water aside", mass=mass(fact.water_kg)))
    return tr("weighed a block: {dry}", dry=", ".join(said))


def _say_cooling(
    fact: ev.CoolingBegun | ev.CoolingRead | ev.CoolingEnded,
    units: Units,
    mass: Callable[[float | None], str],
) -> str:
    """A step of a cooling curve: begun, read, ended."""
    match fact:
        case ev.CoolingBegun():
            around = ""
            if fact.around_c is not None:
                around = tr(
                    ", {temperature} around it", temperature=show_temperature(fact.around_c, units, 1)
                )
            return tr("began a cooling curve: {mass}{around}", mass=mass(fact.kg), around=around)
        case ev.CoolingRead():
            by = tr(" (probe {probe}, by itself)", probe=fact.probe) if fact.probe else ""
            return tr(
                "read {temperature} in the tin{by}",
                temperature=show_temperature(fact.celsius, units, 1),
                by=by,
            )
        case ev.CoolingEnded():
            return tr("the cooling curve ended: {says}", says=fact.says).rstrip(": ")


def say_step(step: ev.HeapStep, came: str) -> str:
    """That a step was done, begun or left out, in words."""
    if came == "begun":
        return tr("began to keep it warm, so that water sinks")
    return _STEPS[step] if came == "done" else tr("left out: {steps}", steps=_STEPS[step])


def how_often(count: int) -> str:
    """`never`, `once`, `twice`, `3 times`."""
    few = {0: tr("never"), 1: tr("once"), 2: tr("twice")}
    return few.get(count) or tr("{count} times", count=count)


def _in(liquid: float | None) -> str:
    return "" if liquid is None else tr(" in a liquid of {liquid:.0f} kg/m3", liquid=liquid)
