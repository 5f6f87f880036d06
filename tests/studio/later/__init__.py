"""The migrations of `studio`, and one of a release that comes after them."""

from studio import migrations

__path__ = [*migrations.__path__, *__path__]
