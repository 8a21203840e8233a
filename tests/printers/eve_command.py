"""What the printer program runs for each document: it "prints" page by page, and can fail, be slow, or hang.

The folder in ``EVE_FOLDER`` holds ``mood.json``, which a test writes, and ``printed.jsonl``, to which every page that
came out is added with what stands on it: so a test can tell which marks lie in the tray, and how often.
"""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))


def pages_of(document: Path, kind: str) -> Iterator[tuple[str, tuple[float, float]]]:
    """What stands on each page: the text of a PDF, what the symbols of a raster say; and its size in points."""
    if kind == "application/pdf":
        import pypdfium2  # noqa: PLC0415 - a printer that prints raster need not wait for it

        pdf = pypdfium2.PdfDocument(document)
        for page in pdf:
            yield page.get_textpage().get_text_range(), page.get_size()
        return
    import numpy as np  # noqa: PLC0415 - the same
    import zxingcpp  # noqa: PLC0415 - the same

    from tests.render.raster_reader import read_raster  # noqa: PLC0415 - the same

    for sheet in read_raster(document.read_bytes()):
        if sheet.bits_per_pixel == 1:
            grey = 255 * (1 - np.unpackbits(sheet.lines, axis=1)[:, : sheet.width])
        else:
            grey = sheet.lines.reshape(sheet.height, sheet.width, -1).mean(axis=2)
        found = zxingcpp.read_barcodes(grey.astype(np.uint8))
        yield "\n".join(barcode.text for barcode in found), (float(sheet.points[0]), float(sheet.points[1]))


def main() -> int:
    """Print the document that is named, in the mood of the moment."""
    folder = Path(os.environ["EVE_FOLDER"])
    mood = json.loads((folder / "mood.json").read_text(encoding="utf-8"))
    if mood.get("hang"):
        time.sleep(3600)
    for count, (text, size) in enumerate(pages_of(Path(sys.argv[1]), os.environ["CONTENT_TYPE"]), 1):
        if count > mood.get("pages_before_empty", 10**9):
            print("STATE: +media-empty-error", file=sys.stderr, flush=True)
            return 1
        time.sleep(mood.get("seconds_a_page", 0))
        entry = {
            "job": int(os.environ["IPP_JOB_ID"]),
            "name": os.environ["IPP_JOB_NAME"],
            "page": count,
            "text": text,
            "points": size,
            "asked": {key: value for key, value in os.environ.items() if key.startswith("IPP_")},
        }
        with (folder / "printed.jsonl").open("a", encoding="utf-8") as tray:
            tray.write(json.dumps(entry) + "\n")
        print(f"ATTR: job-impressions-completed={count}", file=sys.stderr, flush=True)
    print("STATE: -media-empty-error", file=sys.stderr, flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
