"""The page of moulds with a memory."""
