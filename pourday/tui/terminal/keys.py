"""Every key at the stove, as data: what it is called, what it does, where help lists it; and keys of the person's own.

No key needs shift or a chord. The weighty ones (heat, away, acknowledge) lie on the middle row of the
keyboard, where no common key touches them; a test keeps that, and `beside` warns where a person puts them elsewhere.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field

from pourday.errors import Trouble
from pourday.language import tr
from pourday.text import plain


@dataclass(frozen=True, slots=True)
class Binding:
    """One key at the stove: by which id it is known, which key it usually is, what it does, and what help says of it."""

    id: str
    key: str
    """As Textual names it."""
    shows: str
    """As a person reads it on the keyboard."""
    short: str
    """One or two words, for the bottom line and small screens."""
    says: str
    weighty: bool = False
    """Whether one press tells something of a lit burner or of who stands by it: such a key is hit by nobody by accident."""
    common: bool = False


BINDINGS: tuple[Binding, ...] = (
    Binding("done", "space", "Space", tr("done"), tr("done: I did what the sentence says"), common=True),
    Binding("file", "enter", "Enter", tr("file"), tr("file the typed reading"), common=True),
    Binding("rub", "backspace", "Backspace", tr("rub out"), tr("take the last digit away"), common=True),
    Binding("place", "tab", "Tab", tr("place"), tr("where the reading was taken"), common=True),
    Binding("back", "escape", "Esc", tr("back"), tr("one step back")),
    Binding("heat", "h", "h", tr("heat"), tr("the burner: on at full, or off"), weighty=True),
    Binding("low", "d", "d", tr("low"), tr("the flame down to low, from full or off"), weighty=True),
    Binding("ack", "g", "g", tr("got it"), tr("got it: acknowledge the alarm"), weighty=True),
    Binding("away", "s", "s", tr("away"), tr("step away from the stove"), weighty=True),
    Binding("other", "o", "o", tr("other"), tr("something else happened: a pour, a look")),
    Binding("look", "l", "l", tr("look"), tr("say what a mould looks like")),
    Binding("undo", "z", "z", tr("undo"), tr("take back the last thing said")),
    Binding("redo", "u", "u", tr("bring back"), tr("bring back what was taken back last")),
    Binding("note", "n", "n", tr("note"), tr("write a note")),
    Binding("timer", "t", "t", tr("timer"), tr("a timer of your own")),
    Binding("view", "v", "v", tr("view"), tr("moulds as poured, or as candles stand")),
    Binding("ahead", "a", "a", tr("ahead"), tr("the rest of the day, worked out ahead")),
    Binding("sheet", "w", "w", tr("weigh"), tr("what is still to weigh; the plan so far")),
    Binding("rescue", "r", "r", tr("rescue"), tr("something went wrong: what to do first")),
    Binding("faults", "i", "i", tr("faults"), tr("what a candle came out like, and why")),
    Binding("up", "up", "Up", tr("before"), tr("agenda: the entry before")),
    Binding("down", "down", "Down", tr("after"), tr("agenda: the entry after, and why it is there")),
    Binding("fire", "e", "e", tr("FIRE"), tr("emergency: the fire card")),
    Binding("settings", "k", "k", tr("settings"), tr("settings: units, sounds, look, keys")),
    Binding("probes", "m", "m", tr("probes"), tr("the probes on a wire: what comes in, where each one is")),
    Binding("help", "slash", "/", tr("keys"), tr("the keys that work now, and why")),
    Binding("leave", "q", "q", tr("leave"), tr("leave; the session stays open")),
)

FIRE_ALWAYS, HELP_ALWAYS, PRINT_ALWAYS = "f1", "f2", "f4"
"""Keys that type nothing, so that they work on every screen whatever is being written: the fire card, help, and the papers
of the screen written as files to be printed."""

BY_ID = {binding.id: binding for binding in BINDINGS}
BY_KEY = {binding.key: binding for binding in BINDINGS}
HINTS = ("done", "fire", "heat", "help", "other", "rescue", "undo", "leave")
"""What the bottom line shows, the most needed first: a narrow screen cuts the rest."""

OVER_QUESTIONS = ("heat", "low", "ack", "away", "undo")
"""What its key does while something is asked, too: no answer has one of these keys (`NO_ANSWER` in `guide/acts/act.py`)."""
FIXED = ("file", "rub", "back", "up", "down")
"""Keys that stay: what they do belongs to the entry of numbers, or they are the only ones of their kind."""
UNBOUND = "unbound"
"""What a key is called that once had a meaning here and was given up."""

# A standard keyboard, and how far its rows are shifted to the right, in keys. Space lies under these letters of the bottom row.
ROWS = ("1234567890-=", "qwertyuiop[]", "asdfghjkl;'", "zxcvbnm,./")
_OFFSET = (0.0, 0.5, 0.75, 1.25)
_BESIDE = {"space": "xcvbnm,", "enter": "'];", "backspace": "=]", "tab": "q1"}
_COMMON = frozenset("1234567890.,-") | {"space", "enter", "backspace", "tab"}
_TYPED = frozenset("0123456789.,-cf")
"""What belongs to numbers and their units."""
_DEMO = {
    "p": tr("pauses the demo"),
    "y": tr("is the demo's hands"),
    "[": tr("slows the demo"),
    "]": tr("speeds the demo up"),
}
_SHIFTED = frozenset('~!@#$%^&*()_+{}|:"<>?')
_CHARACTERS = {
    "slash": "/",
    "semicolon": ";",
    "apostrophe": "'",
    "left_square_bracket": "[",
    "right_square_bracket": "]",
    "equals_sign": "=",
    "backslash": "\\",
    "grave_accent": "`",
    "full_stop": ".",
    "comma": ",",
    "minus": "-",
}
_NAMES = {character: name for name, character in _CHARACTERS.items()}
_NAMES |= {" ": "space", "+": "plus", "@": "at", "_": "underscore"}
_SPOKEN = {b.key: b.shows for b in BINDINGS if len(b.key) > 1} | {
    "pageup": tr("Page Up"),
    "pagedown": tr("Page Down"),
}


def canonical(key: str) -> str:
    """A key by the name it has here, from that name or from the character on it."""
    text = key.strip() or key
    if len(text) != 1:
        return text.lower()
    if text in _NAMES:
        return _NAMES[text]
    if text.isalnum():
        return text.lower()
    return unicodedata.name(text, text).lower().replace("-", "_").replace(" ", "_")


def spoken(key: str) -> str:
    """A key as a person reads it on the keyboard."""
    if key in _CHARACTERS:
        return _CHARACTERS[key]
    return key if len(key) == 1 else _SPOKEN.get(key, key.replace("_", " ").title())


_NAMED = {shows: key for key, shows in _SPOKEN.items()} | {
    "PgUp": "pageup",
    "PgDn": "pagedown",
    "Left": "left",
    "Right": "right",
    "Home": "home",
    "End": "end",
    "Delete": "delete",
    **{f"F{number}": f"f{number}" for number in range(1, 13)},
}


def keys_of(shows: str) -> tuple[str, ...]:
    """The keys, by Textual's names, that a hint shows (`Space`, `Up Down`, `[ ]`); none for words that are no keys."""
    words = shows.split()
    named = [_NAMED.get(word) or (canonical(word) if len(word) == 1 else "") for word in words]
    return tuple(named) if named and all(named) else ()


def character_of(key: str) -> str | None:
    """What a key types, by Textual's name for it."""
    if key == "space":
        return " "
    return _CHARACTERS.get(key) or (key if len(key) == 1 else None)


def neighbours(key: str) -> set[str]:
    """Keys that a finger meant for this one may touch, on a standard keyboard; by character, or name where they have none."""
    sign = _CHARACTERS.get(key, key)
    if sign in _BESIDE:
        return set(_BESIDE[sign])
    at = next(((y, row.index(sign) + _OFFSET[y]) for y, row in enumerate(ROWS) if sign in row), None)
    if at is None:
        return set()
    near = {name for name, beside in _BESIDE.items() if sign in beside}
    for y, row in enumerate(ROWS):
        if abs(y - at[0]) <= 1:
            near |= {c for x, c in enumerate(row) if c != sign and abs(x + _OFFSET[y] - at[1]) <= 1.0}
    return near


@dataclass(frozen=True, slots=True)
class KeyMap:
    """The keys of one person: `own` gives some bindings, by id, another key than usual."""

    own: Mapping[str, str] = field(default_factory=dict)

    def key(self, binding: Binding) -> str:
        """Textual's name of the key that does what this binding does."""
        return self.own.get(binding.id, binding.key)

    def shows(self, binding: Binding) -> str:
        """The same key as it is shown to a person."""
        return spoken(self.own[binding.id]) if binding.id in self.own else binding.shows

    def binding(self, key: str) -> Binding | None:
        """The binding of a pressed key (Textual's name), where nothing is typed or asked; None for no binding's key."""
        return next((b for b in BINDINGS if self.key(b) == key), None)

    def usual(self, key: str, character: str | None, *, only: tuple[str, ...] = ()) -> tuple[str, str | None]:
        """(key, character) that usually mean what this key means here, so that screens know the usual keys only.

        `only` bindings with these ids are looked at, all where none is named. A key that its binding gave up
        for another means nothing (`UNBOUND`).
        """
        meant = self.binding(key)
        if meant is None:
            return (UNBOUND if key in BY_KEY else key), character
        if meant.key == key or (only and meant.id not in only):
            return (UNBOUND if meant.key != key and key in BY_KEY else key), character
        usual = meant.key
        return usual, usual if len(usual) == 1 else _CHARACTERS.get(usual, " " if usual == "space" else None)


def keymap(own: Mapping[str, str]) -> tuple[KeyMap, list[tuple[str, str]]]:
    """The keys a person asked for, and (id, sentence) for each that cannot be had.

    A key that lies ill is taken all the same, with a sentence.
    """
    placed: dict[str, str] = {}
    remarks: list[tuple[str, str]] = []
    # Two that changed places are each other's only hindrance: each is tried beside what the others ask for.
    wanted = {name: canonical(key) for name, key in own.items() if name in BY_ID and name not in FIXED}
    for name, key in own.items():
        usual = tr(" Until then {shows} counts.", shows=BY_ID[name].shows) if name in BY_ID else ""
        try:
            chosen = usable(name, key, KeyMap({n: k for n, k in wanted.items() if n != name}))
        except Trouble as trouble:
            remarks.append((name, f"{trouble}{usual}"))
            wanted.pop(name, None)
            continue
        placed[name] = chosen
        if warning := ill_placed(name, chosen, KeyMap(wanted)):
            remarks.append((name, warning))
    # One that was refused is back on its usual key, which another may have taken meanwhile.
    while lost := next((n for n, k in placed.items() if _holders(KeyMap(placed), k) > 1), None):
        key = spoken(placed.pop(lost))
        remarks.append(
            (lost, tr("{key} is taken. Until then {shows} counts.", key=key, shows=BY_ID[lost].shows))
        )
    return KeyMap(placed), remarks


def _holders(keys: KeyMap, key: str) -> int:
    return sum(keys.key(binding) == key for binding in BINDINGS)


def usable(name: str, key: str, others: KeyMap) -> str:
    """The key by its name here, for this binding. Raises `Trouble` where it is taken or must stay what it is."""
    if name not in BY_ID:
        raise Trouble(tr("Nothing here is called “{name}”.", name=plain(name, 40)))
    binding, chosen = BY_ID[name], canonical(key)
    sign = _CHARACTERS.get(chosen, chosen)
    says = spoken(chosen)
    if not chosen or plain(chosen, 24) != chosen:
        raise Trouble(tr("That key has no name that could be kept."), instead=tr("Press another key."))
    if name in FIXED:
        raise Trouble(tr("{shows} ({short}) stays where it is.", shows=binding.shows, short=binding.short))
    if {FIRE_ALWAYS: "fire", HELP_ALWAYS: "help", PRINT_ALWAYS: "print"}.get(chosen, name) != name:
        what = {FIRE_ALWAYS: tr("the fire card"), HELP_ALWAYS: "help"}.get(chosen, "for printing")
        raise Trouble(
            tr("{says} is {what} on every screen.", says=says, what=what), instead=tr("Press another key.")
        )
    if (
        "+" in chosen
        or chosen in {canonical(c) for c in _SHIFTED}
        or (len(key.strip()) == 1 and key.strip().isupper())
    ):
        raise Trouble(
            tr("{says} needs two keys at once.", says=says),
            tr("A waxy hand has one."),
            tr("Press a single key."),
        )
    if sign in _TYPED:
        raise Trouble(
            tr("{says} belongs to numbers and their units.", says=says), instead=tr("Press another key.")
        )
    if chosen in {BY_ID[f].key for f in FIXED} or chosen in ("left", "right", "ctrl", UNBOUND, "delete"):
        raise Trouble(tr("{says} has to stay what it is.", says=says), instead=tr("Press another key."))
    if sign in _DEMO:
        raise Trouble(f"{says} {_DEMO[sign]}.", instead=tr("Press another key."))
    if name == "fire" and chosen != binding.key and len(sign) == 1:
        raise Trouble(
            tr("The fire card has to work while questions are answered with letters."),
            instead=tr("Press one that types nothing, like F5; F1 always shows it, too."),
        )
    other = next((b for b in BINDINGS if b.id != name and others.key(b) == chosen), None)
    if other is not None:
        raise Trouble(
            tr("{says} is taken: {short}.", says=says, short=other.short),
            instead=tr("Press another key, or move that one first."),
        )
    return chosen


def ill_placed(name: str, key: str, keys: KeyMap) -> str:
    """A warning where a weighty key comes to lie beside a common one, so that a slip may do what is weighty; or empty."""
    binding = BY_ID[name]
    near = {canonical(k) for k in neighbours(key)}
    common = {canonical(c) for c in _COMMON} | {keys.key(b) for b in BINDINGS if b.common and b.id != name}
    if binding.weighty and (touched := near & common):
        return tr(
            "{key} lies beside {touched}: a slip of the finger would be {short}.",
            key=spoken(key),
            touched=spoken(min(touched)),
            short=binding.short,
        )
    if binding.common:
        weighty = next((b for b in BINDINGS if b.weighty and keys.key(b) in near), None)
        if weighty is not None:
            return tr(
                "{key} lies beside {shows}: a slip of the finger would be {short}.",
                key=spoken(key),
                shows=keys.shows(weighty),
                short=weighty.short,
            )
    return ""
