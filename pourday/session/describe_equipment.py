"""Who was at the stove and with what, in words; what was not told is not in them."""

from __future__ import annotations

from pourday.language import tr
from pourday.session.events import Equipped, ThermometerCheck
from pourday.units import Units, show_difference, show_mass, show_temperature


def equipped_words(equipped: Equipped, units: Units) -> list[tuple[str, str]]:
    """(what, says) of all that was told."""
    rows = [
        (tr("made by"), equipped.who),
        ("thermometer", "; ".join((equipped.thermometer or tr("not named"), *_checks(equipped, units)))),
        ("scale", equipped.scale),
        ("pot", equipped.pot),
        ("burner", equipped.burner),
    ]
    if not equipped.thermometer and not equipped.checks:
        rows[1] = ("thermometer", "")
    if equipped.scale and equipped.scale_step is not None:
        rows[2] = (
            "scale",
            tr(
                "{scale}, in steps of {mass}",
                scale=equipped.scale,
                mass=show_mass(equipped.scale_step, units, equipped.scale_step),
            ),
        )
    return [(what, says) for what, says in rows if says]


def _checks(equipped: Equipped, units: Units) -> list[str]:
    return [check_words(check, units) for check in equipped.checks]


def check_words(check: ThermometerCheck, units: Units) -> str:
    """One check and the offset that came of it: `in ice 0.4 °C (0.4 °C too high), 20 Nov`."""
    off = check.read_c - check.should_c
    water = (
        tr("ice")
        if check.water == "ice"
        else tr("water that boils at {temperature}", temperature=show_temperature(check.should_c, units, 1))
    )
    result_words = (
        tr("right")
        if abs(off) < 0.05
        else tr(
            "{difference} too {off}",
            difference=show_difference(abs(off), units, 1),
            off=tr("high") if off > 0 else tr("low"),
        )
    )
    on = f", {check.on}" if check.on else ""
    return tr(
        "showed {temperature} in {water}{on}: {found}",
        temperature=show_temperature(check.read_c, units, 1),
        water=water,
        on=on,
        found=result_words,
    )
