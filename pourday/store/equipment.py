"""Who is at the stove and with what: the settings of this machine put on record of a day."""

from __future__ import annotations

from pourday.plan.water import boiling_c
from pourday.session.events import Equipped, ThermometerCheck
from pourday.store.live import LiveSession
from pourday.store.settings import Settings


def equipped_by(settings: Settings) -> Equipped:
    """What the settings say, as a fact; empty where they say nothing. Boiling water by their altitude."""
    checks = []
    if settings.in_ice is not None:
        celsius, on = settings.in_ice
        checks.append(ThermometerCheck(water="ice", read_c=celsius, should_c=0.0, on=on))
    if settings.in_boiling is not None:
        celsius, on = settings.in_boiling
        boils = round(boiling_c(settings.altitude), 1)
        checks.append(ThermometerCheck(water="boiling", read_c=celsius, should_c=boils, on=on))
    return Equipped(
        who=settings.who,
        thermometer=settings.thermometer,
        checks=tuple(checks),
        scale=settings.scale,
        scale_step=settings.scale_step if settings.scale else None,
        pot=settings.pot,
        burner=settings.burner,
    )


def put_on_record(live: LiveSession, settings: Settings, *, now: float) -> None:
    """File who and with what, where the record does not say so yet; nothing in a demo, whose hands are nobody's."""
    if live.readonly or live.state.demo or live.state.finished_at is not None or live.over:
        return
    fact = equipped_by(settings)
    if fact != live.state.equipped:
        live.file(fact, now=now, by="program")
