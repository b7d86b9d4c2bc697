"""The picture: the moulds in section, side by side and to scale, layers in their colours, framed and named."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from pourday.guide.looks import Band, Inside, bands, inside
from pourday.guide.outlook import Outlook
from pourday.plan.bench import bench
from pourday.plan.check import height_of
from pourday.plan.volumes import width_of
from pourday.session.state import State
from pourday.tui.lines import EMPTY, Line, fit, line

TEXTURES = {"empty": " ", "liquid": "░", "skinned": "▒", "firm": "▓", "cold": "█"}
CELL = 2.0
"""A terminal cell is about twice as high as wide."""
NARROWEST = 6


@dataclass(frozen=True, slots=True)
class Picture:
    """One mould, ready to be drawn: sizes in m, the next line to pour to where there is one."""

    letter: str
    width: float
    height: float
    bands: tuple[Band, ...]
    next_line: float | None
    next_words: str
    upside_down: bool
    remark: str = ""
    inside: Inside | None = None
    """The computed inside, where there is one; without it each band has one texture."""


def pictures(state: State, outlook: Outlook, now: float) -> list[Picture]:
    """Every mould on the bench as it stands now."""
    found = []
    for standing in bench(state.plan):
        mould = state.moulds.get(standing.letter)
        filled = tuple(bands(state, outlook, mould, now)) if mould else ()
        height = height_of(standing.mould.shape)
        forecast = outlook.mould(standing.letter)
        line_, words = _next(outlook, standing.letter, len(state.plan.layers), filled)
        found.append(
            Picture(
                letter=standing.letter,
                width=width_of(standing.mould.shape),
                height=height,
                bands=filled,
                next_line=line_,
                next_words=words,
                upside_down=standing.mould.upside_down,
                remark=(standing.mould.name or "")[:14],
                inside=inside(forecast.likely, forecast.at(now)) if forecast else None,
            )
        )
    return found


def _next(outlook: Outlook, letter: str, layers: int, filled: tuple[Band, ...]) -> tuple[float | None, str]:
    following = filled[-1].layer + 1 if filled else 0
    plug = outlook.sheet.plug(letter)
    if filled and plug and filled[-1].layer == 0 and filled[-1].high <= plug.level:
        following = 0
    if following >= layers:
        return None, ""
    pour = outlook.sheet.pour(letter, following)
    return pour.level, f"-{pour.below_rim * 1000:.0f} mm"


def draw_moulds(moulds: list[Picture], cells: int, rows: int, *, finished: bool = False) -> list[Line]:
    """The moulds in a block of `cells` by `rows`; as poured, or as the finished candles stand."""
    if not moulds or rows < 4 or cells < NARROWEST + 2:
        return []
    tall = max(m.height for m in moulds)
    share = cells // len(moulds)
    body = rows - 2
    # The widest mould may not take more than its share, so the scale gives way before the picture does.
    metres = max(tall / body, max(m.width for m in moulds) / max(1, (share - 4)) * CELL)
    columns = [_column(m, metres, share, body, finished) for m in moulds]
    return [tuple(piece for column in columns for piece in fit(column[row], share)) for row in range(rows)]


def _column(mould: Picture, metres: float, share: int, body: int, finished: bool) -> list[Line]:
    inner = max(NARROWEST - 2, round(mould.width / metres * CELL))
    inner = min(inner, share - 2)
    high = max(2, min(body, round(mould.height / metres)))
    cells = [_row(mould, row, high, inner) for row in range(high)]
    label_room = share - inner - 3
    labels = _labels(mould, high, label_room)
    rows: list[Line] = []
    turned = finished and mould.upside_down
    order = range(high) if turned else range(high - 1, -1, -1)
    for row in order:
        rows.append((("│", "rule"), *cells[row], ("│ ", "rule"), *labels[row]))
    shut = line("└" + "─" * inner + "┘", "rule")
    lid = line("┌" + "─" * inner + "┐", "rule")
    rows = [lid, *rows] if turned else [*rows, shut]
    name: Line = ((f" {mould.letter}", "ink bold"), (f" {mould.remark}", "soft"))
    return [EMPTY] * (body + 1 - len(rows)) + rows + [name]


def _span(band: Band, mould: Picture, high: int) -> range:
    """The rows of a band, from the bottom; a thin one still has one."""
    low = min(high - 1, round(band.low / mould.height * high))
    return range(low, max(low + 1, round(band.high / mould.height * high)))


def _line_row(mould: Picture, high: int) -> int | None:
    """The row of the line that is poured to next."""
    if mould.next_line is None:
        return None
    return min(high - 1, int(mould.next_line / mould.height * high - 0.01))


def _row(mould: Picture, row: int, high: int, inner: int) -> Line:
    band = next((b for b in reversed(mould.bands) if row in _span(b, mould, high)), None)
    if band is not None:
        return line(_wax(mould, band, row, high, inner), band.swatch)
    if row == _line_row(mould, high):
        return line("┄" * inner, "soft")
    middle = inner // 2
    return line(" " * middle + "╎" + " " * (inner - middle - 1), "rule")


def _wax(mould: Picture, band: Band, row: int, high: int, inner: int) -> str:
    """One row of wax; what was seen on the surface outranks what is computed there."""
    surface = band is mould.bands[-1] and row == _span(band, mould, high)[-1]
    seen = surface and not band.word.startswith("~")
    if mould.inside is None or seen or band.word == "demoulded":
        return TEXTURES[band.texture] * inner
    height = min(max((row + 0.5) / high * mould.height, band.low + 1e-4), band.high - 1e-4)
    return _across(mould.inside, height, inner)


@lru_cache(maxsize=2048)
def _across(inside: Inside, height: float, inner: int) -> str:
    """One row of cells from wall to wall."""
    return "".join(TEXTURES[texture] for texture in inside.across(height, inner))


def _labels(mould: Picture, high: int, room: int) -> list[Line]:
    """Names beside the bands: colour and state in the middle of each, the next line where it will be."""
    labels: list[Line] = [EMPTY] * high
    if room < 4:
        return labels
    for band in mould.bands:
        rows = _span(band, mould, high)
        middle = rows[len(rows) // 2]
        labels[middle] = fit(line(band.name, "ink"), room)
        both = f"{band.name} {band.word}"
        if band.word and len(rows) > 1 and len(band.word) <= room:
            labels[middle - 1] = line(band.word, "soft")
        elif band.word and len(both) <= room:
            labels[middle] = ((f"{band.name} ", "ink"), (band.word, "soft"))
    row = _line_row(mould, high)
    if row is not None and labels[row] == EMPTY:
        labels[row] = fit(line(mould.next_words, "soft"), room)
    return labels
