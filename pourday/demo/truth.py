"""What became of a day in the simulated kitchen, as only the kitchen can know it."""

from __future__ import annotations

from pathlib import Path

import msgspec

from pourday.errors import Trouble
from pourday.kitchen.kitchen import Kitchen
from pourday.kitchen.moulds import Seam
from pourday.language import tr
from pourday.plan.bench import bench
from pourday.plan.model import Mould
from pourday.plan.volumes import fill_height
from pourday.store.disk import because
from pourday.text import plain

FUSED_EDGE = 0.00005
"""m that a joint has to have melted at the wall to be called fused there: a tenth of the finest row the kitchen
computes, so that its skin ran together with what was poured on it. An estimate of ours."""


class Weld(msgspec.Struct, frozen=True):
    """One joint between two layers, counted from 1 in the order they were poured."""

    layers: tuple[int, int]
    remelt_mm: float
    """How deep the wax below was molten at most, area mean."""
    edge_mm: float
    """The same at the mould wall."""
    fused_at_edge: bool


class Outcome(msgspec.Struct, frozen=True):
    """What became of one mould."""

    letter: str
    spilled_g: float
    hollow_ml: float
    """Hidden below the surface."""
    mould_ml: float
    """What the mould holds to its rim."""
    last_line_off_mm: float
    """How far above the planned fill line the wax ever stood while it was liquid; negative for below."""
    welds: tuple[Weld, ...]


class Truth(msgspec.Struct, frozen=True):
    """What became of all of them, and of the wax that was melted."""

    moulds: tuple[Outcome, ...]
    melted_g: float
    accounted_g: float
    """In candles, kept back, left in pot and jugs, spilled."""


def truth(kitchen: Kitchen) -> Truth:
    """What the kitchen knows now; g, ml, mm."""
    return Truth(
        moulds=tuple(_mould(kitchen, letter, fill_height(mould)) for letter, mould in _bench(kitchen)),
        melted_g=round(kitchen.melted_kg * 1000, 2),
        accounted_g=round(kitchen.everywhere_kg * 1000, 2),
    )


def write_truth(path: Path, kitchen: Kitchen) -> None:
    """Write it as JSON, in the place of what stands there. Raises `Trouble` where it cannot be written."""
    try:
        path.write_bytes(msgspec.json.format(msgspec.json.encode(truth(kitchen))) + b"\n")
    except OSError as error:
        raise Trouble(
            tr("What became of the day could not be written to “{path}”.", path=plain(str(path), 200)),
            because(error),
            tr("Give --truth the path of a file in a folder that is there."),
        ) from None


def _bench(kitchen: Kitchen) -> list[tuple[str, Mould]]:
    return [(standing.letter, standing.mould) for standing in bench(kitchen.plan)]


def _mould(kitchen: Kitchen, letter: str, line: float) -> Outcome:
    return Outcome(
        letter=letter,
        spilled_g=round(kitchen.spilled(letter) * 1000, 2),
        hollow_ml=round(kitchen.hollow_volume(letter) * 1e6, 2),
        mould_ml=round(kitchen.capacity(letter) * 1e6, 2),
        last_line_off_mm=round((kitchen.highest_level(letter) - line) * 1000, 2),
        welds=tuple(
            _weld(below, above, kitchen.seam(letter, above)) for below, above in kitchen.joints(letter)
        ),
    )


def _weld(below: int, above: int, seam: Seam) -> Weld:
    return Weld(
        layers=(below + 1, above + 1),
        remelt_mm=round(seam.mean * 1000, 2),
        edge_mm=round(seam.edge * 1000, 2),
        fused_at_edge=seam.edge >= FUSED_EDGE,
    )
