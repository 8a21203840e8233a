"""The tables, one file a subject; whoever imports one of them has all of them registered."""

from service.store.tables.aliases import Alias, AliasWrong
from service.store.tables.base import Base, Numbered, table_of
from service.store.tables.damage import (
    DamageChoice,
    DamageEnd,
    DamageEvidence,
    DamageLink,
    DamageOrder,
    DamagePhoto,
    DamageReport,
)
from service.store.tables.designs import CutFile, OutlineFigures, Revision, RevisionChange
from service.store.tables.history import PlaceName
from service.store.tables.inspections import Inspection
from service.store.tables.kits import Assembly, Joint, Kit, KitContainer, Segment, SharedSegment
from service.store.tables.machines import MachineSurvey, ReuseCheck, SameInterface, SurveyDimension
from service.store.tables.order_steps import OrderStep
from service.store.tables.places import Code, Container, Customer, Line, Machine, Placement, Plant, Shop
from service.store.tables.print_jobs import PrintJob, PrintJobMark
from service.store.tables.records import Event, Idempotency, IssuedKey, Mark, Piece, Reorder
from service.store.tables.sets import PieceEnd, Retirement
from service.store.tables.webhooks import Webhook, WebhookDelivery

__all__ = [
    "Alias",
    "AliasWrong",
    "Assembly",
    "Base",
    "Code",
    "Container",
    "Customer",
    "CutFile",
    "DamageChoice",
    "DamageEnd",
    "DamageEvidence",
    "DamageLink",
    "DamageOrder",
    "DamagePhoto",
    "DamageReport",
    "Event",
    "Idempotency",
    "Inspection",
    "IssuedKey",
    "Joint",
    "Kit",
    "KitContainer",
    "Line",
    "Machine",
    "MachineSurvey",
    "Mark",
    "Numbered",
    "OrderStep",
    "OutlineFigures",
    "Piece",
    "PieceEnd",
    "PlaceName",
    "Placement",
    "Plant",
    "PrintJob",
    "PrintJobMark",
    "Reorder",
    "Retirement",
    "ReuseCheck",
    "Revision",
    "RevisionChange",
    "SameInterface",
    "Segment",
    "SharedSegment",
    "Shop",
    "SurveyDimension",
    "Webhook",
    "WebhookDelivery",
    "table_of",
]
