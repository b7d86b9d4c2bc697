"""What every cache saves on a played day: how often it answered, times what the answer costs to work out.

All of them are measured in one run, each by a stand-in that keeps what the cache would keep and takes the time of every
miss. A cache that saves nothing on a day is printed, and has to be
needed elsewhere (`NEEDED`), where it is measured too, or go.
"""

from __future__ import annotations

import importlib
import pkgutil
import sys
import time
from collections import OrderedDict
from collections.abc import Callable, Mapping
from functools import _lru_cache_wrapper
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import pytest
from msgspec.structs import replace as with_fields

import pourday
from pourday.curve.clues import Clues
from pourday.curve.families import families_of
from pourday.demo.day import Day
from pourday.demo.scenario import START, two_pillars
from pourday.faults.table import fault_named
from pourday.faults.weigh import diagnose
from pourday.guide.ahead.day import ahead_of_plan
from pourday.guide.rescue.options import options
from pourday.plan.model import Layer, Mould, WaterFilled, WaterPoint
from pourday.plan.origins import origins
from pourday.plan.weigh import weigh_sheet
from pourday.reports.kitchen_report import kitchen_data
from pourday.session import events as ev
from pourday.session import state
from pourday.store.memories import KitchenChoices
from pourday.tui.drawing.moulds import draw_moulds, pictures
from pourday.tui.rehearse.layout import pictures_at
from pourday.tui.terminal import theme
from tests.demo.plan_set import PLANS
from tests.faults.seeded import cases
from tests.guide.conftest import Told
from tests.reports.test_kitchen_report import NOW, day_rows, keep, write_day

pytestmark = pytest.mark.bench

WORTH = 0.001
"""Share of the day's processor time that a cache has to save."""
OFTEN = 0.005
"""The same of the work that a cache is for alone."""
ONCE = ("units._registry", "urllib")
"""Caches with nothing to measure: what Pint builds once for all measures (tens of ms), and the standard library's."""
SECONDS = 4
"""How often a screen looks at the guide between two acts, at least."""


class Measured:
    """Stands in for one `lru_cache`."""

    def __init__(self, name: str, cached: Any) -> None:
        self.name, self._work = name, cached.__wrapped__
        self._most = cached.cache_parameters()["maxsize"]
        self._known: OrderedDict[object, object] = OrderedDict()
        self.hits = self.misses = 0
        self.took = 0.0

    def __call__(self, *args: Any, **named: Any) -> Any:
        key = args, tuple(sorted(named.items()))
        if key in self._known:
            self.hits += 1
            self._known.move_to_end(key)
            return self._known[key]
        begun = time.process_time()
        answer = self._work(*args, **named)
        self.took += time.process_time() - begun
        self.misses += 1
        self._known[key] = answer
        if self._most is not None and len(self._known) > self._most:
            self._known.popitem(last=False)
        return answer

    @property
    def saved(self) -> float:
        """Seconds of processor time, at what a miss costs on average (of caches within caches: those left to it)."""
        return self.hits * self.took / self.misses if self.misses else 0.0


def all_measured(monkeypatch: pytest.MonkeyPatch) -> list[Measured]:
    """Every cache of the program, replaced wherever it is known by name."""
    for module in pkgutil.walk_packages(pourday.__path__, "pourday."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    stands: dict[int, Measured] = {}
    for name, module in list(sys.modules.items()):
        if name.startswith("pourday"):
            for attribute, value in list(vars(module).items()):
                if isinstance(value, _lru_cache_wrapper):
                    stand = stands.setdefault(
                        id(value),
                        Measured(f"{value.__module__}.{value.__name__}".removeprefix("pourday."), value),
                    )
                    monkeypatch.setattr(module, attribute, stand)
    return list(stands.values())


def cpu_of(work: Callable[[], None]) -> float:
    begun = time.process_time()
    work()
    return time.process_time() - begun


def test_every_cache_saves_something(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    day = Day(tmp_path, lambda _: None)
    caches = all_measured(monkeypatch)

    def looked_at() -> None:
        while day.step():
            for second in range(SECONDS):
                day.adviser.advise(day.live.state, day.now + second)

    whole = cpu_of(looked_at)
    print(f"\na day of two pillars: {whole:.1f} s of processor time")
    idle = []
    for each in sorted(caches, key=lambda c: -c.saved):
        print(f"{each.saved / whole:7.2%}  {each.hits:6} of {each.hits + each.misses:6}  {each.name}")
        if each.saved < WORTH * whole and not each.name.startswith((*ONCE, *NEEDED)):
            idle.append(each.name)
    assert idle == []


def a_day_ahead() -> Callable[[], object]:
    """The rest of a day that has begun, worked out ahead once more."""
    layers = tuple(Layer(colour=colour) for colour in ("red", "white", "blue", "green"))
    plan = with_fields(two_pillars(), layers=layers)
    return lambda: ahead_of_plan(plan, START)


def a_rescue() -> Callable[[], object]:
    """What is offered for a mould that waited until it was cold."""
    day = Told()
    day.melted().plugged().sealed().first_layers()
    day.at(400, ev.Looked(mould="A", cue="cold"))
    outlook = day.outlook(400)
    return lambda: options(day.state, outlook, "A", day.t(400))


def pictures_of_a_day() -> Callable[[], object]:
    """The moulds at the stove, drawn four times a second for ten minutes, as their canvas writes them."""
    day = Told()
    day.melted().plugged().sealed().first_layers()
    outlook = day.outlook(60)

    def draw() -> None:
        for n in range(2400):
            now = day.t(60) + n / 4
            for row in draw_moulds(pictures(day.state, outlook, now), 80, 16):
                for piece in row:
                    theme.style(theme.DARK, piece[1])

    return draw


def a_rehearsal() -> Callable[[], object]:
    """The moulds of a day that is played ahead, at ten frames a second while a minute passes in each."""
    ahead = ahead_of_plan(two_pillars(), START)

    def draw() -> None:
        for n in range(600):
            draw_moulds(pictures_at(ahead, START + 2 * 3600 + 6 * n), 80, 16)

    return draw


def causes_of_a_fault() -> Callable[[], object]:
    """What came out wrong with some twenty candles, weighed."""
    made = cases(range(20))
    return lambda: [diagnose(one.record, fault_named(one.fault)) for one in made]


def unknown_wax() -> Callable[[], object]:
    """The odds of a heap, asked for at each key of a run."""
    clues = Clues(smell="mineral", surface="dull and opaque", nail="marks")
    return lambda: [families_of(clues=clues) for _ in range(50)]


def a_mould_known_by_water() -> Callable[[], object]:
    """A sheet for a mould of which three weighings of water are known, made anew as the form does."""
    points = tuple(WaterPoint(height=h, water=w) for h, w in ((0.05, 0.15), (0.1, 0.4), (0.14, 0.6)))
    plan = with_fields(two_pillars(), moulds=(Mould(shape=WaterFilled(points=points)),))
    return lambda: [weigh_sheet(plan) for _ in range(20)]


def where_figures_come_from() -> Callable[[], object]:
    """The page of sources, drawn once a second while it is read."""
    return lambda: [origins(two_pillars()) for _ in range(20)]


def a_kitchen_that_learned() -> Callable[[], object]:
    """What three days taught, as its page says it; and once more, after a key that lets a day not count."""
    folder = Path(mkdtemp())
    for n, firm in enumerate((45, 50, 72)):
        write_day(folder, f"2026-11-2{n + 5}-a", n, firm=firm)
    for n, warms in enumerate((0.0, 1.0, 2.0)):
        melted = ((5.0 + 4 * i, ev.Reading(place="pot", celsius=26.0 + warms + 12.5 * i)) for i in range(6))
        opened = ev.Opened(session=f"2026-11-2{n + 5}-s", program="0")
        began = (0.0, opened), (0.0, ev.PlanFixed(plan=two_pillars())), (1.0, ev.BurnerSet(state="on"))
        ended = (30.0, ev.BurnerSet(state="off")), (300.0, ev.Finished())
        keep(folder, f"2026-11-2{n + 5}-s", n, (*began, *melted, *ended))
    rows = day_rows(folder)
    return lambda: [kitchen_data(rows, KitchenChoices(), NOW) for _ in range(2)]


NEEDED: Mapping[str, Callable[[], Callable[[], object]]] = {
    "guide.outlook.room.shrinkage_of": a_day_ahead,
    "forecast.warming._in_warmth": a_rescue,
    "guide.rescue.heat._after": a_rescue,
    "guide.outlook.looks._inside": pictures_of_a_day,
    "tui.drawing.moulds._across": pictures_of_a_day,
    "tui.terminal.theme.style": pictures_of_a_day,
    "guide.ahead.picture._cut": a_rehearsal,
    "faults.table.faults": causes_of_a_fault,
    "faults.table.causes": causes_of_a_fault,
    "faults.table.asked": causes_of_a_fault,
    "faults.table.weights": causes_of_a_fault,
    "curve.clues._table": unknown_wax,
    "plan.volumes._table": a_mould_known_by_water,
    "wax.materials._references": where_figures_come_from,
    "learning.factors.even_normals": a_kitchen_that_learned,
    "reports.kitchen_report._molten_min": a_kitchen_that_learned,
    "reports.kitchen_report._example_heat": a_kitchen_that_learned,
}
"""Where a cache is needed that no day played without a screen, a rescue or a mould filled with water comes by."""


@pytest.mark.parametrize("work", dict.fromkeys(NEEDED.values()), ids=lambda work: work.__name__)
def test_every_other_cache_saves_something_where_it_is_used(
    work: Callable[[], Callable[[], object]], monkeypatch: pytest.MonkeyPatch
) -> None:
    ready = work()
    caches = {each.name: each for each in all_measured(monkeypatch)}
    whole = cpu_of(ready)
    print(f"\n{work.__name__}: {whole:.2f} s of processor time")
    idle = []
    for name in (name for name, where in NEEDED.items() if where is work):
        each = caches[name]
        print(f"{each.saved / whole:7.2%}  {each.hits:6} of {each.hits + each.misses:6}  {name}")
        if each.saved < OFTEN * whole:
            idle.append(name)
    assert idle == []


def test_what_still_comes_into_a_mould_is_worth_keeping(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same agenda with it, and with it worked out each time; and so for the weigh sheet of a plan."""
    from pourday.guide.advice.agenda import agenda
    from pourday.guide.outlook import wax_left

    day = Day(tmp_path, lambda _: None, plan=PLANS["votive"])
    while not any(mould.pours for mould in day.live.state.moulds.values()):
        day.step()
    advice = day.advise()
    assert advice.outlook is not None

    def agendas() -> None:
        for n in range(50):
            agenda(day.live.state, advice.outlook, day.now + n / 100)  # type: ignore[arg-type]

    agendas()
    kept = cpu_of(agendas)
    monkeypatch.setattr(wax_left, "sheet_of", weigh_sheet)
    weighed = cpu_of(agendas)

    def anew(self: state.State, letter: str) -> object:
        mould = self.moulds.get(letter, state.MouldState(letter))
        return state.sequence.remaining_pours(self.plan, self.waived, mould)

    monkeypatch.setattr(state.State, "remaining", anew)
    neither = cpu_of(agendas)
    print(
        f"\nan agenda: {kept * 20:.2f} ms; weighing each time {weighed * 20:.2f}; both anew {neither * 20:.2f}"
    )
    assert kept < weighed < neither
