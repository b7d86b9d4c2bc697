"""pourday: one person, one stove, one long day of pouring candles, and the days after."""

__version__ = "0.3.0.dev0"
