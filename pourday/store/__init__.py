"""What is kept: the journal of an open session, finished records, the library, locks."""
