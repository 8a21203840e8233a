"""Every shipped template with one piece of the demonstration's scenario, on one sheet.

``python -m tests.pictures.plates`` writes ``docs/pictures/plates.png``.
"""

from __future__ import annotations

from pathlib import Path

from PIL import Image

from service.marks.dots import dots_per_mm
from service.marks.layout import lay_out
from service.render.fonts import typeface
from service.render.png import picture
from tests.mark_factory import TEMPLATE_NAMES, make_facts, make_template

TARGET = Path(__file__).parents[2] / "docs" / "pictures" / "plates.png"
DPI, GAP, WIDTH = 203, 24, 1760
GROUND = (120, 126, 124)
SHRUNK = 0.5
"""Of the large ones: half their size, so that the small ones can be read beside them."""


def sheet() -> Image.Image:
    """The plates in rows, the small ones first."""
    plates = []
    for name in TEMPLATE_NAMES:
        template = make_template(name)
        plate = picture(lay_out(template, make_facts(), typeface(), dots_per_mm(DPI)))
        if template.width_mm > 100:
            plate = plate.resize((round(plate.width * SHRUNK), round(plate.height * SHRUNK)), Image.Resampling.LANCZOS)
        plates.append(plate)
    whole = Image.new("RGB", (WIDTH, 3000), GROUND)
    x = y = GAP
    row = 0
    for plate in sorted(plates, key=lambda one: one.height):
        if x + plate.width + GAP > WIDTH:
            x, y, row = GAP, y + row + GAP, 0
        whole.paste(plate, (x, y))
        x, row = x + plate.width + GAP, max(row, plate.height)
    return whole.crop((0, 0, WIDTH, y + row + GAP))


if __name__ == "__main__":
    sheet().quantize(64).save(TARGET, optimize=True)
