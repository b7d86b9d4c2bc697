"""Cooling curves: a log of wax that cools, read for where it sets, how wide, and which wax that can be."""
