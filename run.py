#!/usr/bin/env python3
"""Start fairtank on a fresh machine: build what it needs once, then hand over.

    python3 run.py demo     make the demo trial, measure, judge and report it, show the pages
    python3 run.py test     install what the tests need and run all of them
    python3 run.py WORD ... any other word goes to the fairtank command

Standard library only. The environment lies in `.venv` beside this file; a stamp in it remembers which
locked requirements were installed, so the next start installs nothing.
"""

from __future__ import annotations  # an older Python shall get as far as the sentence that refuses it

import os
import sys

if __name__ == "__main__":  # from here on Ctrl-C ends without a word, also while the rest is loaded
    sys.excepthook = lambda kind, error, trace: os._exit(130) if kind is KeyboardInterrupt else sys.__excepthook__(kind, error, trace)

import hashlib
import shutil
import signal
import subprocess
from pathlib import Path

HERE = Path(__file__).resolve().parent
VENV = HERE / ".venv"
BIN = VENV / ("Scripts" if os.name == "nt" else "bin")
PYTHON = BIN / ("python.exe" if os.name == "nt" else "python")
STAMP = VENV / "fairtank-stamp.txt"
REQUIREMENTS = HERE / "requirements"
COMMAND = """#!{python}
import signal

if __name__ == "__main__":
    signal.pthread_sigmask(signal.SIG_BLOCK, {{signal.SIGINT}})  # until the command can end without a word
    from fairtank.cli import main

    main()
elif __name__ == "__mp_main__":
    signal.signal(signal.SIGINT, signal.SIG_IGN)
"""
# Chromium without all that a window needs: a page takes it half the time. Debian has it as a package of its own.
CHROMIUM_SHELL = "chromium-headless-shell"
CHROMIUM_NAMES = (CHROMIUM_SHELL, "chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
APT_LISTS = Path("/var/lib/apt/lists")


def main(words: list[str]) -> int:
    """Install what the first word needs, then run it."""
    if sys.version_info < (3, 11):  # noqa: UP036 - this file is what an older Python meets first
        return refuse(f"fairtank needs Python 3.11 or newer; this is {sys.version.split()[0]}.")
    testing = words[:1] == ["test"]
    try:
        environment_ready("dev" if testing else "base")
    except (subprocess.CalledProcessError, OSError) as error:
        said = (getattr(error, "output", None) or "").strip()
        asked = f"Setting up the environment failed: {error}. Is there a network connection and about 1 GB of free disk?"
        return refuse(f"{said}\n{asked}" if said else asked)
    if testing:
        return tests_run(words[1:])
    return hand_over([str(PYTHON), "-m", "fairtank.cli", *words], {**environment_variables(), "FAIRTANK_STARTED_BY": "run.py"}, hold=True)


def hand_over(command: list[str], variables: dict[str, str], hold: bool = False) -> int:
    """Become that command, so that Ctrl-C and the exit code are its own; on Windows, wait for it.

    With `hold` Ctrl-C waits until the command says that it can end without a word.
    """
    if os.name != "nt":
        sys.stdout.flush()
        if hold:
            signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        os.execve(command[0], command, variables)
    with subprocess.Popen(command, env=variables) as process:
        while True:
            try:
                return process.wait()
            except KeyboardInterrupt:  # the command heard it too, and ends
                continue


def quietly(command: list[str]) -> None:
    """Run a step of the installation; what it prints is kept for the case that it fails."""
    kept = {"stdout": subprocess.PIPE, "stderr": subprocess.STDOUT, "text": True, "errors": "replace"}
    subprocess.run(command, check=True, stdin=subprocess.DEVNULL, **kept)


def refuse(sentence: str) -> int:
    """Say why on standard error; the exit code of a refusal is 1."""
    print(sentence, file=sys.stderr)
    return 1


def lock_digest(kind: str) -> str:
    """SHA-256 of the locked requirements and the Python they are installed for."""
    content = (REQUIREMENTS / "bootstrap.txt").read_bytes() + (REQUIREMENTS / f"{kind}.txt").read_bytes()
    return hashlib.sha256(content + sys.version.encode()).hexdigest()


def stamped() -> dict[str, str]:
    """What is installed already: requirement set -> digest of its lock."""
    if not (STAMP.is_file() and PYTHON.exists()):
        return {}
    return dict(line.split(" ", 1) for line in STAMP.read_text().splitlines() if " " in line)


def environment_ready(kind: str) -> None:
    """Make `.venv` hold the locked requirement set; does nothing when the stamp says it does."""
    installed = stamped()
    digest = lock_digest(kind)
    if installed.get(kind) == digest:
        return
    what = "what fairtank and its tests need" if kind == "dev" else "what fairtank needs"
    print(f"Installing {what} into {VENV.name}. This happens once and takes a minute or two and about 1 GB.", file=sys.stderr, flush=True)
    if not PYTHON.exists() or not installed:
        venv_make()
    requirements_install(kind)
    site_packages_link()
    installed[kind] = digest
    if kind == "dev":  # the test set contains the base set
        installed["base"] = lock_digest("base")
    STAMP.write_text("".join(f"{name} {value}\n" for name, value in installed.items()))


def venv_make() -> None:
    """A new virtual environment; names the missing system package where Python came without it."""
    try:
        import ensurepip  # noqa: F401 - only asks whether it is there
    except ImportError as error:
        raise OSError("this Python has no venv support; on Debian or Ubuntu install the package python3-venv") from error
    quietly([sys.executable, "-m", "venv", "--clear", str(VENV)])


def requirements_install(kind: str) -> None:
    """Install with uv, which is ten times faster; with pip where uv cannot be had."""
    lock = str(REQUIREMENTS / f"{kind}.txt")
    pip = [str(PYTHON), "-m", "pip", "--disable-pip-version-check", "install", "--quiet", "--require-hashes", "-r"]
    try:
        quietly([*pip, str(REQUIREMENTS / "bootstrap.txt")])
        quietly([str(BIN / "uv"), "pip", "install", "--quiet", "--python", str(PYTHON), "--require-hashes", "-r", lock])
    except (subprocess.CalledProcessError, OSError):
        print("uv did not work here; installing with pip, which takes a few minutes.", file=sys.stderr, flush=True)
        quietly([*pip, lock])


def site_packages_link() -> None:
    """Let the environment's Python import fairtank from `src` and offer the `fairtank` command."""
    query = "import sysconfig; print(sysconfig.get_path('purelib'))"
    folder = Path(subprocess.run([str(PYTHON), "-c", query], check=True, capture_output=True, text=True).stdout.strip())
    (folder / "fairtank-src.pth").write_text(str(HERE / "src") + "\n", encoding="utf-8")
    if os.name != "nt":
        command = BIN / "fairtank"
        command.write_text(COMMAND.format(python=PYTHON), encoding="utf-8")
        command.chmod(0o755)


def environment_variables() -> dict[str, str]:
    """The caller's variables, with one thread per numeric library: the work is spread over processes instead."""
    return {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", **os.environ, "PYTHONUTF8": "1"}


def chromium_path() -> str | None:
    """A Chromium for the browser tests: the one without a window where it is there, else any, else Debian's when it may be installed.

    A machine that is there for tests (CI=true) gets the one without a window even where it has another.
    """
    may_install = os.name != "nt" and shutil.which("apt-get") and os.geteuid() == 0
    is_wanted = bool(os.environ.get("CI")) or not any(map(shutil.which, CHROMIUM_NAMES))
    if may_install and is_wanted and not shutil.which(CHROMIUM_SHELL):
        print("Installing Chromium for the browser tests ...", file=sys.stderr, flush=True)
        debian_install(CHROMIUM_SHELL)
    if may_install and not any(map(shutil.which, CHROMIUM_NAMES)):
        debian_install("chromium", anew=True)
    return next(filter(None, map(shutil.which, CHROMIUM_NAMES)), None)


def debian_install(package: str, anew: bool = False) -> None:
    """Ask Debian for a package, its lists fetched before where asked or where none are kept; nothing is said if it does not come."""
    quiet = {"stdin": subprocess.DEVNULL, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "check": False}
    apt = ["apt-get", "-qq", "-o", "Acquire::Retries=0", "-o", "Acquire::http::Timeout=15", "-o", "Acquire::https::Timeout=15"]
    if anew or not any(APT_LISTS.glob("*_Packages*")):
        subprocess.run([*apt, "update"], **quiet)
    subprocess.run([*apt, "install", "-y", "--no-remove", package], **quiet)


def tests_run(words: list[str]) -> int:
    """All tests on all cores; browser tests are skipped, and counted, only where no Chromium can be had."""
    variables = environment_variables()
    if found := chromium_path():
        variables["FAIRTANK_CHROMIUM"] = found
    # What Python compiles is kept for the workers and the commands that tests start: some hundred processes load the same files.
    variables.pop("PYTHONDONTWRITEBYTECODE", None)
    variables.setdefault("PYTHONPYCACHEPREFIX", str(VENV / "pycache"))
    # Memory of pictures that is given back to the system is cleared anew each time: a tenth of the time of what measures photos.
    variables = {"MALLOC_MMAP_THRESHOLD_": str(2**30), "MALLOC_TRIM_THRESHOLD_": str(2**32), "MALLOC_TOP_PAD_": str(2**26), **variables}
    workers = [] if any(word.startswith(("-n", "-x", "--pdb")) for word in words) else ["-n", str(min(os.cpu_count() or 1, 4))]
    workers += ["--dist", "worksteal"] if workers else []  # whole stretches of tests per worker: what they share is made once
    os.chdir(HERE)
    return hand_over([str(PYTHON), "-m", "pytest", *workers, *words], variables)


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
