"""Legacy marks from a table: what goes in, what is refused, and that refused lines can be mended and sent again."""

from __future__ import annotations

from tests.commands.terminal import Terminal
from tests.small_kit import NUMBER_U2, NUMBER_U3, NUMBER_U4

HEAD = "mark,number,source\n"
GOOD = f"STERN 2 / III,{NUMBER_U3},painted on\nPO 4711-3,{NUMBER_U4},purchase order\n"
WRONG = f"=1+1,{NUMBER_U2[:-1]}1,painted on\n"


def write(terminal: Terminal, text: str, name: str = "marks.csv") -> str:
    (terminal.folder / name).write_text(text, encoding="utf-8")
    return name


def test_a_whole_table_goes_in_once(issued: Terminal) -> None:
    table = write(issued, HEAD + GOOD)
    assert "2 lines: 2 would go in, 0 on record already" in issued.good("import", "--prepare", table)
    assert "2 lines: 2 went in" in issued.good("import", table)
    assert "0 went in, 2 on record already" in issued.good("import", table)
    assert NUMBER_U3 in issued.good("read", "stern 2 iii")


def test_refused_lines_are_mended_and_sent_again(issued: Terminal) -> None:
    done = issued.run("import", write(issued, HEAD + GOOD + WRONG), "--refused", "again.csv")
    assert done.status == 1
    assert "3 lines: 2 went in" in done.out
    assert "line 4 in column number" in done.out
    again = (issued.folder / "again.csv").read_text(encoding="utf-8")
    # A spreadsheet takes a cell that begins with = for a formula; with the apostrophe it is text.
    assert "'=1+1" in again
    mended = again.replace(f"{NUMBER_U2[:-1]}1", NUMBER_U2)
    assert "1 lines: 1 went in" in issued.good("import", write(issued, mended, "mended.csv"))


def test_what_cannot_be_read_or_written_is_said_in_words(issued: Terminal) -> None:
    for arguments, code in (
        ((write(issued, "nothing of this\n", "no.csv"),), "bad_csv"),
        ((write(issued, HEAD + GOOD), "--refused", "missing/again.csv"), "bad_request"),
        ((write(issued, "x" * 10_000_001, "large.csv"),), "too_large"),
    ):
        done = issued.run("import", *arguments)
        assert (done.status, code in done.err) == (1, True), done.err
