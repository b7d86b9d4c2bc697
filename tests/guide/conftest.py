"""A day told fact by fact, and what the guide says to it."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from dataclasses import dataclass, field

import pytest

from pourday.demo.scenario import START, two_pillars
from pourday.guide.acts.act import Act
from pourday.guide.advice.agenda import agenda
from pourday.guide.advice.alarms import alarm_facts
from pourday.guide.advice.now import Now, what_now
from pourday.guide.outlook import mould_heat as heat
from pourday.guide.outlook.cases import planned_kg
from pourday.guide.outlook.outlook import Outlook, look_ahead
from pourday.plan.model import Plan
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.events import By, Entry, Fact
from pourday.session.fold import fold
from pourday.session.state import State
from tests.heat_once import heat_once, rest_once


@dataclass
class Told:
    """A session of 25 October 2026; every time is in minutes after seven in the morning, UTC."""

    plan: Plan = field(default_factory=two_pillars)
    entries: list[Entry] = field(default_factory=list)
    _cache: heat.MouldHeatCache = field(default_factory=heat.MouldHeatCache)
    _last: tuple[tuple[float, ...], Outlook] | None = None

    def __post_init__(self) -> None:
        self.at(0, ev.Opened(session="day", program="0"), ev.PlanFixed(plan=self.plan))

    def t(self, minute: float) -> float:
        return START + 60 * minute

    def at(self, minute: float, *facts: Fact, by: By = "person") -> Told:
        for fact in facts:
            when = ev.moment(self.t(minute))
            self.entries.append(Entry(seq=len(self.entries) + 1, at=when, logged_at=when, by=by, fact=fact))
        return self

    @property
    def state(self) -> State:
        return fold(self.entries)

    def outlook(self, minute: float) -> Outlook:
        """The same outlook as long as the same is asked of the same record: most tests ask alarms, acts and word of one."""
        asked = (*map(id, self.entries), minute)
        if self._last is None or self._last[0] != asked:
            self._last = asked, look_ahead(self.state, self.t(minute), self._cache)
        return self._last[1]

    def acts(self, minute: float) -> dict[str, Act]:
        return {str(act.id): act for act in agenda(self.state, self.outlook(minute), self.t(minute))}

    def act(self, minute: float, kind: str) -> Act:
        return next(act for act in self.acts(minute).values() if act.kind == kind)

    def now(self, minute: float) -> Now:
        """What the guide says, once the alarms it raises now are on record."""
        self.alarms(minute)
        outlook = self.outlook(minute)
        acts = agenda(self.state, outlook, self.t(minute))
        return what_now(self.state, outlook, acts, self.t(minute))

    def alarms(self, minute: float) -> list[str]:
        """File what the alarms ask to be filed; the names of those raised anew."""
        facts = alarm_facts(self.state, self.outlook(minute), self.t(minute))
        self.at(minute, *facts, by="program")
        return [fact.alarm for fact in facts if isinstance(fact, ev.AlarmRaised)]

    # -- the usual day, a piece at a time -------------------------------------------------------------

    def melted(self) -> Told:
        """Lit at 0, at pour temperature at minute 30, burner off."""
        self.at(0, ev.BurnerSet(state="on"))
        self.at(10, reading(55.0), ev.WaterSeen()).at(20, reading(75.0))
        return self.at(30, reading(86.0), ev.BurnerSet(state="off"), ev.WaterSeen())

    def jug(self, minute: float, layer: int) -> Told:
        """A jug drawn, coloured, and its colour seen."""
        return self.at(minute, ev.JugMade(layer=layer), ev.Waived(act=f"drop {layer}"))

    def plugged(self, minute: float = 40) -> Told:
        self.jug(minute - 2, 0)
        return self.at(minute, *(poured(x, 0, "plug") for x in "AB"))

    def sealed(self, minute: float = 50) -> Told:
        self.at(minute, reading(84.0, "jug"))
        return self.at(minute, *(ev.SealSeen(mould=x, weeps=False) for x in "AB"))

    def first_layers(self, minute: float = 51) -> Told:
        return self.at(minute, *(poured(x, 0) for x in "AB"))

    def second_layers(self, minute: float = 150) -> Told:
        self.at(minute - 5, *(ev.Looked(mould=x, cue="firm") for x in "AB")).jug(minute - 2, 1)
        return self.at(minute, *(poured(x, 1) for x in "AB"))

    def reheated(self, minute: float, celsius: float = 86.0) -> Told:
        """The last jug hot again, the burner off."""
        self.at(minute - 8, ev.BurnerSet(state="on"))
        return self.at(minute, reading(celsius, "jug"), ev.WaterSeen(), ev.BurnerSet(state="off"))

    def topped_up(self, minute: float = 280) -> Told:
        """Topped up once, and the further ones left out: nothing is poured any more."""
        self.at(minute - 5, *(ev.Looked(mould=x, cue="firm") for x in "AB"))
        self.at(minute, *(poured(x, 1, "top-up") for x in "AB"))
        return self.at(minute, *(ev.Waived(act=f"top-up {x} 2") for x in "AB"))


def reading(celsius: float, place: ev.Place = "pot") -> ev.Reading:
    return ev.Reading(place=place, celsius=celsius, typed=f"{celsius}")


_SHEET = weigh_sheet(two_pillars())


def poured(mould: str, layer: int, part: ev.Part = "layer") -> ev.Poured:
    """As the usual plan has it, where it has it: what goes in next is sized by what went in."""
    planned = 0.1
    if mould in "AB" and layer < len(_SHEET.jugs):
        # Onto wax that has not all set yet a little less fits than its share of the set weight.
        fits = 0.95 if layer and part == "layer" else 1.0
        planned = fits * planned_kg(_SHEET, mould, layer, part)
    return ev.Poured(mould=mould, layer=layer, part=part, planned_kg=round(planned, 3))


@pytest.fixture(autouse=True)
def _in_greenwich() -> Iterator[None]:
    """The words of the guide are in local time; the tests live at one place."""
    before = os.environ.get("TZ")
    os.environ["TZ"] = "UTC"
    time.tzset()
    yield
    if before is None:
        del os.environ["TZ"]
    else:
        os.environ["TZ"] = before
    time.tzset()


ABOUT_COMPUTING = ("test_mould_heat", "test_learned", "test_pot")


@pytest.fixture(autouse=True)
def _heat_computed_once(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """See tests/heat_once.py; test_mould_heat.py, test_learned.py and test_pot.py are about the computing itself and go without."""
    if not request.module.__name__.endswith(ABOUT_COMPUTING):
        heat_once(monkeypatch)


@pytest.fixture(autouse=True, scope="module")
def _rest_computed_once(request: pytest.FixtureRequest) -> Iterator[None]:
    """Of the whole module, so that the days it makes for all of its tests are in it."""
    with pytest.MonkeyPatch.context() as patch:
        if not request.module.__name__.endswith(ABOUT_COMPUTING):
            rest_once(patch)
        yield


@pytest.fixture
def day() -> Told:
    """A day just begun."""
    return Told()


@pytest.fixture
def day_of() -> type[Told]:
    """A day just begun with a plan of one's own."""
    return Told


@pytest.fixture
def waiting(day: Told) -> Told:
    """Both plugs and both first layers poured at 51 min, the burner off since 30; no weight was told."""
    return day.melted().plugged().sealed().first_layers()


@pytest.fixture
def lit(day: Told) -> Told:
    """The burner lit, nothing else told."""
    return day.at(0, ev.BurnerSet(state="on"))
