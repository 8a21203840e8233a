"""What a form sent, held against the document that the same request is over the API."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from schemas.faults import findings_of
from service.errors import BadFields

D = TypeVar("D", bound=BaseModel)


def checked(document: type[D], values: Mapping[str, object]) -> D:
    """The request document.

    Raises:
        BadFields: fields are wrong; each fault is a finding.
    """
    try:
        return document.model_validate(dict(values))
    except ValidationError as error:
        raise BadFields(findings_of(error, rule="bad_fields")) from error
