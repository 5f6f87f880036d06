"""What pages show, as frozen dataclasses made from rows and from the engine's answers."""
