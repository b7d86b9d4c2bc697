"""Colours by their names: which swatch a name means, and the bands between two colours.

A swatch is for the picture only: a screen cannot match set wax. Names of wax come first, as they were mixed by eye;
then pale, light and dark of any colour; then the colours that CSS names (W3C, CSS Color Module Level 4, section 6.1).
"""

from __future__ import annotations

import re

from pourday.errors import Trouble
from pourday.language import any_of, in_english, tr, typed_words, word

SWATCHES = {
    "white": "#f4f1ea",
    "ivory": "#f0e6cf",
    "cream": "#ead9b5",
    "sand": "#d8c3a0",
    "yellow": "#e6c04d",
    "orange": "#d98a3d",
    "rust": "#b4532f",
    "red": "#a8322d",
    "rose": "#cf8a8a",
    "plum": "#7a4564",
    "violet": "#8477a8",
    "blue": "#4f6f96",
    "teal": "#4d8583",
    "sage": "#9aa883",
    "green": "#5f7d4f",
    "brown": "#6e4a33",
    "grey": "#8b8680",
    "black": "#3a3634",
}
"""Colours of wax, mixed by eye."""
_SAME = {"gray": "grey", "purple": "violet", "pink": "rose"}
_TINTS: dict[str, tuple[int, float]] = {
    "dark": (0, 0.40),
    "deep": (0, 0.25),
    "": (0, 0.0),
    "mid": (0, 0.0),
    "light": (255, 0.35),
    "pale": (255, 0.60),
}
"""Towards black (0) or white (255), and how far: an eye's measure, no source. From dark to pale in this order."""
_LADDER = ("dark", "", "light", "pale")
"""Steps that have a name of their own between dark and pale."""
_COUNTS = {"two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8}
_CALLED = typed_words(
    "white", "ivory", "cream", "sand", "yellow", "orange", "rust", "red", "rose", "plum", "violet", "blue", "teal", "sage",
    "green", "brown", "grey", "black", "gray", "purple", "pink",
)  # fmt: skip
_SHADES = typed_words("dark", "deep", "mid", "light", "pale")
_OF_BANDS = typed_words(
    "to", "in", "two", "three", "four", "five", "six", "seven", "eight", "band", "bands", "layer", "layers", "step",
    "steps", "colour", "colours",
)  # fmt: skip
_OWN_SHADES = {word: shade for word, shade in _SHADES.items() if word != shade}
_IN_ONE = re.compile(rf"\b({any_of(_OWN_SHADES) or '(?!)'})({any_of(_CALLED)})\b", re.IGNORECASE)
"""Shade and colour in one word, as some languages write them; in English such words are colours of CSS."""
_BANDS = re.compile(
    rf"(?P<first>.+?)\s+to\s+(?P<last>.+?)"
    rf"(?:[\s,]+(?:in\s+)?(?P<count>[0-9]{{1,2}}|{'|'.join(_COUNTS)})(?:\s+(?:bands?|layers?|steps?|colours?))?)?",
    re.IGNORECASE,
)

_LAST_TWO = re.compile(
    rf"\s*(?:(?P<before>\S.*?)\s+)?(?:{any_of(typed_words('and'))}|&)\s+(?P<after>\S.*?)\s*", re.I
)
"""The end of a list: `cream and sage`."""

Named = tuple[str, str | None]
"""A colour's name, and its swatch `#rrggbb` where the name means one."""


def swatch_of(name: str) -> str | None:
    """The swatch that a colour's name means, `#rrggbb`; None where it is no colour we know.

    >>> swatch_of("Rust"), swatch_of("pale green"), swatch_of("forest green"), swatch_of("mystery")
    ('#b4532f', '#bfcbb9', '#228b22', None)
    """
    words = _english(name.casefold().replace("-", " ")).split()
    if not words:
        return None
    whole = " ".join(_SAME.get(word, word) for word in words)
    if whole in SWATCHES:
        return SWATCHES[whole]
    if words[0] in _TINTS and len(words) > 1:
        plain = swatch_of(" ".join(words[1:]))
        return None if plain is None else _tinted(plain, words[0])
    named = _css("".join(words))
    if named is None and len(words) > 1:
        # Of “apple red” the red is known.
        return swatch_of(words[-1])
    return named


def swatch_name(code: str) -> str:
    """What a swatch of wax is called, or how to name one."""
    return next(
        (name for name, known in SWATCHES.items() if known == code), tr("a name like rust, or #rrggbb")
    )


def read_swatch(text: str) -> str:
    """`#rrggbb` of a colour's name, or of six hexadecimal digits. Raises `Trouble` for anything else."""
    named = swatch_of(text)
    if named is not None:
        return named
    code = text.lower().lstrip("#")
    if len(code) != 6 or any(c not in "0123456789abcdef" for c in code):
        raise Trouble(
            tr("Swatch: “{typed}” is not a colour.", typed=text),
            instead=tr("Type a name like rust, or six digits like #b4532f."),
        )
    return f"#{code}"


def read_colours(text: str, now: int, most: int) -> list[Named]:
    """The colours of all layers, first poured first, of `rust, cream` or `dark green to pale in three`.

    `now` is how many layers there are, which counts where “to” names no number. Raises `Trouble` for more than
    `most`, or for “to” between what is not known as colours.

    >>> [name for name, _ in read_colours("dark green to pale in three bands", 1, 8)]
    ['dark green', 'green', 'pale green']
    """
    bands = _bands(text)
    if bands is None:
        names = [" ".join(part.split()) for part in _listed(text)]
        _not_too_many(len(names), most)
        return [(name, swatch_of(name)) for name in names]
    number = (bands["count"] or "").casefold()
    count = _COUNTS.get(number) or (int(number) if number else max(2, now))
    _not_too_many(count, most)
    first, last = _whole(bands["first"], bands["last"])
    ends = swatch_of(first), swatch_of(last)
    if ends[0] is None or ends[1] is None:
        unknown = first if ends[0] is None else last
        raise Trouble(
            tr("Colours: “{unknown}” is not a colour that can be shaded.", unknown=unknown),
            instead=tr("Type them one by one with commas, like rust, cream, sage."),
        )
    if count < 2:
        return [(_called(first), ends[0])]
    names = _between(first, last, count)
    return [(name, _mixed(ends[0], ends[1], index / (count - 1))) for index, name in enumerate(names)]


def goes_from_one_to_another(text: str) -> bool:
    """Whether a text names bands between two colours, and not one colour after the other.

    >>> goes_from_one_to_another("dark green to pale in 3"), goes_from_one_to_another("rust, cream")
    (True, False)
    """
    return _bands(text) is not None


def _listed(text: str) -> list[str]:
    """The parts of a list with commas, of which the last two may have an “and” between them; without a comma only
    between what is known as colours: “salt and pepper” is one.

    >>> _listed("rust, off white and moss"), _listed("black and white"), _listed("salt and pepper")
    (['rust', 'off white', 'moss'], ['black', 'white'], ['salt and pepper'])
    """
    *first, last = text.split(",")
    pair = _LAST_TWO.fullmatch(last)
    if pair is None:
        return [*first, last]
    before, after = pair["before"] or "", pair["after"]
    if not before:
        return [*first, after] if first else [last]
    known = swatch_of(before) is not None and swatch_of(after) is not None
    return [*first, before, after] if first or known else [last]


def _bands(text: str) -> re.Match[str] | None:
    """The ends and the number of such bands; None for a list of colours."""
    said = _english(in_english(text.strip(), _OF_BANDS))
    return None if "," in said.rstrip(", ") and " to " not in said else _BANDS.fullmatch(said)


def _english(text: str) -> str:
    """Colours and shades as English has them; of what is no such word nothing is changed."""
    return in_english(_IN_ONE.sub(r"\1 \2", text), {**_CALLED, **_SHADES})


def _called(name: str) -> str:
    """A colour's name as it is said, shade and all; one that has none in the language stays as it was typed."""
    shade, _, plain = name.rpartition(" ")
    if plain not in _CALLED.values() or shade not in ("", *_SHADES.values()):
        return name
    return tr("{shade} {colour}", shade=word(shade), colour=word(plain)) if shade else word(plain)


def _not_too_many(count: int, most: int) -> None:
    if count > most:
        raise Trouble(tr("A plan takes up to {most} layers.", most=most), instead=tr("Name fewer colours."))


def _whole(first: str, last: str) -> tuple[str, str]:
    """Both ends as whole names: “dark green to pale” ends with pale green, “dark to pale green” begins with dark green."""
    first, last = " ".join(first.split()), " ".join(last.split())
    if last.casefold() in _TINTS and first:
        return first, f"{last} {_base(first)}"
    if first.casefold() in _TINTS:
        return f"{first} {_base(last)}", last
    return first, last


def _base(name: str) -> str:
    """A colour's name without pale, light or dark."""
    words = name.split()
    return " ".join(words[1:]) if words[0].casefold() in _TINTS and len(words) > 1 else name


def _between(first: str, last: str, count: int) -> list[str]:
    """Names of `count` bands from one colour to another."""
    base = _base(first)
    steps = [_step(first), _step(last)]
    if (
        _base(last).casefold() == base.casefold()
        and abs(steps[1] - steps[0]) >= count - 1
        and -1 not in steps
    ):
        # Half way counts as the step before, so that of three the middle one is the colour itself.
        ladder = [
            int(steps[0] + (steps[1] - steps[0]) * index / (count - 1) + 0.49) for index in range(count)
        ]
        return [_called(f"{_LADDER[step]} {base}".strip()) for step in ladder]
    first, last = _called(first), _called(last)
    between = [
        tr("{first} to {last}", first=first, last=last)
        if count == 3
        else tr("{first} to {last} {n}", first=first, last=last, n=n)
        for n in range(2, count)
    ]
    return [first, *between, last]


def _step(name: str) -> int:
    """How far along `_LADDER` a name stands; -1 for a tint that is not on it."""
    tint = name.split()[0].casefold() if _base(name) != name else ""
    return _LADDER.index(tint) if tint in _LADDER else -1


def _tinted(code: str, tint: str) -> str:
    towards, share = _TINTS[tint]
    return _mixed(code, f"#{towards:02x}{towards:02x}{towards:02x}", share)


def _mixed(one: str, other: str, share: float) -> str:
    """`#rrggbb` so far (0 to 1) from one colour to another."""
    pairs = ((int(one[at : at + 2], 16), int(other[at : at + 2], 16)) for at in (1, 3, 5))
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in pairs)


def _css(name: str) -> str | None:
    """The colour that CSS calls so."""
    import webcolors  # Not before a name is looked up: the form is painted without it.

    try:
        return str(webcolors.name_to_hex(name))
    except ValueError:
        return None
