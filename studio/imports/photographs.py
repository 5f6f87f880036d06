"""Which photograph shows which piece, by the file's name: its number, or its title."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from .columns import plain_words

#: So many photographs are matched at once.
MOST = 200


def match(names: Sequence[str], works: Iterable[tuple[int, str, str]]) -> dict[str, int]:
    """File name -> the work that it names, where it names just one; a work is named by one file only.

    Args:
        works: number of the row, inventory number and title of each.
    """
    rows = list(works)
    found: dict[str, int] = {}
    for look in (_by_code, _by_title):
        named: dict[int, list[str]] = {}
        for name in names:
            if name in found:
                continue
            words = plain_words(name.rpartition(".")[0] or name)
            alike = [pk for pk, code, title in rows if look(words, code, title)]
            if len(alike) == 1:
                named.setdefault(alike[0], []).append(name)
        taken = set(found.values())
        found |= {files[0]: pk for pk, files in named.items() if len(files) == 1 and pk not in taken}
    return found


def _by_code(words: str, code: str, title: str) -> bool:
    """Whether the inventory number stands in the name, whole."""
    said = plain_words(code)
    return bool(said) and f" {said} " in f" {words} "


def _by_title(words: str, code: str, title: str) -> bool:
    said = plain_words(title)
    return len(said) > 3 and f" {said} " in f" {words} "
