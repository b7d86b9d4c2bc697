"""How much of a day's record a person has to bring about, and how much the program writes by itself.

Three numbers are counted. `facts`: what is on record as said by the person. `presses`: how often the person has to
confirm something for that; facts that one answer files together are one. `by_program`: what the program wrote, most
of it what it told. The target of a day, at most 45 entries and 25 looks and readings, means presses: an entry is what
a person has to do.

What counts as one press. Facts logged at one instant are one, as one answer, one Space or one "the same for all" files
them, except what is typed digit by digit: every reading and every weight that is filed by itself is one of its own.
(What a jug reads and what the scale says are typed with the pour, in one line, and filed with it; so are the weights of
candles that are out together.) Moulds that did not look alike, or did not come out alike,
took a key that says so and an answer each. The plan is drafted before the day and is not counted; the
list before the heat is, and so is BEGIN THE DAY. Answers to the watch are filed by any key that does something else.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from pourday.session import events as ev
from pourday.session.events import Entry

TYPED = (ev.Reading, ev.Weighed, ev.JugWeighed, ev.JugDosed, ev.LeftOver)
BEFORE_THE_DAY = (ev.Opened, ev.Equipped, ev.PlanDrafted)
BESIDES = (ev.WatchAnswered,)
LOOKS = (ev.Looked, ev.SealSeen, ev.Reading)
"""What is counted as a look or a reading: moulds from above and below, and every thermometer; the bath's water beside it."""


@dataclass(frozen=True, slots=True)
class DayEntries:
    """What one record holds, counted."""

    facts: int
    """Facts that the person reported, the plan left out."""
    presses: int
    """Confirmations that brought them about."""
    by_program: int
    looks: int
    """Of the presses those that filed a look at a mould or a reading."""
    water: int
    """Of the presses those that filed a look at the bath and nothing else."""
    by_kind: Counter[str]
    """Presses by what they filed first."""


def day_entries(entries: Sequence[Entry]) -> DayEntries:
    """Count a record's entries. What was taken back was pressed all the same, and so was the taking back."""
    persons = [e for e in entries if e.by == "person" and not isinstance(e.fact, BEFORE_THE_DAY)]
    presses: list[list[Entry]] = []
    for entry in persons:
        if isinstance(entry.fact, BESIDES):
            continue
        before = presses[-1][-1] if presses else None
        if before is not None and _same_press(before, entry):
            presses[-1].append(entry)
        else:
            presses.append([entry])
    return DayEntries(
        facts=len(persons),
        presses=len(presses) + sum(_one_by_one(press) for press in presses),
        by_program=sum(e.by == "program" for e in entries),
        looks=sum(any(isinstance(e.fact, LOOKS) for e in press) for press in presses),
        water=sum(all(isinstance(e.fact, ev.WaterSeen) for e in press) for press in presses),
        by_kind=Counter(str(type(press[0].fact).__name__) for press in presses),
    )


def _one_by_one(press: Sequence[Entry]) -> int:
    """Keys beyond the first that answers took which were not the same for all moulds."""
    cues = [e.fact.cue for e in press if isinstance(e.fact, ev.Looked)]
    releases = [e.fact.release for e in press if isinstance(e.fact, ev.Demoulded)]
    return sum(len(said) for said in (cues, releases) if len(set(said)) > 1)


def _same_press(before: Entry, entry: Entry) -> bool:
    if before.logged_at != entry.logged_at:
        return False
    alone = (*TYPED, ev.PlanFixed)
    if isinstance(before.fact, ev.Reading) and isinstance(entry.fact, ev.Relieved | ev.Poured):
        return before.fact.place == "jug"
    if isinstance(before.fact, ev.Weighed) and isinstance(entry.fact, ev.Weighed):
        return before.fact.what == entry.fact.what == "candle"
    return not isinstance(before.fact, alone) and not isinstance(entry.fact, alone)
