"""Wax that nobody knows, live at the stove: the guided run and the cooling curve."""
