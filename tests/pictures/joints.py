"""The spot at a joint where a newer revision of the demonstration runs into a neighbour that stayed.

``python -m tests.pictures.joints`` writes ``docs/pictures/spot-at-a-joint.svg``.
"""

from __future__ import annotations

from pathlib import Path

from service.demo.shop import demo_shop
from service.outlines.drawing import read_drawing
from service.outlines.joint_fit import Piece, as_cut, joint_fit
from service.render.joint_svg import Named, joint_svg

TARGET = Path(__file__).parents[2] / "docs" / "pictures" / "spot-at-a-joint.svg"


def spot() -> str:
    """Quarter 3 of star wheel 2 at revision B, beside quarter 4 at A."""
    files = {(file.name, file.revision): file.data for file in demo_shop().cut_files}
    new, old = (
        Piece(read_drawing(files[f"osv4-fc1-a500-sw2-{place}.dxf", letter], name=place).material)
        for place, letter in (("u3", "B"), ("u4", "A"))
    )
    fit = joint_fit(new, old)
    assert fit is not None
    assert fit.depth_at is not None
    said = f"The pieces would lie over each other on {fit.overlap_mm2:.1f} mm², {fit.depth_mm:.2f} mm deep."
    return joint_svg(
        fit, Named(as_cut(new), "SW2-U3 rev B"), Named(as_cut(old), "SW2-U4 rev A"), at=fit.depth_at, sentence=said
    )


if __name__ == "__main__":
    TARGET.write_text(spot(), encoding="utf-8")
