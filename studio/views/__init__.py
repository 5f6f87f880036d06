"""Pages of the studio itself: art, clients, people, settings."""
