"""Burn tests read: how fast, how wide, inside which limits, and what that says of the wick. Pure; no clock."""
