"""What a key does among the settings: rows as in the setup form, every change checked, confirmed and saved at once.

It knows nothing of Textual, so every rule can be tried without a terminal.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from shutil import which
from types import MappingProxyType
from typing import Literal

import msgspec

from pourday.errors import Trouble
from pourday.language import tr
from pourday.store.settings import Loaded, save
from pourday.store.settings_fields import BY_NAME, FIELDS
from pourday.text import plain
from pourday.tui.form_typing import FormTyping
from pourday.tui.terminal.keys import BINDINGS, BY_ID, FIXED, KeyMap, ill_placed, keymap, spoken, usable

LONGEST = 300
"""Characters that can be typed into one setting."""
HEADS = {
    "units": tr("Measures"),
    "sound": tr("Signals"),
    "quiet_from": tr("Quiet hours, and a lit burner"),
    "who": tr("Who and with what, for the record"),
    "theme": tr("Look"),
}
RINGS: tuple[tuple[str, str, Literal["prompt", "alarm"]], ...] = (
    ("ring.prompt", tr("hear a prompt"), "prompt"),
    ("ring.alarm", tr("hear an alarm"), "alarm"),
)
NOTHING: Mapping[str, str] = MappingProxyType({})
NOTE = "note"
"""Rows that only say something about the file."""
PROBES = "probes"
"""The part of the file, and of the paths of rows, with the sources of probes."""
NOT_HERE = tr("Pasted text is not taken here; nothing was changed.")
CUT = tr("Only the first line was taken, up to {longest} characters.", longest=LONGEST)


@dataclass(frozen=True, slots=True)
class SettingRow:
    """One row of the settings: what it is called, what it says, and what a key does in it."""

    path: str
    """`theme`, `keys.heat`, or of a row that is no setting."""
    label: str
    value: str
    kind: Literal["text", "choice", "act"] = "text"
    choices: tuple[str, ...] = ()
    hint: str = ""
    head: str = ""
    """A heading that stands above this row."""


@dataclass(frozen=True, slots=True)
class Doubtful:
    """A key that lies ill, pressed once: pressed again it is taken."""

    name: str
    key: str


class SettingsController(FormTyping):
    """`apply` lets what was changed count at once, `ring` rings and says whether the bell is on.

    `usual` says, by the name of a setting, what counts on this terminal while nobody has set it, where that is not the same everywhere.
    """

    def __init__(
        self,
        loaded: Loaded,
        apply: Callable[[Loaded], None],
        ring: Callable[[Literal["prompt", "alarm"]], bool],
        usual: Mapping[str, str] = NOTHING,
    ) -> None:
        super().__init__(LONGEST)
        self.loaded = loaded
        self._apply = apply
        self._ring = ring
        self._usual = usual
        self.at = 0
        self.catching = False
        """The next key pressed is to be the new key of this row."""
        self.leaving = False
        self.message = said_of(loaded)
        self.calm = False
        """Whether the message only confirms or asks; else it warns."""
        self._doubtful: Doubtful | None = None

    @property
    def keys(self) -> KeyMap:
        """The keys as they are set now."""
        return keymap(self.loaded.settings.keys)[0]

    def rows(self) -> list[SettingRow]:
        """Settings, bells to hear, keys, and what of the file does not count."""
        rows = []
        for field in FIELDS:
            value = self.loaded.texts.get(field.name, self._usual.get(field.name, field.default))
            kind: Literal["text", "choice"] = "choice" if field.choices else "text"
            head = HEADS.get(field.name, "")
            rows.append(SettingRow(field.name, field.label, value, kind, field.choices, field.hint, head))
            if field.name == "alarm_command":
                rows += [
                    SettingRow(path, label, "", "act", hint=tr("Enter rings")) for path, label, _ in RINGS
                ]
        rows += self._probe_rows()
        keys = self.keys
        movable = [b for b in BINDINGS if b.id not in FIXED]
        for index, binding in enumerate(movable):
            head = tr("Keys") if index == 0 else ""
            shows = keys.shows(binding)
            rows.append(SettingRow(f"keys.{binding.id}", binding.short, shows, "act", (), binding.says, head))
        for index, complaint in enumerate(complaints(self.loaded)):
            head = tr("What of the file does not count") if index == 0 else ""
            rows.append(SettingRow(f"{NOTE}.{index}", complaint, "", "act", head=head))
        return rows

    def _probe_rows(self) -> list[SettingRow]:
        """The sources of probes, and a row for one more."""
        known = [
            SettingRow(f"{PROBES}.{name}", tr("probe {name}", name=name), text)
            for name, text in self.loaded.settings.probes.items()
        ]
        one_more = SettingRow(f"{PROBES}.", tr("one more probe"), "", hint=tr("like serial:/dev/ttyUSB0"))
        first, *others = [*known, one_more]
        return [replace(first, head=tr("Probes on a wire")), *others]

    @property
    def row(self) -> SettingRow:
        """The row the cursor is on."""
        rows = self.rows()
        self.at = min(self.at, len(rows) - 1)
        return rows[self.at]

    # -- keys ---------------------------------------------------------------------------------------

    def press(self, key: str, character: str | None, now: float) -> None:
        """One key of the settings screen; `now` in s, from any beginning."""
        row = self.row
        if self.catching:
            self._catch(row, key, character)
        elif key == "escape":
            self._back()
        elif key in ("up", "shift+tab", "down", "tab"):
            self._move(-1 if key in ("up", "shift+tab") else 1)
        elif key in ("pageup", "pagedown", "home", "end"):
            last = len(self.rows())
            self._move({"pageup": -8, "pagedown": 8, "home": -last, "end": last}[key])
        elif key == "delete":
            self._restore(row)
        elif row.kind == "act":
            if key in ("enter", "space"):
                self._act(row)
        elif row.kind == "choice" and (key in ("left", "right", "space") or (character or "").isalpha()):
            self._choose(row, key, character, now)
        elif key == "enter":
            self._move(1)
        elif row.kind == "text":
            self.type_into(row.value, key, character)

    def point(self, index: int) -> bool:
        """Stand on a row, what is typed saved; True where one stood there already and it does something."""
        if self.catching:
            return False
        if index == self.at:
            return self.text is None and self.row.kind != "text"
        self._move(index - self.at)
        return False

    def paste(self, text: str) -> None:
        """The first line of text from the clipboard, as if it had been typed."""
        if self.row.kind != "text" or self.catching:
            self._say(NOT_HERE)
            return
        first, *more = [part for part in text.splitlines() if part.strip()] or [""]
        cut = self.add_pasted(first)
        self._say(CUT if more or cut else "")

    def _back(self) -> None:
        if self.text is not None:
            self.put_away()
            self._say("")
        else:
            self.leaving = True

    def _move(self, step: int) -> None:
        typed = self.text is not None
        if self.commit():
            self.at = max(0, min(len(self.rows()) - 1, self.at + step))
            self._say(self.message if typed else "", calm=self.calm)

    def _choose(self, row: SettingRow, key: str, character: str | None, now: float) -> None:
        chosen = self.chosen(row.path, row.choices, row.value, key, character, now)
        if chosen is not None:
            self._save(row.path, chosen)

    def goes_on(self, letter: str, now: float) -> bool:
        """Whether a letter belongs to the choice that is being typed, and is no key of its own."""
        row = self.row
        return row.kind == "choice" and self.spells(row.path, row.choices, letter, now)

    def _act(self, row: SettingRow) -> None:
        if row.path.startswith("keys."):
            self.catching, self._doubtful = True, None
            self._say(
                tr("Press the new key for “{label}”. Esc leaves it as it is.", label=row.label), calm=True
            )
            return
        kind = next((kind for path, _, kind in RINGS if path == row.path), None)
        if kind is not None:
            rung = self._ring(kind)
            self._say(tr("It rings now. Can you hear it from where you will stand?"))
            if not rung:
                self._say(tr("The bell is off: see the row above."))

    def _say(self, text: str, *, calm: bool = False) -> None:
        self.message, self.calm = text, calm

    # -- changing -----------------------------------------------------------------------------------

    def commit(self) -> bool:
        """Save what is typed; False, with a sentence, where it cannot be taken."""
        if self.text is None or self._save(self.row.path, self.text):
            return True
        self._refused = True
        return False

    def _save(self, name: str, text: str) -> bool:
        """Save a text as a setting; False, with a sentence, where it is no such thing."""
        if name.startswith(f"{PROBES}."):
            return self._save_probe(name.partition(".")[2], text.strip())
        field = BY_NAME[name]
        try:
            value = field.read(text, self.loaded.settings.units)
        except Trouble as trouble:
            self._say(str(trouble))
            return False
        self._keep(name, text, {field.attribute: value})
        if name == "alarm_command" and value and which(value[0]) is None:
            self.message += tr(". But there is no program “{value}” here.", value=plain(value[0], 40))
        return True

    def _save_probe(self, name: str, text: str) -> bool:
        """Save where a probe is read from; one without a name is given one."""
        from pourday.probes.source import read_source

        if not text:
            self.text = None
            return True
        try:
            read_source(text)
        except Trouble as trouble:
            self._say(str(trouble))
            return False
        known = self.loaded.settings.probes
        if not name:
            names = ("pot", *(str(n) for n in range(2, len(known) + 3)))
            name = next(free for free in names if free not in known)
        if self._keep(f"{PROBES}.{name}", text, {"probes": {**known, name: text}}):
            self._say(
                tr("Saved. Probe {name} is read from the next time a session is opened.", name=name),
                calm=True,
            )
        return True

    def _restore(self, row: SettingRow) -> None:
        """Back to the usual."""
        self.put_away()
        if row.path in BY_NAME:
            field = BY_NAME[row.path]
            usual = field.read(field.default, "metric")
            self._keep(row.path, None, {field.attribute: usual})
        elif row.path.startswith(f"{PROBES}."):
            name = row.path.partition(".")[2]
            if name in self.loaded.settings.probes:
                left = {n: text for n, text in self.loaded.settings.probes.items() if n != name}
                self._keep(row.path, None, {"probes": left})
                self._say(tr("Probe {name} is taken out.", name=name), calm=True)
        elif row.path.startswith("keys."):
            name = row.path.partition(".")[2]
            own_keys = {n: k for n, k in self.loaded.settings.keys.items() if n != name}
            try:
                usable(name, BY_ID[name].key, KeyMap({n: k for n, k in self.keys.own.items() if n != name}))
            except Trouble as trouble:
                self._say(str(trouble))
                return
            self._keep(row.path, None, {"keys": own_keys})

    def _keep(self, name: str, text: str | None, values: dict[str, object]) -> bool:
        """Put it into the file, and let it count even where that fails; whether it is in the file."""
        self.text, saved = None, False
        now_is = tr("as usual again") if text is None else plain(text, 60) or "none"
        label = next((row.label for row in self.rows() if row.path == name), name)
        try:
            self.loaded = save(self.loaded.path, name, text)
            self._say(tr("Saved. {label}: {now_is}", label=label, now_is=now_is), calm=True)
            saved = True
        except Trouble as trouble:
            texts = {n: t for n, t in self.loaded.texts.items() if n != name}
            if text is not None and name in BY_NAME:
                texts[name] = text
            settings = msgspec.structs.replace(self.loaded.settings, **values)
            self.loaded = replace(self.loaded, settings=settings, texts=texts)
            self._say(tr("NOT SAVED, it counts until the program ends. {trouble}", trouble=trouble))
        self._apply(self.loaded)
        return saved

    # -- a new key ----------------------------------------------------------------------------------

    def _catch(self, row: SettingRow, key: str, character: str | None) -> None:
        """The key pressed becomes the key of this row; a badly placed one only when it is pressed twice."""
        if key == "escape":
            self.catching = False
            self._say("")
            return
        name = row.path.partition(".")[2]
        others = {n: k for n, k in self.keys.own.items() if n != name}
        pressed = key if character is None or len(key) > 1 else character
        try:
            chosen = usable(name, pressed, KeyMap(others))
        except Trouble as trouble:
            self._say(tr("{trouble} Esc leaves it as it is.", trouble=trouble))
            return
        doubtful = Doubtful(name, chosen)
        warning = ill_placed(name, chosen, KeyMap(others))
        if warning and doubtful != self._doubtful:
            self._doubtful = doubtful
            self._say(tr("{warning} Press it again to take it all the same.", warning=warning))
            return
        self.catching, self._doubtful = False, None
        if chosen == BY_ID[name].key:
            saved = self._keep(row.path, None, {"keys": others})
        else:
            saved = self._keep(row.path, chosen, {"keys": {**others, name: chosen}})
        if saved:
            self._say(tr("Saved. {label}: {chosen}", label=row.label, chosen=spoken(chosen)), calm=True)


def complaints(loaded: Loaded) -> list[str]:
    """A sentence for each line of the file that does not count, or not as it may be meant; its number first."""
    wrong = list(loaded.complaints)
    for name, sentence in keymap(loaded.settings.keys)[1]:
        at = loaded.lines.get(f"keys.{name}", 0)
        shown = plain(name, 40)
        wrong.append(
            tr("Line {at}: keys, {shown}: {sentence}", at=at, shown=shown, sentence=sentence)
            if at
            else tr("keys, {shown}: {sentence}", shown=shown, sentence=sentence)
        )
    return wrong


def said_of(loaded: Loaded, where: str = tr("at the end of this list")) -> str:
    """What to say of the file when it is looked at first: the first complaint, and `where` there are more."""
    wrong = complaints(loaded)
    if not wrong:
        return ""
    more = tr(" ({count} more, {where})", count=len(wrong) - 1, where=where) if len(wrong) > 1 else ""
    return f"{wrong[0]}{more}"
