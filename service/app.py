"""The program put together: settings, records, vault, verbs, routes, pages, and the guard before all of them."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI, Request, Response
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException

from service.api import problems
from service.api.access import Access, Rules
from service.api.aliases import alias_routes
from service.api.bolts_on import bolts_on_routes
from service.api.book import book_routes
from service.api.casualties import casualty_routes
from service.api.cut_files import cut_file_routes
from service.api.damage_reports import damage_report_routes
from service.api.desk import desk_routes
from service.api.document import TAGS, document_by_hand
from service.api.export import export_routes
from service.api.floor import floor_routes
from service.api.in_progress import InProgress
from service.api.ledger import ledger_routes
from service.api.locking import locking_routes
from service.api.machines import machine_routes
from service.api.nameplate_data import nameplate_data_routes
from service.api.operations import operations_routes
from service.api.order_states import order_state_routes
from service.api.pictures import picture_routes
from service.api.pieces import piece_routes
from service.api.print_jobs import print_job_routes
from service.api.printers import printer_routes
from service.api.proof import proof_routes
from service.api.reference import reference_routes
from service.api.router_programs import router_program_routes
from service.api.search import search_routes
from service.api.shop import shop_routes
from service.api.shop_facts import shop_facts_routes
from service.api.survival import survival_routes
from service.api.templates import template_routes
from service.api.webhooks import webhook_routes
from service.errors import PageUnknown
from service.settings import SHIPPED_ROUTERS, SHIPPED_TEMPLATES, Settings, refuse_unsafe
from service.store.database import Database
from service.store.router_folder import read_routers
from service.store.template_folder import template_files, templates_of
from service.store.vault import Vault
from service.web.router import router as web_router
from service.web.visits import COOKIE
from service.work.print_job_claim import note_left_jobs
from service.work.print_room import PrintRoom
from service.work.printers import read_printers
from service.work.rendering import RenderRoom
from service.work.webhook_room import WebhookRoom
from service.work.workshop import Workshop


def open_workshop(settings: Settings) -> Workshop:
    """Migrate the records, make the vault, read the templates.

    Raises:
        UnsafeSetting: a setting the service refuses to start with.
        DatabaseUnavailable, VaultUnavailable: they do not answer.
        BadTemplate: a folder of label templates is not there or may not be read.
        BadRouter: the file of a router has a fault.
    """
    refuse_unsafe(settings)
    printers = read_printers(settings.printers)
    database = Database(settings.database_url)
    database.migrate()
    files = template_files([SHIPPED_TEMPLATES, *([settings.templates] if settings.templates else [])])
    return Workshop(
        database=database,
        vault=Vault(settings.vault_url),
        templates=templates_of(files),
        template_files=files,
        public_url=settings.link_url,
        rendering=RenderRoom(settings.render_workers),
        routers=read_routers([SHIPPED_ROUTERS, *([settings.routers] if settings.routers else [])]),
        printers=printers,
    )


def close_workshop(workshop: Workshop) -> None:
    """End the rendering processes and give the connections back."""
    workshop.rendering.close()
    workshop.exact.close()
    workshop.database.close()


def make_app(settings: Settings, workshop: Workshop | None = None) -> FastAPI:
    """The application; with a workshop given, its owner closes it."""
    shop = workshop or open_workshop(settings)

    room = PrintRoom(shop)
    notices = WebhookRoom(shop, loopback=settings.is_loopback)

    @asynccontextmanager
    async def lifespan(_app: FastAPI) -> AsyncIterator[None]:
        await run_in_threadpool(note_left_jobs, shop)
        notices.open()
        yield
        await run_in_threadpool(notices.close)
        await run_in_threadpool(room.close)
        if workshop is None:
            close_workshop(shop)

    app = FastAPI(
        title="Kitwright",
        version="0.1.0",
        description="Numbers, marks and the revision that still locks, for the parts that let a machine run another "
        "container. Errors are problem documents (RFC 9457) with a stable `code`.",
        lifespan=lifespan,
        openapi_tags=TAGS,
        docs_url=None,
        redoc_url=None,
    )
    problems.install(app)
    # An address is looked for in this order, and scans are by far the most calls.
    for routes in (
        # Before the other forms of an engraving, whose address it fits as well.
        router_program_routes(shop),
        nameplate_data_routes(shop),
        floor_routes(shop),
        shop_routes(shop),
        cut_file_routes(shop),
        desk_routes(shop),
        search_routes(shop),
        order_state_routes(shop),
        damage_report_routes(shop),
        locking_routes(shop),
        piece_routes(shop),
        proof_routes(shop),
        survival_routes(shop),
        picture_routes(shop),
        shop_facts_routes(shop),
        template_routes(shop),
        bolts_on_routes(shop),
        casualty_routes(shop),
        machine_routes(shop),
        alias_routes(shop),
        operations_routes(shop),
        book_routes(shop),
        export_routes(shop),
        ledger_routes(shop),
        printer_routes(shop),
        print_job_routes(shop, room),
        webhook_routes(shop, loopback=settings.is_loopback),
        reference_routes(app),
    ):
        app.include_router(routes)
    pages, front = web_router(shop, owner_key=settings.key, status_of=problems.status_of, room=room)
    app.include_router(pages)
    plain = app.exception_handlers[HTTPException]

    @app.exception_handler(HTTPException)
    async def not_found(request: Request, error: Exception) -> Response:
        """An address that does not exist: a page for people, a problem document for programs."""
        wants_page = "text/html" in request.headers.get("accept", "") and not request.url.path.startswith("/api")
        if isinstance(error, HTTPException) and error.status_code == 404 and wants_page:
            missing = PageUnknown(
                "the service has no such address", field="path", value=request.url.path, todo="Begin at the first page"
            )
            return front.problem_page(request, missing)
        answer = plain(request, error)
        assert isinstance(answer, Response)
        return answer

    document_by_hand(app)
    app.add_middleware(InProgress)
    app.add_middleware(
        Access,
        rules=Rules(
            owner_key=settings.key,
            # Where others can reach the service the key guards it; names are held to where they are told.
            host_names=settings.host_names if settings.is_loopback or settings.allowed_hosts else frozenset(),
            is_ticket=front.visits.is_good,
            cookie=COOKIE,
        ),
    )
    return app
