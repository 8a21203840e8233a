"""Everything on record as one archive, for whoever holds the owner key."""

from __future__ import annotations

import threading

from fastapi import APIRouter
from fastapi.responses import StreamingResponse

from service.api.problems import RESPONSES
from service.api.requests import answers_file
from service.errors import RequestInProgress
from service.work.export import export_to_stream
from service.work.handing_out import in_blocks, size_of
from service.work.workshop import Workshop


def export_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api", tags=["operations"], responses=RESPONSES)
    one_at_a_time = threading.Lock()

    @router.get(
        "/export.zip",
        response_class=StreamingResponse,
        responses=answers_file(
            "A ZIP archive: `README.txt` says how to find a part in it, `tables/*.jsonl` hold every row, "
            "`vault/sha256/` every released cut file, and `MANIFEST.json` counts, hashes and the ledger's tip.",
            "application/zip",
        ),
    )
    def export() -> StreamingResponse:
        """Every record and every cut file in one archive of open formats.

        It is written whole before its first byte is sent, so that what is wrong is said and not cut off: a released
        cut file that is missing or altered stops it and is named. Equal records give equal bytes. One archive is
        written at a time. It is restored at the terminal.
        """
        if not one_at_a_time.acquire(blocking=False):
            raise RequestInProgress(
                "an archive is being written already",
                field="path",
                value="/api/export.zip",
                todo="Wait until it is done, then ask again",
            )
        try:
            stream = export_to_stream(workshop)
        finally:
            one_at_a_time.release()
        size = size_of(stream)
        return StreamingResponse(
            in_blocks(stream),
            media_type="application/zip",
            headers={
                "Content-Disposition": 'attachment; filename="kitwright-export.zip"',
                "Content-Length": str(size),
                "Cache-Control": "no-store",
            },
        )

    return router
