"""The walls: how the warm process is started, with bubblewrap around it or without.

In: nothing but this installation. Out: a `Launch`, the command line of the process and
what it is told at its start. Inside the sandbox there are Python, the packages named here
and solarlib, read-only, and one small folder in memory; no home, no repository, no /proc,
no network, nobody else's processes. Everything is bound by name, never "whatever is on
sys.path": an editable install would bring the folder with the answer keys along.
"""

from __future__ import annotations

import functools
import glob
import hashlib
import os
import platform
import shutil
import subprocess
import sys
import sysconfig
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from solarlib.commands import Refusal

HERE = Path(__file__).resolve().parent
AUTOGRADE = HERE.parent
# what a notebook of this course may import, with all that these need
PACKAGES = ("numpy", "scipy", "matplotlib", "matplotlib-inline", "ipython", "ipywidgets", "pint",
            "fpdf2")  # fmt: skip
HOME = "/tmp"  # inside
HOME_BYTES = 64 << 20
NOBODY = 65534
OWN_PLACES = ("HOME", "MPLCONFIGDIR", "IPYTHONDIR")  # variables that name folders to write in
_VARIABLES = {
    "HOME": HOME,
    "PATH": "/usr/bin",
    "LANG": "C.UTF-8",
    "TZ": "UTC",
    "AUTOGRADE_MARKING": "1",
    "MPLBACKEND": "module://matplotlib_inline.backend_inline",
    "MPLCONFIGDIR": f"{HOME}/matplotlib",
    "IPYTHONDIR": f"{HOME}/ipython",
    # a process may only be forked while it has a single thread
    "OPENBLAS_NUM_THREADS": "1",
    "OMP_NUM_THREADS": "1",
    "PYTHONHASHSEED": "0",
    "PYTHONDONTWRITEBYTECODE": "1",
}


class NoSandboxError(Refusal):
    """There can be no sandbox here; the message says why and what to do."""


@dataclass(frozen=True)
class Launch:
    """How to start a warm process.

    fresh : a new one for every job. home : its folder, as it sees it; "" for a new one each time.
    """

    command: tuple[str, ...]
    environment: dict[str, str]
    fresh: bool = False
    home: str = ""


@dataclass(frozen=True)
class Furnishing:
    """Where the things inside lie: on this machine, and as the process inside sees them."""

    host: str
    inside: str


@functools.cache
def things() -> dict[str, Furnishing]:
    """Return the files and folders of the course that the warm process needs."""
    import solarlib

    library = Path(str(solarlib.__file__)).resolve().parent
    return {
        "warm": Furnishing(str(HERE / "inside"), "/course/inside"),
        "solarlib": Furnishing(str(library), "/course/library/solarlib"),
        "plain": Furnishing(str(AUTOGRADE / "plain.py"), "/course/autograde/plain.py"),
        "numbers": Furnishing(str(AUTOGRADE / "numbers.py"), "/course/autograde/numbers.py"),
    }


@functools.cache
def version() -> str:
    """Return one line that says what a learner's code runs on; results of others are refused."""
    mark = hashlib.sha256()
    for thing in things().values():
        path = Path(thing.host)
        for file in sorted(path.rglob("*.py")) if path.is_dir() else [path]:
            mark.update(f"{file.relative_to(path)}\0".encode() + file.read_bytes())
    libraries = ", ".join(f"{name} {metadata.version(name)}" for name in PACKAGES)
    python = f"Python {platform.python_version()} {platform.machine()}"
    return f"autograde {mark.hexdigest()[:12]}, {python}, {libraries}"


# --- what is bound -------------------------------------------------------------------------------
@functools.cache
def package_paths() -> tuple[tuple[str, str], ...]:
    """Return (place, entry) of every file and folder of the packages and of what they need."""
    from packaging.requirements import Requirement

    waiting, seen, found = list(PACKAGES), set[str](), set[tuple[str, str]]()
    while waiting:
        name = waiting.pop()
        key = name.lower().replace("_", "-")
        if key in seen:
            continue
        seen.add(key)
        try:
            package = metadata.distribution(name)
        except metadata.PackageNotFoundError:
            continue  # needed only on another platform
        place = str(package.locate_file(""))
        found |= {(place, file.parts[0]) for file in package.files or ()
                  if file.parts[0] not in ("..", "__pycache__") and not file.is_absolute()
                  and not file.name.endswith(".pth")}  # fmt: skip
        for line in package.requires or ():
            need = Requirement(line)
            if need.marker is None or need.marker.evaluate({"extra": ""}):
                waiting.append(need.name)
    return tuple(sorted(found))


def _places() -> list[str]:
    """The folders that packages are installed in, in the order of sys.path."""
    there = {place for place, _ in package_paths()}
    on_path = [p for p in sys.path if os.path.realpath(p) in {os.path.realpath(t) for t in there}]
    return sorted(there, key=lambda t: [os.path.realpath(p) for p in on_path].index(
        os.path.realpath(t)) if os.path.realpath(t) in map(os.path.realpath, on_path) else 99)  # fmt: skip


def _python() -> str:
    base = getattr(sys, "_base_executable", None) or sys.executable
    return os.path.realpath(base)


def _standard_library() -> list[str]:
    base = {"base": sys.base_prefix, "installed_base": sys.base_prefix,
            "platbase": sys.base_exec_prefix, "installed_platbase": sys.base_exec_prefix}  # fmt: skip
    paths = sysconfig.get_paths(vars=base)  # a virtual environment's own would show its packages
    return list(dict.fromkeys((paths["stdlib"], paths["platstdlib"])))


def _walls() -> Iterator[str]:
    """Yield the words of the bubblewrap command that decide what is there."""
    made = {"/"}
    for host, inside in _bound():
        for parent in [*map(str, reversed(Path(inside).parents))]:
            known = any(parent == m or parent.startswith(f"{m}/") for m in made if m != "/")
            if not known and parent != "/":
                yield from ("--dir", parent)  # by itself bubblewrap makes it for root only
        made.add(inside)
        yield from ("--dev-bind" if host.startswith("/dev/") else "--ro-bind", host, inside)
    for folder in ("/lib", "/lib64"):
        if os.path.islink(folder):
            yield from ("--symlink", os.readlink(folder), folder)
    for folder in _covered():
        yield from ("--tmpfs", folder)
    yield from ("--perms", "1777", "--size", str(HOME_BYTES), "--tmpfs", HOME)
    yield from ("--remount-ro", "/")


def _bound() -> Iterator[tuple[str, str]]:
    """Yield (place on this machine, place inside) of everything that can be read inside."""
    for folder in ("/usr/lib", "/usr/lib64", "/usr/share/zoneinfo", "/lib", "/lib64"):
        if os.path.isdir(folder) and not os.path.islink(folder):
            yield folder, folder
    libraries = glob.glob(f"{glob.escape(sys.base_prefix)}/lib/libpython3*.so*")
    for path in (_python(), *_standard_library(), *libraries):
        yield path, path
    for number, place in enumerate(_places()):
        for entry in (e for p, e in package_paths() if p == place):
            if os.path.exists(os.path.join(place, entry)):
                yield os.path.join(place, entry), f"/site{number}/{entry}"
    yield from ((thing.host, thing.inside) for thing in things().values())
    yield from ((device, device) for device in ("/dev/null", "/dev/zero", "/dev/urandom"))


def _covered() -> list[str]:
    """Folders of installed packages, and of the course itself, that something bound would show."""
    from autograde.lesson import LessonError, lessons_folder

    shown = ["/usr/lib", "/usr/lib64", *_standard_library()]
    covered = [folder for place in (*_standard_library(), "/usr/lib/python3*")
               for kind in ("site-packages", "dist-packages")
               for folder in glob.glob(f"{place}/{kind}")]  # fmt: skip
    try:
        keys = [str(lessons_folder()), str(AUTOGRADE)]
    except LessonError:
        keys = [str(AUTOGRADE)]
    covered += [k for k in keys if any(k.startswith(f"{s}/") for s in shown)]
    return [folder for folder in dict.fromkeys(covered) if os.path.isdir(folder)]


def _boot(fresh: bool, user: int) -> str:
    import json

    def at(name: str, *parts: str) -> str:
        place = things()[name].host if fresh else things()[name].inside
        return "/".join([place, *parts]) if parts else place

    library = os.path.dirname(at("solarlib"))
    sites = _places() if fresh else [f"/site{i}" for i in range(len(_places()))]
    return json.dumps({
        "version": version(), "fresh": fresh, "user": user, "home": HOME,
        "path": [at("warm"), *([library] if not fresh else []), *sites,
                 *([library] if fresh else [])],
        "stub": at("warm", "stub", "autograde.py"),
        "explorers": at("warm", "stub", "explorers.py"),
        "plain": at("plain"), "numbers": at("numbers"),
    })  # fmt: skip


# --- commands ------------------------------------------------------------------------------------
def sandboxed() -> Launch:
    """Return how to start the warm process in a sandbox; raise NoSandboxError where there is none."""
    wrap = shutil.which("bwrap")
    if sys.platform != "linux" or wrap is None:
        raise NoSandboxError(
            "Learners' code is only run in a sandbox, and the program bubblewrap is not here. "
            "Install it (on Debian, Ubuntu and Fedora the package is called bubblewrap), or mark "
            "on a Linux machine."
        )
    root = os.geteuid() == 0
    command = [wrap, "--unshare-pid", "--unshare-net", "--unshare-ipc", "--unshare-uts",
               "--unshare-cgroup-try", "--die-with-parent", "--new-session", "--clearenv"]  # fmt: skip
    # root becomes nobody by itself, once inside; everybody else gets a user namespace
    command += ["--cap-drop", "ALL", "--cap-add", "CAP_SETUID", "--cap-add", "CAP_SETGID"] if root else [
        "--unshare-user", "--uid", str(NOBODY), "--gid", str(NOBODY)]  # fmt: skip
    variables = {**_VARIABLES, "LD_LIBRARY_PATH": f"{sys.base_prefix}/lib"}
    for name, value in variables.items():
        command += ["--setenv", name, value]
    command += [*_walls(), "--chdir", HOME, "--", _python(), "-S", "-B",
                f"{things()['warm'].inside}/warm.py", _boot(False, NOBODY if root else 0)]  # fmt: skip
    return Launch(tuple(command), dict(os.environ), home=HOME)


def unprotected() -> Launch:
    """Return how to start a fresh process for every submission, with no walls around it."""
    script = f"{things()['warm'].host}/warm.py"
    command = (sys.executable, "-S", "-B", script, _boot(True, 0))
    kept = {k: v for k, v in os.environ.items() if k in ("SYSTEMROOT", "TEMP", "TMP")}
    return Launch(command, {**_VARIABLES, **kept}, fresh=True)


def why_not() -> str:
    """Try a sandbox; return the sentence that says why there is none, "" when it works."""
    try:
        launch = sandboxed()
    except NoSandboxError as error:
        return str(error)
    cut = launch.command.index("--")
    trial = [*launch.command[: cut + 1], _python(), "-S", "-c", "pass"]
    try:
        done = subprocess.run(trial, capture_output=True, text=True, timeout=30, check=False)
    except (OSError, subprocess.TimeoutExpired) as error:
        return f"The sandbox cannot be started ({error}); reinstall the package bubblewrap."
    if done.returncode == 0:
        return ""
    words = (done.stderr.strip().splitlines() or ["no reason given"])[-1]
    return (f"bubblewrap cannot make a sandbox here ({words}). Some systems forbid the user "
            "namespaces it needs; ask whoever looks after this machine to allow them.")  # fmt: skip
