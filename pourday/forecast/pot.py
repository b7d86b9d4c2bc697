"""When the pot gets there: wax temperature ahead, from typed readings since the last change.

On heat, off heat in its bath, or a jug standing in the room. The answer is an ensemble (`pot_fit.py`),
so the band and every time are weighted quantiles of it, 10 / 50 / 90 %. Nothing here reads a clock:
the same setup, readings and `now` give the same forecast.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import count
from typing import cast

import numpy as np

from pourday.errors import Trouble
from pourday.forecast.pot_fit import NOISE_K, STEP_S, Ensemble, fit
from pourday.forecast.pot_law import WATER_CP
from pourday.forecast.pot_model import Floats, Mode, Path, at_times, grid_through, run, table
from pourday.forecast.pot_prior import Carried, Guess, PotSetup, unknown_values
from pourday.forecast.spread import QUANTILES, Quantiles
from pourday.language import tr

__all__ = [
    "Addition",
    "Arrival",
    "Guess",
    "PotForecast",
    "PotSetup",
    "after_addition",
    "after_change",
    "bears_out",
    "doubt",
    "forecast",
    "mixed_in",
    "topped_up",
    "water_seen",
]

_HORIZON_S: dict[Mode, float] = {
    "on heat": 3 * 3600.0,
    "on low": 4 * 3600.0,
    "off heat": 6 * 3600.0,
    "in air": 8 * 3600.0,
}
"""s that a forecast looks ahead. Chosen: longer than a melt takes, and than a bath or a jug stays warm."""
_LOOSEN, _KNOB = 0.15, 0.3
"""How much less sure a new stretch is of what the last one taught, in units of the prior's spread; and of
the burner's power, since the knob may not stand where it stood: full and low are only roughly the same each time.
Estimates of ours."""
_FIRST_STEP_S, _LONGEST_STEP_S, _GROWTH = 20.0, 360.0, 1.12
"""s, the first and the longest step into the future, and by how much each is longer than the one before. Chosen."""
ENOUGH_GONE = 0.45
"""Share of a full bath that is gone at most where somebody found the water enough: well up the side of the pot. An estimate
of ours."""
TOPPED_UP_SD = 2.0
"""K by which a bath that was topped up may differ from what its mixture comes to: nobody fills to the same line. An
estimate of ours."""
_FINE_S, _UNREAD_STEP_S, _UNREAD_GROWTH = 12 * 3600.0, 900.0, 1.05
"""s after the last reading from which the past is stepped in longer and longer steps; s, the longest of them;
and by how much each is longer than the one before. What moves fast is over by then. Chosen."""
_SETTLED_S = 5 * 24 * 3600.0
"""s after the last reading from which nothing moves any more: the slowest pot of the ensemble, 0.2 to 200 kg, is then
within 0.2 K of where it ends, the room off heat and the bath's own limit on heat. Chosen."""


_LOOKED_MOST = 256
"""Times a forecast remembers what it said of; the guide asks for a few of them again and again."""


@dataclass(frozen=True, slots=True)
class Arrival:
    """When something happens, if it does."""

    spread: Quantiles | None
    """None where it is less likely than not within the time looked at; `reason` then says so."""
    reason: str = ""
    earliest: float = math.inf
    """Where `spread` is None: when it happens one time in ten all the same; infinite where not even that."""


@dataclass(frozen=True, slots=True, eq=False)
class PotForecast:
    """The ensemble and its paths, from the start of the fit to hours ahead. Times in s, temperatures °C."""

    setup: PotSetup
    now: float
    readings: int
    """How many readings it rests on."""
    weights: Floats
    path: Path
    ensemble: Ensemble
    number: int = field(default_factory=count().__next__)
    """Tells it from every other that was made in the same process."""
    _asked: dict[float, Arrival] = field(default_factory=dict)
    _looked: dict[float, tuple[float, float, float]] = field(default_factory=dict)
    asides: dict[tuple[str, float, float], tuple[float, ...]] = field(default_factory=dict)
    """What was worked out from it (of what kind; °C, s or kg; s), so that it goes along wherever the forecast goes."""

    def light(self) -> PotForecast:
        """The same to be sent: half as many digits, which are six still, and without the path up to the last reading, which
        is the first part of the whole path."""
        rows = (cast("Floats", part.astype(np.float32)) for part in _parts(self.path)[1:])
        path = Path(self.path.times, *rows)
        return replace(self, path=path, ensemble=replace(self.ensemble, path=path))

    @property
    def until(self) -> float:
        """End of the time looked at."""
        return float(self.path.times[-1])

    def band(self, times: Sequence[float] | Floats) -> tuple[Floats, Floats, Floats]:
        """Wax temperature at 10 %, 50 %, 90 %; each of the shape of `times` (held outside the path)."""
        rows = at_times(self.path.celsius, self.path.times, np.asarray(times, dtype=np.float64))
        low, likely, high = _quantiles(rows, self.weights)
        return low, likely, high

    def at(self, t: float) -> tuple[float, float, float]:
        """Wax temperature at one time: 10 %, 50 %, 90 %."""
        if t not in self._looked:
            if len(self._looked) >= _LOOKED_MOST:
                self._looked.clear()
            low, likely, high = self.band([t])
            self._looked[t] = float(low[0]), float(likely[0]), float(high[0])
        return self._looked[t]

    def bath_at(self, t: float) -> tuple[float, float, float]:
        """Bath temperature at one time: 10 %, 50 %, 90 %; mostly the prior's, the wax shows little of it."""
        low, likely, high = _quantiles(
            at_times(self.path.bath_c, self.path.times, np.array([t])), self.weights
        )
        return float(low[0]), float(likely[0]), float(high[0])

    @property
    def wax_moved(self) -> Guess:
        """K by which this lot melts and sets higher than its wax's figures have it, as far as the readings tell."""
        shift = self.ensemble.members.shift
        mean = float(self.weights @ shift)
        return Guess(mean, math.sqrt(max(0.0, float(self.weights @ (shift - mean) ** 2))))

    def gone_at(self, t: float) -> float:
        """kg of water that have left the bath as steam since it was full, likely."""
        gone = self.path.water[0] - at_times(self.path.water, self.path.times, np.array([t]))[0]
        return self.setup.gone_kg + max(0.0, float(self.weights @ gone))

    def water_at(self, t: float) -> tuple[float, float, float]:
        """kg of water in the bath at one time: 10 %, 50 %, 90 %."""
        low, likely, high = _quantiles(
            at_times(self.path.water, self.path.times, np.array([t])), self.weights
        )
        return float(low[0]), float(likely[0]), float(high[0])

    def gone_when_seen(self, seen_at: float | None = None) -> float:
        """Likely share of the full bath that had gone when somebody last looked, at `seen_at` if that was in this stretch."""
        if seen_at is not None and seen_at > self.setup.mode_since:
            gone = min(self.gone_at(seen_at), ENOUGH_GONE * self.setup.water_kg)
        else:
            gone = self.setup.gone_kg - self.setup.unseen_kg
        return max(0.0, gone) / self.setup.water_kg

    def boils_away(self, share: float, seen_at: float | None = None) -> float:
        """When a share of the full bath may have gone as steam since somebody last looked, at `seen_at` if that was in this
        stretch: the time that comes one time in ten; infinite where not even that."""
        water, times = self.path.water, self.path.times
        if seen_at is None or seen_at <= self.setup.mode_since:
            steam_kg = self.setup.unseen_kg + water[0] - water
        else:
            steam_kg = at_times(water, times, np.array([seen_at]))[0] - water
        over = steam_kg[self._from() :] - share * self.ensemble.members.full
        return self._times(_first_time(times[self._from() :], over))[0]

    def reaches(self, target_c: float) -> Arrival:
        """When the wax first comes to a temperature, from whichever side of it it is on now."""
        if target_c not in self._asked:
            self._asked[target_c] = self._reaches(target_c)
        return self._asked[target_c]

    def _reaches(self, target_c: float) -> Arrival:
        celsius = self._ahead()
        rising = float(_quantiles(celsius[:1], self.weights)[1][0]) < target_c
        inside = celsius - target_c if rising else target_c - celsius
        verb = "warm" if rising else "cool"
        return self._arrival(
            inside,
            tr("The pot does not {verb} to {target_c:.0f} °C as it stands", verb=verb, target_c=target_c),
        )

    def leaves(self, low_c: float, high_c: float) -> Arrival:
        """When the wax is first outside low_c..high_c; already outside counts as now.

        Raises `Trouble` when the range is upside down.
        """
        if not low_c < high_c:
            raise Trouble(
                tr("A range from {low_c:g} to {high_c:g} °C is empty.", low_c=low_c, high_c=high_c),
                instead=tr("Give the lower end first."),
            )
        celsius = self._ahead()
        outside = np.maximum(celsius - high_c, low_c - celsius)
        return self._arrival(
            outside,
            tr("The pot stays within {low_c:.0f}-{high_c:.0f} °C as it stands", low_c=low_c, high_c=high_c),
        )

    def _ahead(self) -> Floats:
        """°C of the wax from now on, (times, n)."""
        return self.path.celsius[self._from() :]

    def _from(self) -> int:
        """The first row of the path that is not in the past."""
        return int(np.searchsorted(self.path.times, self.now))

    def _arrival(self, above: Floats, otherwise: str) -> Arrival:
        """When `above` (times from now on, n) first is not negative, as early, likely and late; why not, where it hardly comes."""
        times = _first_time(self.path.times[self._from() :], above)
        happens = np.isfinite(times)
        probability = float(self.weights @ happens)
        if probability <= 0.5:
            hours = (self.until - self.now) / 3600.0
            reason = tr(
                "{otherwise}: {probability:.0%} likely within {hours:.0f} hours.",
                otherwise=otherwise,
                probability=probability,
                hours=hours,
            )
            return Arrival(None, reason, self._times(times)[0])
        early, likely, late = self._times(times)
        return Arrival(Quantiles(early, likely, late))

    def _times(self, times: Floats) -> tuple[float, float, float]:
        """Quantiles of a time that need not come (infinite in some members); infinite beyond the time looked at."""
        end = self.until
        filled = np.where(np.isfinite(times), times, end + 1e6)
        early, likely, late = (float(q[0]) for q in _quantiles(filled[None, :], self.weights))
        return _within(early, end), _within(likely, end), _within(late, end)


@dataclass(frozen=True, slots=True, eq=False)
class Addition:
    """What a cold addition does."""

    dip_c: tuple[float, float, float]
    """Wax temperature once mixed: 10 %, 50 %, 90 %."""
    recovers: Arrival
    """When it is back where it was."""
    forecast: PotForecast
    """From the addition on; its `setup` is the prior for readings to come."""


def forecast(
    setup: PotSetup,
    readings: Sequence[tuple[float, float]],
    now: float,
    ahead_s: float | None = None,
    before: PotForecast | None = None,
) -> PotForecast:
    """What the wax will do, from readings (time s, °C) taken since `setup.mode_since`.

    Looks `ahead_s` ahead, else hours. Earlier or later readings than that change and `now` are left out.
    `before` serves where it is of this setup, these readings and this very moment.
    With none, the prior alone answers, widely. Raises `Trouble` when there is no wax, `now` lies before the
    last change, or a figure is none.
    """
    if not 0 < setup.kg < math.inf:
        raise Trouble(
            tr("The pot is empty."), tr("A forecast needs to know how much wax is in it."), tr("Weigh it.")
        )
    if not setup.mode_since <= now < math.inf:
        raise Trouble(tr("The forecast was asked for a time before the last change to the pot."))
    if not all(map(math.isfinite, (setup.room_c, setup.bath_limit_c, *(x for r in readings for x in r)))):
        raise Trouble(tr("A reading of pot, room or water is no number."), instead=tr("Read it again."))
    used = sorted(r for r in readings if setup.mode_since <= r[0] <= now)
    ensemble = fit(setup, used)
    if before is not None and before.ensemble is ensemble and before.setup == setup and before.now == now:
        return before
    return _project(setup, ensemble, now, len(used), ahead_s or _HORIZON_S[setup.mode])


def after_change(
    before: PotForecast, at: float, mode: Mode, kg: float | None = None, *, start_known: bool = True
) -> PotSetup:
    """The setup for a new stretch (burner switched, jug lifted out or put back) from the last one's end.

    What the last stretch has shown of pot, hob and wax goes with it, loosened a little; how warm the wax is
    does not, where something nobody measured was done to it.
    """
    was = before.setup.mode
    switched = mode != was and mode != "in air"
    return replace(
        before.setup,
        kg=before.setup.kg if kg is None else kg,
        mode=mode,
        mode_since=at,
        burner_since=at if switched else before.setup.burner_since or before.setup.mode_since,
        mode_was=was if switched and was != "in air" else before.setup.mode_was,
        gone_kg=before.gone_at(at),
        unseen_kg=before.setup.unseen_kg + before.gone_at(at) - before.setup.gone_kg,
        start_c=None,
        bath_c=None,
        carried=_carry(before, at, switched, "in air" in (was, mode), start_known),
    )


def low_turned(setup: PotSetup, share: Guess) -> PotSetup:
    """The setup with its low flame set to another share of what it was: `share` is the logarithm of that, and its spread.

    It holds for every low flame after it, until that is set anew.
    """
    if setup.carried is None or "low" not in setup.carried.names:
        law = replace(
            setup.law,
            low=setup.law.low * math.exp(share.mean),
            low_sd=math.hypot(setup.law.low_sd, share.sd),
        )
        return replace(setup, law=law)
    sd = setup.law.low_sd
    return replace(setup, carried=setup.carried.moved("low", Guess(share.mean / sd, share.sd / sd)))


def water_seen(setup: PotSetup, before: PotForecast, looked_at: float) -> PotSetup:
    """The setup after a stretch in which somebody found the water enough: no more than `ENOUGH_GONE` of it had gone then."""
    since = max(0.0, setup.gone_kg - before.gone_at(looked_at))
    return replace(setup, gone_kg=min(setup.gone_kg, ENOUGH_GONE * setup.water_kg + since), unseen_kg=since)


def topped_up(setup: PotSetup, added: Guess) -> PotSetup:
    """The setup with its bath full again, by water of `added` °C: mixed by heat, c (Tb - T) = cp gone (T - added)."""
    full = replace(setup, gone_kg=0.0, unseen_kg=0.0)
    bath = setup.bath_guess
    if bath is None or setup.carried is None or setup.gone_kg <= 0.0:
        return full
    share = WATER_CP * setup.gone_kg / (setup.law.pot_heat + WATER_CP * setup.water_kg)
    by = Guess(share * (added.mean - bath.mean), share * added.sd + TOPPED_UP_SD)
    return replace(full, carried=setup.carried.moved("bath", by))


def _carry(before: PotForecast, at: float, switched: bool, bath_lost: bool, start_known: bool) -> Carried:
    """The ensemble at a time as one bell."""
    setup, weights = before.setup, before.weights
    values = dict(unknown_values(setup, before.ensemble.z))
    when = np.array([at])
    values["start"] = at_times(before.path.h, before.path.times, when)[0]
    values["bath"] = at_times(before.path.bath_c, before.path.times, when)[0]
    loosen = dict.fromkeys(values, _LOOSEN)
    loosen |= {"start": 0.5 * NOISE_K * setup.wax.cp_liquid, "bath": 1.0}
    if switched:
        loosen["power"] = _KNOB
        if "low" in loosen:
            loosen["low"] = _KNOB
    lost = (*(("bath",) if bath_lost else ()), *(() if start_known else ("start",)))
    for name in ("cap", "room", *lost):
        values.pop(name, None)
    rows = np.array(list(values.values()))
    mean = rows @ weights
    off = rows - mean[:, None]
    spread = (off * weights) @ off.T + np.diag([loosen[n] ** 2 for n in values])
    carried = Carried(tuple(values), tuple(mean.tolist()), tuple(map(tuple, spread.tolist())))
    # A flame that is full or off teaches nothing of a low one: what was known of it stays known.
    return carried.joined(setup.carried, "low", _LOOSEN) if setup.carried is not None else carried


def mixed_in(before: PotForecast, at: float, kg: float, added_c: float | None = None) -> PotSetup:
    """The setup for the stretch that begins as `kg` of the same wax at `added_c` (the room's, if not given) goes into the pot.

    Mixed by enthalpy, h = (m1 h1 + m2 h2) / (m1 + m2); the surface per kilogram falls as kg^(-1/3).
    Raises `Trouble` when kg is not positive.
    """
    if not kg > 0:
        raise Trouble(tr("An addition needs an amount."), instead=tr("Give the grams that went in."))
    setup = before.setup
    cold = setup.room_c if added_c is None else added_c
    cold_h = float(table(setup.wax).enthalpy(np.array([cold]))[0])
    total = setup.kg + kg
    later = after_change(before, at, setup.mode, total)
    carried = later.carried.mixed(setup.kg / total, cold_h) if later.carried else None
    return replace(later, carried=carried)


def after_addition(before: PotForecast, at: float, kg: float, added_c: float | None = None) -> Addition:
    """What putting wax into the pot does; see `mixed_in`."""
    view = forecast(mixed_in(before, at, kg, added_c), (), at)
    return Addition(view.at(at), view.reaches(before.at(at)[1]), view)


def doubt(
    setup: PotSetup,
    readings: Sequence[tuple[float, float]],
    new: tuple[float, float],
    doubted: Sequence[tuple[float, float]] = (),
    view: PotForecast | None = None,
) -> str | None:
    """One sentence questioning a reading (time s, °C) that cannot be; None where it may be right.

    `readings` are the earlier ones in use, `doubted` the earlier ones left out that none bore out: a
    second one that bears out the first points to a change that was not filed. `view` is the forecast from
    the earlier ones, where it is known already.
    """
    when, celsius = new
    earlier = [r for r in readings if setup.mode_since <= r[0] <= when]
    if view is None:
        view = forecast(setup, earlier, max(when, setup.mode_since))
    row = at_times(view.path.celsius, view.path.times, np.array([when]))
    floor, ceiling = _allowed(row, view.weights)
    if not earlier and not setup.start_known:
        floor, ceiling = setup.room_c - 5.0, setup.bath_limit_c + 2.0
    if floor <= celsius <= ceiling:
        return None
    likely = float(_quantiles(row, view.weights)[1][0])
    said = tr(
        "{celsius:g} °C does not fit: the pot should be near {likely:.0f} °C now",
        celsius=celsius,
        likely=likely,
    )
    if any(bears_out(new, other) for other in doubted):
        return tr(
            "{said}, yet it bears out the one before; was the burner, jug or wax changed and not filed?",
            said=said,
        )
    place = _elsewhere(view, when, celsius)
    if place:
        return tr("{said}; was that the {place}?", said=said, place=place)
    meant = _meant(celsius, floor, ceiling)
    if meant is not None:
        return tr("{said}; was it {meant}?", said=said, meant=meant)
    if celsius > setup.bath_limit_c + 2.0 and setup.mode != "in air":
        limit = setup.bath_limit_c
        return tr(
            "{celsius:g} °C is above boiling water ({limit:.0f} °C): a dry pot or a wrong thermometer?",
            celsius=celsius,
            limit=limit,
        )
    return tr("{said}; was it read in stirred wax, and typed right?", said=said)


def bears_out(reading: tuple[float, float], other: tuple[float, float]) -> bool:
    """Whether two readings (time s, °C) may be of the same wax: 2 K, and a kelvin a minute between them, up to ten; both
    estimates of ours."""
    return abs(reading[1] - other[1]) <= 2.0 + min(abs(reading[0] - other[0]) / 60.0, 10.0)


def _elsewhere(view: PotForecast, when: float, celsius: float) -> str:
    """The other place whose temperature was read, where one is known well enough to tell."""
    if abs(celsius - view.setup.room_c) <= 2.0:
        return "room"
    low, _, high = view.bath_at(when)
    in_bath = view.setup.mode != "in air" and high - low < 10.0
    return "bath" if in_bath and low - 2.0 <= celsius <= high + 2.0 else ""


def _allowed(row: Floats, weights: Floats) -> tuple[float, float]:
    """Lowest and highest reading that may be right, °C: the 1 % and 99 % members, and 2 K more for tip, stirring
    and a model that is too simple."""
    low, high = (float(q[0]) for q in _quantiles(row, weights, (0.01, 0.99)))
    return low - 2.0, high + 2.0


def _meant(celsius: float, floor: float, ceiling: float) -> str | None:
    """What may have been meant by a mistyped number: swapped digits, a lost point, Fahrenheit."""
    digits = f"{celsius:g}"
    guesses: list[tuple[float, str]] = []
    if len(digits) >= 2 and digits[:2].isdigit():
        swapped = float(digits[1] + digits[0] + digits[2:])
        guesses.append((swapped, f"{swapped:g}"))
    guesses += [(celsius * 10, f"{celsius * 10:g}"), (celsius / 10, f"{celsius / 10:g}")]
    guesses.append(((celsius - 32) / 1.8, tr("{celsius:g} °F", celsius=celsius)))
    return next((text for value, text in guesses if floor <= value <= ceiling), None)


def _project(setup: PotSetup, ensemble: Ensemble, now: float, readings: int, ahead_s: float) -> PotForecast:
    """Paths from the ensemble's start to `now` and on to the horizon."""
    members, tab = ensemble.members, table(setup.wax)
    past = _up_to(setup, ensemble, now)
    after = run(tab, members, setup.mode, now + _graded(ahead_s), past)
    return PotForecast(setup, now, readings, ensemble.weights, _joined(past, after), ensemble)


def _within(t: float, end: float) -> float:
    """A time, or never where it lies past the end."""
    return t if t <= end else math.inf


def _parts(path: Path) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    return path.times, path.h, path.celsius, path.bath_c, path.water


def _up_to(setup: PotSetup, ensemble: Ensemble, now: float) -> Path:
    """The paths of the fit carried on to `now`; what that costs stops growing some days after the last reading."""
    past = ensemble.path
    last = float(past.times[-1])
    if now <= last:
        return past
    moving = min(now, last + _SETTLED_S)
    fine = grid_through(last, np.array([min(now, last + _FINE_S)]), STEP_S)
    times = np.concatenate([fine, _lengthening(float(fine[-1]), moving)])
    path = _joined(past, run(table(setup.wax), ensemble.members, setup.mode, times, past))
    return path if now == moving else _at_rest(path, now)


def _lengthening(start: float, end: float) -> Floats:
    """Times after `start` up to `end`, first as far apart as before it, then further and further."""
    steps: list[float] = []
    t, step = start, STEP_S
    while t < end:
        step = min(step * _UNREAD_GROWTH, _UNREAD_STEP_S)
        t = end if t + step > end - 1.0 else t + step
        steps.append(t)
    return np.array(steps)


def _at_rest(path: Path, until: float) -> Path:
    """The paths with their last values held until then."""
    held = (np.concatenate([rows, rows[-1:]]) for rows in _parts(path)[1:])
    return Path(np.append(path.times, until), *held)


def _joined(a: Path, b: Path) -> Path:
    """One path after the other; the last time of `a` is the first of `b`."""
    return Path(*(np.concatenate([x[:-1], y]) for x, y in zip(_parts(a), _parts(b), strict=True)))


def _graded(span: float) -> Floats:
    """0 to `span` in steps that grow from short ones: the near future is asked for finely."""
    steps: list[float] = [0.0]
    step = _FIRST_STEP_S
    while steps[-1] < span:
        steps.append(steps[-1] + step)
        step = min(step * _GROWTH, _LONGEST_STEP_S)
    return np.array(steps)


def _first_time(times: Floats, above: Floats) -> Floats:
    """First time each column of `above` (times, n) is not negative, linear between rows; inf where never."""
    reached = above >= 0.0
    ever = reached.any(axis=0)
    row = np.argmax(reached, axis=0)
    column = np.arange(above.shape[1])
    before = np.maximum(row - 1, 0)
    a, b = above[before, column], above[row, column]
    share = np.where(row > 0, -a / np.where(b > a, b - a, 1.0), 0.0)
    return np.where(ever, times[before] + share * (times[row] - times[before]), np.inf)


def _quantiles(rows: Floats, weights: Floats, at: Sequence[float] = QUANTILES) -> tuple[Floats, ...]:
    """Weighted quantiles along the last axis of `rows` (times, n), each of shape (times,)."""
    order = np.argsort(rows, axis=1)
    values = np.take_along_axis(rows, order, axis=1)
    w = weights[order]
    middle = np.cumsum(w, axis=1) - 0.5 * w
    lines = zip(values, middle, strict=True)
    table_ = np.array([np.interp(at, m, v) for v, m in lines])
    return tuple(table_.T)
