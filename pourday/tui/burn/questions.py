"""What the burn screen asks, each question with the facts that its answer files. Pure: no clock, no Textual."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from pourday.burn.candle import Candle
from pourday.burn.looks import LookDue, look_due, weigh_from
from pourday.errors import Trouble
from pourday.language import ntr, tr
from pourday.session import events as ev
from pourday.session.candle import Burn
from pourday.session.events import Fact
from pourday.text import plain
from pourday.times import letters, span
from pourday.units import Units, read_length, read_mass, read_number, read_temperature

Kind = Literal["length", "weight", "seconds", "temperature", "words", "choice", "confirm"]
Answer = Callable[[float, str], tuple[Fact, ...]]
"""From the value in SI and the text as typed, or the key that chose, to what goes on record."""


@dataclass(frozen=True, slots=True)
class BurnQuestion:
    """One question."""

    id: str
    word: str
    """For the big letters."""
    says: str
    kind: Kind
    answer: Answer
    choices: tuple[tuple[str, str], ...] = ()
    """(key, what it means), of a choice."""
    weighs: Candle | None = None
    """The candle whose weight it asks for."""


def read_answer(question: BurnQuestion, text: str, units: Units) -> float:
    """What was typed, in SI. Raises `Trouble` for what cannot be that."""
    match question.kind:
        case "length":
            metres = read_length(text, units).value
            if metres > 1.0:
                raise Trouble(
                    tr("“{typed}” would be more than a metre.", typed=plain(text, 20)),
                    instead=tr("Type it like: 30 mm."),
                )
            return metres
        case "weight":
            return read_mass(text, units).value
        case "seconds":
            return read_number(text, tr("seconds"), 3600.0)
        case "temperature":
            return read_temperature(text, units, "room").celsius
        case _:
            return 0.0


SOON_AFTER = 1800.0
"""s after a candle was weighed in which its height is still asked for: estimate."""
_YES = (("y", tr("yes")), ("n", tr("no")))
_SOOT: dict[str, ev.Soot] = {"n": "none", "w": "wisps", "s": "steady"}
_ASKS: dict[str, tuple[str, Kind, tuple[tuple[str, str], ...]]] = {
    "flame": (tr('How high is the flame of {}, from the pool to its tip?'), "length", ()),
    "across": (tr('How wide is the pool of {}?'), "length", ()),
    "across_other": (tr('And the other way, at a right angle?'), "length", ()),
    "depth": (tr('How deep is the pool of {}?'), "length", ()),
    "wall": (tr('How much wall is left at the thinnest place of {}? 0 where wax runs over.'), "length", ()),
    "mushroom": (tr('Does a mushroom grow on the wick of {}?'), "choice", _YES),
    "soot": (tr('Does {} soot?'), "choice", (("n", tr('none')), ("w", tr('wisps')), ("s", tr('steady')))),
    "leaning": (tr('Does {} lean?'), "choice", _YES),
}  # fmt: skip


def look_question(candle: Candle, due: LookDue, field: str) -> BurnQuestion:
    """One thing to measure at a look."""
    asks, kind, choices = _ASKS[field]

    def answer(value: float, typed: str) -> tuple[Fact, ...]:
        seen: float | bool | ev.Soot = value
        if field == "soot":
            seen = _SOOT[typed]
        elif kind == "choice":
            seen = typed == "y"
        return (ev.BurnSeen(mould=candle.letter, look=due.mark, **{field: seen}),)  # type: ignore[arg-type]

    says = tr("{format} ({span} lit)", format=asks.format(candle.letter), span=span(due.mark))
    return BurnQuestion(
        f"look {candle.letter} {due.mark:.0f} {field}",
        tr("LOOK {letter}", letter=candle.letter),
        says,
        kind,
        answer,
        choices,
    )


def after_question(candle: Candle, burn: Burn, now: float, skipped: frozenset[str]) -> BurnQuestion | None:
    """What is asked of a candle that was put out: glow, relighting, and its weight once it is cold."""
    letter, number = candle.letter, len(candle.life.burns)
    ended = burn.ended_at or now

    def glow(value: float, _: str) -> tuple[Fact, ...]:
        return (ev.AfterGlow(mould=letter, glow=value),)

    def relit(_: float, key: str) -> tuple[Fact, ...]:
        return (ev.AfterGlow(mould=letter, relit=key == "y"),)

    questions = []
    if now - ended < 1800 and burn.how in ("snuffed", "blown out"):
        if burn.glow is None:
            says = tr("How many seconds did the wick of {letter} glow or smoke?", letter=letter)
            questions.append(
                BurnQuestion(
                    f"glow {letter} {number}", tr("OUT {letter}", letter=letter), says, "seconds", glow
                )
            )
        if burn.relit is None:
            says = tr("Did {letter} take fire again by itself?", letter=letter)
            questions.append(
                BurnQuestion(
                    f"relit {letter} {number}", tr("OUT {letter}", letter=letter), says, "choice", relit, _YES
                )
            )
    weigh = weigh_from(burn)
    if weigh is not None and weigh <= now:
        questions.append(weigh_question(candle))
    if burn.cold_kg is not None and burn.cold_height is None and now - (burn.cold_at or now) < SOON_AFTER:
        questions.append(_height_question(candle, burn.cold_kg))
    return next((question for question in questions if question.id not in skipped), None)


def leave_question(burning: str) -> BurnQuestion:
    """Whether to leave candles that burn; any other answer than y stays, and none files anything."""
    says = ntr(
        "{letters} still burns, and nothing rings once you have left this page. Leave it burning?",
        "{letters} still burn, and nothing rings once you have left this page. Leave them burning?",
        len(burning),
        letters=letters(burning),
    )
    return BurnQuestion(
        "leave", tr("LIT"), says, "choice", lambda *_: (), (("y", tr("leave")), ("n", tr("stay")))
    )


def weigh_question(candle: Candle) -> BurnQuestion:
    """The weight of a cold candle after its newest burn."""

    def answer(value: float, typed: str) -> tuple[Fact, ...]:
        return (ev.WeighedCold(mould=candle.letter, kg=value, typed=typed),)

    says = tr(
        "What does {letter} weigh, cold? Drips that hang on it count; wipe none off.", letter=candle.letter
    )
    return BurnQuestion(
        f"weigh {candle.letter} {len(candle.life.burns)}",
        tr("WEIGH {letter}", letter=candle.letter),
        says,
        "weight",
        answer,
        weighs=candle,
    )


def question_of(candle: Candle, now: float, skipped: frozenset[str]) -> BurnQuestion | None:
    """What is to be asked of one candle now; None where nothing is."""
    if not candle.life.burns:
        return None
    burn = candle.life.burns[-1]
    if not burn.lit:
        return after_question(candle, burn, now, skipped)
    due = look_due(burn, now)
    if due is None:
        return None
    asked = (look_question(candle, due, field) for field in due.missing)
    return next((question for question in asked if question.id not in skipped), None)


def _height_question(candle: Candle, kg: float) -> BurnQuestion:
    """How high a candle is that was just weighed; it tells when to stop."""

    def answer(value: float, _: str) -> tuple[Fact, ...]:
        return (ev.WeighedCold(mould=candle.letter, kg=kg, height=value),)

    says = tr("How high is {letter} now, at its rim?", letter=candle.letter)
    number = len(candle.life.burns)
    return BurnQuestion(
        f"height {candle.letter} {number}", tr("HIGH {letter}", letter=candle.letter), says, "length", answer
    )


# -- what is said by a key ---------------------------------------------------------------------------

DEFECTS = (
    ("1", "frosting"), ("2", "mottling"), ("3", "rings"), ("4", "pits or bubbles"), ("5", "cracks"),
    ("6", "layers apart"), ("7", "colour bled"), ("8", "bent wick"), ("9", "hollow"),
)  # fmt: skip
"""The trade's names of what is mostly seen on a candle that has left its mould."""


def chosen_for(letters: str, word: str) -> BurnQuestion | None:
    """The question behind a key that says something of these candles (`finish`, `goes` ...); None for no such key."""

    def each(make: Callable[[str, str], Fact]) -> Answer:
        return lambda _, key: tuple(make(letter, key) for letter in letters)

    finish: dict[str, ev.Finish] = {"b": "base levelled", "w": "wick trimmed", "p": "polished"}
    goes: dict[str, ev.Goes] = {"k": "keep", "t": "test", "g": "gift", "s": "sale", "m": "melt again"}
    hows: dict[str, ev.WentOut] = {
        "s": "snuffed", "b": "blown out", "w": "went out", "d": "burned down"
    }  # fmt: skip
    named = tr(" and ").join(letters)
    match word:
        case "finish":
            answer = each(lambda letter, key: ev.FinishDone(mould=letter, what=finish[key]))
            return BurnQuestion(
                "finish",
                tr("FINISH"),
                tr("What was done to {named}?", named=named),
                "choice",
                answer,
                tuple(finish.items()),
            )
        case "goes":
            answer = each(lambda letter, key: ev.CandleGoes(mould=letter, to=goes[key]))
            return BurnQuestion(
                "goes",
                tr("GOES"),
                tr("Where does {named} go?", named=named),
                "choice",
                answer,
                tuple(goes.items()),
            )
        case "out":
            answer = each(lambda letter, key: ev.BurnEnded(mould=letter, how=hows[key]))
            return BurnQuestion(
                "out",
                tr("OUT {letters}", letters=letters),
                tr("How did {named} go out?", named=named),
                "choice",
                answer,
                tuple(hows.items()),
            )
        case "defect":
            defects = dict(DEFECTS)
            answer = each(lambda letter, key: ev.DefectSeen(mould=letter, defect=defects[key]))
            return BurnQuestion(
                "defect",
                tr("FLAW"),
                tr("What is wrong with {named}? (o: in your own words)", named=named),
                "choice",
                answer,
                DEFECTS,
            )
        case "own words":
            answer = each(lambda letter, text: ev.DefectSeen(mould=letter, defect=plain(text, 80)))
            return BurnQuestion(
                "own words", tr("FLAW"), tr("What is wrong with {named}?", named=named), "words", answer
            )
        case "photo":
            answer = each(lambda letter, text: ev.PhotoTaken(mould=letter, path=plain(text, 400)))
            return BurnQuestion(
                "photo", tr("PHOTO"), tr("Where is the photo of {named}?", named=named), "words", answer
            )
        case "label":
            answer = each(lambda letter, text: ev.CandleLabelled(mould=letter, label=plain(text, 40)))
            return BurnQuestion(
                "label", tr("LABEL"), tr("What stands under {named}?", named=named), "words", answer
            )
        case _:
            return None
