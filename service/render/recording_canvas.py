"""A canvas that remembers what it says: the text of a page in the order in which it is set."""

from __future__ import annotations

from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.textobject import PDFTextObject


class _HeardText(PDFTextObject):  # type: ignore[misc]  # reportlab carries no types
    """A text object that tells its canvas each text that it shows."""

    def _formatText(self, text: str) -> object:  # noqa: N802  # reportlab's name
        self._canvas.said.append(text)
        return super()._formatText(text)


class RecordingCanvas(Canvas):  # type: ignore[misc]  # the same
    """``said`` holds the texts that were drawn since it was last emptied."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        self.said: list[str] = []
        super().__init__(*args, **kwargs)

    def beginText(self, x: float = 0, y: float = 0, direction: str | None = None) -> PDFTextObject:  # noqa: N802  # the same
        """A text object that is listened to."""
        return _HeardText(self, x, y, direction=direction)
