"""Asks the web process of this container how it is, as its health check: `python studio/probe.py ADDRESS FILE`.

Compose restarts what ends, not what is ill. So a process that was well and then does not live, ask after ask,
is ended here. One that lives and only waits for its database is not: that helps nobody. It imports nothing of the site.
"""

from __future__ import annotations

import os
import signal
import sys
import urllib.request
from pathlib import Path

#: Asks in a row without a sign of life.
MISSES = 4


def answers(address: str) -> bool:
    try:
        with urllib.request.urlopen(address, timeout=4):
            return True
    except OSError:
        return False


def ask(address: str, missed: Path) -> int:
    """The exit status: 0 when it is ready. `missed` counts the asks without a sign of life since it was last well."""
    ready = answers(f"{address}/health/ready")
    if ready or answers(f"{address}/health/live"):
        missed.write_text("0")
    elif missed.exists():
        count = int(missed.read_text()) + 1
        missed.write_text(str(count))
        if count >= MISSES:
            os.kill(1, signal.SIGTERM)
    return 0 if ready else 1


if __name__ == "__main__":
    sys.exit(ask(sys.argv[1], Path(sys.argv[2])))
