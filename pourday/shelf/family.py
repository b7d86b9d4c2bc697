"""Days that were poured after each other, as a tree: what was changed from one to the next, and how it came out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pourday.errors import Trouble
from pourday.language import tr
from pourday.shelf.card import DayCard


@dataclass(frozen=True, slots=True)
class FamilyDay:
    """One day of a family, and those that were made after it, the oldest first."""

    card: DayCard
    after: tuple[FamilyDay, ...] = ()


def family_of(cards: Mapping[str, DayCard], session: str) -> FamilyDay:
    """The family that a day belongs to, from its oldest day on. Raises `Trouble` for a day that nobody knows.

    A day whose parent is not there is the oldest of its family; days that name each other in a circle are told once.
    """
    if session not in cards:
        raise Trouble(
            tr("There is no session called {session}.", session=session),
            instead=tr("“pourday list” shows the sessions there are."),
        )
    first, seen = session, {session}
    while (parent := cards[first].parent) in cards and parent not in seen:
        seen.add(parent)
        first = parent
    children: dict[str, list[str]] = {}
    for name, card in sorted(cards.items(), key=lambda each: (each[1].started or 0.0, each[0])):
        children.setdefault(card.parent, []).append(name)
    told: set[str] = set()
    # Depth first, without recursion: a family may be as long as a maker's life.
    order: list[str] = []
    waiting = [first]
    while waiting:
        name = waiting.pop()
        if name in told:
            continue
        told.add(name)
        order.append(name)
        waiting += reversed([child for child in children.get(name, ()) if child not in told])
    made: dict[str, FamilyDay] = {}
    for name in reversed(order):
        after = [made.pop(child) for child in children.get(name, ()) if child in made]
        made[name] = FamilyDay(cards[name], tuple(after))
    return made[first]


def family_lines(day: FamilyDay) -> list[tuple[str, str, str]]:
    """(branch, session, what is told of it) of each day, drawn as a tree from the top."""
    lines: list[tuple[str, str, str]] = []
    waiting: list[tuple[FamilyDay, str, str]] = [(day, "", "")]
    while waiting:
        here, branch, under = waiting.pop()
        lines.append((branch, here.card.session, _told(here.card)))
        last = len(here.after) - 1
        for number, child in reversed(list(enumerate(here.after))):
            more = number < last
            waiting.append((child, f"{under}{'├ ' if more else '└ '}", f"{under}{'│ ' if more else '  '}"))
    return lines


def _told(card: DayCard) -> str:
    """What was changed for a day, and what came of it."""
    changed = card.change or (tr("no change was named") if card.parent else card.title)
    came = {"better": "better", "same": tr("the same"), "worse": "worse"}.get(card.came, "")
    seen = ", ".join(card.faults) or ("no fault seen" if card.no_fault else "")
    how = "; ".join(part for part in (came, seen, card.verdict) if part)
    state = how or ("" if card.finished else tr("not finished"))
    return f"{changed} → {state}" if state else changed


def family_data(day: FamilyDay) -> list[dict[str, Any]]:
    """The same as plain data: a row a day, each with the one it was made after."""
    rows: list[dict[str, Any]] = []
    waiting = [day]
    while waiting:
        here = waiting.pop()
        card = here.card
        rows.append(
            {
                "session": card.session,
                "title": card.title,
                "parent": card.parent,
                "change": card.change,
                "came": card.came,
                "faults": list(card.faults),
                "no_fault": card.no_fault,
                "verdict": card.verdict,
                "finished": card.finished,
            }
        )
        waiting += reversed(here.after)
    return rows
