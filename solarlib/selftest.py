"""What is missing on this machine, and does the library still compute what the world agrees on?

In: nothing, or a folder for the evidence pages. Out: one sentence per finding, and
the exit code 0 when nothing is missing. Needs only the standard library to start.
"""

from __future__ import annotations

import re
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from solarlib.commands import Words

DISTRIBUTION = "trough-heater-course"
_OLDEST = (3, 11)


@dataclass(frozen=True)
class Finding:
    """One thing looked at: is it in order, and the sentence that says so."""

    fine: bool
    says: str


# --- Python and packages -----------------------------------------------------------------------
def _python() -> list[Finding]:
    version = ".".join(map(str, sys.version_info[:3]))
    if sys.version_info < _OLDEST:
        return [Finding(False, f"Python {version} is too old; install Python 3.11 or newer.")]
    return [Finding(True, f"Python {version} is new enough.")]


def _numbers(version: str) -> tuple[int, ...]:
    """The leading whole numbers of a version: "8.1.5rc1" -> (8, 1, 5)."""
    return tuple(int(part) for part in re.findall(r"\d+", version.split("+")[0])[:3])


def _requirement(line: str) -> tuple[str, tuple[int, ...], tuple[int, ...] | None]:
    """Name, lowest version and the version it must stay below, of "jupyterlab<5,>=4.2"."""
    name = re.split(r"[<>=!~; \[]", line, maxsplit=1)[0]
    lowest = re.search(r">=\s*([\d.]+)", line)
    below = re.search(r"<\s*([\d.]+)", line)
    return name, _numbers(lowest[1]) if lowest else (0,), _numbers(below[1]) if below else None


def _packages() -> list[Finding]:
    try:
        lines = metadata.requires(DISTRIBUTION) or []
    except metadata.PackageNotFoundError:
        return [
            Finding(
                False,
                "The course is not installed, it only lies here; run "
                "“python3 -m pip install .” in its folder.",
            )
        ]
    found, there = [], 0
    for line in lines:
        if "extra ==" in line:
            continue
        name, lowest, below = _requirement(line)
        wanted = ".".join(map(str, lowest))
        try:
            version = metadata.version(name)
        except metadata.PackageNotFoundError:
            found.append(Finding(False, f"The package {name} is missing; run “python3 -m pip "
                                 f"install '{name}>={wanted}'”."))  # fmt: skip
            continue
        if _numbers(version) < lowest or (below and _numbers(version) >= below):
            limit = f" and older than {'.'.join(map(str, below))}" if below else ""
            say = f"{name} {version} does not fit; the course needs {wanted} or newer{limit}."
            found.append(Finding(False, say))
        else:
            there += 1
    return [*found, Finding(not found, f"{there} of {there + len(found)} packages are in order.")]


# --- what the packages need --------------------------------------------------------------------
def _fonts() -> list[Finding]:
    try:
        import matplotlib

        folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
        missing = [
            f for f in ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf") if not (folder / f).is_file()
        ]
    except ImportError:
        return [Finding(False, "Fonts could not be looked for, because matplotlib is missing.")]
    if missing:
        say = f"The font {missing[0]} is missing in {folder}; install matplotlib again."
        return [Finding(False, say)]
    return [Finding(True, "The fonts for pictures and build packs are there.")]


def _folder(folder: Path) -> list[Finding]:
    try:
        with tempfile.NamedTemporaryFile(dir=folder, prefix=".selftest-"):
            pass
    except OSError as error:
        say = f"Nothing can be written in {folder} ({error.strerror}); choose another folder."
        return [Finding(False, say)]
    return [Finding(True, f"Your work can be saved in {folder}.")]


def _kernel() -> list[Finding]:
    try:
        from jupyter_client.kernelspec import KernelSpecManager, NoSuchKernel
    except ImportError:
        return [Finding(False, "No notebook can run: the package jupyter_client is missing.")]
    try:
        command = KernelSpecManager().get_kernel_spec("python3").argv[0]
    except NoSuchKernel:
        say = "Notebooks have no Python kernel; run “python3 -m ipykernel install --sys-prefix”."
        return [Finding(False, say)]
    program = Path(command)
    if program.is_absolute() and not program.exists():
        say = (
            f"The notebooks' Python kernel points to {program}, which is gone; run "
            "“python3 -m ipykernel install --sys-prefix”."
        )
        return [Finding(False, say)]
    return [Finding(True, "Notebooks find their Python kernel.")]


def _numbers_agree(evidence_folder: Path | None) -> list[Finding]:
    """Ask the library for every published value; write the pages if a folder is named."""
    try:
        from solarlib import evidence
    except ImportError as error:
        return [Finding(False, f"The numbers could not be checked: {error.name} is missing.")]
    answers = evidence.answers()
    wrong = [one.row.id for one in answers if one.agrees is False]
    say = evidence.summary(answers)
    if wrong:
        say += f" Please report rows {', '.join(wrong)} and the versions of your packages."
    found = [Finding(not wrong, say)]
    if evidence_folder is not None:
        try:
            page, table = evidence.write_pages(evidence_folder, answers)
            found.append(Finding(True, f"The evidence lies in {page} and {table.name} beside it."))
        except OSError as error:
            say = (
                f"The evidence was not written, {evidence_folder} cannot be used "
                f"({error.strerror}); name another folder."
            )
            found.append(Finding(False, say))
    return found


def selftest(folder: Path | None = None, evidence_folder: Path | None = None) -> list[Finding]:
    """Look at Python, packages, fonts, kernel, the folder to work in, and the numbers.

    Parameters
    ----------
    folder : where work is to be saved, the current one if None.
    evidence_folder : where to write evidence.html and evidence.md; None writes nothing.
    """
    looks: tuple[Callable[[], list[Finding]], ...] = (_python, _packages, _fonts, _kernel)
    found = [one for look in looks for one in look()]
    return [*found, *_folder((folder or Path()).resolve()), *_numbers_agree(evidence_folder)]


def tell(found: list[Finding]) -> int:
    """Print findings, a line each; return 0 when nothing is missing, else 1."""
    for one in found:
        print(("ok       " if one.fine else "MISSING  ") + one.says)
    missing = sum(not one.fine for one in found)
    print("Nothing is missing." if not missing else f"{missing} of {len(found)} need attention.")
    return 1 if missing else 0


def main(arguments: list[str] | None = None) -> int:
    """Print the findings; return 0 when nothing is missing, else 1."""
    parser = Words(
        prog="python3 -m solarlib selftest",
        description="Say what this machine can do for the course, and what is missing.",
    )
    parser.add_argument(
        "--evidence", type=Path, metavar="FOLDER",
        help="also write evidence.html and evidence.md: every published value beside ours",
    )  # fmt: skip
    asked = parser.parse_args(arguments)
    return tell(selftest(evidence_folder=asked.evidence))
