"""The floor and the desk: reading a mark in a picture."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, File, UploadFile

from schemas.answers.pictures import PictureAnswer
from service.api.problems import RESPONSES
from service.work.read_picture import MOST_BYTES, read_picture
from service.work.workshop import Workshop

_FORM_EXAMPLE = {
    "requestBody": {"content": {"multipart/form-data": {"example": {"file": "(the bytes of a JPEG or PNG)"}}}}
}


def picture_routes(workshop: Workshop) -> APIRouter:
    """The route over one workshop."""
    router = APIRouter(prefix="/api", tags=["floor and desk"], responses=RESPONSES)

    @router.post("/read/picture", response_model=PictureAnswer, openapi_extra=_FORM_EXAMPLE)
    def read_a_picture(
        *,
        file: Annotated[
            UploadFile,
            File(description="A photograph or scan: JPEG, PNG, WebP, BMP, TIFF or GIF. Its content decides."),
        ],
    ) -> PictureAnswer:
        """What the mark in a picture says, also when no symbol of it decodes alone. The picture is not kept."""
        return read_picture(workshop, file.file.read(MOST_BYTES + 1)).answer

    return router
