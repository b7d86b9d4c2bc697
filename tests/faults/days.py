"""Days written down fact by fact, for tests: what a maker told of one, and nothing else."""

from __future__ import annotations

from datetime import UTC, datetime

from msgspec.structs import replace

from pourday.faults.record import CandleRecord, EarlierDay
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.session.events import Entry, Fact
from pourday.session.fold import fold
from pourday.session.state import State

SESSION = "2026-03-07-a"
START = datetime(2026, 3, 7, 9, 0, tzinfo=UTC).timestamp()
MINUTE, HOUR, DAY = 60.0, 3600.0, 86_400.0


def pillar(**changes: object) -> Plan:
    """One tall pillar of two colours in bright metal."""
    plan = Plan(
        title="A pillar",
        moulds=(Mould(name="tall", shape=Cylinder(diameter=0.07, height=0.14)),),
        blend=(BlendPart(wax="paraffin_pillar", lot="sack 1"),),
        layers=(
            Layer(colour="rust", scent_load=0.02, dye_load=0.0005),
            Layer(colour="cream", scent_load=0.02),
        ),
        wick="flat braid, 36 ply",
    )
    return replace(plan, **changes)


class WrittenDay:
    """A day whose facts are told one after another; minutes since its start."""

    def __init__(self, plan: Plan | None = None, session: str = SESSION, start: float = START) -> None:
        self.plan = pillar() if plan is None else plan
        self.session, self.start, self.at = session, start, 0.0
        self.entries: list[Entry] = []
        self.sheet = weigh_sheet(self.plan)
        self.tell(ev.Opened(session=session, program="test"))
        self.tell(ev.PlanDrafted(plan=self.plan))
        self.tell(ev.PlanFixed(plan=self.plan))

    def tell(self, *facts: Fact, at: float | None = None) -> WrittenDay:
        """File facts `at` so many minutes."""
        self.at = self.at if at is None else at
        moment = ev.moment(self.start + self.at * MINUTE)
        for fact in facts:
            seq = len(self.entries) + 1
            self.entries.append(Entry(seq=seq, at=moment, logged_at=moment, by="person", fact=fact))
        return self

    def pour(
        self, layer: int, at: float, celsius: float | None = None, letter: str = "A", kg: float | None = None
    ) -> WrittenDay:
        """A layer at its planned weight, or another one."""
        kg = self.sheet.pour(letter, layer).kg if kg is None else kg
        return self.tell(
            ev.Poured(
                mould=letter, layer=layer, part="layer", kg=round(kg, 4), planned_kg=kg, celsius=celsius
            ),
            at=at,
        )

    def top_up(
        self, at: float, share: float = 1.0, celsius: float | None = None, letter: str = "A"
    ) -> WrittenDay:
        """A share of what is planned as a top-up."""
        kg = self.sheet.top_up(letter).kg
        layer = self.sheet.top_up(letter).layer
        fact = ev.Poured(
            mould=letter, layer=layer, part="top-up", kg=round(kg * share, 4), planned_kg=kg, celsius=celsius
        )
        return self.tell(fact, at=at)

    def out(self, at: float, letter: str = "A", release: ev.Release = "dropped out") -> WrittenDay:
        """It leaves its mould."""
        return self.tell(ev.Demoulded(mould=letter, release=release), at=at)

    def burned(self, age: float, hours: float, lit: ev.CandleLit | None = None, **seen: object) -> WrittenDay:
        """One burn `age` days after the start, with one look at its end."""
        start = age * DAY / MINUTE
        letter = "A" if lit is None else lit.mould
        self.tell(lit or ev.CandleLit(mould="A"), at=start)
        mark = hours * HOUR
        look = ev.BurnSeen(mould=letter, look=mark, **seen)  # type: ignore[arg-type]
        self.tell(look, at=start + hours * 60)
        return self.tell(ev.BurnEnded(mould=letter, how="snuffed"), at=start + hours * 60)

    @property
    def state(self) -> State:
        return fold(self.entries)

    def record(self, letter: str = "A", earlier: tuple[EarlierDay, ...] = ()) -> CandleRecord:
        """The candle of a mould; what was told of its burns stands in the same record here."""
        return CandleRecord(self.state, letter, self.state, earlier)
