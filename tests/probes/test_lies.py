"""How many lies of a probe are caught, and how often a true one is accused: seeded, the odd seeds held back."""

from __future__ import annotations

from collections import Counter

import pytest

from pourday.probes.doubt import Surroundings
from pourday.probes.source import read_source
from pourday.probes.watch import ProbeWatch
from tests.probes.lies import LIES, lying_lines, true_lines

WITHIN = 3
"""Readings within which a lie has to be caught."""
STRAYS = 1.0
"""K from the truth at which a frozen value begins to matter: twice the noise."""


def watch(*names: str) -> ProbeWatch:
    made = ProbeWatch({name: read_source(f"place={name} file:/nowhere") for name in names})
    made.around = Surroundings(room_c=20.0, boiling_c=100.0)
    return made


def readings_until_caught(seed: int, lie: str) -> int:
    """Lying readings up to the first one that does not count; of a frozen one, from when the truth has left it."""
    probes = watch("pot", "jug") if lie == "swapped" else watch("pot")
    lying = 0
    for line, second in lying_lines(seed, lie):
        probes.heard("pot", [line.text.encode()], line.t)
        if second is not None:
            probes.heard("jug", [second.text.encode()], second.t)
        matters = lie != "frozen" or abs(float(line.text) - line.true) > STRAYS
        lying += line.lying and matters
        pot = probes.probes[0]
        if line.lying and (pot.lie is not None or pot.counted_at != line.t):
            return max(1, lying)
        if lying > 60:
            break
    return 99


def caught(seeds: range) -> tuple[float, Counter[str]]:
    """Share of lies caught within three readings, and how many of each kind were missed."""
    missed: Counter[str] = Counter()
    for lie in LIES:
        missed[lie] += sum(readings_until_caught(seed, lie) > WITHIN for seed in seeds)
    return 1 - sum(missed.values()) / (len(LIES) * len(seeds)), missed


def accusations(seeds: range, hours: float) -> float:
    """False accusations an hour: readings of a true probe that begin to be doubted."""
    begun = 0
    for seed in seeds:
        probes, before = watch("pot"), None
        for line in true_lines(seed, hours):
            probes.heard("pot", [line.text.encode()], line.t)
            lie = probes.probes[0].lie
            begun += lie is not None and before is None
            before = lie
    return begun / (hours * len(seeds))


SEEDS = pytest.mark.parametrize("first", [0, 1], ids=["even seeds", "odd seeds, held back"])


@SEEDS
def test_19_of_20_lies_are_caught_within_three_readings(first):
    share, missed = caught(range(first, 8, 2))
    assert share >= 0.95, missed
    assert max(missed.values()) <= 1, missed


@SEEDS
def test_a_true_probe_with_half_a_kelvin_of_noise_is_accused_less_than_once_an_hour(first):
    assert accusations(range(first, 12, 2), 0.25) < 1.0


@pytest.mark.slow
@SEEDS
def test_the_same_of_many_more(first):
    share, missed = caught(range(first, 120, 2))
    assert share >= 0.95, missed
    assert max(missed.values()) <= 6, missed
    assert accusations(range(first, 40, 2), 3.0) < 1.0
