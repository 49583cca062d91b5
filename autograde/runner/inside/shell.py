"""An IPython shell without a front end: runs cells and keeps what they put out, capped.

In: the source of a cell. Out: outputs as in a notebook file, but only text, PNG and
JPEG pictures and errors. It behaves as a notebook's kernel does, with three
differences: no input, no processes, and pictures of the widget kind stay away.
"""

from __future__ import annotations

import builtins
import io
import sys
from collections.abc import Mapping
from typing import Any

from IPython.core.displayhook import DisplayHook
from IPython.core.displaypub import DisplayPublisher
from IPython.core.interactiveshell import InteractiveShell
from IPython.display import display
from traitlets import Type
from traitlets.config import Config

KINDS = ("text/plain", "image/png", "image/jpeg")
MAX_TEXT = 100_000  # characters a cell, the rest is cut off and said so
MAX_RICH = 20  # results and pictures a cell


class Outputs:
    """What the running cell has put out so far."""

    def __init__(self) -> None:
        self.items: list[dict[str, Any]] = []
        self._text_left, self._rich_left = MAX_TEXT, MAX_RICH

    def clear(self) -> None:
        """Forget everything, for the next cell."""
        self.__init__()  # type: ignore[misc]

    def stream(self, name: str, text: str) -> None:
        """Add what was printed; pieces of the same stream are joined."""
        text = self._within(text)
        if not text:
            return
        last = self.items[-1] if self.items else {}
        if last.get("output_type") == "stream" and last["name"] == name:
            last["pieces"].append(text)
        else:
            self.items.append({"output_type": "stream", "name": name, "pieces": [text]})

    def rich(self, kind: str, data: Mapping[str, Any], count: int | None = None) -> None:
        """Add a result or a picture."""
        if self._rich_left <= 0:
            return
        self._rich_left -= 1
        kept = {k: self._within(v) if k == "text/plain" else v for k, v in data.items()
                if k in KINDS and isinstance(v, str | bytes)}  # fmt: skip
        if kept:
            item = {"output_type": kind, "data": kept, "metadata": {}}
            self.items.append({**item, "execution_count": count} if count is not None else item)
        if not self._rich_left:
            self.stream("stderr", f"\n[more than {MAX_RICH} results or pictures: left out]\n")

    def error(self, kind: str, words: str, traceback: list[str]) -> None:
        """Add an error."""
        lines = [self._within(line) for line in traceback]
        self.items.append({"output_type": "error", "ename": kind, "evalue": words[:2000],
                           "traceback": lines})  # fmt: skip

    def _within(self, text: Any) -> str:
        text = text if isinstance(text, str) else repr(text)
        kept = text[: max(self._text_left, 0)]
        if len(text) > self._text_left >= 0:
            kept += f"\n[more than {MAX_TEXT} characters: cut off]\n"
        self._text_left -= len(text)
        return kept if self._text_left + len(text) >= 0 else ""

    def taken(self) -> list[dict[str, Any]]:
        """Return the outputs as plain data."""
        import base64

        for item in self.items:
            if "pieces" in item:
                item["text"] = "".join(item.pop("pieces"))
            for kind, value in item.get("data", {}).items():
                if isinstance(value, bytes):
                    item["data"][kind] = base64.b64encode(value).decode()
        return self.items


class Stream(io.TextIOBase):
    """Stands for sys.stdout or sys.stderr."""

    encoding = "utf-8"

    def __init__(self, name: str, outputs: Outputs):
        self._name, self._outputs = name, outputs

    def write(self, text: str) -> int:
        """Keep what is printed."""
        if not isinstance(text, str):
            raise TypeError(f"write() argument must be str, not {type(text).__name__}")
        self._outputs.stream(self._name, text)
        return len(text)

    def writable(self) -> bool:
        """Say that one may write."""
        return True


class _Hook(DisplayHook):
    outputs: Outputs

    def write_output_prompt(self) -> None:
        """No prompt: the notebook has its own."""

    def write_format_data(self, format_dict: Any, md_dict: Any = None) -> None:
        self.outputs.rich("execute_result", format_dict, self.prompt_count)

    def finish_displayhook(self) -> None:
        """No line break either."""


class _Publisher(DisplayPublisher):
    outputs: Outputs

    def publish(self, data: Any, *args: Any, **options: Any) -> None:
        self.outputs.rich("display_data", data)

    def clear_output(self, wait: bool = False) -> None:
        self.outputs.clear()


class Shell(InteractiveShell):
    """The shell; `outputs` holds what the last cell put out."""

    displayhook_class = Type(_Hook)
    display_pub_class = Type(_Publisher)

    def __init__(self, **options: Any):
        self.outputs = Outputs()
        super().__init__(**options)
        self.displayhook.outputs = self.outputs
        self.display_pub.outputs = self.outputs
        assert self.display_formatter is not None
        self.display_formatter.active_types = list(KINDS)

    def _showtraceback(self, etype: Any, evalue: Any, stb: Any) -> None:
        self.outputs.error(etype.__name__, str(evalue), [str(line) for line in stb])

    def ask_exit(self) -> None:
        """Take exit() for what it is worth here: nothing."""

    def enable_gui(self, gui: Any = None) -> None:
        """Pictures are drawn without a window, so there is no loop to start."""

    def run(self, source: str) -> list[dict[str, Any]]:
        """Run one cell; return its outputs."""
        self.outputs.clear()
        sys.stdin = io.StringIO()  # input() meets its end at once
        sys.stdout, sys.stderr = Stream("stdout", self.outputs), Stream("stderr", self.outputs)
        self.run_cell(source, store_history=True)
        return self.outputs.taken()


def make_shell() -> Shell:
    """Return the shell, warmed up: everything slow is loaded before the first fork."""
    config = Config()
    config.HistoryManager.enabled = False
    config.InteractiveShell.colors = "nocolor"
    shell = Shell.instance(config=config)
    builtins.display = display  # type: ignore[attr-defined]
    shell.enable_matplotlib("inline")
    shell.run(
        "import numpy as np\nimport matplotlib.pyplot as plt\nplt.plot(np.arange(3))\n"
        "plt.title('warm')\nplt.show()\nprint('warm')\n'warm'"
    )
    shell.run("1 / 0")
    shell.run("def warm(x):\n    assert x > 1, 'warm'\nwarm(0)")
    shell.run("await __import__('asyncio').sleep(0)")
    shell.reset(new_session=True)
    return shell
