"""What it costs to redraw the pot strip at 5,000 readings, against textual-plot drawing the same points in the same app."""

from __future__ import annotations

import asyncio
import statistics
import time
from dataclasses import replace

import numpy as np
import pytest
from textual.app import App, ComposeResult
from textual_plot import HiResMode, PlotWidget

from pourday.demo.scenario import START, two_pillars
from pourday.guide.outlook.outlook import look_ahead
from pourday.session import events as ev
from pourday.session.events import Entry
from pourday.session.fold import fold
from pourday.session.state import ReadingAt, State
from pourday.tui.drawing.canvas import Canvas
from pourday.tui.drawing.pot_strip import BACK, PotStripCache, draw_pot

pytestmark = pytest.mark.bench
POINTS = 5000
ROUNDS, TURN = 60, 6
SIZE = (120, 9)
NOW = START + 50 * 60


def state_with(readings: tuple[ReadingAt, ...]) -> State:
    facts = (
        ev.Opened(session="a", program="0"),
        ev.PlanFixed(plan=two_pillars()),
        ev.BurnerSet(state="on"),
        ev.Reading(place="pot", celsius=60),
    )
    when = ev.moment(START)
    entries = [Entry(seq=n, at=when, logged_at=when, by="person", fact=f) for n, f in enumerate(facts, 1)]
    return replace(fold(entries), readings=readings)


def course() -> tuple[np.ndarray, np.ndarray]:
    t = np.linspace(NOW - BACK + 1, NOW - 1, POINTS)
    noise = np.random.default_rng(5).normal(0, 0.5, POINTS)
    return t, 70 + 15 * np.sin((t - t[0]) / 600) + noise


class Both(App[None]):
    """Our strip over a plot of the same size."""

    def compose(self) -> ComposeResult:
        self.ours, self.theirs = Canvas(), PlotWidget()
        self.ours.styles.height = self.theirs.styles.height = SIZE[1]
        yield self.ours
        yield self.theirs


async def cost(painted: asyncio.Event, redraw) -> float:
    """Processor seconds from new data to the frame that shows it."""
    painted.clear()
    begun = time.process_time()
    redraw()
    await asyncio.wait_for(painted.wait(), 5)
    taken = time.process_time() - begun
    await asyncio.sleep(0.03)
    return taken


@pytest.mark.parametrize("cells", ["braille", "blocks"])
async def test_a_redraw_at_5000_readings_takes_a_fifth_of_textual_plots(cells, capsys):
    """A new reading each time; six redraws of the one, then six of the other. Braille against braille, the yardstick's
    cheapest way to draw."""
    t, celsius = course()
    readings = tuple(
        ReadingAt(n, a, "pot", c, "", "probe", "")
        for n, (a, c) in enumerate(zip(t.tolist(), celsius.tolist(), strict=True))
    )
    outlook = look_ahead(state_with(readings[:1]), NOW)
    hires = HiResMode.BRAILLE if cells == "braille" else None
    app, painted = Both(), asyncio.Event()
    times: dict[str, list[float]] = {"textual-plot": [], "strip": []}
    async with app.run_test(size=(SIZE[0], 2 * SIZE[1])) as pilot:
        await pilot.pause(0.3)
        real_display = app._display

        def display(screen, update):
            real_display(screen, update)
            if update is not None:
                update.render_segments(app.console)
            painted.set()

        app._display = display
        cache = PotStripCache()
        for number in range(ROUNDS):
            late = NOW - 1 + number / ROUNDS
            readings = (*readings, ReadingAt(number, late, "pot", 60.0 + 20 * (number % 2), "", "probe", ""))
            t, celsius = np.append(t, late), np.append(celsius, readings[-1].celsius)
            state = state_with(readings)

            def ours(state=state):
                app.ours.show(draw_pot(state, outlook, NOW, SIZE[0], SIZE[1] - 1, cells, cache))

            def theirs(t=t, celsius=celsius):
                app.theirs.clear()
                app.theirs.plot(t, celsius, hires_mode=hires)

            name = "strip" if number // TURN % 2 else "textual-plot"
            times[name].append(await cost(painted, ours if name == "strip" else theirs))
        shown = app.ours.plain()
    middle = {name: statistics.median(values) for name, values in times.items()}
    ratio = middle["strip"] / middle["textual-plot"]
    with capsys.disabled():
        print(
            f"\n{cells}: {', '.join(f'{n} {v * 1e3:.1f} ms' for n, v in middle.items())}; ratio {ratio:.3f}"
        )
    assert "● pot" in shown
    assert ratio <= 0.2
