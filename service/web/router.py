"""All pages of the three desks as one router."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import APIRouter

from service.errors import KitwrightError
from service.web.aliases import alias_routes
from service.web.call import call_routes
from service.web.call_kept import call_kept_routes
from service.web.confirm import confirm_routes
from service.web.cut_files import cut_file_routes
from service.web.desk import desk_routes
from service.web.entrance import entrance_routes
from service.web.floor import floor_routes
from service.web.front import Front
from service.web.label_templates import label_template_routes
from service.web.locking import locking_routes
from service.web.machine_forms import machine_form_routes
from service.web.machines import machine_routes
from service.web.mending import mending_routes
from service.web.new_kit import new_kit_routes
from service.web.order_progress import order_progress_routes
from service.web.pictures import picture_routes
from service.web.pieces import piece_routes
from service.web.places import place_routes
from service.web.plant_lists import plant_list_routes
from service.web.print_jobs import print_job_routes
from service.web.proof import proof_routes
from service.web.reorders import reorder_routes
from service.web.reports import report_routes
from service.web.router_programs import router_program_routes
from service.web.shop import shop_routes
from service.web.shop_details import shop_details_routes
from service.web.static_files import static_routes
from service.web.survival import survival_routes
from service.web.visits import Visits
from service.work.print_room import PrintRoom
from service.work.workshop import Workshop


def router(
    workshop: Workshop,
    *,
    owner_key: str | None,
    status_of: Callable[[KitwrightError], int],
    room: PrintRoom | None = None,
) -> tuple[APIRouter, Front]:
    """The pages, and the front that also answers for addresses which no page has.

    Args:
        workshop: what the verbs work with.
        owner_key: what the sign-in page asks for; None when the service is open to everybody who reaches it.
        status_of: the HTTP status of an error.
        room: where jobs are printed; one of its own unless said.
    """
    front = Front(workshop, Visits(owner_key), status_of)
    pages = APIRouter()
    for routes in (
        static_routes(front),
        entrance_routes(front),
        # The addresses of forms under /shop come before those of a single kit.
        new_kit_routes(front),
        shop_details_routes(front),
        label_template_routes(front),
        cut_file_routes(front),
        alias_routes(front),
        machine_routes(front),
        machine_form_routes(front),
        place_routes(front),
        plant_list_routes(front),
        print_job_routes(front, room or PrintRoom(workshop)),
        shop_routes(front),
        mending_routes(front),
        piece_routes(front),
        proof_routes(front),
        survival_routes(front),
        picture_routes(front),
        floor_routes(front),
        confirm_routes(front),
        call_routes(front),
        call_kept_routes(front),
        reorder_routes(front),
        order_progress_routes(front),
        report_routes(front),
        locking_routes(front),
        router_program_routes(front),
        desk_routes(front),
    ):
        pages.include_router(routes)
    return pages, front
