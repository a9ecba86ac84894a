"""Several processes at once, and processes that are killed."""
