"""A list that one stands on, and one line that is typed beneath it: what the pages of moulds and of stock share."""
