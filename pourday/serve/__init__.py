"""A page for a browser that looks on at a session: read-only, behind a word that the stove's own screen shows."""
