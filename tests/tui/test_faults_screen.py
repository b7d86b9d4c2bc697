"""The faults of a candle on the screen: said by where and what, weighed beside, one change into a new plan."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import pytest
from msgspec.structs import replace

from pourday.errors import Trouble
from pourday.faults.table import WHERES, at, fault_named, faults
from pourday.guide.advice.queries import Memory
from pourday.plan.model import Plan, TriedChange
from pourday.reports.faults_report import Why, why_of
from pourday.session import events as ev
from pourday.store.candles import read_log
from pourday.store.reading import read_session
from pourday.tui.drawing.lines import text_of, width
from pourday.tui.faults.controller import FaultsController, FaultsDoing
from pourday.tui.faults.layout import draw_faults
from pourday.tui.faults.query import WhyQuery
from tests.faults.days import WrittenDay, pillar
from tests.faults.test_earlier import written
from tests.faults.written import topped, usual_day


@dataclass
class Did:
    """What a controller had done for it."""

    facts: list[ev.Fact] = field(default_factory=list)
    asked: list[tuple[str, str]] = field(default_factory=list)
    plans: list[Plan] = field(default_factory=list)
    refuses: bool = False

    def file(self, facts):
        if self.refuses:
            raise Trouble("The disk is full.")
        self.facts += facts
        return "Filed."

    def begin(self, plan):
        self.plans.append(plan)
        return "The plan is 2026-03-08-a."

    def doing(self):
        return FaultsDoing(self.file, lambda letter, fault: self.asked.append((letter, fault)), self.begin)


def opened(day: WrittenDay | None = None, **more) -> tuple[FaultsController, Did]:
    did = Did()
    state = (topped(usual_day(WrittenDay())) if day is None else day).state
    return FaultsController(state, None, ("A",), "demoulding", did.doing(), **more), did


def keys(faults_page: FaultsController, *pressed: str) -> None:
    for key in pressed:
        faults_page.press(key, key if len(key) == 1 else None)


def drawn(page: FaultsController, cells: int = 80, rows: int = 24) -> str:
    lines = draw_faults(page, cells, rows)
    assert len(lines) == rows
    assert all(width(line) <= cells for line in lines)
    return "\n".join(text_of(line) for line in lines)


def test_every_fault_can_be_come_to_and_says_how_it_looks():
    page, _ = opened()
    seen = []
    for n, where in enumerate(WHERES, 1):
        keys(page, str(n))
        for _ in at(where):
            seen.append(page.row.name)
            assert page.row.confused_with[:20] in drawn(page).replace("\n", " ")
            keys(page, "down")
    assert sorted(set(seen)) == sorted(faults())


def test_several_faults_are_said_at_once_with_where_and_when():
    page, did = opened()
    keys(page, "3", "space", "2", "space", "enter")
    assert [(fact.defect, fact.where, fact.when) for fact in did.facts] == [
        ("join split", "join", "demoulding"),
        ("rings", "side", "demoulding"),
    ]
    assert page.page == "causes"
    assert did.asked == [("A", "join split")]
    keys(page, "right")
    assert did.asked[-1] == ("A", "rings")


def test_enter_alone_means_the_row_the_cursor_is_on_and_none_is_an_answer():
    page, did = opened()
    keys(page, "5", "enter")
    assert [fact.defect for fact in did.facts] == [at("inside")[0].name]
    page, did = opened()
    keys(page, "n")
    assert did.facts == [ev.NoFaultSeen(mould="A", when="demoulding")]
    assert page.leaving


def test_a_fault_on_record_is_shown_with_its_causes_and_is_not_said_twice():
    day = topped(usual_day(WrittenDay())).tell(ev.DefectSeen(mould="A", defect="layers apart"))
    page, did = opened(day)
    assert (page.page, page.fault) == ("causes", "join split")
    keys(page, "a", "n")
    assert "on record" in page.message
    keys(page, "3", "enter")
    assert did.facts == []
    assert page.page == "causes"


def test_what_cannot_be_filed_is_told_and_nothing_goes_on():
    page, did = opened()
    did.refuses = True
    keys(page, "3", "enter")
    assert (page.page, page.told) == ("list", [])
    assert "The disk is full." in drawn(page)


def test_the_change_of_before_is_asked_after_once_the_faults_were_said():
    tried = TriedChange(letter="B", fault="rings", cause="cold mould", says="Warm the mould of B to 45 °C.")
    day = topped(usual_day(WrittenDay(pillar(tried=tried, parent="2026-02-20-a"))))
    page, did = opened(day)
    keys(page, "n")
    assert page.page == "change"
    said = drawn(page)
    assert "Warm the mould of B to 45 °C." in said
    assert "2026-02-20-a" in said
    keys(page, "b")
    assert did.facts[-1] == ev.ChangeJudged(came="better")
    assert page.leaving
    day.tell(ev.ChangeJudged(came="same"))
    page, did = opened(day)
    keys(page, "n")
    assert page.leaving


def test_a_new_plan_takes_the_change_once(tmp_path):
    session = written(tmp_path, 1, True)
    page, did = opened()
    keys(page, "3", "enter", "p")
    assert "still being worked out" in page.message
    (why,) = [
        part
        for part in WhyQuery(tmp_path, session, "A", "join split").answers(Memory())
        if isinstance(part, Why)
    ][-1:]
    page.arrived("A", "join split", why)
    keys(page, "p", "p")
    assert [plan.tried.cause for plan in did.plans if plan.tried] == ["poured cool"]
    assert "already" in page.message
    keys(page, "escape")
    assert page.leaving


def test_a_question_that_cannot_be_answered_is_answered_with_why(tmp_path):
    (answer,) = WhyQuery(tmp_path, "2026-01-01-a", "A", "rings").answers(Memory())
    assert isinstance(answer, Trouble)
    page, _ = opened()
    keys(page, "3", "enter")
    page.arrived("A", "join split", str(answer))
    assert "There is no session" in drawn(page)


@pytest.mark.parametrize(("cells", "rows"), [(40, 12), (80, 24), (120, 40)])
@pytest.mark.parametrize("fault", ["join split", "hollow", "spitting"])
def test_every_page_fits_and_can_be_read_to_its_end(cells, rows, fault, tmp_path):
    session = written(tmp_path, 1, True)
    why = why_of(tmp_path, session, "A", fault)
    page, _ = opened()
    drawn(page, cells, rows)
    page.told, page.page = [fault], "causes"
    drawn(page, cells, rows)
    page.arrived("A", fault, why)
    text = ""
    for _ in range(40):
        text += " ".join(drawn(page, cells, rows).split())
        keys(page, "pagedown")
    for words in ("One change:", why.diagnosis.causes[0].says[1:], "nothing is said of what they share"):
        assert " ".join(words.split()) in text or words[:12] in text
    caution = fault_named(fault).caution
    if caution:
        keys(page, "home")
        assert "CAUTION" in drawn(page, cells, rows).splitlines()[1]


def test_what_is_said_of_a_finished_day_stands_in_the_record_of_its_candles(tmp_path):
    from pourday.tui.faults.screen import FaultsScreen

    session = written(tmp_path, 1, False)
    state = read_session(tmp_path, session).state
    screen = FaultsScreen(tmp_path, state, ("A",), "after cure", lambda: state.last_t + 100, None)
    screen.controller.press("3", "3")
    screen.controller.press("enter", None)
    log = read_log(tmp_path, session)
    assert log is not None
    assert [defect.defect for defect in log.candles["A"].defects] == ["join split"]
    assert "Filed" in screen.controller.message
    plan = replace(state.plan, parent=session)
    assert "2026-" in screen._begin(plan)
    begun = [
        path for path in Path(tmp_path).glob("*.journal") if path.stem not in (session, f"{session}-candles")
    ]
    assert [read_session(tmp_path, path.stem).state.plan.parent for path in begun] == [session]
