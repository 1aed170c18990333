"""Text to reading, pure: what a bench note says, before anyone looks in the collection."""
