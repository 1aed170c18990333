"""Use cases: the only room that knows notes, care and store together."""
