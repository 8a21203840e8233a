"""Notices to the shop's own programs: where they go, and what became of each."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, StringConstraints

from schemas.answers.base import Answer, MomentField
from schemas.answers.order_states import OrderState
from schemas.manifest import Part
from schemas.text import ShortName, printable

ToldState = Literal["identified", "decided", "released_to_cut", "cut", "inspected", "shipped", "fitted", "cancelled"]
"""States that an order can stand at once it is written."""
UrlText = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=1000), AfterValidator(printable)
]
WebhookIdField = Annotated[int, Field(description="Id of the webhook.", examples=[2])]


class WebhookRequest(Part):
    """An address that is told of every change of state."""

    url: UrlText = Field(
        description="Where notices are posted: http or https, no user name, no password, no fragment.",
        examples=["https://planning.example/kitwright"],
    )
    name: ShortName = Field(description="What the shop calls it.", examples=["planning"])
    states: Annotated[tuple[ToldState, ...], Field(max_length=8)] = Field(
        default=(), description="Only changes to these states; all of them unless said.", examples=[["released_to_cut"]]
    )


class WebhookAnswer(Answer):
    """A webhook as it stands."""

    id: WebhookIdField
    name: str = Field(description="What the shop calls it.", examples=["planning"])
    url: str = Field(description="Where notices are posted.", examples=["https://planning.example/kitwright"])
    states: tuple[OrderState, ...] = Field(description="Changes to these states; empty for all.")
    made_at: MomentField
    made_by: str = Field(description="Who registered it.", examples=["owner"])
    ended_at: str | None = Field(description="Since when nothing is sent to it any more; null while it is in use.")
    waiting: int = Field(description="Notices on their way.", examples=[0])
    delivered: int = Field(description="Notices that were taken.", examples=[12])
    given_up: int = Field(description="Notices that nobody took.", examples=[0])


class NewWebhookAnswer(WebhookAnswer):
    """A webhook that was just registered, with its secret, which is shown this once."""

    secret: str = Field(description="With it a receiver checks the signature of a notice. Shown this once.")


class WebhookListAnswer(Answer):
    """Every webhook, the newest first."""

    webhooks: tuple[WebhookAnswer, ...] = Field(description="The webhooks.")


class DeliveryAnswer(Answer):
    """One notice to one webhook."""

    id: int = Field(description="Id of the notice; a receiver that saw it before drops it.", examples=[90])
    webhook: WebhookIdField
    order: int = Field(description="Id of the reorder.", examples=[17])
    order_state: OrderState = Field(description="The state that it tells of.")
    state: Literal["waiting", "delivered", "given_up"] = Field(
        description="`waiting` for its next try, `delivered`, or `given_up` after the last try."
    )
    tries: int = Field(description="How often it was sent.", examples=[1])
    made_at: MomentField
    next_try_at: str | None = Field(description="When it is sent next; null when it is not.")
    ended_at: str | None = Field(description="When it was delivered or given up.")
    said: str = Field(description="What the receiver said last, or why it could not be reached.")


class DeliveryListAnswer(Answer):
    """A page of notices; the header ``Link`` leads to the next."""

    deliveries: tuple[DeliveryAnswer, ...] = Field(description="The newest first.")
