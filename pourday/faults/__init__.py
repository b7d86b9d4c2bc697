"""Why a candle came out as it did: faults, their causes weighed by the record, and the one thing to change."""
