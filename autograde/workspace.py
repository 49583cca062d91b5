"""The learner's own folder, and the settings of a calm JupyterLab on it.

In: a folder. Out: the lessons as notebooks in it, and a Jupyter apart from the user's own.
Nothing of the learner's is ever overwritten: a lesson is written only where it
is missing or still byte for byte as we delivered it; otherwise a newer edition
goes to ``new-editions/``. What we delivered is remembered in ``.course/``.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import sys
from collections.abc import Iterator
from pathlib import Path

import autograde
import solarlib
from solarlib.commands import Refusal
from solarlib.files import write_whole

HIDDEN = ".course"
NEWER = "new-editions"
IN_PLACE = "Everything is in place; nothing was changed."


class WorkspaceError(Refusal):
    """The course cannot be opened; the message is one sentence for the learner."""


def prepare(folder: Path) -> list[str]:
    """Put into `folder` what is missing; return sentences about what was done.

    Raises
    ------
    WorkspaceError : a file stands in the way, no write permission, a full disk.
    """
    with in_words(folder):
        if not folder.exists() and not folder.parent.exists():
            raise WorkspaceError(
                f"{folder.parent} does not exist; make that folder first or name another one."
            )
        (folder / HIDDEN).mkdir(parents=True, exist_ok=True)
        delivered, edition = _delivered(folder), _edition()
        stamp = folder / HIDDEN / "edition"
        there = delivered and all((folder / name).exists() for name in delivered)
        if there and stamp.is_file() and stamp.read_bytes() == edition:
            return [IN_PLACE]  # without building the lessons, which takes seconds
        report = [_deliver(folder, name, data, delivered) for name, data in _shipped()]
        write_whole(folder / HIDDEN / "delivered.json", json.dumps(delivered, indent=1).encode())
        write_whole(stamp, edition)
    return [line for line in report if line] or [IN_PLACE]


@contextlib.contextmanager
def in_words(folder: Path) -> Iterator[None]:
    """Turn what the system says about a folder into one sentence for the learner."""
    from autograde.lesson import LessonError

    try:
        yield
    except (FileExistsError, NotADirectoryError, IsADirectoryError):
        raise WorkspaceError(
            f"{folder} cannot be used, a file stands where a folder is needed or the other way "
            "round; name another folder."
        ) from None
    except PermissionError:
        raise WorkspaceError(f"{folder} may not be written; name a folder of your own, for "
                             "example: python3 -m solarlib learn ~/my-course") from None  # fmt: skip
    except OSError as error:
        shown = str(folder) if len(str(folder)) < 120 else f"{str(folder)[:100]}…"
        raise WorkspaceError(f"{shown} cannot be written ({error.strerror or error}); make room "
                             "or name another folder.") from None  # fmt: skip
    except LessonError as error:
        raise WorkspaceError(str(error)) from None


def _shipped() -> Iterator[tuple[str, bytes]]:
    """Yield every file of the course: its name in the workspace, and its bytes."""
    from autograde import build
    from autograde.lesson import lesson_folders, load

    for path in lesson_folders():
        source = load(path.name)
        yield f"{source.name}.ipynb", build.as_bytes(build.notebook(source))
        for file in source.data:
            yield file.name, file.read_bytes()


def _edition() -> bytes:
    """Return a mark of all that the notebooks are built from: texts, keys and the library."""
    from autograde.lesson import lesson_folders

    mark = hashlib.sha256()
    library = [p for home in (solarlib, autograde) for p in Path(home.__path__[0]).rglob("*")]
    for path in sorted([*library, *(p for home in lesson_folders() for p in home.rglob("*"))]):
        if path.suffix in (".py", ".md", ".csv", ".toml") and path.is_file():
            mark.update(f"{path.name}\0".encode() + path.read_bytes())
    return mark.hexdigest().encode()


def _delivered(folder: Path) -> dict[str, list[str]]:
    path = folder / HIDDEN / "delivered.json"
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except (FileNotFoundError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def _deliver(folder: Path, name: str, data: bytes, delivered: dict[str, list[str]]) -> str:
    target, mark = folder / name, hashlib.sha256(data).hexdigest()
    marks = delivered.setdefault(name, [])
    new_edition = mark not in marks
    if not target.exists():
        write_whole(target, data)
        said = f"{name}: written."
    elif (there := target.read_bytes()) == data or not new_edition:
        said = ""
    elif hashlib.sha256(there).hexdigest() in marks:
        write_whole(target, data)
        said = f"{name}: renewed; you had not changed it."
    else:
        (folder / NEWER).mkdir(exist_ok=True)
        write_whole(folder / NEWER / name, data)
        said = f"{name}: yours is kept; the newer edition is in {NEWER}/."
    if new_edition:
        marks.append(mark)
    return said


# --- JupyterLab, calm and apart from the user's own settings -------------------------------------
# single keys that would change a notebook of somebody who only wanted to type
_KEYS_OFF = {
    "notebook:delete-cell": ["D", "D"], "notebook:cut-cell": ["X"],
    "notebook:paste-cell-below": ["V"], "notebook:change-cell-to-raw": ["R"],
    "notebook:change-cell-to-code": ["Y"], "notebook:change-cell-to-markdown": ["M"],
    "notebook:insert-cell-above": ["A"], "notebook:insert-cell-below": ["B"],
    "notebook:merge-cells": ["Shift M"],
}  # fmt: skip
_SETTINGS = {
    "@jupyterlab/application-extension:shell": {"startMode": "single"},
    "@jupyterlab/apputils-extension:notification": {"fetchNews": "false", "checkForUpdates": False},
    "@jupyterlab/statusbar-extension:plugin": {"visible": False},
    "@jupyterlab/docmanager-extension:plugin": {"defaultViewers": {"markdown": "Markdown Preview"}},
    "@jupyterlab/notebook-extension:tracker": {
        "windowingMode": "defer",
        "autoStartDefaultKernel": True,
    },
    "@jupyterlab/notebook-extension:panel": {
        "toolbar": [{"name": name, "disabled": True}
                    for name in ("insert", "cut", "copy", "paste", "cellType")]
    },
    "@jupyterlab/shortcuts-extension:shortcuts": {
        "shortcuts": [
            {"command": command, "keys": keys, "disabled": True,
             "selector": ".jp-Notebook.jp-mod-commandMode:not(.jp-mod-readWrite) :focus"}
            for command, keys in _KEYS_OFF.items()
        ]
    },
}  # fmt: skip
_PLUGINS_OFF = ("@jupyter/nbgrader", "@jupyterlab/cell-toolbar-extension:plugin",
                "@jupyterlab/apputils-extension:announcements",
                "@jupyterlab/application-extension:property-inspector",
                "@jupyterlab/debugger-extension", "@jupyterlab/extensionmanager-extension")  # fmt: skip
_SERVER = {
    # forms and sliders live only with a kernel; a saved notebook keeps their pictures and words
    "FileContentsManager": {"pre_save_hook": "autograde.form.before_saving"},
    "ServerApp": {
        "jpserver_extensions": {
            f"nbgrader.server_extensions.{name}": False
            for name in ("formgrader", "validate_assignment", "assignment_list", "course_list")
        }
    },
}

# a frame round what has the keyboard's focus; Jupyter's own is pale and one pixel thin, and four
# classes are needed to outdo it
_FOCUS = (".jp-Notebook .jp-Cell .jp-OutputArea .jp-OutputArea-output :focus-visible,\n"
          ".jp-Notebook .jp-Cell .jp-RenderedMarkdown :focus-visible\n"
          "{ outline: 3px solid #0b4a8f !important; outline-offset: -1px; }\n")  # fmt: skip


def environment(folder: Path) -> dict[str, str]:
    """Return the environment of a Jupyter that reads and writes only the course's own settings."""
    home = folder / HIDDEN / "jupyter"
    own = {
        "JUPYTER_CONFIG_DIR": home / "config",
        "JUPYTER_DATA_DIR": home / "data",
        "JUPYTERLAB_SETTINGS_DIR": home / "settings",
        "JUPYTERLAB_WORKSPACES_DIR": home / "views",
        "IPYTHONDIR": home / "ipython",
        "AUTOGRADE_WORKSPACE": folder,
    }
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("JUPYTER", "NBGRADER"))}
    bin_folder = str(Path(sys.executable).parent)
    kept["PATH"] = f"{bin_folder}{os.pathsep}{kept.get('PATH', '')}"
    return {**kept, "JUPYTER_PREFER_ENV_PATH": "1", **{k: str(v) for k, v in own.items()}}


def settle(folder: Path) -> None:
    """Write the calm view's settings and sign the notebooks, so that their pictures are shown."""
    config = folder / HIDDEN / "jupyter" / "config"
    (config / "labconfig").mkdir(parents=True, exist_ok=True)
    off = {"disabledExtensions": {name: True for name in _PLUGINS_OFF}}
    for path, content in (
        (config / "jupyter_server_config.json", _SERVER),
        (config / "labconfig" / "default_setting_overrides.json", _SETTINGS),
        (config / "labconfig" / "page_config.json", off),
    ):
        write_whole(path, json.dumps(content, indent=1).encode())
    (config / "custom").mkdir(exist_ok=True)
    write_whole(config / "custom" / "custom.css", _FOCUS.encode())
    _sign(folder)


def _sign(folder: Path) -> None:
    from nbformat import read
    from nbformat.sign import NotebookNotary

    data = Path(environment(folder)["JUPYTER_DATA_DIR"])
    data.mkdir(parents=True, exist_ok=True)
    notary = NotebookNotary(data_dir=str(data))
    for path in sorted(folder.glob("[0-9][0-9]_*.ipynb")):
        try:
            notebook = read(path, as_version=4)
        except Exception:  # damaged: JupyterLab will say so when the learner opens it
            continue
        if not notary.check_signature(notebook):
            notary.sign(notebook)
    notary.store.close()
