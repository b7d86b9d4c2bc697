"""Wax that nobody knows: cleaned at the stove, its cooling curve taken, and turned into a wax that plans can use."""
