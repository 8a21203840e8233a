"""What a picture of a damaged plate says."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from schemas.answers.base import Answer
from schemas.answers.readings import ReadAnswer


class PictureSymbolAnswer(Answer):
    """A symbol that was found in a picture."""

    kind: Literal["qr", "data_matrix", "code128"] = Field(description="What kind of symbol it is.")
    corners: tuple[tuple[float, float], ...] = Field(
        description="Its corners, from the upper left one of the symbol itself clockwise, as shares of the width and "
        "height of the upright picture."
    )
    text: str | None = Field(description="What it says, when it decoded alone; else null.")
    legible: float | None = Field(
        description="Share of its modules of which something is known, when it was weighed with the others; else null."
    )
    agrees: float | None = Field(
        description="Share of its legible modules that are as the answer would have them; null without an answer."
    )


class PictureAnswer(ReadAnswer):
    """What a picture says: the answer of ``GET /api/read`` for the mark in it, and how it was read."""

    how: Literal["alone", "merged", "not_read"] = Field(
        description="Alone: at least one symbol decoded. Merged: none did, and all of them together gave the key. Not "
        "read: nothing is certain enough; there may be candidates, none of them picked."
    )
    texts: tuple[str, ...] = Field(description="What the symbols say that decoded alone, each once.")
    margin: float | None = Field(
        description="When symbols were merged: by how many powers of ten the best key is likelier than every other and "
        "than chance, by the model of damage; null when one decoded alone. An answer needs at least `margin_needed`."
    )
    margin_needed: float = Field(description="The margin that an answer needs.", examples=[9.0])
    template: str = Field(description="The label template whose plate it was taken for; empty when none was needed.")
    symbols: tuple[PictureSymbolAnswer, ...] = Field(description="The symbols that were found.")
    width_px: int = Field(description="Width of the upright picture as it was worked on.")
    height_px: int = Field(description="Height of it.")
