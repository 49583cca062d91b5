"""The commands: python -m autograde COMMAND ... ; each lives in the module that does it."""

from __future__ import annotations

import importlib
import sys
from collections.abc import Sequence

from solarlib.commands import Refusal, cannot, say_in_any_letters
from solarlib.files import about_file

# command -> (module, function taking the arguments, what it does)
COMMANDS = {
    "build": ("build", "main", "[FOLDER] [LESSON ...]   make a course folder for nbgrader"),
    "try": ("trial", "main", "NOTEBOOK   check a whole notebook from a fresh process"),
    "answer": (
        "trial",
        "main_answer",
        "EXERCISE TEXT   answer without a notebook, kept in the log",
    ),
    "class": (
        "classes",
        "main_class",
        "FOLDER ROSTER [LESSON ...] [--due DATE]   make a class from a roster",
    ),
    "collect": ("collecting", "main", "FOLDER LESSON SOURCE ...   take in what was handed in"),
    "grade": ("marking", "main", "FOLDER LESSON   mark a class in sandboxes"),
    "override": (
        "classes",
        "main_override",
        "FOLDER LESSON LEARNER EXERCISE POINTS REASON   give other points than the machine",
    ),
    "report": ("report", "main", "FOLDER [LESSON]   pages and tables about a lesson, or about all"),
    "paper": ("paper", "main", "FOLDER [LESSON ...]   lessons as pages to read and to print"),
    "benchmark": ("benchmark", "main", "[SUBMISSIONS]   how fast marking is, against stock nbgrader"),
    "selftest": ("selftest", "main", "  say whether this machine can mark a class"),
}


def main(argv: Sequence[str]) -> int:
    """Run one command and return its exit code; 2, with one sentence, when it cannot be done."""
    if not argv or argv[0] not in COMMANDS:
        known = argv and argv[0] in ("help", "-h", "--help")
        if argv and not known:
            return cannot(f"“{argv[0]}” is not a command; use one of {', '.join(COMMANDS)}.")
        print("python -m autograde COMMAND")
        for name, (_, _, words) in COMMANDS.items():
            print(f"  {name} {words}")
        return 0 if known else 2
    module, function, _ = COMMANDS[argv[0]]
    run = getattr(importlib.import_module(f"autograde.{module}"), function)
    try:
        return int(run(list(argv[1:])) or 0)
    except Refusal as error:
        return cannot(error)
    except OSError as error:
        return cannot(about_file(error))
    except KeyboardInterrupt:
        print("Stopped. What is written is whole; start the same command again to go on.")
        return 130


if __name__ == "__main__":
    say_in_any_letters()
    sys.exit(main(sys.argv[1:]))
