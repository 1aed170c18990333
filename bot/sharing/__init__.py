"""What others may see of a collection: the read-only list of a swap partner."""
