"""A picture of a plate, read from the terminal."""

from __future__ import annotations

from service.app import close_workshop, open_workshop
from service.work.print_marks import print_segment
from tests.commands.terminal import Terminal
from tests.small_kit import NUMBER_U3


def test_a_picture_names_its_segment_and_says_how_it_was_read(issued: Terminal) -> None:
    workshop = open_workshop(issued.settings)
    try:
        plate = print_segment(workshop, NUMBER_U3, form="png", dpi=300)
    finally:
        close_workshop(workshop)
    (issued.folder / "plate.png").write_bytes(plate)
    said = issued.good("read", "--picture", str(issued.folder / "plate.png"))
    assert NUMBER_U3 in said
    assert "decoded as usual" in said
    assert "qr" in said.lower()


def test_what_is_no_picture_or_not_there_is_refused_in_words(issued: Terminal) -> None:
    (issued.folder / "plate.png").write_bytes(b"no picture")
    for arguments, words in (
        (("--picture", str(issued.folder / "plate.png")), "bad_picture"),
        (("--picture", str(issued.folder / "none.png")), "cannot be read"),
        (("OSV4", "--picture", str(issued.folder / "plate.png")), "Give the mark, or --picture and a file"),
        ((), "Give the mark, or --picture and a file"),
    ):
        done = issued.run("read", *arguments)
        assert done.status == 1
        assert words in done.err
