"""A change with its size, before it stands in a plan."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from pourday.faults.record import CandleRecord
from pourday.faults.table import Fault
from pourday.plan.model import Plan
from pourday.units import show_temperature


@dataclass(frozen=True, slots=True)
class SizedChange:
    """One change against a cause, with its size."""

    says: str
    """What to do otherwise, a whole sentence."""
    why: str = ""
    """How the size was come by, a whole sentence; empty where it is the trade's."""
    plan: Plan | None = None
    """The next plan with the change in it; None where a plan cannot hold it."""


ChangeSize = Callable[[CandleRecord, Fault, Plan], SizedChange | None]
"""(what is known of the candle, its fault, the plan to start from) → the change; None where the record does not tell its size.

It may raise `Trouble` where the changed plan cannot be."""


def degrees(record: CandleRecord, celsius: float) -> str:
    """A temperature, °C, in the units of the plan that was poured."""
    return show_temperature(celsius, record.batch.plan.units)
