"""Makes a fresh machine ready, then runs a command in the project's own environment.

    python3 -I studio/bootstrap.py run|test COMMAND...

Run by whatever Python 3 the machine has, before anything is installed: standard library only, and nothing newer than
Python 3.6, so that an old one can say what is missing.
"""

import ctypes.util
import hashlib
import os
import platform
import shutil
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from typing import NoReturn

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
PYTHON = str(VENV / "bin" / "python")
OLDEST = (3, 11)
BREW_LIBRARIES = (Path("/opt/homebrew/lib"), Path("/usr/local/lib"))
#: The shell comes first: it has no window of its own to draw, so that browser tests take three quarters of the time.
CHROMIUM = (
    "chromium-headless-shell",
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
)
CHROMIUM_APPS = (Path("/Applications/Chromium.app"), Path("/Applications/Google Chrome.app"))
FONTS = (Path("/usr/share/fonts"), Path("/usr/local/share/fonts"), Path("/System/Library/Fonts"))


def library(name: str) -> "Callable[[], bool]":
    def found() -> bool:
        return bool(ctypes.util.find_library(name)) or any((at / f"lib{name}.dylib").exists() for at in BREW_LIBRARIES)

    return found


def program(*names: str) -> "Callable[[], bool]":
    return lambda: any(shutil.which(name) for name in names)


def chromium() -> bool:
    return program(*CHROMIUM)() or any(app.exists() for app in CHROMIUM_APPS)


def fonts() -> bool:
    return any(path.is_file() for folder in FONTS if folder.exists() for path in folder.rglob("*.[ot]t[fc]"))


#: What pip cannot install: what for, whether the command cannot do without, how to find it, Debian's package or the
#: first that its release has, Homebrew's.
RUN_NEEDS = (
    ("Pango, which sets the text of PDF sheets", True, library("pango-1.0"), "libpango-1.0-0", "pango"),
    ("Pango for FreeType, likewise", True, library("pangoft2-1.0"), "libpangoft2-1.0-0", "pango"),
    ("HarfBuzz subsetting, for faster sheets", False, library("harfbuzz-subset"), "libharfbuzz-subset0", "harfbuzz"),
    ("fonts, for letters outside our own", False, fonts, "fonts-dejavu-core", "font-dejavu"),
)
TEST_NEEDS = (
    ("Chromium, which the browser tests drive", False, chromium, "chromium-headless-shell|chromium", "--cask chromium"),
    ("nginx, on which slow callers are tried", False, program("nginx"), "nginx-light", "nginx"),
    ("Poppler, which turns PDF pages into pictures to measure", False, program("pdftoppm"), "poppler-utils", "poppler"),
    ("Redis, which queue tests run on", False, program("redis-server", "valkey-server"), "redis-server", "redis"),
)


def stop(text: str) -> "NoReturn":
    sys.exit(text.rstrip())


def say(text: str) -> None:
    sys.stderr.write(text + "\n")
    sys.stderr.flush()


def debian_root() -> bool:
    return Path("/etc/debian_version").exists() and os.geteuid() == 0 and bool(shutil.which("apt-get"))


def apt_install(packages: "Sequence[str]") -> bool:
    env = dict(os.environ, DEBIAN_FRONTEND="noninteractive")
    subprocess.call(["apt-get", "update", "-q"], env=env, stdout=subprocess.DEVNULL)
    names = [offered(package) for package in packages]
    say("Installing with apt-get: " + " ".join(names))
    command = ["apt-get", "install", "-qy", "--no-install-recommends", *names]
    return subprocess.call(command, env=env, stdout=subprocess.DEVNULL) == 0


def offered(package: str) -> str:
    """The first of some packages, written "this|that", that this release has; the last where it has none."""
    *better, last = package.split("|")
    return next((name for name in better if known(name)), last)


def known(package: str) -> bool:
    command = ["apt-cache", "show", package]
    return subprocess.call(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) == 0


def newer_python() -> str:
    """Another Python on PATH that is new enough, when this one is not."""
    for minor in range(14, OLDEST[1] - 1, -1):
        found = shutil.which(f"python3.{minor}")
        if found:
            return found
    return stop(
        f"Python {OLDEST[0]}.{OLDEST[1]} or newer is needed; this is {platform.python_version()}. "
        "Install one, then name it: make demo PYTHON=python3.11"
    )


def make_environment() -> None:
    if Path(PYTHON).exists() and subprocess.call([PYTHON, "-c", ""], stderr=subprocess.DEVNULL) == 0:
        return
    if subprocess.call([sys.executable, "-c", "import ensurepip"], stderr=subprocess.DEVNULL) != 0:
        package = f"python3.{sys.version_info[1]}-venv"
        if not (debian_root() and apt_install([package])):
            stop("Python's venv module is missing. On Debian or Ubuntu: sudo apt-get install " + package)
    say("Making .venv")
    subprocess.check_call([sys.executable, "-m", "venv", "--clear", str(VENV)])


def install(kind: str) -> None:
    """Installs the locked, hashed dependencies once; again when the lock file changes."""
    if VENV.is_symlink():
        return  # somebody else's environment, kept by them
    locks = [ROOT / "requirements-dev.txt"]  # holds all of the other
    if kind == "run":
        locks.insert(0, ROOT / "requirements.txt")
    sums = {lock: hashlib.sha256(lock.read_bytes()).hexdigest() for lock in locks}
    marks = {lock: VENV / f"installed-{lock.name}" for lock in locks}
    if any(marks[lock].exists() and marks[lock].read_text() == sums[lock] for lock in locks):
        return
    lock = locks[0]
    say(f"Installing {lock.name} (a minute or so, once)")
    # What is used is compiled when it is first used, in half the time.
    command = [PYTHON, "-m", "pip", "install", "--quiet", "--no-compile", "--disable-pip-version-check"]
    command += ["--require-hashes"]
    if subprocess.call([*command, "-r", str(lock)]) != 0:
        stop("The dependencies could not be installed: pip's error is above. Correct that, then try again.")
    marks[lock].write_text(sums[lock])


def check_system(kind: str) -> None:
    needs = RUN_NEEDS + (TEST_NEEDS if kind == "test" else ())
    missing = [need for need in needs if not need[2]()]
    if missing and debian_root():
        apt_install(sorted({need[3] for need in missing}))
        missing = [need for need in needs if not need[2]()]
    for what, required, _, debian, brew in missing:
        how = "brew install " + brew if sys.platform == "darwin" else "sudo apt-get install " + debian.split("|")[-1]
        say(("Missing: " if required else "Would be good: ") + what + ". Install it: " + how)
    if any(need[1] for need in missing):
        stop("Install what is missing and run the command again.")


def main(arguments: "Sequence[str]") -> "NoReturn":
    if len(arguments) < 2 or arguments[0] not in ("run", "test"):
        stop(str(__doc__))
    if sys.version_info < OLDEST:
        python = newer_python()
        os.execv(python, [python, "-I", str(Path(__file__).resolve()), *arguments])
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # or each of many processes would compile everything again
    kind, command = arguments[0], arguments[1:]
    os.chdir(str(ROOT))
    check_system(kind)
    make_environment()
    install(kind)
    if sys.platform == "darwin":
        os.environ.setdefault("DYLD_FALLBACK_LIBRARY_PATH", ":".join(map(str, BREW_LIBRARIES)))
    os.execv(PYTHON, [PYTHON, *command])


if __name__ == "__main__":
    main(sys.argv[1:])
