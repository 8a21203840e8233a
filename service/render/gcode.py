"""Moves of a tool as a program in RS-274 (ISO 6983-1), in the dialect that a router's file describes.

Every program says its modes before it moves (G21 or G20, G90, G17, G94), rises to the safe height before it travels,
never travels below the clearance height, and names each feed and each tool before it cuts.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence

from schemas.router import Router
from service.marks.strokes import Point
from service.marks.toolpath import Move, Operation

MM_PER_INCH = 25.4


def gcode(
    operations: Sequence[Operation],
    router: Router,
    *,
    remarks: Sequence[str],
    zero: Point = (0.0, 0.0),
    thickness_mm: float,
) -> bytes:
    """The program.

    Args:
        operations: what is done, in order.
        router: whose dialect it is.
        remarks: lines for whoever reads the program, before its first block.
        zero: the point of the part that is X 0 Y 0 on the machine, in mm.
        thickness_mm: of the sheet, for a machine whose Z 0 is the table.
    """
    writer = _Writer(router, zero, thickness_mm if router.z_zero == "table" else 0.0)
    lines = list(writer.program(operations, remarks))
    return ("\n".join(lines) + "\n").encode("ascii")


class _Writer:
    """Keeps what the control keeps, so that a word is written only where it changes something."""

    def __init__(self, router: Router, zero: Point, top_mm: float) -> None:
        self._router = router
        self._zero = zero
        self._top_mm = top_mm
        self._number = 0
        self._modal: dict[str, str] = {}

    def program(self, operations: Sequence[Operation], remarks: Sequence[str]) -> Iterator[str]:
        router = self._router
        if router.percent_signs:
            yield "%"
        for remark in remarks:
            yield from self._comment(remark)
        yield self._block(f"{'G21' if router.units == 'mm' else 'G20'} G90 G17 G94")
        for block in router.start:
            yield self._block(block)
        tool: int | None = None
        for operation in operations:
            yield from self._comment(operation.words)
            if operation.tool.number != tool:
                if tool is not None:
                    yield from self._stopped()
                yield from self._brought(operation)
                tool = operation.tool.number
            yield self._height(router.safe_height_mm)
            first = operation.moves[0]
            yield self._moved(Move(first.x, first.y, router.safe_height_mm, 0.0))
            for move in operation.moves:
                line = self._moved(move)
                if line:
                    yield line
            yield self._height(router.safe_height_mm)
        yield from self._stopped()
        for block in router.end:
            yield self._block(block)
        if router.percent_signs:
            yield "%"

    def _brought(self, operation: Operation) -> Iterator[str]:
        """The tool changed and its spindle up to speed. Where the control stands afterwards is its own affair."""
        tool, router = operation.tool, self._router
        for block in [*router.tool_change, *router.spindle_start]:
            yield self._block(
                block.format(
                    tool=tool.number,
                    rpm=tool.spindle_rpm,
                    seconds=f"{router.spindle_up_s:g}",
                    milliseconds=f"{router.spindle_up_s * 1000:.0f}",
                )
            )
        self._modal = {}

    def _stopped(self) -> Iterator[str]:
        for block in self._router.spindle_stop:
            yield self._block(block)

    def _height(self, z_mm: float) -> str:
        self._modal.pop("Z", None)
        self._modal["G"] = "G0"
        word = self._word("Z", self._top_mm + z_mm)
        return self._block(f"G0 {word}")

    def _moved(self, move: Move) -> str:
        """The block of a move; empty where it moves nothing."""
        axes = [
            self._word("X", move.x - self._zero[0]),
            self._word("Y", move.y - self._zero[1]),
            self._word("Z", self._top_mm + move.z),
        ]
        words = [word for word in axes if word]
        if not words:
            return ""
        motion = "G1" if move.feed_mm_per_min else "G0"
        if self._modal.get("G") != motion:
            self._modal["G"] = motion
            words.insert(0, motion)
        if move.feed_mm_per_min:
            feed = f"F{self._length(move.feed_mm_per_min, 1)}"
            if self._modal.get("F") != feed:
                self._modal["F"] = feed
                words.append(feed)
        return self._block(" ".join(words))

    def _word(self, axis: str, mm: float) -> str:
        """The word of an axis; empty where it stands there already."""
        value = self._length(mm, self._router.decimals)
        if self._modal.get(axis) == value:
            return ""
        self._modal[axis] = value
        return f"{axis}{value}"

    def _length(self, mm: float, decimals: int) -> str:
        value = mm if self._router.units == "mm" else mm / MM_PER_INCH
        # A minus zero would read as another place than zero.
        return f"{round(value, decimals) + 0.0:.{decimals}f}"

    def _block(self, words: str) -> str:
        if not self._router.line_numbers:
            return words
        self._number += self._router.line_numbers
        return f"N{self._number} {words}"

    def _comment(self, words: str) -> Iterator[str]:
        """A remark in the form that the control takes: plain ASCII, and no bracket or semicolon of its own."""
        plain = unicodedata.normalize("NFKD", words.replace("×", "x").replace("·", "-").replace("°", "deg"))
        text = "".join(char for char in plain if 32 <= ord(char) < 127 and char not in "()[];%")
        for style, line in (("brackets", f"({text})"), ("semicolon", f"; {text}")):
            if self._router.comments == style:
                yield line
