"""The person's own clock: quiet hours, bedtime, and a time by which they must leave."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from pourday.language import tr
from pourday.session.state import State
from pourday.times import DAY, MINUTE, NEVER, clock, local

LATE_START = 30 * MINUTE
"""s before bedtime from which a day that is begun is one for which somebody stays up. An estimate of ours."""
LAST_THINGS = 15 * MINUTE
"""s before bedtime by which the last pour is made: the burner goes off and the jug is wiped. An estimate of ours."""


@dataclass(frozen=True, slots=True)
class PersonsClock:
    """Local hours of the day, 0 to 24 with parts, as the person has set them."""

    quiet_from: float = 22.0  # estimate
    quiet_to: float = 7.0
    """Equal to `quiet_from` where there are no quiet hours. Estimate."""
    bedtime: float | None = None
    """Hour of the last thing done at the bench; None takes the beginning of the quiet hours."""
    hard_stop: float | None = None
    """Seconds since the epoch: by then the person must leave; None where nothing presses."""
    up_until: float | None = None
    """Seconds since the epoch: until then the person works on into the quiet hours of that one night, and no longer than these
    last. One that is over has no effect."""

    def of(self, state: State) -> PersonsClock:
        """This clock with what is on record: the hard stop, and until when somebody stays up.

        Who begins a day in the quiet hours, or just before them, is up for the night without having said so.
        """
        up = state.stays_up if state.stays_up is not None else self._begun_late(state.fixed_at)
        return replace(self, hard_stop=state.hard_stop or self.hard_stop, up_until=up or self.up_until)

    def _begun_late(self, begun_at: float | None) -> float | None:
        """The end of the quiet hours in, or just before, which a day was begun; None where it was begun in time."""
        if begun_at is None or self.quiet_from == self.quiet_to:
            return None
        if self.quiet(begun_at) or self.bed(begun_at) - begun_at <= LATE_START:
            return self.morning(begun_at)
        return None

    def _night_out(self, hour: float) -> tuple[float, float]:
        """From when to when somebody stays up in their night, which begins at an hour; an empty stretch where they do not."""
        if self.up_until is None:
            return NEVER, NEVER
        evening = next_at(self.up_until - DAY, hour)
        has_quiet = self.quiet_from != self.quiet_to
        return evening, min(self.up_until, self.morning(evening)) if has_quiet else self.up_until

    def quiet(self, t: float) -> bool:
        """Whether nobody is sent to the bench at this time."""
        if t >= NEVER or self.quiet_from == self.quiet_to:
            return False
        evening, up_until = self._night_out(self.quiet_from)
        if evening <= t < up_until:
            return False
        hour = _hour(local(t))
        if self.quiet_from < self.quiet_to:
            return self.quiet_from <= hour < self.quiet_to
        return hour >= self.quiet_from or hour < self.quiet_to

    def awake(self, t: float) -> float:
        """The time itself, or the end of the quiet hours where it falls inside them."""
        return next_at(t, self.quiet_to) if self.quiet(t) else t

    def bed(self, now: float) -> float:
        """The next bedtime; never, where there are no quiet hours and no bedtime."""
        if self.bedtime is None and self.quiet_from == self.quiet_to:
            return float("inf")
        hour = self.quiet_from if self.bedtime is None else self.bedtime
        usual = next_at(now, hour)
        evening, up_until = self._night_out(hour)
        return up_until if evening <= now < up_until or evening <= usual < up_until else usual

    def ends(self, now: float) -> float:
        """When the person is gone from the bench today: bedtime, or the hard stop where that is sooner."""
        stop = self.hard_stop if self.hard_stop is not None and self.hard_stop > now else float("inf")
        return min(self.bed(now), stop)

    def before_bed(
        self, t: float, earliest: float, takes: float = 0.0, since: float | None = None
    ) -> tuple[float, str]:
        """(when to do it, why it is then) for something that is to be done at `t`, not before `earliest`.

        `since` is when the bench was last worked at (`earliest` where None): before the bedtime after that where
        it can be, in the morning where it cannot. The reason is empty where nothing moved.
        """
        if t >= NEVER:
            return t, ""
        ends = self.ends(earliest if since is None else since)
        if ends < NEVER and self.morning(ends) <= t < NEVER:
            # The night is over already: what waited through it need not wait through the next.
            ends = self.ends(t)
        last = ends - LAST_THINGS - takes
        if t <= last and not self.quiet(t):
            return t, ""
        if earliest <= last < t:
            return last, tr(" Worked back from {clock}, when you are gone from the bench.", clock=clock(ends))
        morning = self.awake(t) if t <= last else self.morning(max(t, ends))
        return morning, tr(" Nobody is at the bench at {clock}; it keeps until then.", clock=clock(t))

    def morning(self, t: float) -> float:
        """The end of the first night after a time."""
        return next_at(t, self.quiet_to)

    def overnight(self, t: float) -> float:
        """The end of the first night after a time; that time itself for a person without quiet hours."""
        return t if self.quiet_from == self.quiet_to else self.morning(t)


def _hour(when: datetime) -> float:
    """Hour of the day, 0 to 24 with parts."""
    return when.hour + when.minute / 60 + when.second / 3600


def next_at(t: float, hour: float) -> float:
    """When the local clock next shows an hour (0 to 24 with parts), at `t` or later; seconds since the epoch, both."""
    when = local(t)
    day = when.replace(hour=0, minute=0, second=0, microsecond=0)
    minutes = round(hour * 60)
    next_time = day.replace(hour=minutes // 60 % 24, minute=minutes % 60)
    if next_time < when.replace(microsecond=0):
        next_time = (day + timedelta(days=1)).replace(hour=minutes // 60 % 24, minute=minutes % 60)
    return next_time.timestamp()
