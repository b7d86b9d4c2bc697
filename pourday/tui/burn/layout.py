"""How a burn test is laid out, from 40x12 up: pure, from what its controller knows to lines."""

from __future__ import annotations

from pourday.burn.candle import Candle
from pourday.burn.looks import next_look
from pourday.burn.pool import wall_left
from pourday.burn.weighed import last_weight
from pourday.columns import padded
from pourday.language import ntr, tr, word
from pourday.reports.burn_report import candle_lines
from pourday.session.candle import Burn, BurnLook
from pourday.times import clock, countdown, days, span
from pourday.tui.burn.controller import BurnController
from pourday.tui.burn.section import draw_section
from pourday.tui.drawing.block_letters import block_rows, block_width
from pourday.tui.drawing.lines import EMPTY, Line, beside, clickable, fit, key_lines, line, width, wrap
from pourday.tui.live_controller import reason_keys
from pourday.units import Units, show_length, show_mass

LEAST_ROWS = 5
"""Rows of a low window for the word, a row of a candle, what is typed and the keys."""
DRAWN = 18
"""Rows from which there is room for a drawing."""
MOST_BESIDE = 22
"""Cells that one candle needs beside another at least."""


def draw_burn(burn: BurnController, now: float, cells: int, rows: int, remark: str = "") -> list[Line]:
    """The whole screen, exactly what fits into `cells` by `rows`."""
    foot = _foot(burn, cells, rows, remark)
    head = _head(burn, now, cells, rows)
    room = max(0, rows - len(head) - len(foot))
    body = _reading(burn, cells, room) if burn.reading else _candles(burn, now, cells, room)
    body = body[:room]
    return [*head, *body, *[EMPTY] * (room - len(body)), *foot][:rows]


# -- the word of the moment ---------------------------------------------------------------------------


def _head(burn: BurnController, now: float, cells: int, rows: int) -> list[Line]:
    """Title, the word large with the time of the next look, and the sentence under it."""
    word, says = burn.word(now)
    title = burn.plan.title or burn.batch.session
    demo = tr("  demo") if burn.batch.demo else ""
    drawn: list[Line] = []
    if rows >= DRAWN:
        when = clock(now)
        drawn.append((*fit(line(tr('After the mould: {title}{demo}', title=title, demo=demo), "soft"), cells - len(when) - 1), (f" {when}", "soft")))  # fmt: skip
    left = _until_next(burn, now)
    job = "alarm bold" if burn.alarms(now) else "glow bold"
    tall = 5 if rows >= 36 else 3
    if rows >= DRAWN and block_width(word, tall) + block_width(left, tall) + 2 <= cells:
        rights = block_rows(left, tall) if left else [""] * tall
        for a, b in zip(block_rows(word, tall), rights, strict=True):
            drawn.append(((a, job), (" " * (cells - len(a) - len(b)), "ink"), (b, "ink")))
    else:
        when = f"  {clock(now)}" if rows < DRAWN else ""
        small: Line = ((f" {left}" if left else "", "ink bold"), (when, "soft"))
        drawn.append((*fit(line(word, job), cells - width(small)), *small))
    # What has to be read before a candle is lit is read whole: rows of candles give way to it.
    drawn += wrap(says, cells, "ink", most=max(3, rows - LEAST_ROWS))
    if burn.question is not None and burn.question.kind not in ("choice", "confirm"):
        drawn.append((("  ", "ink"), (f"{burn.text}▏", "glow bold")))
    return drawn


def _until_next(burn: BurnController, now: float) -> str:
    """The time to the next look of any lit candle."""
    coming = [t for c in burn.lit if c.life.burning and (t := next_look(c.life.burning, now)) is not None]
    return countdown(min(coming) - now) if coming else ""


# -- the candles --------------------------------------------------------------------------------------


def _candles(burn: BurnController, now: float, cells: int, room: int) -> list[Line]:
    """Those that burn drawn side by side, as many as there is room for; all of them as rows."""
    if not burn.candles or room < 1:
        return []
    shown = burn.lit or ((burn.chosen,) if burn.chosen else ())
    table = [clickable(_row(burn, candle, now, cells), f"#{at}") for at, candle in enumerate(burn.candles)]
    high = room - min(len(table), 6) - 1
    if high < 7:
        at = max(0, min(burn.at - room // 2, len(table) - room))
        return table[at : at + room]
    most = max(1, min(len(shown), cells // MOST_BESIDE))
    first = next((n for n, candle in enumerate(shown) if candle is burn.chosen), 0)
    first = max(0, min(first, len(shown) - most))
    each = cells // most
    blocks = [_one(burn, candle, each - 2, high) for candle in shown[first : first + most]]
    drawn = blocks[0]
    for number, block in enumerate(blocks[1:], 1):
        drawn = beside(drawn, block, number * each - 2)
    at = max(0, min(burn.at - 2, len(table) - 6))
    return [*drawn, EMPTY, *table[at : at + 6]]


def _one(burn: BurnController, candle: Candle, cells: int, rows: int) -> list[Line]:
    """One candle drawn, with what was last seen of it in words below."""
    newest = candle.life.burns[-1] if candle.life.burns else None
    units = burn.plan.units
    words = [line(candle.label, "glow bold" if candle is burn.chosen else "ink bold")]
    if newest is not None and newest.looks:
        words += [line(text, "soft") for text in _last_seen(candle, newest.looks[-1], units)]
    elif newest is not None:
        words.append(line(tr("not measured yet"), "soft"))
    picture = draw_section(candle, newest, cells, max(4, rows - len(words)), units)
    return [*picture, *[fit(row, cells) for row in words]][:rows]


def _last_seen(candle: Candle, look: BurnLook, units: Units) -> list[str]:
    """The last look in two or three short lines; what is as it should be is not told."""
    seen, wall = look.seen, wall_left(candle, look)
    flame = "" if seen.flame is None else tr("flame {length}", length=show_length(seen.flame, units))
    about = "" if seen.wall is not None else tr("about ")
    left = (
        ""
        if wall is None
        else tr("wall {about}{length}", about=about, length=show_length(round(wall, 3), units))
    )
    ways = [show_length(way, units) for way in (seen.across, seen.across_other) if way is not None]
    shown = " × ".join([*(way.removesuffix(" mm") for way in ways[:-1]), *ways[-1:]])
    pool = tr("pool {shown}", shown=shown) if ways else ""
    deep = "" if seen.depth is None else tr("{length} deep", length=show_length(seen.depth, units))
    odd = [
        says
        for holds, says in (
            (seen.mushroom, "mushroom"),
            (seen.soot in ("wisps", "steady"), tr("soot {soot}", soot=word(seen.soot))),
            (seen.leaning, "leaning"),
        )
        if holds
    ]
    lines = (", ".join(part for part in parts if part) for parts in ((flame, left), (pool, deep), odd))
    return [text for text in lines if text]


def _row(burn: BurnController, candle: Candle, now: float, cells: int) -> Line:
    """One candle in a line: mark, label, weight, how it stands."""
    here = candle is burn.chosen
    sign = "›" if here else " "
    mark = "*" if candle.letter in burn.marked else " "
    job = "glow bold" if here else "ink"
    weighed = last_weight(candle)
    weight = "" if weighed is None else show_mass(weighed[0], burn.plan.units, burn.plan.scale_step)
    stands = _stands(candle, now)
    wide = cells >= 60
    text = f"{sign}{mark} {padded(candle.label, 10)} " + (f"{weight:>8}  " if wide else "")
    more = f"  {candle.wick}" if cells >= 100 else ""
    return fit(((text, job), (stands, "late" if candle.life.burning else "soft"), (more, "soft")), cells)


def _stands(candle: Candle, now: float) -> str:
    """How one candle stands now, in a few words."""
    life = candle.life
    if life.burning is not None:
        return tr("burns {span}, cycle {count}", span=span(now - life.burning.lit_at), count=len(life.burns))
    if life.burns:
        judged = f", {word(life.judged.came)}" if life.judged else ""
        return ntr(
            "{count} cycle{cold}{judged}",
            "{count} cycles{cold}{judged}",
            len(life.burns),
            count=len(life.burns),
            cold=_cold(life.burns[-1], now),
            judged=judged,
        )
    parts = [tr("{days} old", days=days(candle.age_days(now)))]
    if candle.age_days(now) < candle.cure.test_from:
        parts.append(tr("test from day {test_from}", test_from=candle.cure.test_from))
    parts += [word(each) for each in life.finish[-1:]] + (
        [tr("for {goes}", goes=word(life.goes))] if life.goes else []
    )
    parts += [word(defect.defect) for defect in life.defects[-1:]]
    return ", ".join(parts)


def _cold(burn: Burn, now: float) -> str:
    if burn.cold_kg is not None or burn.ended_at is None:
        return ""
    ready = burn.ended_at + 3600.0
    return tr(", weigh it") if ready <= now else tr(", weigh at {clock}", clock=clock(ready, now))


def _reading(burn: BurnController, cells: int, room: int) -> list[Line]:
    """The chosen candle in full."""
    if burn.chosen is None:
        return []
    drawn: list[Line] = []
    for text in candle_lines(burn.chosen, burn.plan):
        drawn += wrap(text, cells, "ink") if len(text) > cells else [line(text)]
    # What it comes to stands at the end, and is what the page is opened for.
    return drawn[-room:] if room else []


# -- the foot -----------------------------------------------------------------------------------------


def _foot(burn: BurnController, cells: int, rows: int, remark: str) -> list[Line]:
    """What there is to say, then the keys that work now."""
    said = burn.message or remark
    drawn = wrap(said, cells, "late", most=2 if rows >= DRAWN else 1)
    return [*drawn, *key_lines(_keys(burn), cells, most=2)]


def _keys(burn: BurnController) -> tuple[tuple[str, str], ...]:
    question = burn.question
    if burn.took_back is not None and not burn.typing():
        return reason_keys()
    if question is not None:
        if question.kind == "choice":
            answers = tuple((key, word(label)) for key, label in question.choices)
            if question.id == "out":
                # How it went out says that it is out: without an answer it goes on burning.
                return (*answers, ("Esc", tr("it still burns")))
            if question.id == "leave":
                return (*answers, ("x", tr("put out")), ("e", tr("FIRE")))
            return (*answers, ("Enter", tr("leave out")), ("Esc", tr("back")))
        if question.kind == "confirm":
            return (("Space", tr("they burn")), ("e", tr("FIRE")), ("Esc", tr("back")))
        if burn.own is not None or question.kind == "words":
            return (("Enter", tr("file")), ("Esc", tr("back")))
        return (
            ("Enter", tr("files; empty: leaves out")),
            ("x", tr("put out")),
            ("e", tr("FIRE")),
            ("z", tr("take back")),
            ("Esc", tr("leave out")),
        )
    if burn.lit:
        first: tuple[tuple[str, str], ...] = (
            ("x", tr("put out")),
            ("e", tr("FIRE")),
            ("s", tr("second flame")),
            ("b", tr("light more")),
        )
    else:
        first = (("b", tr("burn")), ("Space", tr("mark")), ("w", tr("weigh")))
    rest = (
        ("r", tr("reading")),
        ("j", tr("judge")),
        ("f", tr("finish")),
        ("g", tr("where to")),
        ("d", tr("flaw")),
        ("p", tr("photo")),
    )
    return (
        *first,
        ("z", tr("take back")),
        ("/", tr("help")),
        *rest,
        ("l", tr("label")),
        ("n", tr("note")),
        ("q", tr("leave")),
    )
