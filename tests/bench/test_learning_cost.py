"""What learning from a thousand records costs in processor time: once, and when the newest is all that changed.

The records are the two sample days on other dates, every temperature moved by up to a kelvin. Nothing is cached between them:
each is a plan, moulds and looks of its own to the program. On two loaded cores 30 s once, 0.6 s for one that is new.
"""

from __future__ import annotations

import datetime as dt
import random
import time
from pathlib import Path
from typing import Any

import msgspec
import pytest

from pourday.reports.kitchen_days import NEWEST, day_rows

pytestmark = pytest.mark.bench
SAMPLES = sorted((Path(__file__).parents[2] / "sessions").glob("*.json"))
FIRST = dt.date(2023, 12, 1)
RECORDS = 1000


def moved(fact: Any, by: dt.timedelta, kelvin: float) -> Any:
    """The same with every time moved by so much, and every temperature."""
    if isinstance(fact, list):
        return [moved(one, by, kelvin) for one in fact]
    if isinstance(fact, dict):
        return {
            key: round(value + kelvin, 1)
            if key == "celsius" and isinstance(value, float)
            else moved(value, by, kelvin)
            for key, value in fact.items()
        }
    if isinstance(fact, str) and len(fact) > 18 and fact[10] == "T" and fact[:4].isdigit():
        return (
            (dt.datetime.fromisoformat(fact) + by).isoformat(timespec="milliseconds").replace("+00:00", "Z")
        )
    return fact


def make(folder: Path) -> None:
    """A thousand finished days of a real kitchen."""
    samples = [msgspec.json.decode(path.read_bytes()) for path in SAMPLES]
    for n in range(RECORDS):
        day, sample = FIRST + dt.timedelta(days=n), samples[n % len(samples)]
        was = dt.date.fromisoformat(sample["session"][:10])
        record = moved(sample, day - was, random.Random(n).uniform(-1.0, 1.0))
        record |= {"session": f"{day}-day", "demo": False}
        for entry in record["entries"]:
            entry["fact"] |= {key: record[key] for key in ("session", "demo") if key in entry["fact"]}
        (folder / f"{day}-day.json").write_bytes(msgspec.json.encode(record))


def test_a_thousand_records_are_learned_from_in_under_a_minute_once(tmp_path: Path) -> None:
    make(tmp_path)
    start = time.process_time()
    rows = day_rows(tmp_path)
    once = time.process_time() - start
    assert (len(rows), sum(row.day is not None for row in rows)) == (RECORDS, NEWEST)
    newest = max(tmp_path.glob("*-day.json"))
    newest.write_bytes(newest.read_bytes() + b"\n")
    start = time.process_time()
    assert len(day_rows(tmp_path)) == RECORDS
    after = time.process_time() - start
    print(f"\na thousand records {once:.1f} s of CPU, one that is new {after:.2f} s")
    assert once < 60
    assert after < 0.1 * once
