"""Lessons into notebooks, answers into verdicts, a class into a gradebook."""
