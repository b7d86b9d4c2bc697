"""The finished candles as one finds them again: a card a session, a search in plain words, two days side by side."""
