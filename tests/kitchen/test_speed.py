"""How fast the simulated kitchen runs; a yardstick for the demo, not a rule of physics."""

import time

import numpy as np
import pytest

from pourday.kitchen.kitchen import Kitchen
from pourday.kitchen.pot import Pot
from pourday.plan.model import Plan
from pourday.wax.materials import family


@pytest.mark.bench
def test_a_day_of_four_moulds_takes_under_three_seconds(pillar_plan: Plan) -> None:
    import msgspec

    four = msgspec.structs.replace(pillar_plan, moulds=pillar_plan.moulds * 2)
    k = Kitchen(four, 0, 0.0, water_kg=4.0)
    start = time.process_time()
    k.add_wax(2.9)
    k.burner(True)
    k.advance(5400)
    for layer in range(2):
        k.draw_jug(layer, 1.3)
        k.advance(k.now + 600)
        for letter in "ABCD":
            k.pour(letter, 0.25, layer)
        k.advance(k.now + 3600)
    k.burner(False)
    k.advance(30 * 3600)
    whole = time.process_time() - start
    start = time.process_time()
    for _ in range(50):
        k.advance(k.now + 60)
    print(f"30 h: {whole:.2f} s CPU; 60 s step: {(time.process_time() - start) * 20:.2f} ms")
    assert whole < 3


@pytest.mark.bench
def test_an_hour_of_the_pot_takes_under_five_milliseconds() -> None:
    pot = Pot(family("paraffin_pillar"), 1.2, 4.0, np.random.default_rng(0))
    pot.burner(True)
    start = time.process_time()
    pot.advance(10 * 3600)
    assert (time.process_time() - start) / 10 < 0.005
