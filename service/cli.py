"""The command ``kitwright``: serve, the demo, and the main job from the terminal."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer
import uvicorn
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, SpinnerColumn, TextColumn
from rich.table import Table

from schemas.answers import FindingAnswer, KitAnswer
from schemas.manifest_reading import read_manifest
from schemas.requests import ReorderRequest
from service.app import close_workshop, make_app, open_workshop
from service.demo import story
from service.errors import BadRequest, Faults, KitwrightError
from service.settings import Settings, read_settings
from service.work.backup import back_up_records
from service.work.book import kit_book
from service.work.engrave import engrave_kit, engrave_segment
from service.work.export import export_to_file
from service.work.issue import issue_kit
from service.work.packet import reorder_packet
from service.work.prepare import prepare_kit
from service.work.print_marks import DEFAULT_DPI, DEFAULT_TEMPLATE, print_kit, print_segment
from service.work.read import read_mark
from service.work.reorder import reorder as reorder_segment
from service.work.restore import restore_archive
from service.work.verify_ledger import verify_ledger as verify_whole_ledger
from service.work.workshop import Actor, Workshop

app = typer.Typer(no_args_is_help=True, add_completion=False, help="Numbers, marks and the revision that still locks.")
out = Console()
err = Console(stderr=True)
TERMINAL = Actor("terminal")

_TURN_S = 0.0005


def main() -> None:
    """Run the command; an error is said in words and ends with status 1."""
    try:
        app()
    except KitwrightError as error:
        say_error(error)
        sys.exit(1)


def say_error(error: KitwrightError) -> None:
    """What is wrong, where, and what to do; every finding when there are several."""
    err.print(f"[bold red]{error.title}[/]  [dim]{error.code}[/]", highlight=False)
    err.print(str(error), markup=False, highlight=False)
    if error.place:
        err.print(f"at {error.place}", markup=False, highlight=False)
    if isinstance(error, Faults):
        for finding in error.findings:
            err.print(f"  - {finding.sentence()}", markup=False, highlight=False)


@contextmanager
def opened(settings: Settings | None = None) -> Iterator[Workshop]:
    """The workshop of the environment's settings, closed at the end."""
    workshop = open_workshop(settings or read_settings())
    try:
        yield workshop
    finally:
        close_workshop(workshop)


@contextmanager
def progress(total: int) -> Iterator[Callable[[str], None]]:
    """A bar that says what is being done."""
    columns = (SpinnerColumn(), BarColumn(), MofNCompleteColumn(), TextColumn("{task.description}"))
    with Progress(*columns, console=err, transient=True) as bar:
        task = bar.add_task("", total=total)

        def step(words: str) -> None:
            bar.update(task, description=words, advance=1)

        yield step


@app.command()
def serve(
    demo: Annotated[bool, typer.Option(help="Load the invented demo shop into an empty database first.")] = False,
) -> None:
    """Serve the three desks and the API."""
    settings = read_settings()
    workshop = open_workshop(settings)
    try:
        if demo and story.is_empty(workshop):
            shop = story.demo_shop()
            with progress(story.work_to_load(shop)) as step:
                story.load(workshop, shop, step)
        application = make_app(settings, workshop)
        # A scan waits for its turn while a thread computes; Python's own 5 ms a turn are many scans.
        sys.setswitchinterval(_TURN_S)
        host = "127.0.0.1" if settings.is_loopback else settings.host
        out.print(f"\n  Shop   http://{host}:{settings.port}/shop")
        out.print(f"  Floor  http://{host}:{settings.port}/floor")
        out.print(f"  Desk   http://{host}:{settings.port}/desk\n")
        uvicorn.run(application, host=settings.host, port=settings.port, log_level="warning", server_header=False)
    finally:
        close_workshop(workshop)


@app.command()
def demo(
    folder: Annotated[Path, typer.Option("--out", help="Where PDF, DXF, SVG and the packet go.")],
) -> None:
    """Run the main job on the invented demo shop and leave its documents in a folder."""
    settings = read_settings()
    folder.mkdir(parents=True, exist_ok=True)
    own = settings.model_copy(
        update={
            "database_url": f"sqlite:///{folder / 'demo.db'}",
            "vault_url": str(folder / "vault"),
            "public_url": settings.link_url,
        }
    )
    with opened(own) as workshop:
        if not story.is_empty(workshop):
            raise BadRequest(
                "this folder holds an earlier demo", field="--out", value=folder, todo="Name an empty folder"
            )
        shop = story.demo_shop()
        with progress(story.work_to_load(shop) + story.TOLD_STEPS) as step:
            kits = story.load(workshop, shop, step)
            told = story.tell(workshop, kits, folder, step)
        for kit in told.kits:
            show_kit(kit)
        reading = read_mark(workshop, story.DAMAGED)
    out.print(f"'{story.DAMAGED}' is {reading.number}", highlight=False)
    for repair in reading.repairs:
        out.print(f"  character {repair.position + 1}: '{repair.read}' read as '{repair.as_}'", highlight=False)
    out.print("\nLeft in the folder:")
    for path in told.files:
        out.print(f"  {path}", highlight=False, soft_wrap=True)


@app.command()
def issue(
    manifest: Annotated[Path, typer.Argument(help="Kit manifest, JSON or a table.", exists=True, dir_okay=False)],
    prepare: Annotated[bool, typer.Option(help="Only show the numbers and findings.")] = False,
) -> None:
    """Prepare and issue a kit."""
    read = read_manifest(manifest.read_bytes())
    with opened() as workshop:
        answer = prepare_kit(workshop, read) if prepare else issue_kit(workshop, read, actor=TERMINAL)
    show_kit(answer)


@app.command(name="print")
def print_(
    mark: Annotated[str, typer.Argument(help="Kit number, or number or key of one segment.")],
    to: Annotated[Path, typer.Option("--out", help="The PDF to write.")],
    template: Annotated[str, typer.Option(help="Label template.")] = DEFAULT_TEMPLATE,
    paper: Annotated[str, typer.Option(help="roll, a4 or letter.")] = "roll",
    dpi: Annotated[int, typer.Option(help="203, 300 or 600.")] = DEFAULT_DPI,
) -> None:
    """Print the marks of a kit, or of one segment, to a PDF."""
    sheet = {"roll": "roll", "a4": "a4", "letter": "letter"}.get(paper)
    if sheet is None:
        raise BadRequest("no such paper", field="--paper", value=paper, todo="Use roll, a4 or letter")
    with opened() as workshop, progress(1) as step:
        step(f"drawing and reading back {mark}")
        if is_kit(mark):
            data = print_kit(workshop, mark, template=template, paper=sheet, dpi=dpi, actor=TERMINAL)  # type: ignore[arg-type]  # one of the three
        else:
            data = print_segment(
                workshop,
                mark,
                form="pdf",
                template=template,
                paper=sheet,  # type: ignore[arg-type]  # one of the three
                dpi=dpi,
                actor=TERMINAL,
            )
    to.write_bytes(data)
    out.print(f"{to}: {len(data):,} bytes, every symbol read back", highlight=False, soft_wrap=True)


@app.command()
def engrave(
    mark: Annotated[str, typer.Argument(help="Kit number, or number or key of one segment.")],
    to: Annotated[Path, typer.Option("--out", help="The file to write: .zip for a kit, .dxf or .svg for a segment.")],
) -> None:
    """Write the engraving of a kit or of one segment."""
    with opened() as workshop, progress(1) as step:
        step(f"engraving {mark}")
        if is_kit(mark):
            data = engrave_kit(workshop, mark, actor=TERMINAL)
        else:
            form = to.suffix.lower().lstrip(".")
            if form not in ("dxf", "svg"):
                raise BadRequest("no such form", field="--out", value=to.name, todo="End the name in .dxf or .svg")
            data = engrave_segment(workshop, mark, form="dxf" if form == "dxf" else "svg", actor=TERMINAL)
    to.write_bytes(data)
    out.print(f"{to}: {len(data):,} bytes", highlight=False, soft_wrap=True)


@app.command()
def book(
    kit: Annotated[str, typer.Argument(help="Kit number.")],
    to: Annotated[Path, typer.Option("--out", help="The PDF to write.")],
    paper: Annotated[str, typer.Option(help="a4 or letter.")] = "a4",
) -> None:
    """Write the paper book of a kit: all that resolves its parts without this service."""
    if paper not in ("a4", "letter"):
        raise BadRequest("no such paper", field="--paper", value=paper, todo="Use a4 or letter")
    with opened() as workshop, progress(1) as step:
        step(f"setting the book of {kit}")
        data = kit_book(workshop, kit, paper="letter" if paper == "letter" else "a4")
    to.write_bytes(data)
    out.print(f"{to}: {len(data):,} bytes, every page proves itself", highlight=False, soft_wrap=True)


@app.command()
def read(mark: Annotated[str, typer.Argument(help="What was typed or scanned.")]) -> None:
    """Say what a mark says."""
    with opened() as workshop:
        answer = read_mark(workshop, mark)
    out.print(f"[bold]{answer.outcome}[/]  {answer.number or answer.key or ''}", highlight=False)
    if answer.note:
        out.print(answer.note, markup=False, highlight=False)
    for repair in answer.repairs:
        out.print(f"  character {repair.position + 1}: '{repair.read}' read as '{repair.as_}'", highlight=False)
    for candidate in answer.candidates:
        assumed = "; ".join(candidate.assumed)
        out.print(f"  {candidate.number or candidate.key}  {assumed}", markup=False, highlight=False)
    for group in answer.groups:
        out.print(f"  {group.group}: {group.says}", markup=False, highlight=False)


@app.command()
def reorder(
    mark: Annotated[str, typer.Argument(help="Mark of the damaged piece.")],
    reason: Annotated[str, typer.Option(help="What happened to it.")],
    quantity: Annotated[int, typer.Option(min=1, max=500)] = 1,
    newest: Annotated[bool, typer.Option(help="Prefer the newest revision that still locks.")] = False,
    packet: Annotated[Path | None, typer.Option(help="Where to write the packet.")] = None,
) -> None:
    """Order one broken segment again and say which revision to cut, and why."""
    request = ReorderRequest(
        mark=mark, reason=reason, quantity=quantity, prefer="newest" if newest else "as_built", survivors=None
    )
    with opened() as workshop:
        answer = reorder_segment(workshop, request, actor=TERMINAL)
        if packet is not None:
            packet.write_bytes(reorder_packet(workshop, answer.id, actor=TERMINAL))
    out.print(f"[bold]reorder {answer.id}: {answer.outcome}[/]", highlight=False)
    if answer.cut is not None:
        out.print(f"cut {answer.cut.cut_file} rev {answer.cut.revision}", highlight=False)
    for also in answer.also_cut:
        out.print(f"also cut {also.number}: {also.cut_file} rev {also.revision}", highlight=False)
    for reason_ in answer.reasons:
        out.print(f"  - {reason_}", markup=False, highlight=False)


@app.command(name="verify-ledger")
def verify_ledger(
    tip: Annotated[
        list[str] | None, typer.Option(help="A tip that was kept elsewhere, SHA-256:row; may repeat.")
    ] = None,
) -> None:
    """Read the whole ledger and name each row that is not as it was written; status 1 when there is one."""
    columns = (SpinnerColumn(), BarColumn(), MofNCompleteColumn(), TextColumn("rows read"))
    with opened() as workshop, Progress(*columns, console=err, transient=True) as bar:
        task = bar.add_task("", total=None)
        answer = verify_whole_ledger(
            workshop, tips=tip or [], read=lambda read, rows: bar.update(task, completed=read, total=max(read, rows))
        )
    for fault in answer.faults:
        err.print(f"{fault.kind}: {fault.message}", markup=False, highlight=False, soft_wrap=True)
    if answer.fault_count > len(answer.faults):
        err.print(f"and {answer.fault_count - len(answer.faults):,} more", markup=False, highlight=False)
    state = "whole" if answer.whole else "NOT WHOLE"
    out.print(f"ledger {state}: {answer.rows:,} rows read", highlight=False)
    out.print(f"tip {answer.tip.tip}", highlight=False, soft_wrap=True)
    if not answer.whole:
        raise typer.Exit(1)
    if not answer.anchors:
        out.print("No tip was given: rows cut off at the end would not have been seen.", highlight=False)


@app.command()
def export(
    to: Annotated[Path, typer.Option("--out", help="The archive to write; it must not exist yet.")],
    leave_out_damaged: Annotated[
        bool, typer.Option("--leave-out-damaged", help="Go on without cut files that are lost; the archive names them.")
    ] = False,
) -> None:
    """Write every record and every cut file into one archive of open formats."""
    with opened() as workshop, err.status("reading the records") as status:
        report = export_to_file(workshop, to, leave_out_damaged=leave_out_damaged, step=status.update)
    out.print(f"{to}: {report.rows:,} rows, {report.cut_files:,} cut files", highlight=False, soft_wrap=True)
    for lost in report.left_out:
        out.print(f"  left out: {lost.cut_file} revision {lost.revision}, {lost.reason}", markup=False, highlight=False)
    for fault in report.ledger.faults:
        out.print(f"  ledger: {fault}", markup=False, highlight=False)
    out.print("Write this tip of the ledger down where nobody can change it:")
    out.print(report.ledger.tip, highlight=False, soft_wrap=True)


@app.command()
def restore(
    archive: Annotated[Path, typer.Argument(help="An archive that 'export' wrote.", exists=True, dir_okay=False)],
    tip: Annotated[list[str] | None, typer.Option(help="A tip that was kept elsewhere; may repeat.")] = None,
) -> None:
    """Bring everything in an archive back into an empty database and vault, and prove it."""
    with opened() as workshop, err.status("reading the archive") as status:
        report = restore_archive(workshop, archive, tips=tip or (), step=status.update)
    out.print(f"{archive}: {report.rows:,} rows, {report.cut_files:,} cut files", highlight=False, soft_wrap=True)
    for table in report.manifest.tables:
        out.print(f"  {table.name}: {table.rows:,}", highlight=False)
    out.print("Every row was read again and is as it was exported; every cut file has its SHA-256.", highlight=False)
    for lost in report.manifest.left_out:
        out.print(f"  was lost: {lost.cut_file} revision {lost.revision}, {lost.reason}", markup=False, highlight=False)
    for fault in report.manifest.ledger.faults:
        out.print(f"  ledger: {fault}", markup=False, highlight=False)
    out.print(f"Tip of the ledger: {report.manifest.ledger.tip}", highlight=False, soft_wrap=True)


@app.command()
def backup(to: Annotated[Path, typer.Option("--out", help="The copy to write; it must not exist yet.")]) -> None:
    """Copy the SQLite database while it is in use; copy the vault afterwards."""
    size = back_up_records(read_settings().database_url, to)
    out.print(f"{to}: {size:,} bytes, looked through; now copy the vault", highlight=False, soft_wrap=True)


def is_kit(mark: str) -> bool:
    """Whether a mark has the three groups of a kit's number."""
    return mark.count("-") == 2 and not mark.upper().startswith("HTTP")


def show_kit(kit: KitAnswer) -> None:
    """A kit's numbers as a table, and its findings as sentences."""
    table = Table(title=f"{kit.number}  {kit.container}  ({kit.status})", title_justify="left")
    for column in ("number", "key", "cut file", "rev", "material", "mm", "kg", "qty"):
        table.add_column(column, no_wrap=column in ("number", "key"))
    for segment in kit.segments:
        table.add_row(
            segment.number,
            segment.pieces[0].key if segment.pieces else segment.key or "",
            segment.cut_file,
            segment.revision,
            segment.material,
            f"{segment.thickness_mm:g}",
            f"{segment.mass_kg:.2f}",
            str(segment.quantity),
        )
    out.print(table)
    for finding in kit.findings:
        out.print(f"  {finding.level}: {_sentence(finding)}", markup=False, highlight=False)


def _sentence(finding: FindingAnswer) -> str:
    where = f" at {finding.place}" if finding.place else ""
    return f"{finding.field} '{finding.value}'{where}: {finding.message}. {finding.todo}."
