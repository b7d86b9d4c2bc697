"""What the settings say of probes, read: sources and tests by name. What cannot be used was complained of when the file was read."""

from __future__ import annotations

from pourday.probes.offset import ProbeTest, read_test
from pourday.probes.source import SourceSpec, read_source
from pourday.store.settings import Settings


def probe_sources_of(settings: Settings) -> dict[str, SourceSpec]:
    """Where readings come from by themselves, by the name each source was given."""
    return {name: read_source(text) for name, text in settings.probes.items()}


def probe_tests_of(settings: Settings) -> dict[str, ProbeTest]:
    """How far each probe is off, by its name."""
    return {name: read_test(text) for name, text in settings.probe_tests.items()}
