"""A kit of many marks: drawn, written and proven some at a time, with what is done told, and nothing left behind."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

import pypdfium2
import pytest

from schemas.answers import KitAnswer
from service.errors import BadRequest, ReadBackFailed, TargetUnavailable
from service.render.sheets import impose
from service.work import drawing_room, print_marks
from service.work.print_marks import kit_file, plates_of_kit, print_kit
from service.work.rendering import RenderRoom
from service.work.workshop import Workshop
from tests.mark_factory import make_layout

ROOT = Path(__file__).resolve().parents[2]

# A process of its own, since a process never gives back its peak.
PROGRAM = """
import resource, sys
from tests.bench.bench_plates import plates_of_a_kit
from service.work.drawing_room import draw_plates_into
from tests.mark_factory import make_template
from pathlib import Path

marks = plates_of_a_kit(int(sys.argv[1]))
draw_plates_into(Path(sys.argv[2]), make_template(), marks, paper="roll", dpi=203)
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def peak(marks: int, folder: Path) -> int:
    """The most memory that a process held which printed so many marks."""
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(marks), str(folder / f"{marks}.pdf")],
        cwd=ROOT,
        env={"PYTHONPATH": str(ROOT), "PATH": ""},
        check=True,
        capture_output=True,
        text=True,
    )
    return int(done.stdout)


def test_three_hundred_marks_need_hardly_more_room_than_thirty(tmp_path: Path) -> None:
    few, many = peak(30, tmp_path), peak(300, tmp_path)
    assert many <= 1.1 * few
    document = pypdfium2.PdfDocument(tmp_path / "300.pdf")
    assert len(document) == 300
    document.close()


@pytest.mark.parametrize("workers", [0, 1])
def test_what_is_done_is_told_mark_by_mark(stocked: Workshop, issued: KitAnswer, workers: int) -> None:
    told: list[tuple[str, int, int]] = []
    room = RenderRoom(workers)
    object.__setattr__(stocked, "rendering", room)
    try:
        with kit_file(stocked, issued.number, tell=lambda *what: told.append(what)) as file:
            assert file.read(5) == b"%PDF-"
    finally:
        room.close()
    count = len(issued.segments)
    for what in ("drawn", "read back"):
        assert [(done, of) for word, done, of in told if word == what] == [(n, count) for n in range(1, count + 1)]


def drafts() -> set[Path]:
    return set(Path(tempfile.gettempdir()).glob(f"{drawing_room.DRAFT_PREFIX}*{drawing_room.DRAFT_SUFFIX}"))


def test_nothing_is_left_behind_whether_it_ends_well_or_not(
    stocked: Workshop, issued: KitAnswer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    with kit_file(stocked, issued.number):
        assert len(drafts()) == 1
    assert drafts() == set()

    def unread(*_args: object, **_more: object) -> None:
        raise ReadBackFailed("it does not read", field="pdf", value="x", todo="Report this")

    monkeypatch.setattr(drawing_room, "read_back_pdf", unread)
    with pytest.raises(ReadBackFailed):
        kit_file(stocked, issued.number)
    assert drafts() == set()


def test_a_disk_without_room_is_said_and_the_marks_count_as_not_made(
    stocked: Workshop, issued: KitAnswer, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_args: object, **_more: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(print_marks, "draw_plates_into", full)
    with pytest.raises(TargetUnavailable, match="No space left"):
        print_kit(stocked, issued.number)


@pytest.mark.parametrize(
    ("paper", "cell", "cells"), [("a4", 31, "30 cells, 3 in each of 10 rows"), ("a4", 0, "30"), ("letter", 31, "30")]
)
def test_a_cell_that_no_sheet_has_is_refused_with_how_many_there_are(
    stocked: Workshop, issued: KitAnswer, paper: drawing_room.Paper, cell: int, cells: str
) -> None:
    with pytest.raises(BadRequest, match=cells):
        print_kit(stocked, issued.number, paper=paper, start_cell=cell)


def test_a_roll_has_no_cells(stocked: Workshop, issued: KitAnswer) -> None:
    with pytest.raises(BadRequest, match="roll"):
        print_kit(stocked, issued.number, start_cell=2)


def test_a_used_sheet_is_filled_from_its_first_free_cell(stocked: Workshop, issued: KitAnswer) -> None:
    document = pypdfium2.PdfDocument(print_kit(stocked, issued.number, paper="a4", start_cell=29))
    texts = [page.get_textpage().get_text_range() for page in document]
    document.close()
    keys = [plate.facts.key for plate in plates_of_kit(stocked, issued.number, set_number=None)]
    shown = [[key for key in keys if f"{key[:4]} {key[4:]}" in text] for text in texts]
    # Two cells are free on the first sheet, and the rest comes on the next.
    assert shown == [keys[:2], keys[2:]]


def test_the_free_cells_are_the_last_ones_of_the_sheet() -> None:
    layouts = [make_layout()] * 3
    first, second = impose(layouts, paper="a4", dots_per_mm=8.0, start_cell=29)
    whole = next(impose([make_layout()] * 30, paper="a4", dots_per_mm=8.0))
    places = [(mark.left_dots, mark.top_dots) for mark in whole.marks]
    assert [(mark.left_dots, mark.top_dots) for mark in first.marks] == places[28:]
    assert [(mark.left_dots, mark.top_dots) for mark in second.marks] == places[:1]
