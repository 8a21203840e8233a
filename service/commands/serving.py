"""Serve the desks and the API, and tell the main job with the demonstration."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer
import uvicorn

from service.app import make_app
from service.commands.kits import show_kit
from service.commands.marks import say_repairs
from service.commands.terminal import opened, progress, say
from service.demo import story
from service.errors import BadRequest
from service.settings import read_settings
from service.work.outline_figures import all_measured
from service.work.read import read_mark

_TURN_S = 0.0005


def serve(
    *,
    demo: Annotated[bool, typer.Option(help="Load the invented demo shop into an empty database first.")] = False,
) -> None:
    """Serve the three desks and the API."""
    settings = read_settings()
    with opened(settings) as workshop:
        if demo and story.is_empty(workshop):
            shop = story.demo_shop()
            with progress(story.work_to_load(shop)) as step:
                story.load(workshop, shop, step)
        application = make_app(settings, workshop)
        for file in workshop.template_files:
            if file.reading.faults:
                say(f"left out: {file.file_name}, {file.reading.faults[0].what}; kitwright lint-template says all")
        if not all_measured(workshop):
            say("outlines of before are not measured, length and pockets tell nothing: kitwright measure-outlines")
        # A scan waits for its turn while a thread computes; Python's own 5 ms a turn are many scans.
        sys.setswitchinterval(_TURN_S)
        host = "127.0.0.1" if settings.is_loopback else settings.host
        say(f"\n  Shop   http://{host}:{settings.port}/shop")
        say(f"  Floor  http://{host}:{settings.port}/floor")
        say(f"  Desk   http://{host}:{settings.port}/desk\n")
        uvicorn.run(application, host=settings.host, port=settings.port, log_level="warning", server_header=False)


def demo(
    folder: Annotated[Path, typer.Option("--out", help="Where PDF, DXF, SVG and the packet go.")],
) -> None:
    """Run the main job on the invented demo shop and leave its documents in a folder."""
    settings = read_settings()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadRequest(
            f"this folder cannot be made ({error.strerror or error})",
            field="--out",
            value=folder,
            todo="Name a folder of your own that is new or empty",
        ) from error
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
    say(f"'{story.DAMAGED}' is {reading.number}")
    say_repairs(reading.repairs)
    say("\nLeft in the folder:")
    for path in told.files:
        say(f"  {path}")
