"""Record that two machines are the same where an assembly meets them; only then may a part serve both."""

from __future__ import annotations

from schemas.answers.machines import SameInterfaceAnswer, SameInterfaceListAnswer
from schemas.machines import SameInterfaceRequest, WithdrawWordRequest
from service.errors import BadRequest, Contradiction, SameInterfaceUnknown
from service.store import codes, events, interfaces
from service.store.placements import MachineRecord
from service.work.machines_shown import interface_answers
from service.work.once import NO_RETRY, Retry, once
from service.work.where import machine_on_record
from service.work.workshop import SERVICE, Actor, Workshop


def record_same_interface(
    workshop: Workshop, request: SameInterfaceRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> SameInterfaceListAnswer:
    """Record somebody's word about two machines, one line for each assembly.

    Raises:
        MachineUnknown: not on record.
        UnknownCode: an assembly that stands in no table.
        BadRequest: one machine twice.
        Contradiction: two customers' machines, or the word is on record already.
    """
    with workshop.database.write() as connection:

        def work() -> SameInterfaceListAnswer:
            one, other = (
                machine_on_record(connection, text, field=f"machines[{index}]")
                for index, text in enumerate(request.machines)
            )
            _refuse_strangers(one, other)
            tables = codes.code_tables(connection)
            now, by = workshop.now(), request.by or actor.name
            standing = {row.assembly for row in interfaces.standing(connection, one.machine.id, other.machine.id)}
            made = []
            for index, assembly in enumerate(dict.fromkeys(request.assemblies)):
                place = f"assemblies[{index}]"
                tables.name_of("assembly", assembly.rstrip("0123456789"), place=place)
                if assembly in standing:
                    raise Contradiction(
                        f"{one.designation} and {other.designation} are on record as the same here already",
                        field="assemblies",
                        value=assembly,
                        todo="Leave it out, or withdraw the word on record first",
                        place=place,
                    )
                made.append(
                    interfaces.add_interface(
                        connection,
                        machine_ids=(one.machine.id, other.machine.id),
                        assembly=assembly,
                        interface=request.interface,
                        note=request.note,
                        recorded_by=by,
                        recorded_at=now,
                    )
                )
            answer = SameInterfaceListAnswer(same_interfaces=interface_answers(connection, made))
            for record in (one, other):
                events.record(
                    connection,
                    at=now,
                    actor=actor.name,
                    verb="same interface",
                    subject=record.designation,
                    before={"assemblies": sorted(standing)},
                    after=answer.model_dump(mode="json"),
                )
            return answer

        return once(connection, retry, SameInterfaceListAnswer, workshop.now(), work)


def _refuse_strangers(one: MachineRecord, other: MachineRecord) -> None:
    if one.machine.id == other.machine.id:
        raise BadRequest(
            "this is one machine twice",
            field="machines",
            value=one.designation,
            todo="Name the two machines that were compared",
        )
    if one.born.plant.customer_id != other.born.plant.customer_id:
        raise Contradiction(
            f"{one.designation} is {one.born.plant.customer}'s, {other.designation} is {other.born.plant.customer}'s",
            field="machines",
            value=f"{one.designation}, {other.designation}",
            todo="A part serves the machines of one customer",
        )


def withdraw_same_interface(
    workshop: Workshop, id_: int, request: WithdrawWordRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> SameInterfaceAnswer:
    """Withdraw a word about two machines: nothing is shared on its strength from now on.

    What is shared already stays so, until somebody gives the segment its own number on the other machine.

    Raises:
        SameInterfaceUnknown: nothing of this id is on record.
        Contradiction: it is withdrawn already.
    """
    with workshop.database.write() as connection:

        def work() -> SameInterfaceAnswer:
            row = interfaces.interface_by_id(connection, id_)
            if row is None:
                raise SameInterfaceUnknown(
                    "nobody recorded this about two machines",
                    field="id",
                    value=id_,
                    todo="Look at what is recorded of one of the machines",
                )
            if row.withdrawn_at is not None:
                raise Contradiction(
                    f"it was withdrawn on {row.withdrawn_at}: {row.withdrawn_reason}",
                    field="id",
                    value=id_,
                    todo="Record it anew if it holds after all",
                )
            (before,) = interface_answers(connection, (row,))
            now = workshop.now()
            interfaces.withdraw_interface(connection, id_, at=now, reason=request.reason)
            withdrawn = interfaces.interface_by_id(connection, id_)
            assert withdrawn is not None
            (answer,) = interface_answers(connection, (withdrawn,))
            for designation in answer.machines:
                events.record(
                    connection,
                    at=now,
                    actor=actor.name,
                    verb="withdraw",
                    subject=designation,
                    before=before.model_dump(mode="json"),
                    after=answer.model_dump(mode="json"),
                )
            return answer

        return once(connection, retry, SameInterfaceAnswer, workshop.now(), work)
