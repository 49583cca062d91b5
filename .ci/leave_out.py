"""The wheel's build hook: lessons go in as handed out, without solutions and model answers.

Called by hatchling while it builds the wheel; an editable install keeps the texts themselves.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

PACKED = "autograde/lessons"  # where `autograde.lesson.lessons_folder` looks first


class LeaveOut(BuildHookInterface):
    """Put every file of the lessons into the wheel, their texts without solutions."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Choose what goes in, before anything is packed."""
        if version == "editable":
            return
        sys.path.insert(0, self.root)
        from autograde.cells import without_solutions
        from autograde.lesson import lesson_folders

        self.place = tempfile.TemporaryDirectory()
        packed = build_data["force_include"]
        for folder in lesson_folders(Path(self.root) / "lessons"):
            for path in sorted(p for p in folder.iterdir() if p.is_file()):
                if path.name.startswith("."):
                    continue
                source = path
                if path.name == "lesson.py":
                    source = Path(self.place.name) / f"{folder.name}.py"
                    text = without_solutions(path.read_text(encoding="utf-8"))
                    source.write_text(text, encoding="utf-8", newline="\n")
                packed[str(source)] = f"{PACKED}/{folder.name}/{path.name}"

    def finalize(self, version: str, build_data: dict[str, Any], artifact_path: str) -> None:
        """Clear up after the wheel is written."""
        if version != "editable":
            self.place.cleanup()
