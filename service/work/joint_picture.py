"""The picture of the joint between a revision of a broken segment and one of its neighbours."""

from __future__ import annotations

from service.errors import BadRequest, NoOutline, RevisionUnknown
from service.outlines.joint_fit import as_cut
from service.render.joint_svg import Named, joint_svg
from service.rules.joints import Member
from service.work.computed_joints import alike
from service.work.outlines_compared import AS_DRAWN, Conditions, Cut, fit_of, piece_of
from service.work.what_locks import Broken, broken_segment
from service.work.workshop import Workshop


def joint_picture(
    workshop: Workshop,
    mark: str,
    revision: str,
    neighbour: str,
    *,
    set_number: int | None = None,
    conditions: Conditions = AS_DRAWN,
) -> str:
    """The spot to look at, as SVG.

    Args:
        workshop: where the records are.
        mark: of the broken segment or piece.
        revision: the letter that it would be cut from.
        neighbour: the other side of the joint, by number or place.
        set_number: the set that the piece belongs to.
        conditions: temperatures, cutter and allowance.

    Raises:
        MarkUnknown, AmbiguousMark, PlaceVoided, SetUnknown: the segment is not settled.
        RevisionUnknown: its cut file has no such revision.
        BadRequest: it has no joint to this neighbour.
        NoOutline: the outlines of the two do not meet.
    """
    with workshop.database.read() as connection:
        broken = broken_segment(connection, mark, set_number=set_number, conditions=conditions, field_name="number")
    member, joints = broken.member, broken.joints
    letter = revision.strip().upper()
    if all(release.letter != letter for release in member.releases):
        raise RevisionUnknown(
            f"this revision of {member.cut_file} was never released",
            field="revision",
            value=revision,
            todo=f"Use one of {', '.join(release.letter for release in member.releases)}",
        )
    other = _neighbour(broken, neighbour)
    built = broken.met(other)
    new, old = _as_met(broken, letter, other, built)
    fit = fit_of(new, old)
    if fit is None:
        raise NoOutline(
            f"the outlines of {member.place} and {other.place} do not meet",
            field="neighbour",
            value=neighbour,
            todo="Draw both in the coordinates of their assembly",
        )
    state = joints.state(member, letter, other, built)
    return joint_svg(
        fit,
        Named(as_cut(piece_of(new), about=fit.middle), f"{member.place} rev {letter}"),
        Named(as_cut(piece_of(old), about=fit.middle), f"{other.place} rev {built}"),
        at=state.at or fit.depth_at or fit.least_at,
        sentence=f"{state.sentence[0].upper()}{state.sentence[1:]}.",
    )


def _as_met(broken: Broken, letter: str, other: Member, built: str) -> tuple[Cut, Cut]:
    joints = broken.joints
    return alike(
        joints.cut(broken.member, letter, joints.conditions.piece_temperature_c),
        joints.cut(other, built, joints.conditions.temperature_c),
    )


def _neighbour(broken: Broken, name: str) -> Member:
    wanted = name.strip().upper()
    for other in broken.neighbours:
        if wanted in (other.number, other.place):
            return other
    raise BadRequest(
        f"{broken.member.number} shares no joint with this segment",
        field="neighbour",
        value=name,
        todo=f"Name one of {', '.join(other.place for other in broken.neighbours) or 'none: it has no joints'}",
    )
