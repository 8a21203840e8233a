"""The manifest as a table: every way in which spreadsheet programs save one, and faults by line and column."""

from __future__ import annotations

import csv
import io
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schemas.manifest import KitManifest
from schemas.manifest_reading import read_manifest
from schemas.manifest_table import COLUMNS, EXAMPLE, read_table
from service.errors import BadCsv, BadManifest
from service.work.issue import issue_kit
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_U3, NUMBER_U4

HEAD, ROWS = EXAMPLE.split("\n\n")
HEADER, ROW_3, ROW_4 = ROWS.splitlines()
HEADER_LINE = EXAMPLE.splitlines().index(HEADER) + 1


def table(*rows: str, header: str = HEADER, head: str = HEAD) -> bytes:
    return f"{head}\n{header}\n{chr(10).join(rows)}\n".encode()


def saved(delimiter: str, *, ending: str = "\r\n", decimal: str = ".") -> str:
    """The example as a spreadsheet program would save it."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter, lineterminator=ending)
    for row in csv.reader(io.StringIO(EXAMPLE.replace(",25,", ",25.4,"))):
        writer.writerow([cell.replace(".4", f"{decimal}4").replace("0.15", f"0{decimal}15") for cell in row])
    return out.getvalue()


PLAIN = read_manifest(saved(",").encode())


def test_the_example_is_issued_as_it_stands(stocked_workshop: Workshop) -> None:
    kit = issue_kit(stocked_workshop, read_manifest(EXAMPLE.encode()))
    assert [segment.number for segment in kit.segments] == [NUMBER_U3, NUMBER_U4]
    assert [(joint.form, joint.clearance_mm, joint.inferred) for joint in kit.joints] == [("dovetail", 0.15, False)]


@pytest.mark.parametrize(
    ("delimiter", "decimal"), [(",", "."), (";", "."), (";", ","), ("\t", "."), ("\t", ",")], ids=repr
)
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"], ids=repr)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_every_way_of_saving_it_is_the_same_kit(delimiter: str, decimal: str, ending: str, encoding: str) -> None:
    text = saved(delimiter, ending=ending, decimal=decimal)
    assert read_manifest(text.encode(encoding)) == PLAIN


def test_a_table_says_what_the_same_json_says() -> None:
    document = {
        "plant": {"code": "OSV", "name": "Ostrey Vale", "customer": "Tarnquill Waters"},
        "line": {"ordinal": 4},
        "machine": {"class": "FC", "ordinal": 1, "rotation": "clockwise"},
        "container": {"code": "A500", "name": "tall round 500 mL", "nominal": 500, "unit": "mL"},
        "stock_colour": "green",
        "assemblies": [
            {
                "code": "SW",
                "ordinal": 2,
                "name": "discharge star wheel",
                "segments": [
                    {
                        "deck": "U",
                        "ordinal": ordinal,
                        "cut_file": f"osv4-fc1-a500-sw2-u{ordinal}.dxf",
                        "revision": "B",
                        "material": "UHMW-PE",
                        "thickness_mm": 25,
                    }
                    for ordinal in (3, 4)
                ],
            }
        ],
        "joints": [{"between": ["SW2-U3", "SW2-U4"], "form": "dovetail", "clearance_mm": 0.15}],
    }
    assert read_manifest(EXAMPLE.encode()) == read_manifest(json.dumps(document).encode())


def test_every_column_reaches_the_manifest() -> None:
    cells = {
        "assembly": "OR1",
        "assembly_name": "outer guide",
        "deck": "L",
        "ordinal": "1",
        "cut_file": "guide.dxf",
        "revision": "A",
        "material": "UHMW-PE",
        "thickness_mm": "20",
        "measured_thickness_mm": "19.8",
        "quantity": "2",
        "hand": "left",
        "stock_colour": "blue",
        "marked_face": "top",
        "deviations": "slot opened",
        "joints": "OR1-L2 | SW2-U3 butt 0,2",
    }
    read = read_manifest(table(";".join(cells.values()), header=";".join(cells), head=HEAD.replace(",", ";")))
    (assembly,) = read.assemblies
    (segment,) = assembly.segments
    assert (assembly.code, assembly.ordinal, assembly.name) == ("OR", 1, "outer guide")
    assert segment.model_dump(exclude={"shares"}) == {
        "deck": "L",
        "ordinal": 1,
        "cut_file": "guide.dxf",
        "revision": "A",
        "material": "UHMW-PE",
        "thickness_mm": 20.0,
        "measured_thickness_mm": 19.8,
        "quantity": 2,
        "hand": "LEFT",
        "stock_colour": "blue",
        "marked_face": "top",
        "deviations": "slot opened",
    }
    assert [(joint.between, joint.form, joint.clearance_mm) for joint in read.joints] == [
        (("OR1-L1", "OR1-L2"), None, None),
        (("OR1-L1", "SW2-U3"), "butt", 0.2),
    ]
    assert set(cells) | {"shares"} == set(COLUMNS)


def test_rows_of_one_assembly_need_not_stand_together() -> None:
    rows = (ROW_3, ROW_3.replace("SW2,discharge", "SW1,infeed").replace("U4", "U1"), ROW_4)
    read = read_manifest(table(*rows))
    assert [(one.code, one.ordinal, len(one.segments)) for one in read.assemblies] == [("SW", 2, 2), ("SW", 1, 1)]


def test_cells_in_quotes_may_hold_commas_and_lines() -> None:
    read = read_manifest(table(ROW_3, head=HEAD.replace("Ostrey Vale", '"Ostrey Vale, east"')))
    assert read.plant.name == "Ostrey Vale, east"


@pytest.mark.parametrize(
    ("data", "field", "place"),
    [
        (HEAD.encode(), "header", f"line {HEADER_LINE - 2}"),
        (table(ROW_3, header=HEADER.replace("deck", "storey")), "header", f"line {HEADER_LINE - 1}"),
        (table(ROW_3, header=HEADER.replace("hand", "deck")), "header", f"line {HEADER_LINE - 1}"),
        (table(ROW_3, ROW_4 + ",more"), "row", f"line {HEADER_LINE + 1}"),
        (table(ROW_3.replace("SW2,", "star,")), "assembly", f"line {HEADER_LINE}"),
        (table(ROW_3.replace("SW2,", ",")), "assembly", f"line {HEADER_LINE}"),
        (table(ROW_3, ROW_4[:-3] + ',"U'), "row", f"line {HEADER_LINE + 1}"),
        (table(ROW_3, head=f"{HEAD}\nline.ordinal,5"), "line.ordinal", f"line {HEADER_LINE - 1}"),
        (table(ROW_3, head=f"{HEAD}\ncity,Marrowgate"), "city", f"line {HEADER_LINE - 1}"),
        (table(ROW_3, head=f"{HEAD}\nstock,green,blue"), "stock", f"line {HEADER_LINE - 1}"),
        (table(*[ROW_3] * 5000), "rows", "line 5001"),
    ],
)
def test_a_broken_table_names_the_line(data: bytes, field: str, place: str) -> None:
    with pytest.raises(BadCsv) as caught:
        read_manifest(data)
    assert (caught.value.field, caught.value.place) == (field, place)
    assert caught.value.todo


@pytest.mark.parametrize(
    ("data", "field", "place"),
    [
        (table(ROW_3.replace(",25,", ",thin,")), "thickness_mm", f"line {HEADER_LINE}, column 'thickness_mm'"),
        (table(ROW_3.replace(",1,,", ",1,MIDDLE,")), "hand", f"line {HEADER_LINE}, column 'hand'"),
        (table(ROW_3.replace(",U,", ",,")), "deck", f"line {HEADER_LINE}, column 'deck'"),
        (table(ROW_3.replace("SW2-U4 dovetail", "U4 dovetail")), "between", f"line {HEADER_LINE}, column 'joints'"),
        (table(ROW_3.replace("SW2,", "SW0,")), "ordinal", f"line {HEADER_LINE}, column 'assembly'"),
        (table(ROW_3.replace("discharge", "long " * 40)), "name", f"line {HEADER_LINE}, column 'assembly_name'"),
        (table(ROW_3, head=HEAD.replace("OSV", "O5V")), "code", "line 1"),
        (table(ROW_3, head=HEAD.replace("container.nominal,500", "container.nominal,half")), "nominal", "line 10"),
        (table(ROW_3, head=HEAD.replace("machine.class,FC\n", "")), "class", "machine.class"),
        (table(ROW_3, head=f"{HEAD}\nplant.colour,red"), "colour", f"line {HEADER_LINE - 1}"),
        (table(ROW_3, head=f"{HEAD}\nserves,A500|500"), "serves", f"line {HEADER_LINE - 1}"),
    ],
)  # fmt: skip
def test_a_wrong_value_names_line_and_column(data: bytes, field: str, place: str) -> None:
    with pytest.raises(BadManifest) as caught:
        read_manifest(data)
    assert (caught.value.field, caught.value.place) == (field, place)


@given(text=st.text(st.sampled_from(',;\t"\n\r\x00ab1.|SWU- assembly'), max_size=120))
def test_no_table_breaks_the_reader(text: str) -> None:
    try:
        read = read_table(f"plant.code,{text}")
    except BadCsv:
        return
    assert isinstance(read.document["assemblies"], list)


def test_the_model_takes_no_more_than_the_table_can_say() -> None:
    fields = set(KitManifest.model_fields)
    assert fields == {
        "plant", "line", "machine", "container", "stock_colour", "serves", "assemblies", "joints", "token",
    }  # fmt: skip
