"""Layouts to bytes, one writer a format, and the reader that proves what went out."""
