"""Days that go as they like: what a person says at any time is answered, and what is dangerous stays in front."""

from __future__ import annotations

import random
from typing import Any

import pytest
from msgspec.structs import replace as revised

from pourday.demo.scenario import two_pillars
from pourday.guide.acts.act import Act
from pourday.guide.advice.agenda import agenda
from pourday.guide.advice.now import HEAT_OFF, TOO_HOT, what_now
from pourday.session import events as ev
from pourday.session.events import Fact

Day = Any  # the `Told` of conftest.py
HOT = ("dry pot", "ceiling", "near ceiling")
CUES: tuple[ev.Cue, ...] = ("wet", "skinned", "firm", "cold", "pulled away")


def said(r: random.Random, day: Day, acts: tuple[Act, ...]) -> list[Fact]:
    """Anything a person, or the machine, may put on record, whether or not it fits."""
    mould, layer = r.choice(sorted(day.state.moulds)), r.randrange(len(day.state.plan.layers))
    entry = r.randint(3, len(day.entries))
    facts: tuple[Fact, ...] = (
        ev.BurnerSet(state=r.choice(("on", "off", "unknown"))),
        ev.Reading(place=r.choice(("pot", "jug")), celsius=r.uniform(20, 110), doubt=r.choice(("", "odd"))),
        ev.Reading(place="room", celsius=r.choice((5.0, 30.0, 52.0))),
        ev.JugMade(layer=layer),
        ev.JugSeen(layer=layer, has_set=r.random() < 0.5),
        ev.JugReheated(layer=layer),
        ev.Looked(mould=mould, cue=r.choice(CUES)),
        ev.SealSeen(mould=mould, weeps=r.random() < 0.5),
        ev.Poured(
            mould=mould, layer=layer, part=r.choice(("plug", "layer", "top-up")), planned_kg=0.2, share=0.5
        ),
        ev.Emptied(mould=mould, from_layer=layer, how="tipped back", into=layer),
        ev.Demoulded(mould=mould, release=r.choice(("stuck", "dropped out"))),
        ev.Waived(act=str(r.choice(acts).id) if acts else "x"),
        ev.Undone(entry=entry),
        ev.Corrected(entry=entry, fact=ev.Noted(text="another")),
        ev.Reopened(program="0", away=r.choice((20.0, 300.0, 18000.0))),
        ev.GapSeen(seconds=3600.0, cause=r.choice(("slept", "clock changed"))),
        ev.WentAway(),
        ev.CameBack(),
    )
    return [r.choice(facts)]


def answered(r: random.Random, act: Act) -> list[Fact]:
    """What the guide asks for, done; of several answers any one."""
    facts, asked = list(act.records), act.question
    while asked is not None and len(asked.choices):
        choice = r.choice(list(asked.choices))
        facts, asked = [*facts, *choice.facts], choice.then
    return facts or [ev.Reading(place="pot", celsius=r.uniform(70, 92))]


@pytest.mark.parametrize(
    "seed", [1, *(pytest.param(seed, marks=pytest.mark.slow) for seed in (0, 2, 3, 4, 5, 6, 7))]
)
def test_whatever_is_said_nothing_dangerous_is_hidden_and_everything_is_answered(
    day_of: type, seed: int
) -> None:
    r = random.Random(seed)
    plan = two_pillars()
    if seed % 2:
        own = revised(plan.moulds[1], shares=(0.0, 1.0))
        plan = revised(plan, moulds=(plan.moulds[0], own, plan.moulds[1]))
    day, minute = day_of(plan=plan).melted(), 31.0
    for _ in range(25):
        minute += r.choice((0.1, 1, 5, 20))
        day.alarms(minute)
        state, outlook, now = day.state, day.outlook(minute), day.t(minute)
        acts = agenda(state, outlook, now)
        first = what_now(state, outlook, acts, now)
        assert len({act.id for act in acts}) == len(acts)
        # Too hot by the forecast alone, over a burner nobody knows: the question for it is the answer, too.
        read = [a for a in HOT if a != "near ceiling" or state.burner != "unknown"]
        hot = [a for a in read if a in state.alarms and state.alarms[a].acknowledged_at is None]
        if hot:
            assert first.word in (HEAT_OFF, TOO_HOT)
        elif state.burner == "unknown" and not any(x.what == "back burner" for x in state.waived):
            assert first.act.kind == "burner?"
        done = r.random() < 0.6 and first.word != "WAIT"
        minute += 0.05
        day.at(minute, *(answered(r, first.act) if done else said(r, day, acts)))
