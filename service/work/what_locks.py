"""What will lock: each released revision of a broken segment against the pieces that survived, by both sources.

The declared joint revisions and the outlines are asked apart, and both answers are shown. Where they contradict each
other the answer says so; ``work/disputes.py`` holds the order until a person has decided.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal
from urllib.parse import quote

from sqlalchemy import Connection

from schemas.locking import (
    ClearanceAnswer,
    CutSetAnswer,
    CutSetPieceAnswer,
    DifferenceAnswer,
    Interface,
    JointFitAnswer,
    LockingAnswer,
    RevisionFitAnswer,
    SpotAnswer,
)
from service.rules.joints import Member
from service.rules.locking import TOLERANCES, AtJoint, JointMeasure, JointState, verdict_of
from service.rules.materials import mass_kg, material
from service.rules.neighbours import JointSource, smallest_set
from service.store.values import RevisionRow
from service.work.computed_joints import ComputedJoints, computed_joints
from service.work.damaged import Damaged, damaged_piece
from service.work.disputes import declared_changes, disputes_over
from service.work.members import members_around, surviving
from service.work.outlines_compared import AS_DRAWN, Conditions
from service.work.read import find_active
from service.work.thickness import thickness_to_ask
from service.work.workshop import Workshop

Goal = Literal["as_built", "current"]
_DECLARED: tuple[Interface, ...] = ("hub bore", "bolt pattern", "pocket", "outside contour", "thickness")


@dataclass(frozen=True, slots=True)
class Broken:
    """A broken segment among its neighbours, ready to be asked what locks.

    Attributes:
        joints: what record and outlines say of its joints.
        piece: which piece is damaged.
        cut_too: the neighbours that are cut together with it, by number, each with its revision.
    """

    joints: ComputedJoints
    piece: Damaged
    cut_too: Mapping[str, str] = field(default_factory=dict)

    @property
    def member(self) -> Member:
        """The broken segment as the rules see it."""
        return self.joints.members[self.joints.damaged]

    @property
    def neighbours(self) -> tuple[Member, ...]:
        """The other side of each of its joints."""
        ends = [pair - {self.member.number} for pair in self.joints.pairs() if self.member.number in pair]
        return tuple(sorted((self.joints.members[number] for (number,) in ends), key=lambda other: other.number))

    def met(self, other: Member) -> str:
        """The neighbour's revision that its outline is taken from: as it is cut too, as built, else as issued."""
        return self.cut_too.get(other.number) or other.as_built or self.joints.rows[other.number].revision

    def known(self, other: Member) -> bool:
        """Whether it is on record, or decided, what the neighbour is cut from."""
        return other.as_built is not None or other.number in self.cut_too


def what_locks(
    workshop: Workshop,
    mark: str,
    *,
    survivors: Sequence[str] | None = None,
    set_number: int | None = None,
    conditions: Conditions = AS_DRAWN,
) -> LockingAnswer:
    """Which revisions of a segment lock into what survived, and the smallest sets to cut.

    Args:
        workshop: where the records are.
        mark: of the broken segment or piece.
        survivors: marks of the neighbours that survived; all of them unless given.
        set_number: the set that the piece belongs to, where the mark is no piece's key.
        conditions: temperatures, cutter and allowance.

    Raises:
        MarkUnknown, AmbiguousMark, PlaceVoided: the segment or a survivor is not settled.
        SetUnknown: a set is named that was never made.
        BadRequest: a survivor is no neighbour, the piece belongs to another set, or a temperature is none.
    """
    with workshop.database.read() as connection:
        broken = broken_segment(
            connection, mark, survivors=survivors, set_number=set_number, conditions=conditions, field_name="number"
        )
    return _answer(broken)


def joints_as_ordered(
    workshop: Workshop,
    mark: str,
    revision: str,
    *,
    cut_too: Mapping[str, str],
    survivors: Sequence[str] | None = None,
    set_number: int | None = None,
) -> tuple[JointFitAnswer, ...]:
    """How a segment that is cut from a revision meets its neighbours, those that are cut with it as they will be.

    Args:
        workshop: where the records are.
        mark: of the broken segment or piece.
        revision: the letter that it is cut from.
        cut_too: the neighbours that are cut together with it, by number, each with its revision.
        survivors: marks of the neighbours that survived; all of them unless given.
        set_number: the set that the piece belongs to, where the mark is no piece's key.

    Raises: as ``what_locks``.
    """
    with workshop.database.read() as connection:
        broken = broken_segment(connection, mark, survivors=survivors, set_number=set_number, field_name="number")
    ordered = replace(broken, cut_too=cut_too)
    return tuple(_joint(ordered, revision, other) for other in ordered.neighbours)


def broken_segment(
    connection: Connection,
    mark: str,
    *,
    survivors: Sequence[str] | None = None,
    set_number: int | None = None,
    conditions: Conditions = AS_DRAWN,
    field_name: str = "mark",
) -> Broken:
    """A broken segment with everything round it; errors as for ``what_locks``."""
    found = find_active(connection, mark, field=field_name)
    piece = damaged_piece(connection, found, set_number)
    around = members_around(
        connection,
        found.segment,
        damaged=piece.piece,
        set_number=set_number,
        survivors=surviving(connection, found.segment, survivors),
    )
    joints = computed_joints(connection, found.segment.number, around, conditions)
    return Broken(joints, piece)


def _answer(broken: Broken) -> LockingAnswer:
    member, joints = broken.member, broken.joints
    row = joints.rows[member.number]
    releases = tuple(reversed(joints.releases[row.cut_file_id]))
    why = broken.piece.why_unknown or "The revision of the damaged piece is not on record"
    usable = [release.letter for release in releases if release.withdrawn_at is None]
    return LockingAnswer(
        number=member.number,
        place=member.place,
        cut_file=member.cut_file,
        as_built=member.as_built,
        why_unknown=None if member.as_built is not None else f"{why}.",
        temperature_c=joints.conditions.temperature_c,
        piece_temperature_c=joints.conditions.piece_temperature_c,
        cutter_mm=joints.conditions.cutter_mm,
        oversize_mm=joints.conditions.oversize_mm,
        revisions=tuple(_revision(broken, release) for release in releases),
        sets=tuple(_sets(broken, usable[0] if usable else None)),
        disputes=tuple(
            said
            for release in releases
            if release.withdrawn_at is None
            for said in disputes_over(joints, release.letter)
        ),
        thickness=thickness_to_ask(row, [joints.rows[other.number] for other in broken.neighbours if other.survives]),
        tolerances=TOLERANCES,
    )


def _revision(broken: Broken, release: RevisionRow) -> RevisionFitAnswer:
    member, joints = broken.member, broken.joints
    built = None if member.as_built is None else joints.release(member, member.as_built)
    fits = [_joint(broken, release.letter, other) for other in broken.neighbours]
    differs = () if built is None else _differences(broken, built.letter, release.letter)
    exact = built is not None and release.sha256 == built.sha256
    verdict, sentence = verdict_of(
        exact=exact,
        comparable=built is not None,
        joints=[
            AtJoint(other.place, other.as_built is not None, other.survives, _state(broken, release.letter, other))
            for other in broken.neighbours
        ],
        differs=[_name(difference) for difference in differs],
    )
    return RevisionFitAnswer(
        revision=release.letter,
        released_at=release.released_at,
        note=release.note,
        withdrawn=release.withdrawn_at is not None,
        verdict=verdict,
        sentence=sentence,
        joints=tuple(fits),
        differences=differs,
        disputed=bool(disputes_over(joints, release.letter)),
    )


def _name(difference: DifferenceAnswer) -> str:
    return f"joint to {difference.neighbour}" if difference.neighbour else difference.interface


def _state(broken: Broken, letter: str, other: Member) -> JointState:
    return broken.joints.state(broken.member, letter, other, broken.met(other))


def _joint(broken: Broken, letter: str, other: Member) -> JointFitAnswer:
    member, joints = broken.member, broken.joints
    state = _state(broken, letter, other)
    found = joints.measured(member, letter, other, broken.met(other))
    known = broken.known(other)
    at = state.at
    return JointFitAnswer(
        number=other.number,
        place=other.place,
        as_built=other.as_built,
        survives=other.survives,
        state=state.state,
        sentence=_sentence(state.sentence, other, known=known),
        declared=joints.declared.locks(member, letter, other, broken.met(other)) if known else None,
        computed=state.locks if known else None,
        clearance=None if found is None else _clearance(found),
        overlap_mm2=found.overlap_mm2 if found else 0.0,
        depth_mm=found.depth_mm if found else 0.0,
        at=None if at is None else SpotAnswer(x_mm=at[0], y_mm=at[1]),
        picture=None
        if found is None
        else f"/api/segments/{member.number}/locking/{quote(letter)}/{quote(other.number)}.svg",
    )


def _sentence(said: str, other: Member, *, known: bool) -> str:
    if not known:
        return f"It is not on record what {other.place} was cut from; against the revision it was issued with: {said}."
    gone = "" if other.survives else f"; {other.place} is not among the survivors"
    return f"{said[0].upper()}{said[1:]}{gone}."


def _clearance(found: JointMeasure) -> ClearanceAnswer:
    return ClearanceAnswer(
        least_mm=round(found.least_mm, 3),
        median_mm=round(found.median_mm, 3),
        greatest_mm=round(found.greatest_mm, 3),
        length_mm=round(found.length_mm, 1),
        play_mm=None if found.play_mm is None else round(found.play_mm, 2),
    )


def _differences(broken: Broken, built: str, letter: str) -> tuple[DifferenceAnswer, ...]:
    member, joints = broken.member, broken.joints
    joints_declared, interfaces = declared_changes(member, built, letter)
    found = []
    places = {other.place: other for other in broken.neighbours}
    for difference in joints.differs(member, built, letter):
        x, y = difference.at
        towards = places.get(difference.neighbour)
        declared = towards.named_by(joints_declared) if towards else difference.interface in interfaces
        what = f" ({difference.what})" if difference.what else ""
        named = f"joint to {difference.neighbour}" if difference.neighbour else difference.interface
        said = "" if declared else ", which no release declared"
        found.append(
            DifferenceAnswer(
                interface=difference.interface,
                neighbour=difference.neighbour or None,
                size_mm=round(difference.size_mm, 3),
                sentence=f"{named}: {difference.size_mm:.2f} mm at ({x:.1f}, {y:.1f}){what}{said}",
                at=SpotAnswer(x_mm=x, y_mm=y),
                declared=declared,
            )
        )
    shown: set[str] = {difference.interface for difference in found}
    for name in _DECLARED:
        if name in interfaces - shown:
            seen = "no outline shows a thickness" if name == "thickness" else "the outlines show no such change"
            said = f"{name}: declared; {seen}"
            found.append(
                DifferenceAnswer(interface=name, neighbour=None, size_mm=None, sentence=said, at=None, declared=True)
            )
    return tuple(found)


def _sets(broken: Broken, newest: str | None) -> list[CutSetAnswer]:
    """By either source, what to cut for the as-built revision and for the newest that may be cut."""
    built = broken.member.as_built
    if built is not None and broken.member.release(built).withdrawn:
        built = None
    goals: tuple[tuple[Goal, str | None], ...] = (("as_built", built), ("current", newest))
    sources: tuple[tuple[Literal["declared", "computed"], JointSource], ...] = (
        ("declared", broken.joints.declared),
        ("computed", broken.joints),
    )
    return [_set(broken, goal, letter, by, source) for goal, letter in goals for by, source in sources]


def _set(
    broken: Broken, goal: Goal, letter: str | None, by: Literal["declared", "computed"], source: JointSource
) -> CutSetAnswer:
    member, joints = broken.member, broken.joints
    also = None
    if letter is not None:
        also = smallest_set(damaged=member.number, revision=letter, members=joints.members, joints=source)
    cut = [] if also is None else [(member.number, letter or ""), *((row.number, row.revision) for row in also)]
    pieces = tuple(_cut_piece(joints, number, revision) for number, revision in cut)
    mass = round(sum(piece.mass_kg for piece in pieces), 3)
    return CutSetAnswer(
        goal=goal,
        by=by,
        revision=letter,
        possible=also is not None,
        pieces=pieces,
        count=len(pieces),
        mass_kg=mass,
        sentence=_set_words(goal, letter, pieces, mass),
    )


def _set_words(goal: Goal, letter: str | None, pieces: Sequence[CutSetPieceAnswer], mass: float) -> str:
    if letter is None:
        return "No revision may be cut." if goal == "current" else "The as-built revision is not known or withdrawn."
    if not pieces:
        return f"No released revisions of the neighbours lock into revision {letter}."
    listed = ", ".join(f"{piece.place} at {piece.revision}" for piece in pieces)
    many = "1 segment" if len(pieces) == 1 else f"{len(pieces)} segments"
    return f"Cut {listed}: {many}, {mass:.2f} kg."


def _cut_piece(joints: ComputedJoints, number: str, letter: str) -> CutSetPieceAnswer:
    member, row = joints.members[number], joints.rows[number]
    release = joints.release(member, letter)
    return CutSetPieceAnswer(
        number=number,
        place=member.place,
        cut_file=member.cut_file,
        revision=letter,
        mass_kg=round(mass_kg(release.area_mm2, row.thickness_mm, material(row.material)), 3),
    )
