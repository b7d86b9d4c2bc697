"""All that a record tells about one candle, with a fault in view."""

from __future__ import annotations

from collections.abc import Mapping

from pourday.faults.burn_evidence import burn_evidence
from pourday.faults.day_evidence import day_evidence
from pourday.faults.evidence import Evidence
from pourday.faults.heat_evidence import heat_evidence
from pourday.faults.record import CandleRecord
from pourday.faults.table import Fault


def evidence_of(record: CandleRecord, fault: Fault) -> Mapping[str, Evidence]:
    """Each thing by its key; those that do not concern the fault are left out, those not recorded have no value."""
    rows = [
        *heat_evidence(record, fault.about),
        *day_evidence(record, fault.about),
        *burn_evidence(record),
    ]
    return {row.key: row for row in rows}
