"""What is otherwise in a plan than in the one it was made after, by the rows of the form."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from msgspec.structs import replace

from pourday.language import tr
from pourday.plan.finding import Finding, caution, note
from pourday.plan.form import rows
from pourday.plan.model import Plan

_NO_CAUSE = frozenset(
    {"title", "says", "cause", "units", "altitude", "scale_step", "swatch", "lot", "scent_lot", "dye_lot", "price_per_kg",
     "scent_price_per_kg", "at_hand", "name", "count", "set_weight", "pot", "colours", "scent_limit", "scent_flash_c"}
)  # fmt: skip
"""Rows that change no candle, or belong to the day: names, prices, lots, what is at hand."""
MOST_TOLD = 4
"""Changes that are named one by one."""


@dataclass(frozen=True, slots=True)
class PlanChange:
    """One thing that is otherwise, in words."""

    what: str
    before: str
    after: str

    @property
    def words(self) -> str:
        """`room: 20 °C, now 24 °C`."""
        if not self.before:
            return (
                tr("{what}: {after}, nothing before", what=self.what, after=self.after)
                if self.after
                else self.what
            )
        return tr(
            "{what}: {before}, now {after}",
            what=self.what,
            before=self.before,
            after=self.after or tr("nothing"),
        )


def changes(before: Plan, after: Plan) -> tuple[PlanChange, ...]:
    """What changed, in the order of the form; what belongs together (a size, the shares of the layers) counts as one."""
    # In the same units and to the same step, or every weight would be written otherwise.
    old, new = _told(before), _told(replace(after, units=before.units, scale_step=before.scale_step))
    out: dict[str, PlanChange] = {}
    for key in dict.fromkeys([*new, *old]):
        was, now = old.get(key, ("", "")), new.get(key, ("", ""))
        if was[1] != now[1]:
            out.setdefault(_together(key), PlanChange(now[0] or was[0], was[1], now[1]))
    return tuple(out.values())


def _told(plan: Plan) -> dict[str, tuple[str, str]]:
    """(what it is called, what it says) of every row that could be a cause, by its path."""
    told = {}
    for row in rows(plan):
        if row.kind in ("text", "choice") and row.path.rpartition(".")[2] not in _NO_CAUSE:
            told[row.path] = (f"{_place(plan, row.path)}{row.label}", row.value)
    return told


def _place(plan: Plan, path: str) -> str:
    """The mould or layer a row belongs to, in front of its name."""
    group, _, rest = path.partition(".")
    number = rest.partition(".")[0]
    if not number.isdecimal():
        return ""
    index = int(number)
    if group == "moulds" and index < len(plan.moulds):
        return f"{plan.moulds[index].name or tr('mould {index}', index=index + 1)}, "
    if group == "layers" and index < len(plan.layers):
        return f"{plan.layers[index].colour or tr('layer {index}', index=index + 1)}, "
    return ""


def _together(path: str) -> str:
    """What changes with a row, under one name: all of a size, all shares of a blend, of the layers."""
    if ".shape" in path:
        return f"{path.partition('.shape')[0]}.shape"
    group, _, last = path.rpartition(".")
    return f"{group.rstrip('0123456789')}{last}" if last == "share" else path


def changed_findings(parent: str, made: Sequence[PlanChange]) -> tuple[Finding, ...]:
    """What is to be said of the changes of a plan that was made after the day `parent`."""
    if not made:
        return ()
    if len(made) == 1:
        what = tr("One thing differs from {parent}: {words}.", parent=parent, words=made[0].words)
        return (
            note(
                "title",
                what,
                tr("So whatever comes out differently is down to it."),
                tr("Leave the rest as it was."),
            ),
        )
    told = "; ".join(change.words for change in made[:MOST_TOLD])
    more = tr("; and {count} more", count=len(made) - MOST_TOLD) if len(made) > MOST_TOLD else ""
    what = tr(
        "{count} things differ from {parent}: {told}{more}.",
        count=len(made),
        parent=parent,
        told=told,
        more=more,
    )
    why = tr("If the candle comes out differently, nobody can say which of them did it.")
    return (caution("title", what, why, tr("Change one of them, and leave the rest for the next day.")),)
