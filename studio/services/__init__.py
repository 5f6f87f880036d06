"""Everything that changes the studio's domain, by topic. Keyword-only, one transaction each."""
