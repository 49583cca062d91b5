"""Open the course, print a build pack, check this machine, run the tests.

``python3 -m solarlib learn`` works in a fresh clone on a machine that has
nothing but Python: this file needs only the standard library. When the course
is not installed yet it makes the environment ``.venv`` beside pyproject.toml,
installs the project there and starts itself again inside.
"""

from __future__ import annotations

import os
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

from solarlib.commands import Refusal, cannot, say_in_any_letters

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"
_INSIDE = "TROUGH_COURSE_INSIDE"  # set for the second start, so that it never starts a third

USAGE = """\
python3 -m solarlib learn [FOLDER]            open the course; your work lies in FOLDER
python3 -m solarlib pack DESIGN.toml          print the build pack of a design
python3 -m solarlib selftest                  say what this machine can do, and what is missing
python3 -m solarlib test                      run all tests (for contributors)
"""

# what each command needs before it can start: the modules to look for, and the extra to install
_COURSE = ("numpy", "scipy", "matplotlib", "pint", "ipywidgets", "jupyterlab", "nbgrader",
           "nbformat", "fpdf", "tqdm", "tomlkit", "latex2mathml")  # fmt: skip
NEEDS = {
    "learn": (_COURSE, ""),
    "pack": (_COURSE, ""),
    "selftest": (("scipy",), ""),
    "test": ((*_COURSE, "pytest", "pytest_timeout", "hypothesis", "playwright", "pvlib"), "[test]"),
}


def main(arguments: list[str] | None = None) -> int:
    """Run one command; return 0 when it worked, 1 when tests failed, 2 when it could not start."""
    words = sys.argv[1:] if arguments is None else arguments
    if sys.version_info < (3, 11):  # noqa: UP036 - this file starts before anything is checked
        return cannot(f"Python {sys.version.split()[0]} is too old; install Python 3.11 or newer.")
    if not words or words[0] in ("-h", "--help"):
        print(USAGE, end="")
        return 0
    command, rest = words[0], words[1:]
    if command not in NEEDS:
        return cannot(f"There is no command “{command}”; use one of {', '.join(NEEDS)}.")
    modules, extra = NEEDS[command]
    if any(find_spec(module) is None for module in modules):
        return _install_and_restart(words, extra)
    os.environ.pop(_INSIDE, None)  # it is about this start only, not about what we start
    try:
        return _run(command, rest)
    except Refusal as error:
        return cannot(error)


def _run(command: str, rest: list[str]) -> int:
    if command == "learn":
        from autograde import opening

        return opening.main(rest)
    if command == "pack":
        from solarlib import pack

        return pack.main(rest)
    if command == "selftest":
        from solarlib import selftest

        return selftest.main(rest)
    if not (ROOT / "tests").is_dir():
        return cannot("The tests are not part of an installed course; run them in a copy of its "
                       "source folder.")  # fmt: skip
    if not any(word.startswith("-n") for word in rest):  # two at a time, the longest files first
        rest = ["-n", "2", "--dist", "loadfile", "--no-loadscope-reorder", *rest]
    return subprocess.call([sys.executable, "-m", "pytest", *rest], cwd=ROOT)


def _install_and_restart(words: list[str], extra: str) -> int:
    if not (ROOT / "pyproject.toml").exists():
        return cannot("A part of the course is missing; install it again with pip.")
    if os.environ.get(_INSIDE):
        return cannot(f"The install in {ENVIRONMENT} is not complete; delete that folder and "
                       "run the command again.")  # fmt: skip
    python = ENVIRONMENT / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    try:
        if not python.exists():
            print(f"Making an environment for the course in {ENVIRONMENT} …", flush=True)
            subprocess.run([sys.executable, "-m", "venv", str(ENVIRONMENT)], check=True)
        wanted = ("solarlib", *NEEDS[words[0]][0])
        inside = ("import sys; from importlib.util import find_spec; "
                  f"sys.exit(any(find_spec(name) is None for name in {wanted}))")  # fmt: skip
        if subprocess.call([str(python), "-c", inside], stderr=subprocess.DEVNULL, cwd=os.sep):
            print("Installing what the course needs (some minutes, once) …", flush=True)
            _install(str(python), f"{ROOT}{extra}")
    except (OSError, subprocess.CalledProcessError) as error:
        return cannot(f"The install did not finish ({error}); check the network and that "
                       f"{ROOT} may be written, then run the command again.")  # fmt: skip
    environment = dict(os.environ, **{_INSIDE: "1"})
    environment["PATH"] = f"{python.parent}{os.pathsep}{environment.get('PATH', '')}"
    again = [str(python), "-m", "solarlib", *words]
    if os.name == "nt":
        return subprocess.call(again, env=environment)
    os.execve(again[0], again, environment)  # one process, so that whoever ends it ends all


def _install(python: str, what: str) -> None:
    """Install with uv, which takes about half the time, or where it cannot be had with pip."""
    pip = [python, "-m", "pip", "install", "-q", "--disable-pip-version-check"]
    uv = [python, "-m", "uv", "pip", "install", "-q", "--compile-bytecode", "--python", python]
    for words in ([*pip, "--retries", "1", "uv"], [*uv, "-e", what]):
        if subprocess.call(words, stderr=subprocess.DEVNULL):
            subprocess.run([*pip, "-e", what], check=True)  # and let it say what is wrong
            return


if __name__ == "__main__":
    say_in_any_letters()
    sys.exit(main())
