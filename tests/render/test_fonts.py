"""The faces: licence at hand, letters of the customers' languages, and the same widths in every writer."""

from __future__ import annotations

import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth

from service.marks.lettering import Weight
from service.render.fonts import FONT_FILES, FONT_FOLDER, metrics, outline, pdf_font, typeface

ALPHABETS = {
    "Latin": "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 -.,:;/+·×°²³()&@#'\"!?",
    "Polish": "ĄĆĘŁŃÓŚŹŻąćęłńóśźż",
    "Nordic and German": "ÅÄÆÖØÜßåäæöøü",
    "French, Spanish, Portuguese": "ÀÂÇÉÈÊËÎÏÔŒÙÛñÑãõáíú¿¡",
    "Czech, Slovak, Hungarian, Romanian": "ČĎĚŇŘŠŤŮŽčďěňřšťůžĽĹŐŰőűĂȘȚășț",
    "Turkish": "ĞİŞğış",
    "Greek": "ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩαβγδεζηθικλμνξοπρστυφχψωάέήίόύώς",
    "Cyrillic": "АБВГДЕЖЗИЙКЛМНОПРСТУФХЦЧШЩЪЫЬЭЮЯабвгдежзийклмнопрстуфхцчшщъыьэюяІЇЄґ",
}


@pytest.mark.parametrize("weight", FONT_FILES)
@pytest.mark.parametrize("alphabet", ALPHABETS)
def test_the_customers_letters_are_there(weight: Weight, alphabet: str) -> None:
    assert metrics(weight).missing(ALPHABETS[alphabet]) == ()
    assert all(outline(weight, char) for char in ALPHABETS[alphabet] if char != " ")


@pytest.mark.parametrize("weight", FONT_FILES)
def test_widths_are_those_of_the_pdf_writer(weight: Weight) -> None:
    face = metrics(weight)
    for text in ALPHABETS.values():
        assert stringWidth(text, pdf_font(weight), face.size_mm(10)) == pytest.approx(face.text_width_mm(text, 10))


def test_the_licence_lies_beside_the_fonts() -> None:
    licence = (FONT_FOLDER / "OFL.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in licence
    assert all(path.is_file() and path.parent == FONT_FOLDER for path in FONT_FILES.values())


def test_letters_that_look_alike_are_drawn_apart() -> None:
    face = typeface()["bold"]
    for pair in ("0O", "1I", "1l", "5S", "8B", "2Z", "6G"):
        assert outline("bold", pair[0]) != outline("bold", pair[1])
    assert face.cap_height == 693
