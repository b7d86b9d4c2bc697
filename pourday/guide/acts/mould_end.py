"""After the last pour: the night, the demoulding, the cure."""

from __future__ import annotations

from pourday.forecast.spread import Quantiles
from pourday.guide.acts.act import Act, Choice, Question, Urgency
from pourday.guide.acts.cautions import BURNING
from pourday.guide.acts.mould_looks import NOT_ALIKE
from pourday.guide.acts.wording import WHY_OUT, block_word, cured_says, demould_says, why_cured
from pourday.guide.outlook.moulds import MouldOutlook
from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr
from pourday.session import events as ev
from pourday.session.act_id import ActId
from pourday.session.quiet_hours import PersonsClock
from pourday.session.state import MouldState
from pourday.times import DAY, HOUR, clock, letters

NARROW = 0.060
"""m of width below which a candle needs no night once it is cold: votives, tapers (from memory of the trade)."""
RESTS = 6 * HOUR
"""From the last pour, at the least (common practice, no source: 6 h, 8-12 h usual, overnight standard)."""
WIDE, WIDE_RESTS = 0.090, DAY
"""m of width from which a candle stands a whole day (common practice, no source: over 90 mm 24 h)."""


def _cold_from(cold: float, since: float) -> str:
    """From when the candle may be looked at, in words; `cold` is when it is near the room, infinite for not in sight."""
    if cold == float("inf"):
        return tr("It stays warmer than the room for as long as was computed")
    return tr(
        "It may be looked at from about {clock}: then its core is hardly warmer than the room",
        clock=clock(cold, since),
    )


def comes_out(persons: PersonsClock, last: float, cold: float, radius: float) -> float:
    """When a mould of this radius (m) that was poured into last at `last` is taken off: once it is cold (`cold`) and
    has rested, a pillar after its night. Times in seconds since the epoch.

    The night is advice only: who looks sooner, and finds it cold with a gap all round, takes it out then.
    """
    rests = last + (WIDE_RESTS if 2 * radius > WIDE else RESTS)
    out = persons.awake(max(cold, rests))
    return out if 2 * radius < NARROW else max(out, persons.overnight(last))


RELEASES: tuple[tuple[str, ev.Release, str], ...] = (
    ("o", "dropped out", tr("dropped out")),
    ("t", "needed a tap", tr("needed a tap")),
    ("k", "stuck", tr("stuck")),
)
"""Key, how a candle came out, and how it is said."""


def release_question(moulds: str, then: Question | None = None) -> Question:
    """How a candle came out of its mould, asked before `then`; of several, one answer for all that came alike."""
    choices = [
        Choice(key, label, tuple(ev.Demoulded(mould=x, release=release) for x in moulds), then)
        for key, release, label in RELEASES
    ]
    if len(moulds) == 1:
        return Question(f"{moulds}:", tuple(choices))
    apart: Question | None = None
    for letter in reversed(moulds):
        apart = release_question(letter, apart)
    choices.append(Choice("n", NOT_ALIKE, then=apart))
    return Question(tr("{letters}, one answer for all:", letters=letters(moulds)), tuple(choices))


def demould(mould: MouldState, forecast: MouldOutlook, persons: PersonsClock) -> Act:
    """A pillar stands overnight, a narrow candle until it is cold; the forecast only says from when it may be looked at."""
    last = mould.last_pour
    assert last is not None
    stuck = mould.release == "stuck"
    cold = forecast.cold.likely
    return Act(
        id=ActId("demould", mould.letter),
        kind="demould",
        word=tr("DEMOULD"),
        moulds=mould.letter,
        says=(
            demould_says(mould.letter)
            + (tr(" It was stuck: 15 minutes in the fridge at a time, never the freezer.") if stuck else "")
        ),
        why=f"{WHY_OUT} {_cold_from(cold, last.t)} ({forecast.why})",
        due=comes_out(persons, last.t, cold, forecast.heat.case.vessel.radius),
        window=forecast.cold,
        question=release_question(mould.letter),
        place=("candle", mould.letter),
        urgency=Urgency.SOON if stuck else Urgency.UNHURRIED,
    )


def cold_in_its_vessel(mould: MouldState, forecast: MouldOutlook, persons: PersonsClock) -> float:
    """When a candle that stays in its vessel is done: cold, or after its night where that is not foreseen."""
    last = mould.last_pour
    assert last is not None
    cold = forecast.cold.likely
    return max(last.t, cold if cold < float("inf") else persons.overnight(last.t))


def curing(
    outlook: Outlook, mould: MouldState, persons: PersonsClock, since: float, counted: str = "demoulding"
) -> list[Act]:
    """The burn test that a cure begun at `since` allows, with the later day from which the candle may be given away.

    `counted` says in words from what both are counted.
    """
    shortest, longest = outlook.cure_days
    ready = since + shortest * DAY
    cure = ActId("cure", mould.letter)
    return [
        Act(
            id=cure,
            kind="cure",
            word=block_word("cure"),
            moulds=mould.letter,
            says=cured_says(outlook, mould.letter, since + longest * DAY),
            why=why_cured(outlook, tr("from {counted}", counted=counted)),
            caution=BURNING,
            due=persons.awake(ready),
            window=Quantiles(ready, ready, since + longest * DAY),
            records=(ev.Waived(act=str(cure), why="cured"),),
            place=("candle", mould.letter),
            urgency=Urgency.SOME_DAY,
        )
    ]
