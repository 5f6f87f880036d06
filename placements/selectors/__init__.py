"""Everything that reads plans, by topic, with its select and prefetch decisions."""
