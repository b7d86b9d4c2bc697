"""A record as CSV (RFC 4180): one row a pour, a reading, a weight or a wax movement, for a spreadsheet.

Times stand twice, UTC and local; figures are SI beside what was typed. Only what counts is in it: what was taken back
is not, and what was corrected stands as it was put right. A text that a spreadsheet would take for a formula is put
behind an apostrophe.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from datetime import UTC, datetime

from pourday.session import events as ev
from pourday.session.clock import on_newest_clock
from pourday.session.events import Entry
from pourday.session.fold import effective
from pourday.session.mould import PourAt
from pourday.session.state import State
from pourday.times import local

COLUMNS = (
    "session",
    "entry",
    "what",
    "utc",
    "local",
    "mould",
    "layer",
    "colour",
    "part",
    "place",
    "means",
    "temperature_c",
    "kg",
    "planned_kg",
    "flame_m",
    "pool_m",
    "pool_other_m",
    "depth_m",
    "wall_m",
    "seconds",
    "typed",
    "remark",
)
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What a cell begins with that spreadsheets take for a formula (OWASP, CSV injection)."""
_NUMBER = re.compile(r"[+-]?[0-9]+([.,][0-9]+)?")
"""A typed figure, which no spreadsheet takes for more than it is."""


def csv_bytes(state: State, entries: Sequence[Entry]) -> bytes:
    """The rows in order of the record, UTF-8 with a byte order mark, by which spreadsheets know it."""
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, COLUMNS, restval="")
    writer.writeheader()
    pours = {p.seq: p for mould in state.moulds.values() for p in (*mould.pours, *mould.emptied)}
    for entry in effective(on_newest_clock(entries)):
        row = _row(entry.fact, state, pours.get(entry.seq))
        if row is not None:
            writer.writerow({key: cell(value) for key, value in (_place(entry, state) | row).items()})
    return text.getvalue().encode("utf-8-sig")


def _place(entry: Entry, state: State) -> dict[str, object]:
    """Where and when a row belongs."""
    return {
        "session": state.session,
        "entry": entry.seq,
        "utc": datetime.fromtimestamp(entry.t, UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
        "local": f"{local(entry.t):%Y-%m-%d %H:%M:%S}",
    }


def _row(fact: ev.Fact, state: State, pour: PourAt | None) -> dict[str, object] | None:
    """What a fact tells in figures; None for one that tells none. `pour` is the pour that a fact made, as it stands."""
    match fact:
        case ev.Poured():
            return {
                "what": "pour",
                "mould": fact.mould,
                **_layer(state, fact.layer),
                "part": fact.part,
                "temperature_c": fact.celsius if pour is None else state.lip_c(pour),
                "kg": fact.kg if pour is None else pour.kg,
                "planned_kg": fact.planned_kg,
                "remark": f"about {fact.share:.0%} of it" if fact.share < 1 else "",
            }
        case ev.Reading():
            return {
                "what": "reading",
                "mould": fact.mould,
                "place": fact.place,
                "means": fact.means,
                "temperature_c": fact.celsius,
                "typed": fact.typed,
                "remark": fact.doubt,
            }
        case ev.Weighed():
            what = f"weight of {fact.what}"
            return {
                "what": what,
                "mould": fact.mould,
                "kg": fact.kg,
                "typed": fact.typed,
                "remark": fact.doubt,
            }
        case ev.WaxAdded():
            return {"what": "wax added", "kg": fact.kg, "temperature_c": fact.celsius, "remark": fact.what}
        case ev.JugMade():
            return {"what": "jug", **_layer(state, fact.layer), "kg": fact.kg, "planned_kg": fact.planned_kg}
        case ev.JugWeighed():
            return {"what": "wax in the jug", **_layer(state, fact.layer), "kg": fact.kg, "typed": fact.typed}
        case ev.JugDosed():
            return {
                "what": fact.what,
                **_layer(state, fact.layer),
                "temperature_c": fact.celsius,
                "kg": fact.kg,
                "planned_kg": fact.planned_kg,
                "typed": fact.typed,
                "remark": ", ".join(
                    part for part in (fact.product, f"lot {fact.lot}" if fact.lot else "") if part
                ),
            }
        case ev.Spilled():
            return {"what": "spill", "mould": fact.mould, **_layer(state, fact.layer), "kg": fact.kg}
        case ev.LeftOver():
            return {"what": "left over", **_layer(state, fact.layer), "kg": fact.kg}
        case ev.Emptied():
            return {
                "what": "emptied",
                "mould": fact.mould,
                **_layer(state, fact.from_layer),
                "kg": fact.kg,
                "remark": fact.how,
            }
        case ev.BurnerSet():
            return {"what": f"burner {fact.state}"}
        case _:
            return _burn_row(fact)


def _burn_row(fact: ev.Fact) -> dict[str, object] | None:
    """What a fact of a burn test tells in figures; None for one that tells none."""
    match fact:
        case ev.CandleLit():
            return {
                "what": "candle lit",
                "mould": fact.mould,
                "temperature_c": fact.room_c,
                "kg": fact.kg,
                "typed": fact.typed,
                "remark": fact.wick,
            }
        case ev.BurnSeen():
            seen = (
                ("mushroom", fact.mushroom),
                ("leaning", fact.leaning),
                (f"soot {fact.soot}", fact.soot is not None),
            )
            return {
                "what": "burn",
                "mould": fact.mould,
                "flame_m": fact.flame,
                "pool_m": fact.across,
                "pool_other_m": fact.across_other,
                "depth_m": fact.depth,
                "wall_m": fact.wall,
                "seconds": fact.look,
                "remark": ", ".join(name for name, there in seen if there),
            }
        case ev.BurnEnded():
            return {"what": "burn ended", "mould": fact.mould, "remark": fact.how}
        case ev.AfterGlow():
            return {"what": "after-glow", "mould": fact.mould, "seconds": fact.glow}
        case ev.WeighedCold():
            return {"what": "weight after burn", "mould": fact.mould, "kg": fact.kg, "typed": fact.typed}
        case _:
            return None


def _layer(state: State, layer: int | None) -> dict[str, object]:
    """Number (from 1, as people count) and colour of a layer; the pot has neither."""
    if layer is None:
        return {"place": "pot"}
    layers = state.plan.layers
    return {"layer": layer + 1, "colour": layers[layer].colour if 0 <= layer < len(layers) else ""}


def cell(value: object) -> str:
    """A value as a cell: figures with a decimal point and to what matters, texts with no formula in them."""
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.6g}" if abs(value) < 1e6 else f"{value:.0f}"
    text = str(value)
    return f"'{text}" if text.startswith(_FORMULA) and not _NUMBER.fullmatch(text) else text
