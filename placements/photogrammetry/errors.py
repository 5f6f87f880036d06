"""Why a photograph cannot be used, said to the person who took it."""

import re

from placements.engine.results import PlainWords, Words


class PhotoError(Exception):
    """Base of everything this package refuses. The message says what is wrong and what to do.

    `lengths` [mm] fill the message's named places in the units of whoever reads it.
    """

    def __init__(self, message: str, **lengths: float) -> None:
        self._message, self._lengths = message, lengths
        super().__init__(self.worded(PlainWords()))

    def worded(self, words: Words) -> str:
        return self._filled({name: words.length(mm) for name, mm in self._lengths.items()})

    def kept(self) -> str:
        """The message to keep for readers to come, its lengths still numbers: see `reworded`."""
        return self._filled({name: f"{{{mm:.1f} mm}}" for name, mm in self._lengths.items()})

    def _filled(self, places: dict[str, str]) -> str:
        return self._message.format(**places) if places else self._message


def reworded(kept: str, words: Words) -> str:
    """A message that was kept, its lengths in the reader's units."""
    return re.sub(r"\{(-?[0-9.]+) mm\}", lambda found: words.length(float(found[1])), kept)


class CardNotFound(PhotoError):
    """No reading is offered: the card cannot be read in this picture."""


class NotMeasurable(PhotoError):
    """The marked points do not determine the plane."""
