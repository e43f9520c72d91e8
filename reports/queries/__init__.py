"""Rows to the facts of sheets, and what is due."""
