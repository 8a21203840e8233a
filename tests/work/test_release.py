"""Releasing and withdrawing revisions: bytes kept as they are, refused files not kept."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path

import pytest
from ezdxf.document import Drawing

from schemas.answers import KitAnswer
from service.errors import (
    BadCutFile,
    BadFileName,
    BadRequest,
    BadRevision,
    CutFileUnknown,
    KitwrightError,
    NoOutline,
    NoUnits,
    RevisionExists,
    RevisionUnknown,
    RevisionWithdrawn,
    TooLarge,
)
from service.work.history import history
from service.work.release import (
    MOST_BYTES,
    cut_file,
    cut_files,
    outline_picture,
    release_revision,
    released_bytes,
    show_revision,
)
from service.work.withdraw import pieces_cut_from, withdraw_revision
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_U3, file_of, make_dxf, release

NAME = "plate.dxf"


def kept(folder: Path) -> list[Path]:
    """Every object in the vault."""
    return [path for path in (folder / "vault").rglob("*") if path.is_file()]


def test_bytes_are_kept_as_they_came(workshop: Workshop) -> None:
    data = make_dxf()
    answer = release_revision(workshop, NAME, data, revision="-", note="  first\nissue ")
    assert answer.sha256 == hashlib.sha256(data).hexdigest()
    assert released_bytes(workshop, NAME, "-")[1] == data
    assert (answer.note, answer.units, answer.width_mm) == ("first issue", "mm", 150.0)
    # A square of 150 mm less a hole of 20 mm, the circle flattened within 0.02 mm.
    assert answer.area_mm2 == pytest.approx(150 * 150 - 3.14159265 * 100, abs=0.5)
    assert history(workshop, NAME).events[0].verb == "revise"


@pytest.mark.parametrize(
    ("insunits", "mm", "unit"), [(4, 1.0, "mm"), (1, 25.4, "in"), (6, 1000.0, "m"), (2, 304.8, "ft")]
)
def test_whatever_unit_the_file_is_in_the_record_is_in_mm(
    workshop: Workshop, insunits: int, mm: float, unit: str
) -> None:
    answer = release_revision(workshop, NAME, make_dxf(insunits=insunits, mm_per_unit=mm), revision="-")
    assert answer.units == unit
    assert answer.width_mm == pytest.approx(150.0)
    assert answer.height_mm == pytest.approx(150.0)


def test_units_may_come_with_a_file_that_has_none(workshop: Workshop) -> None:
    bare = make_dxf(insunits=0, mm_per_unit=25.4)
    with pytest.raises(NoUnits, match="units"):
        release_revision(workshop, NAME, bare, revision="-")
    assert release_revision(workshop, NAME, bare, revision="-", units="inch").width_mm == pytest.approx(150.0)


@pytest.mark.parametrize(
    ("data", "kind"),
    [
        (b"", BadCutFile),
        (b"\x89PNG\r\n\x1a\n" + bytes(200), BadCutFile),
        (make_dxf()[:300], KitwrightError),
        (b"not a drawing", BadCutFile),
    ],
)
def test_a_refused_file_is_not_kept(
    workshop: Workshop, tmp_path: Path, data: bytes, kind: type[KitwrightError]
) -> None:
    with pytest.raises(kind):
        release_revision(workshop, NAME, data, revision="-")
    assert kept(tmp_path) == []
    with pytest.raises(CutFileUnknown):
        cut_file(workshop, NAME)


def test_an_open_outline_is_refused_with_the_entity(workshop: Workshop, tmp_path: Path) -> None:
    with pytest.raises(NoOutline) as caught:
        release_revision(workshop, NAME, open_dxf(), revision="-")
    assert "LWPOLYLINE" in (caught.value.place or "") + str(caught.value)
    assert kept(tmp_path) == []


def open_dxf() -> bytes:
    """Three sides of a plate."""
    document = Drawing.new("R2010")
    document.header["$INSUNITS"] = 4
    document.modelspace().add_lwpolyline([(0, 0), (150, 0), (150, 100), (0, 100)], close=False)
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode()


@pytest.mark.parametrize(
    "name",
    [
        "../../etc/passwd.dxf",
        "/abs.dxf",
        "a\\b.dxf",
        "x.dxf\x00",
        "x\n.dxf",
        ".dxf",
        "x",
        "x.exe",
        "",
        "a" * 300 + ".dxf",
        "a..dxf",
        "\u202efxd.dxf",
        "\uff21.dxf",
    ],
)
def test_hostile_names_are_refused(workshop: Workshop, tmp_path: Path, name: str) -> None:
    with pytest.raises(BadFileName, match="Rename"):
        release_revision(workshop, name, make_dxf(), revision="-")
    assert kept(tmp_path) == []


def test_too_many_bytes_are_refused_before_they_are_read(workshop: Workshop, tmp_path: Path) -> None:
    with pytest.raises(TooLarge):
        release_revision(workshop, NAME, bytes(MOST_BYTES + 1), revision="-")
    assert kept(tmp_path) == []


def test_a_letter_is_released_once_and_never_backwards(workshop: Workshop) -> None:
    release_revision(workshop, NAME, make_dxf(), revision="B")
    with pytest.raises(RevisionExists, match="next letter"):
        release_revision(workshop, NAME, make_dxf(hole_mm=30), revision="b")
    with pytest.raises(BadRevision, match="after B"):
        release_revision(workshop, NAME, make_dxf(hole_mm=30), revision="A")
    with pytest.raises(BadRevision):
        release_revision(workshop, NAME, make_dxf(hole_mm=30), revision="I")
    assert [row.revision for row in cut_file(workshop, NAME).revisions] == ["B"]


def test_changes_are_declared_by_number_or_place(workshop: Workshop) -> None:
    answer = release_revision(
        workshop,
        NAME,
        make_dxf(),
        revision="A",
        joints_changed=f"sw2-u4 ,{NUMBER_U3},SW2U4",
        interfaces_changed="Hub_bore, pocket",
    )
    assert answer.joints_changed == tuple(sorted({"SW2-U4", NUMBER_U3}, key=answer.joints_changed.index))
    assert set(answer.interfaces_changed) == {"hub bore", "pocket"}


@pytest.mark.parametrize(
    ("joints", "interfaces", "field"), [("U4", "", "joints_changed"), ("", "colour", "interfaces_changed")]
)
def test_a_change_that_names_nothing_is_refused(workshop: Workshop, joints: str, interfaces: str, field: str) -> None:
    with pytest.raises(BadRequest) as caught:
        release_revision(workshop, NAME, make_dxf(), revision="A", joints_changed=joints, interfaces_changed=interfaces)
    assert caught.value.field == field


def test_what_is_not_on_record_is_said(workshop: Workshop) -> None:
    release_revision(workshop, NAME, make_dxf(), revision="-")
    with pytest.raises(RevisionUnknown, match="Use one of -"):
        released_bytes(workshop, NAME, "C")
    with pytest.raises(CutFileUnknown):
        show_revision(workshop, "other.dxf", "-")


def test_a_withdrawn_revision_names_every_piece_cut_from_it(stocked: Workshop, issued: KitAnswer) -> None:
    answer = withdraw_revision(stocked, file_of("BP1-X1"), "-", "bore too small")
    assert [(piece.count, piece.key) for piece in answer.pieces] == [(40, None)]
    assert answer.revision.withdrawn_reason == "bore too small"
    assert pieces_cut_from(stocked, file_of("BP1-X1"), "-") == answer.pieces
    with pytest.raises(RevisionWithdrawn, match="bore too small"):
        withdraw_revision(stocked, file_of("BP1-X1"), "-", "again")
    # The bytes stay: what was cut from them has to be known for ever.
    assert released_bytes(stocked, file_of("BP1-X1"), "-")[1]


def test_pages_of_cut_files(stocked: Workshop) -> None:
    first = cut_files(stocked, after=None, limit=4)
    rest = cut_files(stocked, after=first[-1].name, limit=4)
    assert len(first) == 4
    assert len({row.name for row in (*first, *rest)}) == 6


def test_the_outline_is_drawn_with_its_dimensions(workshop: Workshop) -> None:
    release(workshop, "OR1-L1")
    assert "150" in outline_picture(workshop, file_of("OR1-L1"), "-")
