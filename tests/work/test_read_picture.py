"""The verb that reads a picture of a plate: what it says of pieces on record, and never of others."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from random import Random

import numpy as np
import pytest
from PIL import Image

from schemas.answers import KitAnswer
from service.errors import BadPicture
from service.numbering.key import Key
from service.render.damage_window import Window
from service.render.damages import scratches
from service.render.png import picture as drawn
from service.store.database import Database
from service.store.vault import Vault
from service.work import read_picture as verb
from service.work.read_picture import read_picture
from service.work.rendering import RenderRoom
from service.work.workshop import Workshop
from tests.mark_factory import make_layout, make_template
from tests.small_kit import issue_small, release_all


@pytest.fixture
def stocked(sqlite_url: str, tmp_path: Path) -> Iterator[Workshop]:
    """The small kit's cut files are released; two templates are enough to look for. Pictures know no databases."""
    database = Database(sqlite_url)
    database.migrate()
    opened = Workshop(
        database=database,
        vault=Vault(str(tmp_path / "vault")),
        templates={name: make_template(name) for name in ("nameplate-60x22", "tied-tag-80x50")},
        public_url="http://127.0.0.1:8000",
        rendering=RenderRoom(0),
    )
    release_all(opened)
    yield opened
    opened.exact.close()
    database.close()


@pytest.fixture
def issued(stocked: Workshop) -> KitAnswer:
    """The small kit, issued."""
    return issue_small(stocked)


def plate(key: str, *, scratched: bool = False, public_url: str = "http://127.0.0.1:8000") -> bytes:
    """A scan of a plate, three pixels a dot, cut out along its edges."""
    layout = make_layout(key=key, public_url=public_url)
    grey = np.asarray(drawn(layout).convert("L"))
    if scratched:
        window = Window(grey, 0, 0, (layout.width_mm, layout.height_mm), layout.per_mm, 0.375)
        grey = scratches(20, 2).on(window)
    wide = np.kron(grey, np.ones((3, 3), np.uint8))
    buffer = BytesIO()
    Image.fromarray(wide).save(buffer, "PNG")
    return buffer.getvalue()


def test_a_sound_plate_names_its_segment(stocked: Workshop, issued: KitAnswer) -> None:
    segment = issued.segments[0]
    assert segment.key is not None
    read = read_picture(stocked, plate(segment.key), shown=True)
    assert (read.answer.outcome, read.answer.how) == ("exact", "alone")
    assert (read.answer.number, read.answer.key, read.mark) == (segment.number, segment.key, segment.key)
    assert read.answer.margin is None
    assert read.jpeg


def test_a_plate_of_which_no_symbol_decodes_names_its_segment(stocked: Workshop, issued: KitAnswer) -> None:
    segment = issued.segments[0]
    assert segment.key is not None
    answer = read_picture(stocked, plate(segment.key, scratched=True)).answer
    assert (answer.outcome, answer.how, answer.texts) == ("exact", "merged", ())
    assert (answer.number, answer.key) == (segment.number, segment.key)
    assert answer.margin is not None
    assert answer.margin >= answer.margin_needed
    assert answer.template == "nameplate-60x22"


def test_a_key_that_was_never_issued_names_nothing(stocked: Workshop, issued: KitAnswer) -> None:
    key = Key.random(Random(5)).symbols
    for scratched in (False, True):
        read = read_picture(stocked, plate(key, scratched=scratched))
        assert read.answer.outcome == "unknown"
        assert (read.answer.number, read.mark) == (None, "")


def test_two_plates_in_one_picture_are_candidates(stocked: Workshop, issued: KitAnswer) -> None:
    one, other = (Image.open(BytesIO(plate(segment.key or ""))) for segment in issued.segments[:2])
    both = Image.new("L", (one.width, one.height + other.height), 60)
    both.paste(one, (0, 0))
    both.paste(other, (0, one.height))
    buffer = BytesIO()
    both.save(buffer, "PNG")
    read = read_picture(stocked, buffer.getvalue())
    assert read.answer.outcome == "candidates"
    assert read.mark == ""
    assert {candidate.number for candidate in read.answer.candidates} == {
        segment.number for segment in issued.segments[:2]
    }


def test_a_picture_of_nothing_is_not_read(stocked: Workshop) -> None:
    buffer = BytesIO()
    Image.new("L", (200, 150), 90).save(buffer, "PNG")
    answer = read_picture(stocked, buffer.getvalue()).answer
    assert (answer.outcome, answer.how, answer.symbols, answer.note) == (
        "unknown",
        "not_read",
        (),
        "No symbol could be found in the picture",
    )


def test_what_is_no_picture_is_refused(stocked: Workshop) -> None:
    with pytest.raises(BadPicture):
        read_picture(stocked, b"not a picture")


def test_a_code_of_something_else_in_the_picture_does_not_count(stocked: Workshop, issued: KitAnswer) -> None:
    segment = issued.segments[0]
    assert segment.key is not None
    mark, said = verb._of_texts(stocked, ["HTTPS://ELSEWHERE.EXAMPLE/?é", segment.key, "4006381333931"])
    assert (mark, said.number) == (segment.key, segment.number)
