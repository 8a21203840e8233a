"""Answers about what a mark bears: its survival card."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from schemas.answers.base import Answer, NumberField

_Share = Annotated[float, Field(description="Survived over tried, from 0 to 1.", ge=0, le=1)]
_Floor = Annotated[float, Field(description="The share that the template asks for; 0 for none.", ge=0, le=1)]
_Family = Annotated[
    Literal["loss", "scratches", "blur", "fog", "tilt", "print", "light", "stain"],
    Field(description="Family of damages."),
]


class SurvivalTallyAnswer(Answer):
    """How one family of damages was borne."""

    family: _Family
    words: Annotated[str, Field(description="The family as a person says it.", examples=["scratches"])]
    tried: Annotated[int, Field(description="How many damages of it were tried.")]
    survived: Annotated[int, Field(description="How many of them were survived.")]


class SurvivalSymbolAnswer(Answer):
    """How one symbol of the mark did."""

    index: Annotated[int, Field(description="Its number on the card, from 1.")]
    name: Annotated[str, Field(description="What people call it.", examples=["Data Matrix 2 (key)"])]
    kind: Annotated[Literal["qr", "data_matrix", "code128"], Field(description="Kind of symbol.")]
    content: Annotated[
        str | None, Field(description="What it holds: link, message, key, number or contents.", examples=["key"])
    ]
    x_mm: Annotated[float, Field(description="Left edge of its modules from the left edge of the mark.")]
    y_mm: Annotated[float, Field(description="Upper edge of its modules from the upper edge of the mark.")]
    width_mm: Annotated[float, Field(description="Width without the quiet zone.")]
    height_mm: Annotated[float, Field(description="Height without the quiet zone.")]
    module_mm: Annotated[float, Field(description="Width of a module as printed.")]
    share: _Share
    floor: _Floor
    families: Annotated[list[SurvivalTallyAnswer], Field(description="How it did against each family.")]
    lost: Annotated[list[str], Field(description="Names of the damages after which it did not read.")]
    carried_by: Annotated[
        list[int], Field(description="Numbers of the symbols that still name the piece when this one alone is gone.")
    ]
    written: Annotated[
        list[Literal["number", "key"]], Field(description="What people can still read when this one alone is gone.")
    ]
    without: Annotated[str, Field(description="The same as a sentence.")]


class SurvivalDamageAnswer(Answer):
    """One damage, and what was left after it."""

    name: Annotated[str, Field(description="Its name, which never changes.", examples=["loss-50-3"])]
    family: _Family
    sentence: Annotated[str, Field(description="What it does to the plate.")]
    severity: Annotated[int, Field(description="1 for the mildest of its family.", ge=1)]
    read_by: Annotated[list[int], Field(description="Numbers of the symbols that still read.")]
    identity: Annotated[
        Literal["symbol", "merged", "lost"],
        Field(
            description="How the piece was still known: from one symbol, from the modules of all symbols weighed "
            "together, or not at all."
        ),
    ]


class SurvivalTextAnswer(Answer):
    """A text that a damaged mark gave and that does not stand on it."""

    damage: Annotated[str, Field(description="Name of the damage.", examples=["scratches-12-3"])]
    text: Annotated[str, Field(description="What the decoder said.")]


class SurvivalAnswer(Answer):
    """The survival card of a mark: what it bears, and what says which piece it is when a symbol is lost."""

    number: NumberField
    key: Annotated[str, Field(description="Key that the mark bears.", examples=["K7M4XRAW"])]
    template: Annotated[str, Field(description="Name of the label template.", examples=["nameplate-60x22"])]
    dpi: Annotated[int, Field(description="Dots per inch of the printer.", examples=[203])]
    width_mm: Annotated[float, Field(description="Width of the mark.")]
    height_mm: Annotated[float, Field(description="Height of the mark.")]
    tried: Annotated[int, Field(description="How many damages the mark was put to.")]
    share: Annotated[
        float,
        Field(description="Share of the damages after which the piece is still known, merging included.", ge=0, le=1),
    ]
    share_of_single_symbols: Annotated[
        float,
        Field(description="Share of the damages after which some single symbol still names the piece.", ge=0, le=1),
    ]
    floor: _Floor
    families: Annotated[list[SurvivalTallyAnswer], Field(description="How the identity did against each family.")]
    symbols: Annotated[list[SurvivalSymbolAnswer], Field(description="How each symbol did, in the order of the card.")]
    damages: Annotated[list[SurvivalDamageAnswer], Field(description="Every damage, in a fixed order.")]
    wrong: Annotated[
        list[SurvivalTextAnswer],
        Field(
            description="Texts that would be taken for another piece. There must be none; such a mark is not printed."
        ),
    ]
    refused: Annotated[
        list[SurvivalTextAnswer],
        Field(description="Texts that came out garbled, and that the check of the number or key refuses."),
    ]
