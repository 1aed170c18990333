"""A Bot API server for tests: it keeps the real server's rules, checks every request and fails when told to."""
