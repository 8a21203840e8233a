"""Prepare a kit: every number it would get and every finding of the lint. Reserves nothing.

Only this module makes a ``Prepared``, and issuing takes nothing else: what was not prepared cannot be issued.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from pydantic import TypeAdapter
from sqlalchemy import Connection

from schemas.answers import JointAnswer, KitAnswer, KitSegmentAnswer, PieceAnswer
from schemas.manifest import KitManifest, SegmentBody
from service.findings import Finding
from service.store import codes, events, shop
from service.store.values import RevisionRow, ShopFacts
from service.work.draft import Draft, DraftJoint, draft_kit
from service.work.joints import touching
from service.work.mark_lint import lint_marks
from service.work.shown import finding_answers
from service.work.workshop import Workshop

_MADE_HERE: Final = object()
_PARTS = TypeAdapter(list[SegmentBody])


@dataclass(frozen=True)
class Prepared:
    """A kit that passed, or did not pass, every rule.

    Attributes:
        draft: the numbers, and what stands against them on record.
        inferred: joints that nobody declared.
        shop: what the marks say of the shop.
        findings: of the records and of the lint.
        token: stands for exactly this draft on these records.
        journal: the newest line of the journal when it was looked at.
    """

    draft: Draft
    inferred: tuple[DraftJoint, ...]
    shop: ShopFacts
    findings: tuple[Finding, ...]
    token: str
    journal: int
    _seal: object

    def __post_init__(self) -> None:
        """Only prepare() makes one."""
        if self._seal is not _MADE_HERE:
            raise TypeError("a Prepared is made by prepare() alone")

    @property
    def errors(self) -> tuple[Finding, ...]:
        """The findings that stop an issue."""
        return tuple(finding for finding in self.findings if finding.level == "error")


def prepare(workshop: Workshop, connection: Connection, manifest: KitManifest) -> Prepared:
    """Form the numbers, look at the records, infer the joints that are not declared, and run the lint.

    Raises:
        UnknownCode: a code in no table, so that no number can be formed.
    """
    tables = codes.code_tables(connection)
    draft = draft_kit(connection, manifest, tables)
    facts = shop.shop_facts(connection)
    inferred = _inferred(connection, draft)
    findings = (
        *draft.findings,
        *_joints_named(draft, inferred),
        *lint_marks(workshop.templates, workshop.public_url, draft, facts, tables),
    )
    return Prepared(draft, inferred, facts, findings, _token(draft, facts), events.newest(connection), _MADE_HERE)


def prepare_kit(workshop: Workshop, manifest: KitManifest) -> KitAnswer:
    """The dry run: the numbers, the findings and a token, and no keys."""
    with workshop.database.read() as connection:
        return prepared_answer(prepare(workshop, connection, manifest))


def still_holds(prepared: Prepared, connection: Connection, manifest: KitManifest) -> bool:
    """Whether the records still give the same draft, so that its lint needs no second run.

    Every verb that writes leaves a line in the journal; only when there is a new one is the draft formed again.
    """
    if events.newest(connection) == prepared.journal:
        return True
    tables = codes.code_tables(connection)
    return _token(draft_kit(connection, manifest, tables), shop.shop_facts(connection)) == prepared.token


def prepared_answer(
    prepared: Prepared, given: Mapping[str, tuple[str, tuple[PieceAnswer, ...]]] = MappingProxyType({})
) -> KitAnswer:
    """What a client sees of a prepared kit.

    Args:
        prepared: the kit.
        given: by number the key and the pieces of each segment that was issued; none for a dry run.
    """
    draft = prepared.draft
    registered = draft.registered
    return KitAnswer(
        number=str(draft.kit),
        status="refused" if prepared.errors else "prepared",
        findings=finding_answers(prepared.findings),
        token=None if prepared.errors else prepared.token,
        customer=registered.customer,
        plant=registered.plant_name,
        line=registered.line_name,
        machine=registered.machine_name,
        container=registered.container_name,
        container_code=str(draft.kit.container),
        rotation=registered.rotation,
        serves=tuple(row.code for row in draft.serves),
        stock_colour=draft.stock_colour,
        segments=tuple(
            KitSegmentAnswer(
                number=segment.printed,
                key=given[segment.printed][0] if given else None,
                place=segment.place,
                assembly=draft.assemblies[segment.assembly].name,
                cut_file=segment.revision.cut_file,
                revision=segment.revision.letter,
                quantity=segment.part.quantity,
                material=segment.material,
                thickness_mm=segment.thickness_mm,
                mass_kg=segment.mass_kg,
                stock_colour=segment.stock_colour,
                hand=segment.part.hand,
                pieces=given[segment.printed][1] if given else (),
            )
            for segment in draft.segments
        )
        + tuple(
            KitSegmentAnswer(
                number=row.number,
                key=None,
                place=row.place,
                assembly=row.assembly_name,
                cut_file=row.cut_file,
                revision=row.revision,
                quantity=row.quantity,
                material=row.material,
                thickness_mm=row.thickness_mm,
                mass_kg=row.mass_kg,
                stock_colour=row.stock_colour,
                hand=row.hand,
                status="shared",
            )
            for row in draft.shared
        ),
        joints=tuple(
            JointAnswer(
                between=(joint.first, joint.second),
                form=joint.form,
                clearance_mm=joint.clearance_mm,
                inferred=inferred,
            )
            for joints, inferred in ((draft.joints, False), (prepared.inferred, True))
            for joint in joints
        ),
    )


def _inferred(connection: Connection, draft: Draft) -> tuple[DraftJoint, ...]:
    """Joints of segments of one assembly and deck whose outlines touch and for which none is declared."""
    decks: dict[tuple[int, str], dict[str, RevisionRow]] = {}
    for segment in draft.segments:
        deck = (segment.assembly, segment.number.place.deck)
        decks.setdefault(deck, {})[segment.printed] = segment.revision
    declared = {frozenset((joint.first, joint.second)) for joint in draft.joints}
    return tuple(
        DraftJoint(first, second, None, None)
        for first, second in touching(connection, decks.values())
        if frozenset((first, second)) not in declared
    )


def _joints_named(draft: Draft, inferred: tuple[DraftJoint, ...]) -> list[Finding]:
    """Releases that say they changed a joint which the kit does not have."""
    if not any(segment.revision.joints_changed for segment in draft.segments):
        return []
    around: dict[str, set[str]] = {}
    for joint in (*draft.joints, *inferred):
        for here, there in ((joint.first, joint.second), (joint.second, joint.first)):
            around.setdefault(here, set()).update((there, there.split("-", 3)[3].rsplit("-", 1)[0]))
    findings = []
    for segment in draft.segments:
        number = segment.printed
        strangers = [name for name in segment.revision.joints_changed if name not in around.get(number, set())]
        if strangers:
            findings.append(
                Finding(
                    rule="joint_not_in_kit",
                    level="warning",
                    message=f"{segment.revision.cut_file} changed a joint that this segment does not have",
                    field="joints_changed",
                    value=", ".join(strangers),
                    todo=f"Declare the joint between {segment.number.place} and its neighbour, or check the file",
                    place=number,
                )
            )
    return findings


def _token(draft: Draft, facts: ShopFacts) -> str:
    """A hash over everything that issuing would write and print."""
    registered = draft.registered
    content = {
        "kit": str(draft.kit),
        "on_record": [
            row.id if row else None
            for row in (registered.plant, registered.line, registered.machine, registered.container)
        ],
        "names": [
            registered.plant_name,
            registered.customer,
            registered.line_name,
            registered.machine_name,
            registered.machine_since,
            registered.rotation,
            registered.container_name,
        ],
        "container": registered.container_facts.model_dump(mode="json"),
        "stock_colour": draft.stock_colour,
        "assemblies": [[assembly.code, assembly.ordinal, assembly.name] for assembly in draft.assemblies],
        "segments": [
            [
                segment.printed,
                segment.revision.sha256,
                segment.revision.letter,
                segment.material,
                segment.stock_colour,
                segment.mass_kg,
            ]
            for segment in draft.segments
        ],
        "parts": _PARTS.dump_json([segment.part for segment in draft.segments]).decode(),
        "shared": [row.number for row in draft.shared],
        "joints": [[joint.first, joint.second, joint.form, joint.clearance_mm] for joint in draft.joints],
        "serves": [row.code for row in draft.serves],
        "findings": [finding.sentence() for finding in draft.findings],
        "shop": [facts.name, facts.address, facts.telephone],
    }
    return hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()[:32]
