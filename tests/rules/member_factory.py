"""Members and releases for the rules of revisions, keyword by keyword."""

from __future__ import annotations

from itertools import count

from service.rules.joints import Member, Release

_SEQUENCE = count(1)


def make_release(
    *,
    letter: str,
    joints: tuple[str, ...] = (),
    interfaces: tuple[str, ...] = (),
    withdrawn: bool = False,
    sequence: int | None = None,
) -> Release:
    """A release, later than every one made before it unless a sequence is given."""
    return Release(
        letter=letter,
        sequence=next(_SEQUENCE) if sequence is None else sequence,
        withdrawn=withdrawn,
        joints_changed=frozenset(joints),
        interfaces_changed=frozenset(interfaces),
    )


def make_member(
    *,
    place: str,
    releases: tuple[Release, ...],
    as_built: str | None = "-",
    survives: bool = True,
    cut_file: str | None = None,
) -> Member:
    """A segment of the kit OSV4-FC1-A500; its number ends in no real check, which the rules do not look at."""
    return Member(
        number=f"OSV4-FC1-A500-{place}-00",
        place=place,
        cut_file=cut_file or f"{place.lower()}.dxf",
        releases=releases,
        as_built=as_built,
        survives=survives,
    )
