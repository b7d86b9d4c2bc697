"""Calm words: what was told stays while a new forecast says hardly anything else, and nobody has said anything meanwhile.

A forecast is worked out anew every minute and moves each time by some seconds. Told as it comes, a minute flips to and fro and
one word displaces the other under the hand that is on its way. What is safe to do at once is never held back: what has fallen
due is due, and a flame that goes down, a reading of wax at its ceiling, an alarm comes first whatever was told.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from pourday.guide.acts.act import Act, Urgency
from pourday.session.events import Burner
from pourday.session.state import State

STAYS_WITHIN = 45.0
"""s by which a time may move and stand as it was told. An estimate of ours."""
WORD_STAYS = 120.0
"""s by which a new forecast may put off what was told as due without its word changing. An estimate of ours."""
ON_THE_WAY = 180.0
"""s for which a word that was told is left standing, for whoever is on the way to do it. An estimate of ours."""


@dataclass(frozen=True, slots=True)
class ToldAgenda:
    """What was told last of an agenda, as far as the next one may stand by it."""

    session: str = ""
    heard_at: float = 0.0
    """When the person had said something last, s since the epoch."""
    times: Mapping[str, float] = field(default_factory=dict)
    """When each act falls due, s since the epoch, by its identity as the record writes it."""
    flame: Act | None = None
    """The flame that was to be lit or turned up,"""
    flame_at: float = 0.0
    """and since when it was told, s since the epoch."""


def calmed(
    told: ToldAgenda, acts: Sequence[Act], state: State, now: float
) -> tuple[tuple[Act, ...], ToldAgenda]:
    """The acts as they are to be told now, and what is told by that: one that hardly differs from what was `told` of it
    keeps its time and its words. `now` in s since the epoch."""
    if told.session != state.session:
        told = ToldAgenda(state.session)
    said_nothing = state.heard_at <= told.heard_at
    before = told.flame if said_nothing and now - told.flame_at <= ON_THE_WAY else None
    if before is not None:
        acts = [_no_stronger(before, act, state.burner, now) for act in acts]
    acts = calm_times(told.times, acts, now)
    # One that is not wanted for a moment comes back as it was.
    flame = next((act for act in acts if turns_up(act, state.burner)), before)
    same = before is not None and flame is not None and flame.id == before.id
    # Told is what is due: before that nobody is on the way.
    at = told.flame_at if same and flame is not None and flame.due <= now else now
    return acts, ToldAgenda(state.session, state.heard_at, {str(a.id): a.due for a in acts}, flame, at)


def calm_times(told: Mapping[str, float], acts: Sequence[Act], now: float) -> tuple[Act, ...]:
    """The acts by their times, each at the time it was `told` where the new one hardly differs.

    `told` is by the act's identity as the record writes it, in s since the epoch. What has fallen due by its new time is due.
    """
    calm = [_at_its_told_time(told.get(str(act.id)), act, now) for act in acts]
    return tuple(sorted(calm, key=lambda act: (act.due, act.urgency, str(act.id))))


def _at_its_told_time(told: float | None, act: Act, now: float) -> Act:
    """One act, at the time `told` of it before (s since the epoch; None: none) where that still holds."""
    # What was due and is put off again is no matter of minutes: how long its word stays is decided where words are.
    if told is None or told <= now or act.due <= now or abs(act.due - told) > STAYS_WITHIN:
        return act
    return replace(act, due=told)


def _no_stronger(told: Act, act: Act, burner: Burner, now: float) -> Act:
    """An act, but where it would light a stronger flame than was `told` a moment ago, that one: a weaker one does no harm, and
    whoever is on the way to it is not called back."""
    if not turns_up(act, burner) or _strength(act) <= _strength(told) or act.id.nth != told.id.nth:
        return act
    due = told.due if told.due <= now and act.due <= now + WORD_STAYS else act.due
    return replace(told, due=due)


def _strength(act: Act) -> int:
    """How strong a flame an act lights, as a rank."""
    return ("heat lower", "heat low", "heat higher", "heat on").index(act.id.what)


def told_first(due: Sequence[Act], told: str, since: float) -> list[Act]:
    """What is due, the most pressing first, but the act that was `told` as due before all that can wait for it.

    `since` is how many s ago that was, with nothing said by anybody in between. Danger, a turn of the knob and what gets worse
    by waiting do not wait for it, unless they press no more than the act that was told: of two that press alike the one that
    somebody is on the way to stays first.
    """
    standing = next((act for act in due if str(act.id) == told), None)
    if standing is None or since > ON_THE_WAY:
        return list(due)
    ahead = [act for act in due if act.urgency <= Urgency.CLOSING and act.urgency < standing.urgency]
    return [*ahead, standing, *(act for act in due if act is not standing and act not in ahead)]


def turns_up(act: Act, burner: Burner) -> bool:
    """Whether an act lights the flame or turns it up: by a rough forecast it is not told, since the next one may take it
    back."""
    if act.kind == "heat low":
        return burner == "off" or act.id.what == "heat higher"
    return act.kind == "heat on"
