"""From the outbox to the outlet, and what wakes the rounds."""
