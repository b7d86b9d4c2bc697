"""Letters and digits big enough for across the kitchen, built from terminal cells.

One bitmap font of five dots in height. At three rows a dot is half a cell, the font stretched to
six dots; at five rows a dot is a cell high and two wide. A row of 4-5 mm then gives letters of
12-15 mm (read from 2.6-3.2 m) and 20-25 mm (4.3-5.4 m) at 16 minutes of arc, the minimum
character size of NUREG-0700.
"""

from __future__ import annotations

_FONT = {
    "A": (".#.", "#.#", "###", "#.#", "#.#"),
    "B": ("##.", "#.#", "##.", "#.#", "##."),
    "C": (".##", "#..", "#..", "#..", ".##"),
    "D": ("##.", "#.#", "#.#", "#.#", "##."),
    "E": ("###", "#..", "##.", "#..", "###"),
    "F": ("###", "#..", "##.", "#..", "#.."),
    "G": (".##", "#..", "#.#", "#.#", ".##"),
    "H": ("#.#", "#.#", "###", "#.#", "#.#"),
    "I": ("#", "#", "#", "#", "#"),
    "J": ("..#", "..#", "..#", "#.#", ".#."),
    "K": ("#.#", "#.#", "##.", "#.#", "#.#"),
    "L": ("#..", "#..", "#..", "#..", "###"),
    "M": ("#...#", "##.##", "#.#.#", "#...#", "#...#"),
    "N": ("#..#", "##.#", "#.##", "#..#", "#..#"),
    "O": (".#.", "#.#", "#.#", "#.#", ".#."),
    "P": ("##.", "#.#", "##.", "#..", "#.."),
    "Q": (".#.", "#.#", "#.#", "##.", ".##"),
    "R": ("##.", "#.#", "##.", "#.#", "#.#"),
    "S": (".##", "#..", ".#.", "..#", "##."),
    "T": ("###", ".#.", ".#.", ".#.", ".#."),
    "U": ("#.#", "#.#", "#.#", "#.#", "###"),
    "V": ("#.#", "#.#", "#.#", "#.#", ".#."),
    "W": ("#...#", "#...#", "#.#.#", "##.##", "#...#"),
    "X": ("#.#", "#.#", ".#.", "#.#", "#.#"),
    "Y": ("#.#", "#.#", ".#.", ".#.", ".#."),
    "Z": ("###", "..#", ".#.", "#..", "###"),
    "0": ("###", "#.#", "#.#", "#.#", "###"),
    "1": (".#", "##", ".#", ".#", ".#"),
    "2": ("###", "..#", "###", "#..", "###"),
    "3": ("###", "..#", ".##", "..#", "###"),
    "4": ("#.#", "#.#", "###", "..#", "..#"),
    "5": ("###", "#..", "###", "..#", "###"),
    "6": ("###", "#..", "###", "#.#", "###"),
    "7": ("###", "..#", "..#", ".#.", ".#."),
    "8": ("###", "#.#", "###", "#.#", "###"),
    "9": ("###", "#.#", "###", "..#", "###"),
    ":": (".", "#", ".", "#", "."),
    ".": (".", ".", ".", ".", "#"),
    ",": (".", ".", ".", "#", "#"),
    "-": ("..", "..", "##", "..", ".."),
    "+": ("...", ".#.", "###", ".#.", "..."),
    "~": ("....", ".#.#", "#.#.", "....", "...."),
    "?": ("###", "..#", ".##", "...", ".#."),
    "°": ("##", "##", "..", "..", ".."),
    "'": ("#", "#", ".", ".", "."),
    " ": ("..", "..", "..", "..", ".."),
}
_UNKNOWN = _FONT["?"]
_HALVES = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}


def _dots(text: str) -> list[str]:
    """The text as five lines of dots, one blank column between letters."""
    glyphs = [_FONT.get(char, _UNKNOWN) for char in text.upper()]
    return [".".join(glyph[row] for glyph in glyphs) for row in range(5)]


def block_rows(text: str, rows: int) -> list[str]:
    """The text in letters `rows` cells tall (3 or 5), as that many strings of equal width."""
    dots = _dots(text)
    if rows >= 5:
        return [line.replace(".", "  ").replace("#", "██") for line in dots]
    six = [dots[0], dots[1], dots[1], dots[2], dots[3], dots[4]]
    return [
        "".join(_HALVES[top == "#", low == "#"] for top, low in zip(*six[pair : pair + 2], strict=True))
        for pair in (0, 2, 4)
    ]


def block_width(text: str, rows: int) -> int:
    """Cells that `block_rows` takes across."""
    return len(_dots(text)[0]) * (2 if rows >= 5 else 1)
