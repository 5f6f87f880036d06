"""Everything that changes a plan, by topic. Keyword-only, one transaction each, tasks queued after commit."""
