"""The shop's own facts, its journal, and whether the service is there."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from schemas.answers.base import Answer, MomentField


class ShopAnswer(Answer):
    """The shop, as it stands on every plate."""

    name: str = Field(description="Name of the shop; empty until it is set.")
    address: str = Field(description="Address of the shop.")
    telephone: str = Field(description="The number to call about a broken piece.")
    street: str = Field(description="Street and house number, for nameplates as data; empty until it is set.")
    postal_code: str = Field(description="Postal code, likewise.")
    town: str = Field(description="Town, likewise.")
    country: str = Field(description="Country, two letters of ISO 3166-1, likewise.", examples=["GB"])


class CodeAnswer(Answer):
    """A code of one of the shop's tables."""

    table: Literal["machine_class", "assembly", "deck"] = Field(description="The table it stands in.")
    code: str = Field(description="The letters in the number.", examples=["SW"])
    name: str = Field(description="What they stand for.", examples=["star wheel"])


class CodeListAnswer(Answer):
    """All codes that the shop can use."""

    codes: tuple[CodeAnswer, ...] = Field(description="Table by table.")
    design_letters: tuple[str, ...] = Field(description="Design letters of containers, in the order they are given.")


class RivalAnswer(Answer):
    """A code in use beside which a new one would live."""

    code: str = Field(description="The code in use.", examples=["M500"])
    distance: float = Field(description="How far it is; 1 for one sign that is clearly different.", examples=[0.15])
    near: bool = Field(description="Whether the new code is too easily taken for it.")
    words: str = Field(
        description="What the new code has otherwise.", examples=["N for M, which look alike and sound alike"]
    )


class CodeCheckAnswer(Answer):
    """How a new code would stand beside those in use."""

    kind: Literal["container", "assembly", "plant"] = Field(description="What the code would name.")
    code: str = Field(description="The code as it was read.", examples=["N500"])
    plant: str | None = Field(description="The plant that was looked at; null where it is the whole shop.")
    in_use: bool = Field(description="Whether this very code is taken already.")
    clear: bool = Field(description="Whether it is free, and no code in use is too near.")
    threshold: float = Field(description="Codes nearer than this are too near.", examples=[0.8])
    rivals: tuple[RivalAnswer, ...] = Field(description="The nearest codes in use, nearest first; at most ten.")
    better: tuple[str, ...] = Field(
        description="Free codes that are farther from those in use, the farthest first; at most five."
    )


class EventAnswer(Answer):
    """Who did what, when."""

    at: MomentField
    actor: str = Field(description="Who did it.")
    verb: str = Field(description="What was done.", examples=["issue"])
    subject: str = Field(description="The number, kit, cut file or table it was done to.")
    before: object | None = Field(description="What stood there before, as far as it changed.")
    after: object | None = Field(description="What stands there since.")


class HistoryAnswer(Answer):
    """What happened to a subject."""

    events: tuple[EventAnswer, ...] = Field(description="Oldest first.")


class HealthAnswer(Answer):
    """Whether the service is there."""

    status: Literal["ok", "not ready"] = Field(description="ok, or not ready while records or vault do not answer.")
