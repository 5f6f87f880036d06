"""How words are set as a sentence of their own."""

from __future__ import annotations


def sentence(text: str) -> str:
    """With a capital, and one full stop at its end even after a name that has its own."""
    text = text.strip()
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "!", "?")) else f"{text}."
