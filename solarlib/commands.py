"""What a command says when it is called wrongly: one sentence, and what to type for help.

In: the words behind a command. Out: the same as `argparse` gives, or a CommandError.
"""

from __future__ import annotations

import argparse
import io
import sys
from typing import NoReturn


class CommandError(ValueError):
    """A command cannot begin; the message is one sentence."""


class Words(argparse.ArgumentParser):
    """Reads the words of a command; says what is wrong with them in one sentence."""

    def error(self, message: str) -> NoReturn:
        """Raise what `argparse` would print over several lines."""
        said = message.removeprefix("argument ")
        raise CommandError(f"{said[:1].upper()}{said[1:]}; see “{self.prog} --help”.")


def say_in_any_letters() -> None:
    """Let a terminal that knows few letters show “?” for the others, instead of ending in an error."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
