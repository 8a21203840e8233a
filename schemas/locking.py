"""What will lock: each released revision of a broken segment held against the pieces that survived."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from schemas.answers.base import Answer, CutFileField, MassField, MomentField, NumberField, PlaceField, RevisionField

Verdict = Literal["exact", "fits", "fits_but_differs", "collides", "does_not_hold", "unknown"]
JointState = Literal["locks", "collides", "too_tight", "too_loose", "gone", "unknown"]
Interface = Literal["joint", "hub bore", "bolt pattern", "pocket", "outside contour", "opening", "thickness"]

_MaybeLength = Annotated[float | None, Field(description="In mm; null where no outlines could be compared.")]


class SpotAnswer(Answer):
    """A point of the drawing."""

    x_mm: Annotated[float, Field(description="Along x, in the coordinates of the assembly.", examples=[-74.1])]
    y_mm: Annotated[float, Field(description="Along y, in the coordinates of the assembly.", examples=[80.6])]


class ClearanceAnswer(Answer):
    """The gap along a joint as the two cut files draw it, with what the cutter leaves and the temperature does."""

    least_mm: Annotated[float, Field(description="Least gap; below zero as deep as the pieces overlap.")]
    median_mm: Annotated[float, Field(description="Gap that half of the joint is narrower than.")]
    greatest_mm: Annotated[float, Field(description="Greatest gap.")]
    length_mm: Annotated[float, Field(description="Length of the joint along which the pieces face each other.")]
    play_mm: Annotated[
        float | None,
        Field(description="Farthest that the piece can be shifted in the joint; null where it can be drawn out."),
    ]


class JointFitAnswer(Answer):
    """One revision at the joint to one neighbour, by both sources."""

    number: Annotated[str, Field(description="Number of the neighbour.", examples=["OSV4-FC1-A500-SW2-U4-39"])]
    place: PlaceField
    as_built: Annotated[
        str | None, Field(description="Revision that the neighbour was cut from; null if not on record.")
    ]
    survives: Annotated[bool, Field(description="False if the neighbour is not among the survivors.")]
    state: Annotated[JointState, Field(description="What the outlines say.")]
    sentence: Annotated[str, Field(description="The same as a sentence.")]
    declared: Annotated[
        bool | None,
        Field(description="Whether the declared joint revisions say that the two lock; null if a build is unknown."),
    ]
    computed: Annotated[
        bool | None, Field(description="Whether the outlines say that the two lock; null if they cannot say.")
    ]
    clearance: Annotated[ClearanceAnswer | None, Field(description="The gap; null if no outlines could be compared.")]
    overlap_mm2: Annotated[float, Field(description="Area on which the two pieces would lie over each other.")]
    depth_mm: Annotated[float, Field(description="How deep one reaches into the other; 0 where they do not overlap.")]
    at: Annotated[SpotAnswer | None, Field(description="The deepest overlap, else the place to look at.")]
    picture: Annotated[
        str | None,
        Field(
            description="Address of a picture of the spot; null without outlines.",
            examples=["/api/segments/OSV4-FC1-A500-SW2-U3-42/locking/B/OSV4-FC1-A500-SW2-U4-39.svg"],
        ),
    ]


class DifferenceAnswer(Answer):
    """One feature in which a revision differs from what the broken piece was cut from."""

    interface: Annotated[Interface, Field(description="What differs.")]
    neighbour: Annotated[str | None, Field(description="For a joint: the place of the neighbour.")]
    size_mm: Annotated[
        float | None,
        Field(description="Farthest that the two outlines lie apart there; null where nothing measures it."),
    ]
    sentence: Annotated[
        str, Field(description="The same as a sentence.", examples=["pocket: 0.40 mm at (-12.0, 201.4)"])
    ]
    at: Annotated[SpotAnswer | None, Field(description="Where they lie farthest apart.")]
    declared: Annotated[bool, Field(description="Whether a release in between declared this change.")]


class RevisionFitAnswer(Answer):
    """One released revision of the broken segment's cut file."""

    revision: RevisionField
    released_at: MomentField
    note: Annotated[str, Field(description="What the release says of itself.")]
    withdrawn: Annotated[bool, Field(description="Whether it must not be cut any more.")]
    verdict: Annotated[Verdict, Field(description="The verdict.")]
    sentence: Annotated[str, Field(description="The same as a sentence.")]
    joints: Annotated[tuple[JointFitAnswer, ...], Field(description="The joint to each neighbour.")]
    differences: Annotated[
        tuple[DifferenceAnswer, ...], Field(description="What else differs from the broken piece's revision.")
    ]
    disputed: Annotated[
        bool, Field(description="Whether the declared joint revisions and the outlines contradict each other.")
    ]


class CutSetPieceAnswer(Answer):
    """One segment of a set to cut."""

    number: NumberField
    place: PlaceField
    cut_file: CutFileField
    revision: RevisionField
    mass_kg: MassField


class CutSetAnswer(Answer):
    """The fewest segments to cut so that everything locks again."""

    goal: Annotated[
        Literal["as_built", "current"],
        Field(description="The broken piece's own revision, or the newest that may be cut."),
    ]
    by: Annotated[
        Literal["declared", "computed"], Field(description="By the declared joint revisions, or by the outlines.")
    ]
    revision: Annotated[str | None, Field(description="The broken segment's revision; null if there is none.")]
    possible: Annotated[bool, Field(description="Whether any released revisions lock.")]
    pieces: Annotated[
        tuple[CutSetPieceAnswer, ...], Field(description="The broken segment first, then what has to be cut with it.")
    ]
    count: Annotated[int, Field(description="How many segments.")]
    mass_kg: Annotated[float, Field(description="Mass of one piece of each together.")]
    sentence: Annotated[str, Field(description="The same as a sentence.")]


class LockingAnswer(Answer):
    """Which revision of a broken segment will lock into what survived, by the record and by the outlines."""

    number: NumberField
    place: PlaceField
    cut_file: CutFileField
    as_built: Annotated[
        str | None, Field(description="Revision that the broken piece was cut from; null if not on record.")
    ]
    why_unknown: Annotated[str | None, Field(description="Why that is not known, as a sentence.")]
    temperature_c: Annotated[float, Field(description="Temperature at which the pieces have to lock.")]
    piece_temperature_c: Annotated[float, Field(description="Temperature of the new piece when it is put in.")]
    cutter_mm: Annotated[float, Field(description="Diameter of the cutter: no inner corner is sharper than it.")]
    oversize_mm: Annotated[
        float, Field(description="How far every edge comes out beyond the drawn line; below zero inside it.")
    ]
    revisions: Annotated[tuple[RevisionFitAnswer, ...], Field(description="Every released revision, the newest first.")]
    sets: Annotated[tuple[CutSetAnswer, ...], Field(description="The smallest sets to cut, by goal and by source.")]
    disputes: Annotated[
        tuple[str, ...],
        Field(description="Where record and outlines contradict each other, a sentence each. Stop and look."),
    ]
    thickness: Annotated[
        str | None, Field(description="What thickness to ask for where a neighbour was measured; null otherwise.")
    ]
    tolerances: Annotated[tuple[str, ...], Field(description="The tolerances that the verdicts hold to.")]
