"""Moulds as things with a memory: what their days said of each, and what its owner says."""
