"""The picture: the moulds in section, side by side and to scale, layers in their colours, framed and named."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from pourday.guide.outlook.looks import Band, Inside, bands, inside
from pourday.guide.outlook.outlook import Outlook
from pourday.language import tr, word
from pourday.plan.bench import bench
from pourday.plan.check import height_of
from pourday.plan.volumes import width_of
from pourday.session.state import State
from pourday.tui.drawing.lines import EMPTY, Line, clickable, fit, line, wrap

TEXTURES = {"empty": " ", "liquid": "░", "skinned": "▒", "firm": "▓", "cold": "█"}
CELL = 2.0
"""A terminal cell is about twice as high as wide."""
NARROWEST = 6
"""Cells of the narrowest mould, its walls among them."""
LABELS = 13
"""Cells beside a mould for the names of its layers and their state, where there is room."""
LEAST_LABEL = 5
"""Cells below which nothing is written beside a mould, but its state under it."""
SHORT = {
    "~edge set": "~edge",
    "edge set": "edge",
    "~firm through": "~through",
    "pulled away": "loose",
    "demoulded": "out",
}
"""Words for where there is no room for longer ones."""


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
    next_name: str = ""
    """What is poured to the next line."""


def pictures(state: State, outlook: Outlook, now: float) -> list[Picture]:
    """Every mould on the bench as it stands now."""
    drawn = []
    for standing in bench(state.plan):
        mould = state.moulds.get(standing.letter)
        filled = tuple(bands(state, outlook, mould, now)) if mould else ()
        height = height_of(standing.mould.shape)
        forecast = outlook.mould(standing.letter)
        level, below, coming = _next(outlook, standing.letter, len(state.plan.layers), filled)
        if filled and _only_plug(outlook, standing.letter, filled):
            filled = (replace(filled[0], name=tr("{colour} plug", colour=filled[0].name)),)
        drawn.append(
            Picture(
                letter=standing.letter,
                width=width_of(standing.mould.shape),
                height=height,
                bands=filled,
                next_line=level,
                next_words="" if below is None else outlook.length(below),
                upside_down=standing.mould.inverted,
                remark=(standing.mould.name or "")[:14],
                inside=inside(forecast.likely, forecast.at(now)) if forecast else None,
                next_name=coming,
            )
        )
    return drawn


def _only_plug(outlook: Outlook, letter: str, filled: tuple[Band, ...]) -> bool:
    plug = outlook.sheet.plug(letter)
    return bool(filled and plug and filled[-1].layer == 0 and filled[-1].high <= plug.level)


def _next(
    outlook: Outlook, letter: str, layers: int, filled: tuple[Band, ...]
) -> tuple[float | None, float | None, str]:
    """The line to pour to next and how far it is below the rim, m; and what is poured."""
    plug = outlook.sheet.plug(letter)
    if not filled and plug:
        return plug.level, plug.below_rim, word("plug")
    following = filled[-1].layer + 1 if filled else 0
    if _only_plug(outlook, letter, filled):
        following = 0
    if following >= layers:
        return None, None, ""
    pour = outlook.sheet.pour(letter, following)
    return pour.level, pour.below_rim, outlook.colour(following)


def standing_words(mould: Picture) -> str:
    """How a mould stands, in a row: `A tall: cream, ~edge set, 6 mm to the rim`."""
    head = f"{mould.letter} {mould.remark}".strip()
    if not mould.bands and mould.next_words:
        return tr("{mould}: empty, {length} to the rim", mould=head, length=mould.next_words)
    if not mould.bands:
        return tr("{mould}: empty", mould=head)
    top = mould.bands[-1]
    return f"{head}: {', '.join(said for said in (top.name, top.looks.word) if said)}"


def cells_wanted(moulds: list[Picture], rows: int) -> int:
    """Cells in which the moulds are as high as `rows` allow, with room for the names of their layers."""
    if not moulds or rows < 4:
        return 0
    metres = max(m.height for m in moulds) / (rows - 2)
    inner = max(NARROWEST - 2, round(max(m.width for m in moulds) / metres * CELL))
    return (inner + 3 + LABELS) * len(moulds)


def draw_moulds(
    moulds: list[Picture],
    cells: int,
    rows: int,
    *,
    finished: bool = False,
    ways: Mapping[str, str] | None = None,
    usual: int | None = None,
) -> list[Line]:
    """The moulds in a block of `cells` by `rows`; as poured, or as the finished candles stand.

    `ways` has, by the letter of a mould, what a click on it stands for. `usual` are the rows there are at other times:
    the moulds keep the width they have then, and are only cut down to the rows there are now.
    """
    if not moulds or rows < 4 or cells < NARROWEST + 2:
        return []
    tall, broad = max(m.height for m in moulds), max(m.width for m in moulds)
    share = cells // len(moulds)
    labelled = share >= NARROWEST + LABELS
    under = not labelled and rows >= 6
    body = rows - (3 if under else 2)
    whole = max(2, (usual or rows) - (3 if under else 2))
    # The widest mould may not take more than its share, so the scale gives way before the picture does.
    room = share - 3 - (LABELS if labelled else 1)
    metres = max(tall / whole, broad / max(1, room) * CELL)
    wall = min((_label_room(m, metres, share) for m in moulds), default=0)
    columns = [
        _column(m, metres, share, body, finished, words)
        for m, words in zip(moulds, _line_words(moulds, wall), strict=True)
    ]
    targets = [(ways or {}).get(mould.letter, "") for mould in moulds]
    drawn = [
        tuple(
            piece
            for column, target in zip(columns, targets, strict=True)
            for piece in clickable(fit(column[row], share), target)
        )
        for row in range(body + 2)
    ]
    return [*drawn, fit(_states(moulds, cells), share * len(moulds))] if under else drawn


def _inner(mould: Picture, metres: float, share: int) -> int:
    """Cells between the walls of a mould at so many m a row."""
    inner = max(NARROWEST - 2, round(mould.width / metres * CELL))
    return max(1, min(inner, share - 3))


def _label_room(mould: Picture, metres: float, share: int) -> int:
    """Cells beside a mould for words."""
    return share - _inner(mould, metres, share) - 4


def _column(mould: Picture, metres: float, share: int, body: int, finished: bool, to_line: str) -> list[Line]:
    """One mould, `share` cells wide and `body` rows high with its labels; on its head once it is out of a mould that stood
    so. `to_line` says how far its next line is below the rim."""
    inner = _inner(mould, metres, share)
    high = max(2, min(body, round(mould.height / metres)))
    turned = finished and mould.upside_down
    spans = _spans(mould, high)
    labels = _labels(mould, spans, high, share - inner - 4, turned, to_line)
    seams = {span[0] for span in spans[1:]}
    rows: list[Line] = []
    for at, row in enumerate(range(high) if turned else range(high - 1, -1, -1)):
        left, right = ("├", "┤ ") if row in seams else ("│", "│ ")
        inside = _row(mould, spans, row, high, inner, turned)
        rows.append(((left, "rule"), *inside, (right, "rule"), *labels[at]))
    shut: Line = (("└" + "─" * inner + "┘ ", "rule"), *labels[high])
    rows = [line("┌" + "─" * inner + "┐", "rule"), *rows] if turned else [*rows, shut]
    return [*[EMPTY] * (body + 1 - len(rows)), *rows, _name(mould, share)]


def _name(mould: Picture, share: int) -> Line:
    """Letter and name; the letter alone where next to nothing of the name could be read."""
    short = share < len(mould.remark) + 4 and share < 12
    return ((f" {mould.letter}", "ink bold"), ("" if short else f" {mould.remark}", "soft"))


def _states(moulds: list[Picture], cells: int) -> Line:
    """Colour and state of the last layers in one line, where there is no room beside the moulds."""
    by_state: dict[str, list[str]] = {}
    for mould in moulds:
        if mould.bands:
            top = mould.bands[-1]
            by_state.setdefault(f"{top.name} {top.looks.short or top.looks.word}".rstrip(), []).append(
                mould.letter
            )
    whole = "  ".join(f"{' '.join(letters)} {word}" for word, letters in by_state.items())
    close = "  ".join(f"{''.join(letters)} {word}" for word, letters in by_state.items())
    return line(f" {whole if len(whole) < cells else close}", "soft")


def _spans(mould: Picture, high: int) -> list[range]:
    """The rows of each band, from the bottom; a thin one still has one.

    Where one ends and the next begins both share a row, half and half: it counts to the upper one.
    """
    starts: list[int] = []
    for band in mould.bands:
        wanted = round(band.low / mould.height * high - 0.5) if starts else 0
        starts.append(min(high - 1, max(wanted, starts[-1] + 1) if starts else 0))
    ends = [*starts[1:], round(mould.bands[-1].high / mould.height * high)] if starts else []
    return [range(start, max(start + 1, end)) for start, end in zip(starts, ends, strict=True)]


def _line_row(mould: Picture, high: int) -> int | None:
    """The row of the line that is poured to next."""
    if mould.next_line is None:
        return None
    return min(high - 1, int(mould.next_line / mould.height * high - 0.01))


def _row(mould: Picture, spans: list[range], row: int, high: int, inner: int, turned: bool) -> Line:
    """The inside of a mould in one row, counted from its bottom: wax, the line to pour to, or the wick."""
    at = next((n for n in reversed(range(len(spans))) if row in spans[n]), None)
    if at is not None:
        band = mould.bands[at]
        if at and row == spans[at][0]:
            # Half of each colour; without colours the half that is left blank is the seam.
            return line(("▄" if turned else "▀") * inner, f"{band.swatch} on {mould.bands[at - 1].swatch}")
        surface = at == len(spans) - 1 and row == spans[at][-1]
        return line(_wax(mould, band, (row + 0.5) / high, inner, surface), band.swatch)
    if row == _line_row(mould, high):
        return line("┄" * inner, "soft")
    middle = inner // 2
    return line(" " * middle + "╎" + " " * (inner - middle - 1), "rule")


def _wax(mould: Picture, band: Band, share: float, inner: int, surface: bool) -> str:
    """One row of wax at a `share` of the height; what was seen on the surface outranks what is computed there."""
    if mould.bands[-1].looks.out:
        return TEXTURES["cold"] * inner
    seen = surface and not band.looks.computed
    if mould.inside is None or seen:
        return TEXTURES[band.looks.texture] * inner
    height = min(max(share * mould.height, band.low + 1e-4), band.high - 1e-4)
    return _across(mould.inside, height, inner)


@lru_cache(maxsize=2048)
def _across(inside: Inside, height: float, inner: int) -> str:
    """One row of cells from wall to wall."""
    return "".join(TEXTURES[texture] for texture in inside.across(height, inner))


# -- words beside a mould ----------------------------------------------------------------------------


def _labels(
    mould: Picture, spans: list[range], high: int, room: int, turned: bool, to_line: str
) -> list[Line]:
    """Beside each row, from the top of the picture, and beside the base: colour, then state, in the middle of each
    band; the next line where it will be."""
    labels: list[Line] = [EMPTY] * (high + 1)
    if room < LEAST_LABEL:
        return labels
    row = _line_row(mould, high)
    if row is not None:
        labels[row if turned else high - 1 - row] = line(to_line, "soft") if to_line else EMPTY
    for band, rows in zip(mould.bands, spans, strict=True):
        first = rows[0] if turned else high - 1 - rows[-1]
        # A band on the base may have the row of the base as well.
        free = len(rows) + (0 if turned or rows[0] else 1)
        label = _band_label(band, room, free)
        at = first + max(0, (len(rows) - len(label)) // 2)
        labels[at : at + len(label)] = label
    return labels


def _line_words(moulds: list[Picture], room: int) -> list[str]:
    """How far the next line of each is below the rim, said alike for all that stand in one picture: as long as the one
    with the fewest cells beside it has `room`."""
    named = [
        f"{m.next_name}: {m.next_words}" if m.next_name and m.next_words else m.next_words for m in moulds
    ]
    bare = [m.next_words for m in moulds]
    # How far down is what is measured; the colour stands in the agenda, too.
    for words, says in (
        (named, tr(" below the rim")),
        (bare, tr(" to the rim")),
        (bare, tr(" to rim")),
        (bare, tr(" down")),
        (bare, ""),
    ):
        said = [f"{each}{says}" if each else "" for each in words]
        if max(map(len, said)) <= room:
            return said
    return [""] * len(moulds)


def _band_label(band: Band, room: int, most: int) -> list[Line]:
    """Name and state: the state under the name where there are rows for it, else beside it, shortened or left out."""
    name = fit(line(band.name, "ink"), room) if len(band.name) > room else line(band.name, "ink")
    word, short = band.looks.word, band.looks.short or band.looks.word
    for rows in (wrap(word, room, "soft"), wrap(short, room, "soft")):
        if word and len(rows) < most and all(len(text) <= room for row in rows for text, _ in row):
            return [name, *rows]
    for text in (word, short, SHORT.get(short, short)):
        if text and len(band.name) + 1 + len(text) <= room:
            return [(*name, (f" {text}", "soft"))]
    return [name]
