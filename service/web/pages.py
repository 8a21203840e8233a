"""Templates to HTML: one Jinja environment, the units a page prints, and the headers every page carries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from fastapi.responses import HTMLResponse
from jinja2 import Environment, FileSystemLoader, StrictUndefined

from service.web.assets import address
from service.web.order_words import state_name
from service.web.views import Number

TEMPLATES = Path(__file__).parent / "templates"

HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": (
        "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; object-src 'none'"
    ),
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
}
"""No script, style, font or picture from anywhere but here; no page in a foreign frame; nothing kept by a cache."""


@dataclass(frozen=True, slots=True)
class Who:
    """Who looks at a page.

    Attributes:
        signed_in: may see and do everything (a service without an owner key takes everybody so).
        may_leave: signed in by a key, so that there is something to sign out of.
    """

    signed_in: bool
    may_leave: bool


def millimetres(value: float) -> str:
    """A length with its unit, without needless zeros: ``25 mm``, ``25.4 mm``."""
    return f"{figure(value)} mm"


def figure(value: float) -> str:
    """A number with at most two decimals and no needless zeros."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def kilograms(value: float) -> str:
    """A mass with its unit; below a kilogram to the gram, so that a bottle plate is no ``0 kg``."""
    return f"{value:.3f} kg" if value < 1 else f"{value:.2f} kg"


def square_centimetres(value_mm2: float) -> str:
    """An area given in mm², in cm²."""
    return f"{value_mm2 / 100:,.1f} cm²"


def octets(value: int) -> str:
    """A file's size in kB or MB (powers of 1000)."""
    if value < 1000:
        return f"{value} bytes"
    return f"{value / 1000:.1f} kB" if value < 1_000_000 else f"{value / 1_000_000:.1f} MB"


def two_fours(key: str) -> str:
    """A key as plates show it, in two fours: ``K7M4-XRAW``."""
    return f"{key[:4]}-{key[4:]}" if len(key) == 8 else key


def in_groups(digest: str) -> str:
    """A SHA-256 in groups of eight, so that two people can read it to each other."""
    return " ".join(digest[start : start + 8] for start in range(0, len(digest), 8))


def moment(time: str | None) -> str:
    """An ISO 8601 time in UTC to the minute: ``2026-03-09 08:15 UTC``."""
    return f"{time[:10]} {time[11:16]} UTC" if time else ""


def day(time: str | None) -> str:
    """The day of an ISO 8601 time: ``2026-03-09``."""
    return time[:10] if time else ""


def environment() -> Environment:
    """The templates: every value is escaped unless it is finished SVG, and a misspelt name is an error."""
    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.filters.update(
        mm=millimetres,
        figure=figure,
        kg=kilograms,
        cm2=square_centimetres,
        bytes=octets,
        two_fours=two_fours,
        in_groups=in_groups,
        when=moment,
        day=day,
        state_name=state_name,
    )
    made.globals.update(asset=address, number_of=Number)
    return made


_ENVIRONMENT = environment()


def page(template: str, *, who: Who, desk: str = "", status: int = 200, **values: object) -> HTMLResponse:
    """A page as an answer.

    Args:
        template: the file in ``templates/``.
        who: who looks at it.
        desk: the path of the desk it belongs to (``/shop``, ``/floor``, ``/desk``), for the navigation.
        status: the HTTP status.
        values: what the template shows, mostly one ``view``.
    """
    html = _ENVIRONMENT.get_template(template).render(who=who, desk=desk, **values)
    return HTMLResponse(html, status_code=status, headers=dict(HEADERS))
