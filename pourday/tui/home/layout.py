"""How the first screen is laid out, from 40x12 up: pure, from what its controller knows to lines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.cells import set_cell_size

from pourday.columns import padded
from pourday.language import dated, ntr, tr
from pourday.times import clock, local
from pourday.tui.drawing.lines import EMPTY, Line, clickable, fit, key_lines, line, width, wrap
from pourday.tui.home.beside import draw_beside
from pourday.tui.home.command import HomeQuestion
from pourday.tui.home.controller import HomeController, is_open
from pourday.tui.home.new_plan import MEASURES
from pourday.tui.home.pages import BesidePage, FamilyPage

if TYPE_CHECKING:
    from pourday.store.library import Summary

WIDE = 72
"""Cells from which a row has room for what comes next."""
STAGES = {
    "setup": tr("plan"),
    "melt": tr("melt"),
    "pour": tr("pour"),
    "cure": tr("cure"),
    "finished": tr("done"),
    "candles": tr("burn"),
    "heap": tr("wax"),
}
LATE = 600.0
"""Seconds after which what is due is late. Estimate."""
WAYS = (
    ("d", tr('watch a demo'), tr('A whole simulated day plays by itself, faster than the clock. Nothing can burn.')),
    ("r", tr("rehearse"), tr('The day worked out ahead: where two things fall due at once shows before wax is hot.')),
    ("n", tr('plan a day'), tr('Moulds, layers, wax. Every weight and temperature is worked out while you type.')),
)  # fmt: skip
FIRST_DAY = (
    (tr('A pot in a pot'), tr('While there is water under it, wax cannot pass 100 °C, less high up. A pot run dry holds nothing back.')),
    (tr('A thermometer'), tr('Wax does not boil to warn you: it goes from clear to smoke to fire. Stir, then read.')),
    (tr('A scale'), tr('Wax is weighed, never measured out: hot, it takes up more room than it will when it has set.')),
    (tr('A lid that fits'), tr('It puts a wax fire out; water throws it about the room.')),
    (tr('Hours of your own'), tr('An hour or two between two layers (common practice), and a lit burner is never left alone.')),
    (tr('Level bench, trays'), tr('Every slope shows in a layer for good; a weeping wick hole runs where it likes.')),
)  # fmt: skip


def draw_home(home: HomeController, now: float, cells: int, rows: int) -> list[Line]:
    """The first screen, exactly what fits into `cells` by `rows`."""
    foot = _foot(home, now, cells, rows)
    room = max(0, rows - len(foot))
    if home.page == "beside" and home.beside is not None:
        page = draw_beside(home.beside, cells, room)
        return [*page, *foot][:rows]
    body, chosen = _body(home, now, cells, room)
    window = _window(body, chosen, room, 1 if rows < 16 else 2)
    # Of ten thousand rows only those in sight are drawn.
    drawn = [_session_row(home, each, now, cells) if isinstance(each, int) else each for each in window]
    return [*drawn, *foot][:rows]


def _session_row(home: HomeController, index: int, now: float, cells: int) -> Line:
    """The row of one session, which can be stood on."""
    return clickable(_row(home, home.shown[index], now, cells, index == home.at), f"#{index}")


def _window(body: list[Line | int], chosen: int, room: int, head: int) -> list[Line | int]:
    """Exactly `room` lines of the body, line number `chosen` among them; the first `head` lines always stay."""
    if len(body) <= room:
        return [*body, *[EMPTY] * (room - len(body))]
    fixed, rest = body[:head], body[head:]
    high = max(1, room - head)
    start = max(0, min(chosen - head - high // 2, len(rest) - high))
    return [*fixed, *rest[start : start + high]][:room]


def _body(home: HomeController, now: float, cells: int, room: int) -> tuple[list[Line | int], int]:
    """All lines above the foot, a session as its place among those shown, and the number of the one that must be in sight."""
    title = tr("Kept plans") if home.page == "plans" else tr("Candles on the stove and in the cure")
    drawn: Sequence[Line | int]
    if home.page == "family":
        title = tr("Days made after each other")
    head = [_title(title, now, cells), *([EMPTY] if room > 12 else [])]
    if home.page == "family" and home.family is not None:
        drawn, at = _family(home.family, cells)
    elif home.page == "plans":
        drawn, at = _plans(home, now, cells)
    elif home.known and not home.sessions:
        drawn, at = _empty(cells), 0
    else:
        drawn, at = _sessions(home, now, cells)
    return [*head, *drawn], len(head) + at


def _title(text: str, now: float, cells: int) -> Line:
    day = f"{dated(local(now), '%A %d %B, %H:%M')}"
    if len(text) + len(day) + 3 > cells:
        return fit(line(text, "glow bold"), cells)
    return ((text, "glow bold"), (" " * (cells - len(text) - len(day)), "ink"), (day, "soft"))


# -- the list ---------------------------------------------------------------------------------------


def _sessions(home: HomeController, now: float, cells: int) -> tuple[list[Line | int], int]:
    """A line a session under headings, and the number of the line that the cursor is on."""
    finder = home.finder
    drawn: list[Line | int] = [] if finder.typing or finder.looks else [*_due(home, now, cells)]
    if finder.typing or finder.looks:
        drawn += [
            (
                (tr("  find  "), "glow"),
                (finder.text, "glow bold"),
                ("▏" if finder.typing else "", "glow bold"),
            )
        ]
        drawn += wrap(finder.says(len(home.shown)), cells, "soft", most=3)
    at, group = 0, "open"
    for index, session in enumerate(home.shown):
        kind = "broken" if session.trouble else "open" if is_open(session) else "done"
        if kind != group:
            heads = {"done": tr("Done"), "broken": tr("Cannot be opened")}
            drawn += [*([EMPTY] if drawn else []), line(f"  {heads.get(kind, '')}", "soft")]
            group = kind
        if index == home.at:
            at = len(drawn)
        drawn.append(index)
    return drawn, at


MOST_DUE = 4
"""Candles on top of the list that something is due with; the rest is in `pourday due`."""


def _due(home: HomeController, now: float, cells: int) -> list[Line]:
    """What is due with candles today, over all sessions: a line each, lit ones first."""
    drawn: list[Line] = []
    for number, row in enumerate(home.due[:MOST_DUE]):
        when = (
            f"{local(row.at):%H:%M}"
            if now - row.at < 43_200
            else tr("since {when}", when=dated(local(row.at), "%d %b"))
        )
        right = f" {when}" if cells >= WIDE else ""
        # The key leads to the first of them, as long as nobody chose a session.
        key = "b" if number == 0 and not home.moved else ""
        says = (f"  {key:<6}", "glow"), (row.says, "late" if row.what == "burning" else "ink")
        whole = (*fit(says, cells - len(right)), (right, "soft")) if right else fit(says, cells)
        drawn.append(clickable(whole, key))
    more = len(home.due) - MOST_DUE
    if more > 0:
        drawn.append(line(tr("        and {more} more: “pourday due” shows them", more=more), "soft"))
    return [*drawn, EMPTY] if drawn else []


def _row(home: HomeController, session: Summary, now: float, cells: int, chosen: bool) -> Line:
    job = "glow bold" if chosen else "ink"
    mark = "*" if session.session in home.marked else " "
    left: Line = (("›" if chosen else " ", job), (mark, "glow bold"))
    if is_open(session):
        left = (*left, (set_cell_size(STAGES[session.stage], 6), "glow"))
    right = _right(home, session, now, cells)
    title: Line = ((session.title or session.session, job),)
    card = home.finder.cards.get(session.session)
    tells = ""
    if card is not None:
        # Whoever has a card has it loaded; the first paint needs none.
        from pourday.shelf.card import about_card

        tells = about_card(card)
    title = (*title, (f"  {tells}" if tells and cells >= WIDE else "", "soft"))
    if session.demo:
        title = (*title, (tr("  demo"), "soft"))
    middle = cells - width(left) - width(right) - (2 if right else 0)
    return (*left, *fit(title, middle), *((("  ", "ink"),) if right else ()), *right)


def _right(home: HomeController, session: Summary, now: float, cells: int) -> Line:
    """At the right end of a row: what the session asks for next, or when something last happened in it."""
    if session.trouble or session.last is None:
        return EMPTY
    upcoming = home.next.get(session.session)
    if upcoming is not None and upcoming.says and cells >= WIDE:
        return line(upcoming.says, "late" if upcoming.due < now - LATE else "ink")
    return line(
        dated(local(session.last), "%d %b %Y") if cells >= WIDE else dated(local(session.last), "%d %b"),
        "soft",
    )


def _about(home: HomeController, now: float, cells: int) -> list[Line]:
    """The chosen session in a sentence or two; while records are read, how far that has come."""
    session = home.chosen
    done, of = home.finder.read
    if home.unread and of:
        return wrap(tr("Looking into the records: {done} of {of}.", done=done, of=of), cells, "soft", most=1)
    if session is None:
        return []
    if session.trouble:
        return wrap(session.trouble, cells, "late", most=4)
    parts = []
    upcoming = home.next.get(session.session)
    if upcoming is not None and upcoming.says and cells < WIDE:
        parts.append(upcoming.says)
    parts += [tr("timer “{name}” {clock}", name=name, clock=clock(due, now)) for name, due in session.due[:2]]
    if session.verdict:
        parts.append(f"“{session.verdict}”")
    if session.started:
        parts.append(tr("begun {when}", when=dated(local(session.started), "%a %d %b %Y, %H:%M")))
    if session.moulds:
        parts.append(tr("1 mould") if session.moulds == 1 else tr("{moulds} moulds", moulds=session.moulds))
    parts.append(session.session)
    return wrap(" · ".join([*parts, *session.remarks]), cells, "soft", most=2)


def _about_plan(home: HomeController, cells: int) -> list[Line]:
    """The chosen kept plan in a sentence."""
    if home.plans.chosen is None:
        return []
    plan = home.plans.chosen.plan
    moulds = sum(mould.count for mould in plan.moulds)
    colours = ", ".join(layer.colour or tr("layer {n}", n=n) for n, layer in enumerate(plan.layers, 1))
    title = f"{plan.title}: " if plan.title else ""
    return wrap(
        ntr(
            "{title}{moulds} mould; {colours}",
            "{title}{moulds} moulds; {colours}",
            moulds,
            title=title,
            moulds=moulds,
            colours=colours,
        ),
        cells,
        "soft",
        most=2,
    )


# -- nothing there yet -------------------------------------------------------------------------------


def _empty(cells: int) -> list[Line]:
    drawn = [line(tr("Nothing here yet. Three ways to begin:"), "ink"), EMPTY]
    for key, name, why in WAYS:
        drawn += _told(key, name, why if cells >= WIDE else "", cells, 14)
    drawn += [EMPTY, line(tr("What a first day needs, and why"), "glow bold")]
    for name, why in FIRST_DAY:
        drawn += _told("", name, why, cells, 20)
    return drawn


def _told(key: str, name: str, why: str, cells: int, room: int) -> list[Line]:
    """A key, its name in `room` cells, and the reason hanging beside both; on small screens under them."""
    head: Line = (
        (f"{key:>{5 if cells >= WIDE else 3}}  " if key else "  ", "glow bold"),
        (padded(name, room), "ink bold"),
    )
    if cells < WIDE:
        narrow: list[Line] = [
            fit(head, cells),
            *((("   ", "ink"), *row) for row in wrap(why, cells - 3, "soft")),
        ]
        return [clickable(row, key) for row in narrow]
    rows = wrap(why, cells - width(head) - 1, "soft") or [EMPTY]
    blank = " " * width(head)
    told = [(*(head if index == 0 else ((blank, "ink"),)), *row) for index, row in enumerate(rows)]
    return [clickable(row, key) for row in told]


# -- days made after each other -----------------------------------------------------------------------


def _family(page: FamilyPage, cells: int) -> tuple[list[Line], int]:
    """A line a day, as a tree, and the number of the line that the cursor is on."""
    drawn: list[Line] = []
    for index, (branch, session, told) in enumerate(page.rows):
        job = "glow bold" if index == page.at else "ink"
        row: Line = (
            ("› " if index == page.at else "  ", job),
            (branch, "rule"),
            (session, job),
            (f"  {told}", "soft"),
        )
        drawn.append(clickable(fit(row, cells), f"#{index}"))
    return drawn, page.at


# -- kept plans -------------------------------------------------------------------------------------


def _plans(home: HomeController, now: float, cells: int) -> tuple[list[Line], int]:
    """A line a kept plan, and the number of the line that the cursor is on."""
    if not home.plans.plans:
        says = tr("No plan was kept yet. The row “keep this plan as” in the form of a plan puts it here.")
        return wrap(says, cells, "ink"), 0
    drawn: list[Line] = []
    for index, kept_plan in enumerate(home.plans.plans):
        chosen = index == home.plans.at
        job = "glow bold" if chosen else "ink"
        when = clock(kept_plan.kept_at, now) if abs(kept_plan.kept_at) < 1e11 else ""
        right = (
            tr("  version {version}  kept {when}", version=kept_plan.version, when=when)
            if kept_plan.version > 1 or cells >= WIDE
            else tr("  kept {when}", when=when)
        )
        room = cells - 2 - len(right)
        row = (("› " if chosen else "  ", job), *fit(line(kept_plan.name, job), room), (right, "soft"))
        drawn.append(clickable(row, f"#{index}"))
    return drawn, home.plans.at


# -- the foot ---------------------------------------------------------------------------------------


def _foot(home: HomeController, now: float, cells: int, rows: int) -> list[Line]:
    """What there is to say (a message, a question, or about the row under the cursor), then the keys."""
    message = wrap(home.message, cells, "late", most=5 if rows >= 16 else 3)
    if home.question is not None:
        return [*message, *_question(home.question, cells)]
    if home.page == "family" and home.family is not None:
        about = message or wrap(home.family.about, cells, "soft", most=3)
        return [*about, *key_lines(FAMILY_KEYS, cells)]
    if home.page == "beside" and home.beside is not None:
        return [*message, *key_lines(_beside_keys(home.beside), cells)]
    if home.page == "plans":
        keys = PLAN_KEYS if home.plans.plans else (BACK,)
        return [*(message or _about_plan(home, cells)), *key_lines(keys, cells)]
    if home.known and not home.sessions:
        asks = [*wrap(tr("First, once: how do you weigh and measure?"), cells, "glow bold")]
        asks += key_lines(MEASURES, cells)
        return [*message, *(asks if home.asks_first else []), *key_lines((*EMPTY_KEYS, *ELSEWHERE), cells)]
    if home.finder.typing:
        return [*message, *key_lines(FINDER_KEYS, cells)]
    about = [] if message else _about(home, now, cells)
    return [*about, *message, *key_lines(_list_keys(home), cells, most=2 if rows >= 16 else 1)]


def _question(question: HomeQuestion, cells: int) -> list[Line]:
    """A question with the keys that answer it, or with what is typed so far."""
    says = wrap(question.says, cells, "glow bold")
    if question.typed is None:
        return [*says, *key_lines((*question.choices, ("Esc", question.neither)), cells, most=4)]
    typed: Line = ((question.typed + "▏", "glow bold"),)
    keys = (("Enter", tr("goes on")), ("Esc", question.neither), ("F1", tr("FIRE")))
    return [*says, typed, *key_lines(keys, cells)]


def _beside_keys(page: BesidePage) -> tuple[tuple[str, str], ...]:
    """The keys while days stand side by side."""
    return (
        ("Up Down", tr("move")),
        ("Left Right", tr("another mould")),
        ("a", tr("differences only") if page.everything else tr("all")),
        ("d", tr("rows again") if page.candles else tr("the candles")),
        FIRE,
        BACK,
    )


def _list_keys(home: HomeController) -> tuple[tuple[str, str], ...]:
    """The keys at the list of sessions, the most needed first."""
    days = (("m", tr("mark")), ("s", tr("side by side"))) if home.marked else (("m", tr("mark")),)
    card = home.finder.cards.get(home.chosen.session) if home.chosen else None
    if card is not None and card.parent:
        days = (*days, ("t", tr("its family")))
    return (*LIST_KEYS, ("b", tr("candles")), ("c", tr("again")), *days, ("d", tr("demo")), *ELSEWHERE)


FIRE, BACK = ("e", tr("FIRE")), ("Esc", tr("back"))
FAMILY_KEYS = (("Enter", tr("open")), ("Up Down", tr("choose")), FIRE, BACK)
PLAN_KEYS = (
    ("Enter", tr("begin")),
    BACK,
    ("Delete", tr("forget it")),
    ("r", tr("rehearse")),
    ("Left Right", tr("versions")),
)
FINDER_KEYS = (
    ("Enter", tr("keep these")),
    ("Up Down", tr("choose")),
    ("Esc", tr("all again")),
    ("F1", tr("FIRE")),
)
EMPTY_KEYS = (("d", tr("demo")), ("n", tr("new")), FIRE, ("/", tr("help")), ("q", tr("leave")))
LIST_KEYS = (
    ("Enter", tr("open")),
    ("n", tr("new")),
    ("f", tr("find")),
    FIRE,
    ("/", tr("help")),
    ("q", tr("leave")),
)
ELSEWHERE = (
    ("h", tr("unknown wax")),
    ("p", tr("kept plans")),
    ("r", tr("rehearse")),
    ("w", tr("stock")),
    ("v", tr("moulds")),
    ("l", tr("learned")),
    (",", tr("settings")),
)
"""Keys that lead to other pages, the same whether there are sessions or none."""
