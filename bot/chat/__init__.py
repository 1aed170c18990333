"""The edges: how messages come in and go out."""
