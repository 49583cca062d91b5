"""What a command says when something cannot be done: one sentence, and what to do about it.

In: the words behind a command, or a sentence. Out: the same as `argparse` gives, or a `Refusal`;
an exit code.
"""

from __future__ import annotations

import argparse
import io
import sys
from typing import NoReturn


class Refusal(Exception):  # noqa: N818 - no error of the program
    """Something cannot be done; the message is one sentence for whoever asked for it."""


class CommandError(Refusal, ValueError):
    """A command is called wrongly."""


class Words(argparse.ArgumentParser):
    """Reads the words of a command; says what is wrong with them in one sentence."""

    def error(self, message: str) -> NoReturn:
        """Raise what `argparse` would print over several lines."""
        said = message.removeprefix("argument ")
        raise CommandError(f"{said[:1].upper()}{said[1:]}; see “{self.prog} --help”.")


def cannot(sentence: object) -> int:
    """Say why a command cannot go on, apart from what it prints; return its exit code, 2."""
    print(sentence, file=sys.stderr)
    return 2


def say_in_any_letters() -> None:
    """Let a terminal that knows few letters show “?” for the others, instead of ending in an error."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
