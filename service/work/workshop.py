"""What every verb works with: the records, the vault, the templates, the clock, and where rendering runs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime

from schemas.label_template import LabelTemplate
from schemas.router import Router
from service.errors import RouterUnknown, TemplateUnknown
from service.store.database import Database
from service.store.evidence_facts import EvidenceFacts
from service.store.exact import ExactLookup
from service.store.number_following import NumberFollowing
from service.store.template_folder import TemplateFile
from service.store.vault import Vault
from service.work.rendering import RenderRoom


def utc_now() -> str:
    """The moment as the records keep it: ISO 8601, UTC, to the second."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


@dataclass(frozen=True, slots=True)
class Actor:
    """Who asks; ``name`` stands in the journal. Roles are decided at the edge and travel with it."""

    name: str


SERVICE = Actor("service")


@dataclass(frozen=True)
class Workshop:
    """The parts that the verbs share, put together once by the program.

    Attributes:
        database: the records.
        vault: the released bytes.
        templates: label templates by name.
        template_files: every file of the folders of templates, with what is wrong in those that are left out.
        public_url: the address that codes open, without ``/S/``.
        rendering: where documents are made, beside the serving of requests.
        now: the clock.
        routers: the shop's routers by name.
        printers: addresses of the shop's printers by name.
    """

    database: Database
    vault: Vault
    templates: Mapping[str, LabelTemplate]
    public_url: str
    rendering: RenderRoom
    now: Callable[[], str] = utc_now
    routers: Mapping[str, Router] = field(default_factory=dict)
    printers: Mapping[str, str] = field(default_factory=dict)
    template_files: tuple[TemplateFile, ...] = ()
    exact: ExactLookup = field(init=False)
    evidence: EvidenceFacts = field(init=False)
    numbers: NumberFollowing = field(init=False)

    def __post_init__(self) -> None:
        """Hold the connection that exact marks are looked up on, what callers can be asked about, and all numbers."""
        object.__setattr__(self, "exact", ExactLookup(self.database))
        object.__setattr__(self, "evidence", EvidenceFacts(self.database))
        object.__setattr__(self, "numbers", NumberFollowing(self.database))

    def template(self, name: str) -> LabelTemplate:
        """A label template by name; raises TemplateUnknown naming those there are."""
        try:
            return self.templates[name]
        except KeyError:
            raise TemplateUnknown(
                "there is no label template of this name",
                field="template",
                value=name,
                todo=f"Use one of {', '.join(sorted(self.templates))}",
            ) from None

    def router(self, name: str) -> Router:
        """A router by name; raises RouterUnknown naming those there are."""
        try:
            return self.routers[name]
        except KeyError:
            raise RouterUnknown(
                "there is no router of this name",
                field="router",
                value=name,
                todo=f"Use one of {', '.join(sorted(self.routers))}",
            ) from None
