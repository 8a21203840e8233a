"""Answers about the shop's routers."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from schemas.answers.base import Answer


class RouterToolAnswer(Answer):
    """A tool of a router's magazine."""

    number: Annotated[int, Field(description="Its place, as the control calls it.", examples=[1])]
    name: Annotated[str, Field(description="What people call it.", examples=["straight engraving cutter 0.5 mm"])]
    use: Annotated[Literal["engrave", "profile"], Field(description="Whether it engraves or cuts profiles.")]
    diameter_mm: Annotated[float, Field(description="Of what cuts.", examples=[0.5])]
    depth_mm: Annotated[
        float, Field(description="How deep it engraves; for a profile, how far it runs below the sheet.")
    ]
    groove_mm: Annotated[
        float | None, Field(description="Width of the groove at the surface; null for a tool that cuts profiles.")
    ]


class RouterAnswer(Answer):
    """A router: the name that a program is asked for with, and its tools."""

    name: Annotated[str, Field(description="How it is asked for.", examples=["metric"])]
    title: Annotated[str, Field(description="What people call it.", examples=["Router, millimetres, tool changer"])]
    units: Annotated[Literal["mm", "inch"], Field(description="Unit of its programs.")]
    extension: Annotated[str, Field(description="Ending of its files.", examples=["nc"])]
    tools: Annotated[list[RouterToolAnswer], Field(description="Its magazine; the first of each use is the usual one.")]


class RouterListAnswer(Answer):
    """The routers that the shop has."""

    routers: Annotated[list[RouterAnswer], Field(description="By name.")]
