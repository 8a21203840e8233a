"""Issue a kit: the only door through which a number comes into the world.

Everything of a kit is written in one transaction, or nothing. Issuing takes only what preparing returned.
"""

from __future__ import annotations

import random
import secrets
from collections.abc import Iterable, Iterator, Sequence

from sqlalchemy import Connection

from schemas.answers import KitAnswer, PieceAnswer
from schemas.manifest import KitManifest
from service.errors import BadRequest, LintFailed, TokenStale
from service.numbering.key import random_keys
from service.store import containers, events, kits, plants, segments
from service.store.events import NewEvent
from service.store.kits import NewAssembly, NewJoint, NewKit, NewPiece, NewSegment
from service.work.cutting import DraftSegment
from service.work.once import NO_RETRY, Retry, once
from service.work.prepare import Prepared, prepare, prepared_answer, still_holds
from service.work.workshop import SERVICE, Actor, Workshop

_RANDOM = secrets.SystemRandom()


def issue_kit(
    workshop: Workshop,
    manifest: KitManifest,
    *,
    token: str | None = None,
    actor: Actor = SERVICE,
    retry: Retry = NO_RETRY,
) -> KitAnswer:
    """Prepare and issue a kit in one transaction.

    The lint, which takes longest, runs before the one writer's lock is taken; inside, the draft is formed again, and
    only if the records moved in between the lint runs a second time.

    Raises:
        LintFailed: an error stands against the kit; every finding is carried.
        TokenStale: a token was sent and the records no longer give what it stood for.
        IdempotencyMismatch: the Idempotency-Key came before with another payload.
    """
    with workshop.database.read() as connection:
        prepared = prepare(workshop, connection, manifest)
    with workshop.database.write() as connection:

        def work() -> KitAnswer:
            holds = still_holds(prepared, connection, manifest)
            current = prepared if holds else prepare(workshop, connection, manifest)
            _refuse(current, token or manifest.token)
            _refuse_nameless(manifest, token or manifest.token, retry)
            return issue(connection, current, now=workshop.now(), actor=actor)

        return once(connection, retry, KitAnswer, workshop.now(), work)


def _refuse(prepared: Prepared, token: str | None) -> None:
    if prepared.errors:
        raise LintFailed(prepared.findings)
    if token is not None and token != prepared.token:
        raise TokenStale(
            "the records, or the manifest, changed since this kit was prepared",
            field="token",
            value=token,
            todo="Prepare the kit again, look at the numbers, and issue with the new token",
        )


def _refuse_nameless(manifest: KitManifest, token: str | None, retry: Retry) -> None:
    """A machine that takes the next ordinal would take another one each time the request is sent."""
    if manifest.machine.ordinal is None and token is None and retry.key is None:
        raise BadRequest(
            "sent twice, this manifest would make two machines",
            field="machine.ordinal",
            value=None,
            todo="Prepare the kit and issue it with the token, send an Idempotency-Key, or write the ordinal down",
        )


def issue(connection: Connection, prepared: Prepared, *, now: str, actor: Actor) -> KitAnswer:
    """Write a prepared kit: registers, numbers, keys, pieces, joints and the event, in the caller's transaction."""
    if prepared.errors:
        raise LintFailed(prepared.findings)
    machine_id, container_id = _register(connection, prepared, now)
    keys = fresh_keys(connection, 2 * len(prepared.draft.segments))
    new = new_kit(prepared, keys, machine_id=machine_id, container_id=container_id, now=now)
    kits.add_kit(connection, new)
    answer = _answer(prepared, [segment for assembly in new.assemblies for segment in assembly.segments], now)
    told = answer.model_dump(mode="json")
    # What the lint said and the token are of the moment; all the rest is what this kit is from now on.
    moment = {"token": prepared.token, "findings": told.pop("findings")}
    del told["token"], told["status"]
    events.record_many(
        connection,
        [
            NewEvent(at=now, actor=actor.name, verb=verb, subject=answer.number, after=after)
            for verb, after in (("prepare", moment), ("issue", told))
        ],
    )
    return answer


def new_kit(prepared: Prepared, keys: Iterator[str], *, machine_id: int, container_id: int, now: str) -> NewKit:
    """A prepared kit as it is written, with its keys given out."""
    draft = prepared.draft
    by_assembly: dict[int, list[NewSegment]] = {index: [] for index in range(len(draft.assemblies))}
    for segment in draft.segments:
        by_assembly[segment.assembly].append(new_segment(segment, keys))
    return NewKit(
        number=str(draft.kit),
        machine_id=machine_id,
        container_id=container_id,
        stock_colour=draft.stock_colour,
        issued_at=now,
        assemblies=tuple(
            NewAssembly(
                code=part.code, ordinal=part.ordinal, name=part.name, position=index, segments=by_assembly[index]
            )
            for index, part in enumerate(draft.assemblies)
        ),
        joints=tuple(
            NewJoint(
                first=joint.first,
                second=joint.second,
                form=joint.form,
                clearance_mm=joint.clearance_mm,
                inferred=inferred,
            )
            for joints, inferred in ((draft.joints, False), (prepared.inferred, True))
            for joint in joints
        ),
        shared_segment_ids=tuple(row.id for row in draft.shared),
        further_container_ids=tuple(row.id for row in draft.serves),
    )


def new_segment(segment: DraftSegment, keys: Iterator[str], *, sets: Sequence[int] = (1,)) -> NewSegment:
    """A drafted segment with its key, and its first pieces as they were built, of each set."""
    part = segment.part
    return NewSegment(
        number=segment.printed,
        key=next(keys),
        deck=segment.number.place.deck,
        ordinal=segment.number.place.ordinal,
        quantity=part.quantity,
        hand=part.hand,
        material=segment.material,
        stock_colour=segment.stock_colour,
        thickness_mm=segment.thickness_mm,
        measured_thickness_mm=part.measured_thickness_mm,
        mass_kg=segment.mass_kg,
        marked_face=part.marked_face,
        cut_file_id=segment.revision.cut_file_id,
        revision_id=segment.revision.id,
        pieces=tuple(
            # A segment that is made once has one tracked piece; of forty like ones only the count is kept.
            NewPiece(
                key=next(keys) if part.quantity == 1 else None,
                set_number=number,
                count=part.quantity,
                revision_id=segment.revision.id,
                condition="fitted",
                deviations=part.deviations,
            )
            for number in sets
        ),
    )


def fresh_keys(connection: Connection, count: int, source: random.Random = _RANDOM) -> Iterator[str]:
    """That many keys which were never given before."""
    found: dict[str, None] = {}
    while len(found) < count:
        drawn = random_keys(count - len(found), source)
        taken = segments.keys_taken(connection, drawn)
        found.update((key, None) for key in drawn if key not in taken)
    return iter(found)


def _register(connection: Connection, prepared: Prepared, now: str) -> tuple[int, int]:
    """The ids of the machine and the container, made where they are not on record."""
    kit, registered = prepared.draft.kit, prepared.draft.registered
    plant = registered.plant or plants.add_plant(
        connection, code=kit.plant, name=registered.plant_name, customer=registered.customer
    )
    line = registered.line or plants.add_line(
        connection, plant_id=plant.id, ordinal=kit.line, name=registered.line_name
    )
    machine = registered.machine or plants.add_machine(
        connection,
        line_id=line.id,
        machine_class=kit.machine_class,
        ordinal=kit.machine,
        name=registered.machine_name,
        rotation=registered.rotation,
        at=registered.machine_since or now,
    )
    facts = registered.container_facts
    container = registered.container or containers.add_container(
        connection,
        customer_id=plant.customer_id,
        design=registered.design,
        nominal_digits=registered.nominal_digits,
        name=facts.name or "",
        nominal=str(facts.nominal),
        unit=facts.unit or "",
        shape=facts.shape,
        diameter_mm=facts.diameter_mm,
        width_mm=facts.width_mm,
        depth_mm=facts.depth_mm,
        min_body_mm=facts.min_body_mm,
        max_body_mm=facts.max_body_mm,
        height_mm=facts.height_mm,
        neck_finish=facts.neck_finish,
        drawing_issue=facts.drawing_issue,
    )
    return machine.id, container.id


def _answer(prepared: Prepared, new_segments: Iterable[NewSegment], now: str) -> KitAnswer:
    """The prepared answer with the keys that were given."""
    letters = {segment.printed: segment.revision.letter for segment in prepared.draft.segments}
    given = {
        segment.number: (
            segment.key,
            tuple(
                PieceAnswer(
                    key=piece.key,
                    set=piece.set_number,
                    count=piece.count,
                    revision=letters[segment.number],
                    condition="fitted",
                    deviations=piece.deviations,
                )
                for piece in segment.pieces
                if piece.key is not None
            ),
        )
        for segment in new_segments
    }
    plain = prepared_answer(prepared, given)
    return plain.model_copy(update={"status": "issued", "token": None, "issued_at": now, "line_now": plain.line})
