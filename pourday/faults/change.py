"""The one thing to do otherwise next time, with its size: computed where it can be, else as the trade does it.

Only one thing is changed, so that the next candle tells whether it was that.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import msgspec

from pourday.errors import Trouble
from pourday.faults.burn_changes import BURN_CHANGES
from pourday.faults.day_changes import DAY_CHANGES
from pourday.faults.heat_changes import HEAT_CHANGES
from pourday.faults.record import CandleRecord
from pourday.faults.sized_change import SizedChange
from pourday.faults.table import causes
from pourday.faults.weigh import Diagnosis
from pourday.plan.model import Plan, TriedChange
from pourday.plan.scaling import start_from
from pourday.units import show_difference, show_length, show_temperature


@dataclass(frozen=True, slots=True)
class Change:
    """One change."""

    cause: str
    says: str
    """With its size, a whole sentence."""
    why: str
    """How the size was come by, a whole sentence; empty where it is the trade's."""
    plan: Plan
    """The next plan: as this one was, with the change in it where a plan can hold it, and told in any case."""


def change_for(record: CandleRecord, diagnosis: Diagnosis) -> Change:
    """The one change against the likeliest cause that something can be done about, with the next plan. Where its
    size cannot be computed it is said in the table's words."""
    cause, fault = diagnosis.first.cause, diagnosis.fault
    base = start_from(record.batch.fixed_plan or record.batch.plan)
    size = {**HEAT_CHANGES, **DAY_CHANGES, **BURN_CHANGES}.get(cause)
    sized = None
    if size is not None:
        try:
            sized = size(record, fault, base)
        except Trouble:
            sized = None
    if sized is None:
        sized = SizedChange(in_units(causes()[cause].change, base))
    tried = TriedChange(letter=record.letter, fault=fault.name, cause=cause, says=sized.says)
    plan = msgspec.structs.replace(sized.plan or base, parent=record.batch.session, tried=tried)
    return Change(cause, sized.says, sized.why, plan)


_FIGURE = re.compile(r"\{(K|C|mm):(\d+)\}")


def in_units(text: str, plan: Plan) -> str:
    """A sentence of the table with its figures in the units of a plan.

    >>> in_units("Trim the wick to {mm:6}.", Plan())
    'Trim the wick to 6 mm.'
    """

    def shown(match: re.Match[str]) -> str:
        figure = float(match[2])
        if match[1] == "K":
            return show_difference(figure, plan.units)
        if match[1] == "C":
            return show_temperature(figure, plan.units)
        return show_length(figure / 1000, plan.units)

    return _FIGURE.sub(shown, text)
