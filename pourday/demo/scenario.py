"""The invented day that demo, pictures and samples play: two pillars in two colours."""

from __future__ import annotations

from datetime import datetime

from pourday.language import tr
from pourday.plan.model import BlendPart, Cylinder, Layer, Mould, Plan

START = 1_792_911_600.0
"""A made-up Sunday morning in October 2026, 07:00 UTC, seconds since the epoch. Chosen."""


def morning() -> float:
    """Half past eight on the clock of this place, on a made-up Saturday: seconds since the epoch."""
    return datetime(2026, 10, 24, 8, 30).astimezone().timestamp()


def two_pillars() -> Plan:
    """A tall bright metal mould and a shorter plastic one; a plug, then rust under cream."""
    return Plan(
        title=tr("Two pillars, rust and cream"),
        room_c=20.0,
        bath=0.0015,
        moulds=(
            Mould(
                name="tall",
                shape=Cylinder(diameter=0.075, height=0.150),
                material="bright metal",
            ),
            Mould(
                name="short",
                shape=Cylinder(diameter=0.065, height=0.100),
                material="plastic",
                limit_c=85.0,
            ),
        ),
        blend=(BlendPart(wax="paraffin_pillar", lot=tr("sack opened in spring")),),
        layers=(
            Layer(colour="rust", swatch="#b4532f", share=0.55, scent_load=0.04, dye_load=0.0008),
            Layer(colour="cream", swatch="#ead9b5", share=0.45, scent_load=0.04, dye_load=0.0001),
        ),
        scent_lot=tr("orange and clove, mixed at home"),
        dye_lot=tr("liquid, red-brown and ivory"),
        wick=tr("flat braid, 36 ply, primed"),
    )
