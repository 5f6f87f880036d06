"""What the engine raises. Each message says what is wrong, where, and how to correct it."""


class EngineError(Exception):
    """Base of every error that the engine raises on purpose."""


class InvalidHouse(EngineError):
    """The house description contradicts itself: an unknown id, a length that makes no sense."""


class UnknownRule(EngineError):
    """A house rule names a rule or a limit that does not exist, or a value outside its range."""
