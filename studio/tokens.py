"""The secrets that links, invitations and keys carry: shown once, kept as a hash.

A token is 256 random bits, so its plain SHA-256 cannot be turned back: no salt and no slow hash, and an index finds it.
"""

from __future__ import annotations

import hashlib
import secrets


def new_token() -> str:
    """43 characters that may stand in an address (RFC 4648, section 5)."""
    return secrets.token_urlsafe(32)


def token_hash(token: str) -> str:
    """What is stored of a token: 64 hexadecimal digits. Whatever else somebody sends in its place hashes, too."""
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()
