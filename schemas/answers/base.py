"""What every answer has in common, and the fields that many of them carry."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field


class Answer(BaseModel):
    """The base of every answer."""

    model_config = ConfigDict(frozen=True)


NumberField = Annotated[str, Field(description="Number of the segment.", examples=["OSV4-FC1-A500-SW2-U3-42"])]
KitField = Annotated[str, Field(description="Number of the kit.", examples=["OSV4-FC1-A500"])]
PlaceField = Annotated[
    str, Field(description="Place in the kit: assembly, then deck and ordinal.", examples=["SW2-U3"])
]
CutFileField = Annotated[str, Field(description="Name of the cut file.", examples=["osv4-fc1-a500-sw2-u3.dxf"])]
RevisionField = Annotated[str, Field(description="``-`` for the first release, then letters.", examples=["B"])]
Sha256Field = Annotated[str, Field(description="SHA-256 of the released bytes, 64 hexadecimal digits.")]
QuantityField = Annotated[int, Field(description="How many pieces the machine needs of this segment.")]
MaterialField = Annotated[str, Field(description="What it is cut from.", examples=["UHMW-PE"])]
ThicknessField = Annotated[float, Field(description="Nominal thickness of the sheet.", examples=[25.0])]
MassField = Annotated[
    float, Field(description="Mass of one piece, from outline, thickness and density.", examples=[3.21])
]
ColourField = Annotated[str, Field(description="Colour of the plastic, in words.", examples=["green"])]
HandField = Annotated[str | None, Field(description="LEFT or RIGHT, looking downstream; null where it has none.")]
FormField = Annotated[str | None, Field(description="Form of the joint, for one dovetail; null if not on record.")]
ClearanceField = Annotated[float | None, Field(description="Clearance of the joint; null if not on record.")]
InferredField = Annotated[
    bool, Field(description="True if nobody declared the joint and it was read off the touching outlines.")
]
MomentField = Annotated[str, Field(description="A moment in UTC, ISO 8601.", examples=["2026-03-09T08:15:00Z"])]
