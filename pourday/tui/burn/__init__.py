"""Candles after the mould: finishing, and the burn test, live."""
