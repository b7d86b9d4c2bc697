"""How hot a pour is asked for, and between what it may be poured: by wax, mould, and how long its window is.

A jug that is too hot falls by itself in minutes, a cold one has to wait for the stove: so a range reaches
further up than down, as far as wax and mould allow.
"""

from __future__ import annotations

from dataclasses import replace

from pourday.guide.acts.act import Act
from pourday.guide.outlook.moulds import WELD, MouldOutlook, planned_c
from pourday.guide.outlook.outlook import Outlook
from pourday.plan.bench import bench
from pourday.plan.weigh import waxes_of
from pourday.session.state import State
from pourday.times import MINUTE
from pourday.wax.working_heat import pourable_c

HOTTER = 6.0
"""K above the planned temperature that do no harm on a firm surface where wax and mould stand them (common practice,
no source: 3-6 K hotter to weld)."""
COLD_BY = 5.0
"""K below the asked temperature from which rings and weak seams are likely. An estimate of ours."""
BELOW_MOST = 1.0
"""K that the hot end of a range is kept below what wax and mould stand at most. An estimate of ours."""
HOT_LACKS = 5.0
"""K below the planned temperature from which a pour into a short window had better wait for heat. An estimate of
ours."""
PLUG_KINDER = 5.0
"""K by which a plug may be colder still: it only seals the hole, and at the low end of its range it sets sooner
(from memory of the trade)."""
WARMER_BATH = 1.0
"""K that the wax of the bath has to be above the least a jug may be, to warm the jug that far. An estimate of ours."""
NEAR_CEILING = 5.0
"""K below the ceiling where heat goes off (NUREG-0700: set points leave room to act)."""
SHORT_OF_CEILING = 1.0
"""K below the ceiling from which on a forecast counts as reaching it, where it says what a turn of the knob would do. An
estimate of ours."""
NARROW = 30 * MINUTE
"""s past its best moment: a window that leaves less is too short to wait for the right degree. An estimate of ours."""
SHARED = 3.0
"""K that the ranges of two moulds must share to be poured from one jug in one go. An estimate of ours."""
READS_TO = 0.5
"""K that a reading is good to, by definition of the whole degrees it is shown in."""
FALLS_SURELY = 3.0
"""K above its range from which a jug that is lifted out falls within two minutes or so: it is poured then, and nobody reads it
for that again. An estimate of ours."""
WANTS_WAX = ("plug", "pour", "top-up", "decide", "look under")


def coming_layer(state: State, act: Act) -> int | None:
    """The layer whose jug an act needs, or the pour that a look leads to; None where it needs none."""
    if act.kind == "look under":
        return next((p.layer for x in act.moulds if (p := state.next_pour(x)) is not None), None)
    if act.kind != "look":
        return act.layer if act.kind in WANTS_WAX else None
    # Of several looked at in one go the same layer comes next.
    following = state.next_pour(act.moulds[0])
    return None if following is None else following.layer


def hottest_c(state: State, outlook: Outlook, act: Act) -> float:
    """°C that the pour of an act, or the one it leads to, is asked for at; of several moulds the hottest."""
    return max(wanted_c(state, outlook, act), default=outlook.pour_c)


def wanted_c(state: State, outlook: Outlook, act: Act) -> list[float]:
    """°C that each mould of an act should get, in their order; empty for an act that leads to no pour."""
    layer = coming_layer(state, act)
    if layer is None:
        return []
    return [_asked_c(state, outlook, act, letter, layer) for letter in act.moulds]


def _asked_c(state: State, outlook: Outlook, act: Act, letter: str, layer: int) -> float:
    """°C that one mould should get: as planned, at the hot end where its window is short, or as its rescue says."""
    if _tops_up(state, act, letter):
        return rescued_c(state, letter, layer, planned_c(outlook.sheet, letter, layer, "top-up"))
    planned = planned_c(outlook.sheet, letter, layer, "layer")
    hot = hot_end_c(outlook, letter, layer) if at_hot_end(outlook, letter) else planned
    return rescued_c(state, letter, layer, hot)


def _tops_up(state: State, act: Act, letter: str) -> bool:
    """Whether what an act pours into a mould, or leads to, is its top-up."""
    coming = state.next_pour(letter)
    return act.kind == "top-up" or (act.kind == "look" and coming is not None and coming.part == "top-up")


def at_hot_end(outlook: Outlook, letter: str) -> bool:
    """Whether the next colour is asked for at the hot end, because its window is short or does not open."""
    forecast = outlook.mould(letter)
    return forecast is not None and _onto_colour(outlook.state, letter) and window_is_short(forecast)


def window_is_short(forecast: MouldOutlook) -> bool:
    """Whether a window leaves little time past its best moment, or none."""
    if forecast.closes is None:
        return False
    return forecast.empty or forecast.closes - forecast.best < NARROW


def _onto_colour(state: State, letter: str) -> bool:
    """Whether the next pour goes onto a layer of another colour."""
    last, coming = state.moulds[letter].last_pour, state.next_pour(letter)
    return last is not None and last.part == "layer" and coming is not None and coming.part == "layer"


def hot_end_c(outlook: Outlook, letter: str, layer: int) -> float:
    """The hottest that wax and mould stand with some room to miss it, °C; never less than planned."""
    planned = planned_c(outlook.sheet, letter, layer, "layer")
    most = min(_most_c(outlook, letter, layer) - BELOW_MOST, outlook.ceiling_c - NEAR_CEILING)
    return max(planned, most)


def _most_c(outlook: Outlook, letter: str, layer: int) -> float:
    """The hottest that may go into a mould, °C: by its maker and by the wax's own range."""
    state = outlook.state
    wax = waxes_of(state.plan, outlook.sheet.wax)[layer]
    limit = next((s.mould.limit_c for s in bench(state.plan) if s.letter == letter), None)
    return min(wax.pour_max_c, limit) if limit is not None else wax.pour_max_c


def pour_range(state: State, outlook: Outlook, act: Act) -> tuple[float, float]:
    """(least, most) °C at which the jug may be poured into all moulds of an act; where no temperature suits all of
    them, least is above most."""
    layer = coming_layer(state, act)
    ranges = [
        _range(state, outlook, act, letter, layer or 0, asked)
        for letter, asked in zip(act.moulds, wanted_c(state, outlook, act), strict=True)
    ]
    return max(low for low, _ in ranges), min(high for _, high in ranges)


def _range(
    state: State, outlook: Outlook, act: Act, letter: str, layer: int, asked: float
) -> tuple[float, float]:
    """(least, most) °C of a pour into one mould, asked for at `asked`."""
    low, high = _range_by_habit(state, outlook, act, letter, layer, asked)
    # Whatever is done without: never as cold as it sets.
    return max(low, min(asked, pourable_c(waxes_of(state.plan, outlook.sheet.wax)[layer]))), high


def _range_by_habit(
    state: State, outlook: Outlook, act: Act, letter: str, layer: int, asked: float
) -> tuple[float, float]:
    """(least, most) °C of a pour that is asked for at `asked`, by what the trade does; see the constants above."""
    planned = planned_c(outlook.sheet, letter, layer, "layer")
    high = max(asked, min(asked + HOTTER, _most_c(outlook, letter, layer)))
    if _tops_up(state, act, letter):
        # Asked for hotter than the pour before it, it does as hot as that one, too.
        return asked - WELD - COLD_BY, high
    if act.kind == "plug":
        return asked - COLD_BY - PLUG_KINDER, high
    if asked > planned and at_hot_end(outlook, letter):
        # Hotter is better here, but a minute's wait for it costs more than it brings.
        return planned - HOT_LACKS, high
    return asked - COLD_BY, high


def kelvin_outside(between: tuple[float, float], celsius: float) -> float:
    """K by which a reading lies above (positive) or below (negative) a range; 0 within it.

    >>> kelvin_outside((78.0, 85.0), 87.0), kelvin_outside((78.0, 85.0), 70.0), kelvin_outside((78.0, 85.0), 85.4)
    (2.0, -8.0, 0.0)
    """
    low, high = between
    if low - READS_TO <= celsius <= high + READS_TO:
        return 0.0
    return celsius - high if celsius > high else celsius - low


def with_pour_range(state: State, outlook: Outlook, act: Act) -> Act:
    """An act with the range its jug may be poured in, where it is a pour; any other as it is."""
    if act.kind not in ("plug", "pour", "top-up"):
        return act
    return replace(act, between=pour_range(state, outlook, act))


def rescued_c(state: State, letter: str, layer: int, planned_c: float) -> float:
    """°C of a pour: what its rescue asks for, else as planned."""
    rescue = state.rescue(letter)
    if rescue is None or rescue.fact.layer != layer or rescue.fact.pour_c is None:
        return planned_c
    return rescue.fact.pour_c
