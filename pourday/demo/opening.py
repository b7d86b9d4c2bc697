"""Opening sessions: a new demo, or any session again, a demo with its kitchen put back as it was."""

from __future__ import annotations

import os
from pathlib import Path

from pourday.demo.scenario import morning, two_pillars
from pourday.demo.station import Station
from pourday.plan.model import Plan, preparations
from pourday.plan.weigh import weigh_sheet
from pourday.session import events as ev
from pourday.store.live import LiveSession
from pourday.store.memories import Memories
from pourday.store.reading import read_session
from pourday.times import local


def begin_demo(
    folder: Path,
    now: float | None = None,
    *,
    by_hand: bool = False,
    speed: float | None = None,
    plan: Plan | None = None,
) -> tuple[LiveSession, Station]:
    """A new demo session; by hand it stops at the plan, else the day has begun and plays itself.

    It begins at `now`, without one in the morning of an invented day; without a `speed` it chooses its own.
    Raises `Trouble` for a plan that cannot be weighed out.
    """
    plan = plan or two_pillars()
    weigh_sheet(plan)
    now = morning() if now is None else now
    live = LiveSession.begin(folder, f"{local(now):%Y-%m-%d}-demo", now=now, demo=True)
    station = Station(live.session, now, speed=speed, hands_free=not by_hand)
    live.file(ev.PlanDrafted(plan=plan), now=now, by="program")
    if not by_hand:
        for item in preparations(plan):
            live.file(ev.Prepared(item=item.id, mark="done"), now=now, by="program")
        live.file(ev.PlanFixed(plan=live.state.plan), now=now, by="program")
        station.begin(live.state, now)
    return live, station


def reopen(folder: Path, session: str, now: float) -> tuple[LiveSession, Station | None]:
    """Open a session to carry it on. In a demo the kitchen's clock stood where the record ends, and went
    on in real time while the program was closed. What its candles weighed is remembered for the next plan.
    Raises `Trouble` where it cannot be read.
    """
    stored = read_session(folder, session)
    Memories(folder).remember_weights(stored.state)
    if not stored.state.demo or stored.finished:
        return LiveSession.open(folder, session, now=now), None
    closed = max(0.0, now - os.stat(stored.path).st_mtime)
    resumed = max(stored.state.last_t, stored.entries[-1].logged_at.timestamp()) + closed
    live = LiveSession.open(folder, session, now=resumed)
    if live.readonly:
        return live, None
    station = Station(session, resumed, hands_free=False)
    station.repeat(list(live.entries), live.state)
    return live, station
