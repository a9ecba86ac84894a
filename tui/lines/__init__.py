"""The command line: one file a group of verbs, over the same commands and queries as the screens."""
