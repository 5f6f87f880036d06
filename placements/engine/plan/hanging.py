"""The exact place of every piece of a column."""
