"""What a key at the first screen comes to: something the screen is to do, or a question to be answered first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from pourday.plan.model import Plan
    from pourday.session.state import State

LONGEST = 20
"""Characters of an answer that is typed."""
HomeAct = Literal[
    "leave",
    "open",
    "begin",
    "demo",
    "rehearse",
    "settings",
    "candles",
    "keep",
    "compare",
    "stock",
    "moulds",
    "kitchen",
    "heap",
]
LEADS_TO: dict[str, HomeAct] = {
    "d": "demo",
    ",": "settings",
    "comma": "settings",
    "k": "settings",
    "w": "stock",
    "v": "moulds",
    "l": "kitchen",
    "h": "heap",
    "q": "leave",
    "escape": "leave",
}
"""Keys that only lead elsewhere, whatever the cursor is on."""


@dataclass(frozen=True, slots=True)
class HomeCommand:
    """What the screen is to do: what a controller that knows no Textual and no files cannot."""

    act: HomeAct
    session: str = ""
    plan: Plan | None = None
    """What to begin with, or to rehearse; None for an empty plan."""
    state: State | None = None
    """The day that has begun, where its rest is to be rehearsed."""
    sessions: tuple[str, ...] = ()
    """Those to be laid side by side."""
    keep: tuple[tuple[str, str], ...] = ()
    """Settings to be saved, by name, as typed;"""
    begins: bool = False
    """and whether a plan is begun with them."""


@dataclass(frozen=True, slots=True)
class HomeQuestion:
    """A question with the keys that answer it, or with a text that is typed."""

    says: str
    choices: tuple[tuple[str, str], ...]
    answer: Callable[[str], HomeCommand | HomeQuestion | None]
    """Takes the key or the text; what is to be done, or asked next. Raises `Trouble` for a text that cannot be taken."""
    neither: str = "neither"
    """What Escape does."""
    typed: str | None = None
    """What is typed so far; None where a key answers."""
    longest: int = LONGEST
    """Characters that can be typed."""
    refused: bool = False
    """What is typed was not taken: the next letter begins anew, Backspace mends it."""
