"""What one day said of its kitchen by itself, kept small: along a few directions through the factors, how likely each
place is.

A look tells of all factors together (a top that loses more heat and a wax that sets higher both open a layer sooner),
so what a day says depends on little more than one weighted sum of them. How likely its looks are along that sum need
not be a normal curve: a layer that carried when somebody first looked says "sooner than this", and nothing of how much
sooner.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pourday.learning.factors import FACTORS, PLACES, SIGMAS, Array, Prior

NODES = np.linspace(-4.5, 4.5, 61)
"""Where along a direction it is kept how likely that place is, in standard deviations before anything is seen. Chosen."""
BLUR = 0.07
"""How far a place counts for those beside it, in the same units. Chosen."""
LEAST_LOG = -12.0
"""Natural logarithm that stands for impossible. Chosen."""
MOST_WAYS = 3
WORTH_KEEPING = 0.05
"""Nats that a direction has to tell to be kept; less may come from the uneven places (0.02 where nothing was seen). Chosen."""
NEARLY_THE_SAME = 0.9
"""Two directions are taken for one where the cosine of the angle between them is above this. Chosen."""
TURNS = (0.3, 0.3, 0.15, 0.15, 0.08, 0.08, 0.04, 0.04)
"""Radians that a direction is turned to either side, to see whether it tells more there. Chosen."""
NARROW = 0.12
"""How wide the steps are in which that is looked at. Chosen."""
_ALL = len(FACTORS)


@dataclass(frozen=True)
class SaidAlong:
    """How likely what was seen is, along one direction through the factors."""

    way: tuple[float, ...]
    """A direction of length one, in units of `SIGMAS`, in the order of `FACTORS`."""
    log_chance: tuple[float, ...]
    """Natural logarithm of how likely, at each of `NODES`; the likeliest is nought."""


def said_by(joint: Array, prior: Prior) -> tuple[SaidAlong, ...]:
    """What a day's looks said, kept small. `joint` is the chance of every place of the factors after them, `prior` what was
    known before: the change from even chances is cut into the few directions along which it is largest, each with its
    likelihood."""
    root = np.linalg.cholesky(prior.covariance)
    unit = np.linalg.inv(root) @ np.diag(SIGMAS)
    off = np.linalg.solve(root, prior.mean)
    places = (prior.places - prior.mean) @ np.linalg.inv(root).T
    left, ways, told = joint * PLACES, list[SaidAlong](), np.zeros((0, _ALL))
    while len(ways) < MOST_WAYS:
        way = _tells_most(places, left)
        if (np.abs(told @ way) > NEARLY_THE_SAME).any():
            break  # What is left there is only what the blur took.
        told = np.vstack([told, way])
        # From the places' own units, about the prior's mean, to those of `SIGMAS`, about nought.
        stretched = unit.T @ way
        size = float(np.linalg.norm(stretched))
        along = (places @ way + way @ off) / size
        chance, tells = _along(along, left)
        if tells < WORTH_KEEPING:
            break
        ways.append(
            SaidAlong(
                tuple(round(float(x / size), 4) for x in stretched),
                tuple(round(float(x), 2) for x in np.maximum(np.log(chance / chance.max()), LEAST_LOG)),
            )
        )
        left = left / np.maximum(np.interp(along, NODES, chance), 1e-9)
    return tuple(ways)


def _tells_most(places: Array, likelihood: Array) -> Array:
    """The direction, of length one, along which the looks tell most: where the weights of the places are furthest from even.
    Found by mean and spread, then improved by turning it a little to all sides."""
    weights = likelihood / likelihood.sum()
    mean = weights @ places
    apart = (places - mean).T * weights @ (places - mean) - np.eye(_ALL)
    _, ways = np.linalg.eigh(apart @ apart + 2 * np.outer(mean, mean))
    way: Array = ways[:, -1]
    most = _tells(places @ way, weights)
    for turn in TURNS:
        for aside in (*ways.T, *-ways.T):
            other = way + turn * aside
            other /= np.linalg.norm(other)
            tells = _tells(places @ other, weights)
            if tells > most:
                way, most = other, tells
    return way


def _tells(along: Array, weights: Array) -> float:
    """How many nats the looks tell along a direction, roughly: the information in where the weights lie, counted in steps of
    `NARROW`. `along` has each place's position on it."""
    bins = np.clip(((along - NODES[0]) / NARROW).astype(int), 0, int(2 * NODES[-1] / NARROW))
    share, count = np.bincount(bins, weights), np.bincount(bins)
    there = share > 0
    return float(share[there] @ np.log(share[there] / count[there]))


def _along(along: Array, likelihood: Array) -> tuple[Array, float]:
    """(likelihood near each of `NODES` along a direction, how many nats it tells). `along` has each place's position on it;
    beyond the outermost places the likelihood stays what it is there."""
    near = np.exp(-0.5 * ((NODES[:, None] - along) / BLUR) ** 2)
    count = near.sum(axis=1)
    there = count > 1.0
    chance = np.interp(NODES, NODES[there], (near[there] @ likelihood) / count[there])
    share = count / count.sum()
    chance /= float(share @ chance)
    return np.asarray(chance), float(share @ (chance * np.log(np.maximum(chance, 1e-300))))
