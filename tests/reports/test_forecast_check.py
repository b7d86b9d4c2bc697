"""What was told, held against what came: a forecast is only blamed or praised for what was really seen."""

from __future__ import annotations

from pathlib import Path

import pytest

from pourday.plan.model import Plan
from pourday.reports.forecast_check import forecast_outcomes, say_outcome
from pourday.reports.story import compared, story
from pourday.session import events as ev
from pourday.session.events import Entry, Fact
from pourday.session.fold import fold
from pourday.store.reading import read_session

NOON = 1_795_608_000.0
MINUTE = 60.0
SESSIONS = Path(__file__).parents[2] / "sessions"


def at(minute: float | None) -> ev.Moment | None:
    return None if minute is None else ev.moment(NOON + minute * MINUTE)


def told(act: str, mould: str = "A", early=None, likely=None, late=None, closes=None) -> ev.Told:
    """A window in minutes after noon."""
    return ev.Told(
        act=act,
        word=act.upper(),
        moulds=mould,
        early=at(early),
        likely=at(likely),
        late=at(late),
        closes=at(closes),
    )


def entries(*facts: tuple[float, Fact]) -> list[Entry]:
    made = [(0.0, ev.Opened(session="s", program="0")), (0.0, ev.PlanFixed(plan=Plan(title="Day"))), *facts]
    return [
        Entry(seq=n, at=at(minute), logged_at=at(minute), by="person", fact=fact)
        for n, (minute, fact) in enumerate(made, 1)
    ]


POURED = (1.0, ev.Poured(mould="A", layer=0, part="layer"))
WINDOW = (2.0, told("look A 1", early=30, likely=45, late=60))


def look(minute: float, cue: ev.Cue) -> tuple[float, Fact]:
    return minute, ev.Looked(mould="A", cue=cue)


@pytest.mark.parametrize(
    ("looks", "how", "off"),
    [
        ([], "not seen", 0),
        ([(50, "firm")], "agrees", 0),
        ([(20, "wet"), (50, "firm")], "agrees", 0),
        # Firm before the window began: surely too late a forecast.
        ([(25, "firm")], "earlier", 5),
        # Still soft after the window ended: surely too early a forecast, however late somebody looked again.
        ([(70, "skinned"), (200, "firm")], "later", 10),
        # Nobody looked until long after: that says nothing against it.
        ([(20, "wet"), (200, "firm")], "cannot tell", 0),
        ([(70, "wet")], "later", 10),
        ([(50, "wet")], "not seen", 0),
    ],
)
def test_a_window_is_held_against_the_interval_that_the_looks_leave(looks, how, off):
    (one,) = forecast_outcomes(entries(POURED, WINDOW, *(look(*each) for each in looks)))
    assert (one.how, one.off) == (how, off * MINUTE)
    assert one.word == "LOOK A"
    assert say_outcome(one)


def test_only_the_first_forecast_counts_not_the_wiser_ones_after_it():
    wiser = (55.0, told("look A 1", early=58, likely=59, late=60))
    (one,) = forecast_outcomes(
        entries(POURED, (3.0, told("wait look A 1", early=30, likely=45, late=60)), wiser, look(59, "firm"))
    )
    assert (one.early, one.late, one.told_at) == (NOON + 1800, NOON + 3600, NOON + 180)
    assert one.how == "agrees"


def test_looks_at_another_layer_or_mould_are_not_held_against_it():
    second = (100.0, ev.Poured(mould="A", layer=1, part="layer"))
    other = (40.0, ev.Looked(mould="B", cue="firm"))
    found = forecast_outcomes(entries(POURED, WINDOW, other, look(50, "firm"), second, look(160, "firm")))
    assert [(one.came, one.how) for one in found] == [(NOON + 3000, "agrees")]


def test_a_look_at_what_was_poured_anew_is_not_held_against_the_wax_that_came_out():
    out = (10.0, ev.Emptied(mould="A", how="tipped back"))
    again = (15.0, ev.Poured(mould="A", layer=0, part="layer"))
    (one,) = forecast_outcomes(entries(POURED, WINDOW, out, again, look(50, "firm")))
    assert one.how == "not seen"


def test_wax_that_came_out_before_is_not_counted_among_the_pours():
    first, out = (
        (0.2, ev.Poured(mould="A", layer=0, part="layer")),
        (0.5, ev.Emptied(mould="A", how="ran out")),
    )
    (one,) = forecast_outcomes(entries(first, out, POURED, WINDOW, look(50, "firm")))
    assert one.how == "agrees"


def test_a_clock_put_forward_makes_no_forecast_wrong():
    """Told for 12:30 to 13:00 and seen firm at 12:50, by a clock that was put on an hour in between: 13:50."""
    forward = (20.0 + 60.0, ev.GapSeen(seconds=3600.0, cause="clock changed"))
    (one,) = forecast_outcomes(entries(POURED, WINDOW, forward, look(50 + 60, "firm")))
    assert one.how == "agrees"


def test_a_look_that_was_taken_back_does_not_count():
    (one,) = forecast_outcomes(
        entries(POURED, WINDOW, look(25, "firm"), (26, ev.Undone(entry=5)), look(50, "firm"))
    )
    assert (one.came, one.how) == (NOON + 3000, "agrees")


@pytest.mark.parametrize(
    ("minute", "how", "off"), [(80, "in time", 10), (95, "too late", 5), (None, "not seen", 0)]
)
def test_a_pour_is_held_against_the_end_of_its_window(minute, how, off):
    pours = [] if minute is None else [(float(minute), ev.Poured(mould="B", layer=1, part="layer"))]
    act = (60.0, told("pour 1 AB", mould="B", likely=60, closes=90))
    (one,) = forecast_outcomes(entries((1.0, ev.Poured(mould="B", layer=0, part="layer")), act, *pours))
    assert (one.how, one.off) == (how, off * MINUTE)


def test_two_moulds_told_together_are_held_each_for_itself():
    both = (5.0, told("relief 0", mould="AB", early=30, likely=45, late=60))
    done = [(40.0, ev.Relieved(mould="A")), (20.0, ev.Relieved(mould="B"))]
    found = forecast_outcomes(entries(both, *done))
    assert [(one.word, one.how) for one in found] == [("HOLES A", "agrees"), ("HOLES B", "earlier")]


def test_a_stuck_candle_is_not_yet_demoulded():
    window = (60.0, told("demould A", early=300, likely=400, late=500))
    tries = [
        (450.0, ev.Demoulded(mould="A", release="stuck")),
        (900.0, ev.Demoulded(mould="A", release="dropped out")),
    ]
    (one,) = forecast_outcomes(entries(POURED, window, *tries))
    assert (one.not_yet, one.came, one.how) == (NOON + 27_000, NOON + 54_000, "cannot tell")


def test_the_sample_records_tell_plan_and_windows_beside_what_came():
    """Every line of a real record can be said, and nothing came before the session began."""
    for path in sorted(SESSIONS.glob("[0-9]*.json")):
        kept = read_session(SESSIONS, path.stem)
        lines = story(kept.state, kept.entries)
        assert lines[: len(compared(kept.state, kept.entries))] == compared(kept.state, kept.entries)
        assert "What was expected, and what came:" in lines
        assert "What happened:" in lines
        for one in forecast_outcomes(kept.entries):
            assert one.told_at >= kept.state.opened_at
            assert one.came is None or one.came > kept.state.opened_at


def test_a_session_that_was_told_nothing_has_no_such_part():
    made = entries(POURED)
    assert not any("What was expected" in each for each in compared(fold(made), made))
