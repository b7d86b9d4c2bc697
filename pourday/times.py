"""How the guide writes times and spans: local clock time, the day when it is not today's, plain spans."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

from pourday.errors import Trouble
from pourday.language import dated, tr

MINUTE = 60
HOUR = 3600
DAY = 24 * HOUR
"""Seconds, by definition."""
NEVER = 4e9
"""Seconds since the epoch past which a time means never. Chosen."""


def local(t: float) -> datetime:
    """Seconds since the epoch as local time."""
    return datetime.fromtimestamp(t)


def utc_text(t: float) -> str:
    """A moment for a program: `2026-11-25T12:00:00Z`."""
    return datetime.fromtimestamp(t, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def clock(t: float, now: float | None = None) -> str:
    """`14:47`; with the day in front when `now` is given and the day is another: `Thu 07:10`.

    Where the clocks go back meanwhile, or show that hour twice, the zone says which is meant: `02:20 CET`.
    """
    if not abs(t) < NEVER:
        return tr("no time in sight")
    when = local(t)
    zone = f" {when.astimezone():%Z}" if _needs_zone(when, t, now) else ""
    if now is None or when.date() == local(now).date():
        return f"{when:%H:%M}{zone}"
    if abs(t - now) < 6 * DAY:
        return f"{dated(when, '%a %H:%M')}{zone}"
    return f"{dated(when, '%d %b %H:%M')}"


def _needs_zone(when: datetime, t: float, now: float | None) -> bool:
    """Whether the hands of a clock alone would be taken for another moment."""
    if when.replace(fold=0).timestamp() != when.replace(fold=1).timestamp():
        return True
    near = now is not None and abs(t - now) < DAY
    return near and local(now or 0.0).astimezone().utcoffset() != when.astimezone().utcoffset()


def span(seconds: float) -> str:
    """A stretch of time as a person says it: `45 s`, `12 min`, `2 h 05`, `3 days`."""
    seconds = abs(seconds)
    if seconds < 90:
        return tr("{seconds:.0f} s", seconds=seconds)
    if seconds < 90 * MINUTE:
        return tr("{seconds:.0f} min", seconds=seconds / MINUTE)
    if seconds < 2 * DAY:
        minutes = round(seconds / MINUTE)
        return tr("{hours} h {minutes:02d}", hours=minutes // 60, minutes=minutes % 60)
    return days(seconds / DAY)


def countdown(seconds: float) -> str:
    """Time left for big digits: `4:09`, `1h23`, `2d 4h`; what is overdue counts up with a plus."""
    sign = "+" if seconds < 0 else ""
    whole = int(abs(seconds))
    if whole < HOUR:
        return f"{sign}{whole // 60}:{whole % 60:02d}"
    if whole < DAY:
        return f"{sign}{whole // HOUR}h{whole % HOUR // 60:02d}"
    return tr("{sign}{days}d {hours}h", sign=sign, days=whole // DAY, hours=whole % DAY // HOUR)


def days(count: float) -> str:
    """`1 day`, `14 days`: to whole ones."""
    whole = round(count)
    return tr("{whole} day", whole=whole) if whole == 1 else tr("{whole} days", whole=whole)


MANY = 4
"""Letters one after the other from which only the first and the last are said."""


def letters(moulds: str) -> str:
    """`AB` as `A and B`, `ABCDEFGH` as `A to H`."""
    runs = [
        tr("{first} to {last}", first=run[0], last=run[-1]) if len(run) >= MANY else run
        for run in _runs(moulds)
    ]
    parts = [part for run in runs for part in ([run] if " " in run else run)]
    return (
        parts[0]
        if len(parts) == 1
        else tr("{several} and {last}", several=", ".join(parts[:-1]), last=parts[-1])
        if parts
        else ""
    )


def letters_short(moulds: str) -> str:
    """`AB` as `A B`, `ABCDEFGH` as `A-H`: behind a word in block letters and in a row of the agenda."""
    return " ".join(f"{run[0]}-{run[-1]}" if len(run) >= MANY else " ".join(run) for run in _runs(moulds))


def _runs(moulds: str) -> list[str]:
    """The letters cut where one does not follow the other; as they stand."""
    runs: list[str] = []
    for letter in moulds:
        if runs and ord(letter) == ord(runs[-1][-1]) + 1:
            runs[-1] += letter
        else:
            runs.append(letter)
    return runs


def mould_key(letter: str) -> str:
    """The key that answers with a mould; the number of one whose letter has its own work at all times, E the fire card."""
    return {"D": "4", "E": "5", "G": "7", "H": "8", "S": "9", "Z": "6"}.get(letter, letter.lower())


def read_clock(text: str, now: float) -> float:
    """When the clock next shows a time as it is typed (`9`, `9:30`, `9.30`, `2 pm`), seconds since the epoch.

    Raises `Trouble` for what is no time of day.
    """
    match = re.fullmatch(r"\s*([0-9]{1,2})(?:[:.h]([0-5][0-9]))?\s*(h|am|pm|a|p)?\s*", text.lower())
    hour = int(match[1]) if match else 99
    half = (match[3] or "")[:1] if match else ""
    if half in ("a", "p"):
        hour = hour % 12 + (12 if half == "p" else 0) if 1 <= hour <= 12 else 99
    if match is None or hour > 24:
        raise Trouble(
            tr("“{typed}” is not a time of day.", typed=text.strip()),
            instead=tr("Type it like 9:30, 14 or 2 pm."),
        )
    today = local(now).replace(hour=hour % 24, minute=int(match[2] or 0), second=0, microsecond=0)
    then = today.timestamp()
    return then if then >= now else (today + timedelta(days=1)).timestamp()


def shorter(early: float, late: float, now: float, beside: str) -> tuple[str, ...]:
    """How sure a time is that stands `beside`, longest first: from when to when, until when, give or take how much."""
    whole = between(early, late, now, beside)
    if not whole:
        return ("",)
    half = span((late - early) / 2)
    return (
        whole,
        tr("until {rpartition}", rpartition=whole.rpartition("-")[2]),
        f"±{half}",
        f"±{half}".replace(" ", ""),
        "",
    )


def between(early: float, late: float, now: float, beside: str) -> str:
    """From when to when, without the day where the time it stands beside has said it; empty for one minute."""
    first, last = (clock(t, now).removeprefix(beside[:-5]) for t in (early, late))
    return f"{first}-{last}" if first != last else ""
