"""A PDF file of many small pages, written to a stream page by page: an object a page and one for its content.

What is on a page is written and forgotten; of a whole file only the places of its objects, the letters in use and the
names of its forms are held. reportlab cuts the faces down to the letters in use, at the end. Equal calls give equal
bytes. What all pages have in common they inherit (ISO 32000-1, 7.7.3.4), and what many of them show alike is in the
file once, as a form.
"""

from __future__ import annotations

import zlib
from typing import IO

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.pdfdoc import BasicFonts, PDFDocument, PDFIndirectObject

from service.marks.lettering import Weight
from service.render.fonts import FONT_FILES, pdf_font

MAKER = "Kitwright"

# The second line holds bytes beyond ASCII, by which programs that move files know one that is no text
# (ISO 32000-1, 7.5.2).
_HEAD = b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n"

# In a PDF string a bracket or backslash is escaped, and what is no printable ASCII stands as three octal digits
# (ISO 32000-1, 7.3.4.2).
_ESCAPED = {
    byte: "\\" + chr(byte) if chr(byte) in "()\\" else f"\\{byte:03o}"
    for byte in range(256)
    if chr(byte) in "()\\" or not 32 <= byte < 127
}


class PdfFile:
    """A file that is being written; lengths are in points, content is PDF operators.

    Args:
        stream: where the bytes go; it is written from here on and neither read nor closed.
        width: of the usual page.
        height: of the usual page.
    """

    def __init__(self, stream: IO[bytes], *, width: float, height: float) -> None:
        self._stream = stream
        self._written = 0
        self._places: dict[int, int] = {}
        # It numbers the faces and their parts; its numbers and those of the pages are one count.
        self._document = PDFDocument(compression=1, invariant=1)
        self._fonts = {weight: pdfmetrics.getFont(pdf_font(weight)) for weight in FONT_FILES}
        self._forms: dict[str, int] = {}
        self._pages: list[int] = []
        self._usual = (width, height)
        self._root, self._resources = self._number(), self._number()
        self._put(_HEAD)

    def text(self, text: str, weight: Weight, size: float) -> str:
        """Operators that set a face and show ``text``, for use between ``BT`` and ``ET``."""
        font = self._fonts[weight]
        return " ".join(
            f"{font.getSubsetInternalName(subset, self._document)} {size:g} Tf "
            f"({codes.decode('latin-1').translate(_ESCAPED)})Tj"
            for subset, codes in font.splitString(text, self._document)
        )

    def form(self, content: str, width: float, height: float, *, letters: bool = True) -> str:
        """Keep content that is shown in several places, with letters in it or without; the operator that shows it."""
        name = f"P{len(self._forms) + 1}"
        resources = f"/Resources {self._resources} 0 R" if letters else ""
        entries = f"/Subtype/Form/BBox[0 0 {width:g} {height:g}]{resources}"
        self._forms[name] = self._add_stream(content, entries)
        return f"/{name} Do"

    def page(self, content: str, width: float, height: float) -> None:
        """Add a page."""
        stream = self._add_stream(content)
        size = "" if (width, height) == self._usual else f"/MediaBox[0 0 {width:g} {height:g}]"
        number = self._number()
        self._add(number, f"<</Type/Page/Parent {self._root} 0 R{size}/Contents {stream} 0 R>>".encode("ascii"))
        self._pages.append(number)

    def finish(self, *, title: str, subject: str) -> int:
        """Write what stands at the end of a file; the size of the whole file in bytes."""
        document = self._document
        for font in document.delayedFonts:
            font.addObjects(document)
        document.setTitle(title)
        document.setSubject(subject)
        document.setAuthor(MAKER)
        document.setCreator(MAKER)
        document.setProducer(MAKER)
        document.info.invariant = 1
        facts = document.Reference(document.info).format(document).decode("ascii")
        # Writing one of them may make another.
        number = 0
        while number < document.objectcounter:
            number += 1
            if number in document.numberToId:
                name = document.numberToId[number]
                self._start(number)
                self._put(PDFIndirectObject(name, document.idToObject[name]).format(document))
        fonts = document.idToObjectNumberAndVersion[BasicFonts][0]
        forms = " ".join(f"/{name} {number} 0 R" for name, number in self._forms.items())
        resources = f"<</ProcSet [/PDF /Text] /Font {fonts} 0 R /XObject <<{forms}>>>>"
        self._add(self._resources, resources.encode("ascii"))
        width, height = self._usual
        kids = " ".join(f"{number} 0 R" for number in self._pages)
        self._add(
            self._root,
            f"<</Type/Pages/Count {len(self._pages)}/Kids[{kids}]/MediaBox[0 0 {width:g} {height:g}]"
            f"/Resources {self._resources} 0 R>>".encode("ascii"),
        )
        catalog = self._number()
        self._add(catalog, f"<</Type/Catalog/Pages {self._root} 0 R>>".encode("ascii"))
        self._close(catalog, facts)
        return self._written

    def _number(self) -> int:
        self._document.objectcounter += 1
        return int(self._document.objectcounter)

    def _put(self, data: bytes) -> None:
        self._stream.write(data)
        self._written += len(data)

    def _start(self, number: int) -> None:
        self._places[number] = self._written

    def _add(self, number: int, data: bytes) -> None:
        self._start(number)
        self._put(b"%d 0 obj\n%b\nendobj\n" % (number, data))

    def _add_stream(self, content: str, entries: str = "") -> int:
        # Higher levels take longer and save nothing on rectangles.
        data = zlib.compress(content.encode("ascii"), 6)
        head = f"<<{entries}/Filter/FlateDecode/Length {len(data)}>>\nstream\n"
        number = self._number()
        self._add(number, head.encode("ascii") + data + b"\nendstream")
        return number

    def _close(self, catalog: int, facts: str) -> None:
        """The table of places and the trailer (ISO 32000-1, 7.5.4 and 7.5.5); an entry is 20 bytes."""
        start, count = self._written, len(self._places) + 1
        self._put(b"xref\n0 %d\n0000000000 65535 f \n" % count)
        for number in range(1, count):
            self._put(b"%010d 00000 n \n" % self._places[number])
        self._put(
            f"trailer\n<</Size {count}/Root {catalog} 0 R/Info {facts}>>\nstartxref\n{start}\n%%EOF\n".encode("ascii")
        )
