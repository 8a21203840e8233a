"""A PDF file of many small pages, written past reportlab's drawing layer: an object a page and one for its content.

reportlab numbers the objects, cuts the faces down to the letters in use and writes the file; equal calls give equal
bytes. What all pages have in common they inherit (ISO 32000-1, 7.7.3.4), and what many of them show alike is in the
file once, as a form.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.pdfdoc import BasicFonts, PDFArray, PDFDocument, PDFObject, PDFObjectReference, PDFPages

from service.marks.lettering import Weight
from service.render.fonts import FONT_FILES, pdf_font

MAKER = "Kitwright"

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
        width: of the usual page.
        height: of the usual page.
    """

    def __init__(self, *, width: float, height: float) -> None:
        self._document = PDFDocument(compression=1, invariant=1)
        self._document.setAuthor(MAKER)
        self._document.setCreator(MAKER)
        self._document.setProducer(MAKER)
        self._fonts = {weight: pdfmetrics.getFont(pdf_font(weight)) for weight in FONT_FILES}
        self._forms: dict[str, PDFObjectReference] = {}
        self._usual = (width, height)
        pages = _Pages(self._document.Reference(_Resources(self._forms)), width, height)
        self._document.Pages = self._document.Catalog.Pages = pages
        self._parent = self._written(self._document.Reference(pages))
        self._shared = self._written(pages.Resources)

    def text(self, text: str, weight: Weight, size: float) -> str:
        """Operators that set a face and show ``text``, for use between ``BT`` and ``ET``."""
        font = self._fonts[weight]
        return " ".join(
            f"{font.getSubsetInternalName(subset, self._document)} {size:g} Tf "
            f"({codes.decode('latin-1').translate(_ESCAPED)})Tj"
            for subset, codes in font.splitString(text, self._document)
        )

    def form(self, content: str, width: float, height: float) -> str:
        """Keep content that several pages show; the operator that shows it."""
        name = f"P{len(self._forms) + 1}"
        entries = f"/Type/XObject/Subtype/Form/BBox[0 0 {width:g} {height:g}]/Resources {self._shared}"
        self._forms[name] = self._document.Reference(_Stream(content, entries), f"form {name}")
        return f"/{name} Do"

    def page(self, content: str, width: float, height: float) -> None:
        """Add a page."""
        count = len(self._document.Pages.pages) + 1
        stream = self._written(self._document.Reference(_Stream(content), f"content {count}"))
        size = "" if (width, height) == self._usual else f"/MediaBox[0 0 {width:g} {height:g}]"
        self._document.addPage(_Written(f"<</Type/Page/Parent {self._parent}{size}/Contents {stream}>>"))

    def finish(self, *, title: str, subject: str) -> bytes:
        """The bytes of the whole file."""
        self._document.setTitle(title)
        self._document.setSubject(subject)
        data: bytes = self._document.GetPDFData(None)
        return data

    def _written(self, reference: PDFObjectReference) -> str:
        return str(reference.format(self._document), "ascii")


class _Pages(PDFPages):  # type: ignore[misc]  # the library carries no types
    """The root of the pages with what they inherit."""

    __NoDefault__ = (*PDFPages.__NoDefault__, "Resources", "MediaBox")

    def __init__(self, resources: PDFObjectReference, width: float, height: float) -> None:
        super().__init__()
        self.Resources = resources
        self.MediaBox = PDFArray([0, 0, width, height])


class _Written(PDFObject):  # type: ignore[misc]  # the library carries no types
    """An object whose text is known from the start."""

    __RefOnly__ = 1

    def __init__(self, text: str) -> None:
        self._text = text

    def format(self, _document: PDFDocument) -> bytes:
        """The object as it stands in the file."""
        return self._text.encode("ascii")


class _Stream(PDFObject):  # type: ignore[misc]  # the library carries no types
    """Compressed content."""

    __RefOnly__ = 1

    def __init__(self, content: str, entries: str = "") -> None:
        self._data = zlib.compress(content.encode("ascii"), 9)
        self._entries = entries

    def format(self, _document: PDFDocument) -> bytes:
        """The object as it stands in the file."""
        head = f"<<{self._entries}/Filter/FlateDecode/Length {len(self._data)}>>\nstream\n"
        return head.encode("ascii") + self._data + b"\nendstream\n"


class _Resources(PDFObject):  # type: ignore[misc]  # the library carries no types
    """The faces and forms of a file; more may come until the file is written."""

    __RefOnly__ = 1

    def __init__(self, forms: Mapping[str, PDFObjectReference]) -> None:
        self._forms = forms

    def format(self, document: PDFDocument) -> bytes:
        """The object as it stands in the file."""
        fonts = PDFObjectReference(BasicFonts).format(document)
        forms = b" ".join(
            b"/" + name.encode("ascii") + b" " + form.format(document) for name, form in self._forms.items()
        )
        return b"".join((b"<</ProcSet [/PDF /Text] /Font ", fonts, b" /XObject <<", forms, b">>>>"))
