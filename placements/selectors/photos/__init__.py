"""Everything that reads photographs that measure, by topic."""
