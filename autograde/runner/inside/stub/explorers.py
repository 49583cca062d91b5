"""What a notebook gets under the name `solarlib.explorers` while it is marked: still pictures."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

NAMES: tuple[str, ...] = ()


def __getattr__(name: str) -> Callable[..., None]:
    if not name.startswith("explore_"):
        raise AttributeError(f"There is no explorer “{name}”.")
    return _nothing


def _nothing(*args: Any, **options: Any) -> None:
    return None
