"""Judges what the engine proposes from the world's side: calls its public way in, looks at what hangs where."""
