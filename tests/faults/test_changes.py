"""The changes whose size is computed: each cause has one place, and what a change says can be read."""

from __future__ import annotations

from pourday.faults.burn_changes import BURN_CHANGES
from pourday.faults.day_changes import DAY_CHANGES
from pourday.faults.heat_changes import HEAT_CHANGES
from pourday.faults.sized_change import degrees
from pourday.faults.table import causes
from tests.faults.days import WrittenDay
from tests.faults.written import usual_day


def test_every_cause_is_known_to_the_table_and_sized_in_one_place_only():
    sized = [*HEAT_CHANGES, *DAY_CHANGES, *BURN_CHANGES]
    assert set(sized) <= set(causes())
    assert len(sized) == len(set(sized))


def test_a_temperature_is_said_in_the_units_of_the_plan():
    record = usual_day(WrittenDay()).record()
    assert record.batch.plan.units == "metric"
    assert degrees(record, 71.0) == "71 °C"
