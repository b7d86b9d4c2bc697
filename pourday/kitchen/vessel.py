"""Wax in a pan or jug: a lump with one temperature, its metal, and cold pieces still melting in."""

from __future__ import annotations

import math

from pourday.errors import Trouble
from pourday.kitchen.truth import COLDEST_C, GRID_C, Lot
from pourday.language import tr

_KNOTS_C = tuple(float(c) for c in GRID_C)
_LAST = len(_KNOTS_C) - 2
"""The last knot with another after it."""
PIECES_LAST = 100.0
"""s in which the pieces of a cold addition shrink to 37 % of their weight (estimate)."""

POURS = 0.5
"""Melted share below which wax no longer pours (estimate)."""


class Vessel:
    """Pan or jug. `celsius` is the temperature of the well-stirred wax and of the metal around it."""

    def __init__(self, lot: Lot, metal: float, celsius: float, keeps: float = 0.0) -> None:
        self.lot = lot
        self.keeps = keeps
        """kg that cling to wall, lip and spoon and never pour."""
        self.metal = metal
        """J/K of the vessel itself."""
        self.kg = 0.0
        """kg of wax in the lump."""
        self.pieces = 0.0
        """kg of cold wax not yet mixed in."""
        self.in_bath = True
        self.celsius = celsius
        self._pieces_h = 0.0
        """J/kg of the pieces."""
        self._energy = metal * celsius
        self._bulk()

    def _bulk(self) -> None:
        self.spread = self.kg ** (2 / 3) if self.kg > 0 else 0.0
        """Wetted surface against that of 1 kg of the same shape."""

    def _index(self, celsius: float) -> int:
        """The knot of the lot's curve at or below a temperature."""
        return min(max(int(celsius) - COLDEST_C, 0), _LAST)

    def enthalpy_at(self, celsius: float) -> float:
        """J/kg of the wax at a temperature."""
        i, h = self._index(celsius), self.lot.knots
        return h[i] + (celsius - _KNOTS_C[i]) * (h[i + 1] - h[i]) / (_KNOTS_C[i + 1] - _KNOTS_C[i])

    @property
    def melted(self) -> float:
        """Share of the lump that is liquid, 0 to 1."""
        i, m = self._index(self.celsius), self.lot.melted
        step = (self.celsius - _KNOTS_C[i]) / (_KNOTS_C[i + 1] - _KNOTS_C[i])
        return float(m[i] + step * (m[i + 1] - m[i]))

    @property
    def pourable(self) -> float:
        """kg of the lump that would run out of the vessel."""
        return max(self.kg - self.keeps, 0.0)

    @property
    def wax_kg(self) -> float:
        """kg of lump and pieces."""
        return self.kg + self.pieces

    @property
    def energy(self) -> float:
        """J above 0 °C of wax, pieces and metal."""
        return self._energy + self.pieces * self._pieces_h

    def after(self, joules: float) -> float:
        """The temperature, °C, this vessel would have with that many J more."""
        # Looked for from where it is now: mostly it is no further than the next knot.
        energy, kg, metal, h = self._energy + joules, self.kg, self.metal, self.lot.knots
        i = self._index(self.celsius)
        while i < _LAST and kg * h[i + 1] + metal * _KNOTS_C[i + 1] < energy:
            i += 1
        while i > 0 and kg * h[i] + metal * _KNOTS_C[i] > energy:
            i -= 1
        low = kg * h[i] + metal * _KNOTS_C[i]
        high = kg * h[i + 1] + metal * _KNOTS_C[i + 1]
        return _KNOTS_C[i] + (energy - low) / (high - low) * (_KNOTS_C[i + 1] - _KNOTS_C[i])

    def take(self, joules: float) -> None:
        """Put heat in (or take it out, where negative)."""
        self.celsius = self.after(joules)
        self._energy += joules

    def add(self, kg: float, enthalpy: float) -> None:
        """Stir in wax of that enthalpy, J/kg, at once."""
        self.kg += kg
        self._bulk()
        self.take(kg * enthalpy)

    def drop_in(self, kg: float, celsius: float) -> None:
        """Drop pieces in, which melt into the lump bit by bit; in an empty vessel they are the lump."""
        if self.kg <= 0:
            self.add(kg, self.enthalpy_at(celsius))
            return
        held = self.pieces * self._pieces_h + kg * self.enthalpy_at(celsius)
        self.pieces += kg
        self._pieces_h = held / self.pieces

    def melt_in(self, seconds: float) -> None:
        """Let the pieces give way for so long."""
        if self.pieces <= 0:
            return
        gone = self.pieces * (1 - math.exp(-seconds / PIECES_LAST))
        if self.pieces - gone < 1e-6:
            gone = self.pieces
        self.pieces -= gone
        self.add(gone, self._pieces_h)

    def remove(self, kg: float) -> float:
        """Pour wax out of the lump; returns its enthalpy, J/kg. Raises `Trouble` if there is less, or it has set."""
        if kg > self.pourable + 1e-9:
            there, wanted = self.pourable * 1000, kg * 1000
            digits = 0 if round(there) < round(wanted) else 1
            raise Trouble(
                tr(
                    "There are only {there:.{digits}f} g of molten wax here, not {wanted:.{digits}f} g.",
                    digits=digits,
                    there=there,
                    wanted=wanted,
                ),
                instead=tr("Take less, or melt more first."),
            )
        if self.melted < POURS:
            raise Trouble(
                tr("The wax there has set and will not pour."),
                instead=tr("Stand it in the hot bath until clear."),
            )
        enthalpy = self.enthalpy_at(self.celsius)
        self.kg = max(self.kg - kg, 0.0)
        self._bulk()
        self._energy -= kg * enthalpy
        self.celsius = self.after(0.0)
        return enthalpy
