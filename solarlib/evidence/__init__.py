"""How do you know that the course's numbers are right?

In: the published values of `published.toml`, each with its source and tolerance.
Out: what the library answers today, beside what it should, as a page for readers
and as a table for machines. Nothing on it is copied by hand.

One file per subject holds the questions (`ASK`: quantity or row -> answer in the
row's unit); tests and `python -m solarlib selftest` ask the same ones.
"""

from solarlib.evidence.answers import Answer, answer, answers
from solarlib.evidence.page import summary, write_pages
from solarlib.evidence.table import Row, row, rows

__all__ = ["Answer", "Row", "answer", "answers", "row", "rows", "summary", "write_pages"]
