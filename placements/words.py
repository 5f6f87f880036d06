"""How the engine's words are set where they stand by themselves."""

from __future__ import annotations


def sentence(text: str) -> str:
    """With a capital and a full stop, as it stands by itself."""
    text = text.strip()
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "!", "?")) else f"{text}."
