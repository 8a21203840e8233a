"""The one tree of errors. Each leaf has a stable ``code``; only ``api/problems.py`` knows what HTTP makes of it.

::

    KitwrightError
    ├── BadInput                what was sent cannot be right
    │   ├── BadCharacter            bad_character            a character no number can hold, by position
    │   ├── BadNumber               bad_number               not the grammar of a number, kit, place or designation
    │   ├── BadCheck                bad_check                the two check digits do not fit what stands before them
    │   ├── BadKey                  bad_key                  not eight key symbols whose weighted sum fits
    │   ├── BadCode                 bad_code                 a new code that is malformed
    │   ├── CodeTooAlike            code_too_alike           a new code that looks or sounds like one in the table
    │   ├── UnknownCode             unknown_code             a code that stands in no table of the shop
    │   ├── NotJson                 not_json                 a body that is no JSON
    │   ├── BadCsv                  bad_csv                  a manifest table that cannot be read
    │   ├── Faults                  several findings at once
    │   │   ├── BadManifest             bad_manifest             a manifest whose fields are wrong or missing
    │   │   ├── BadFields               bad_fields               a request whose fields are wrong or missing
    │   │   └── LintFailed              lint_failed              findings that stop an issue, a print or an engraving
    │   ├── BadTemplate             bad_template             a label template with faults
    │   ├── BadRouter               bad_router               a file of a router with faults
    │   ├── FieldDoesNotFit         field_does_not_fit       a text that cannot be set legibly in its field
    │   ├── MissingGlyph            missing_glyph            a text with a letter the font lacks
    │   ├── SymbolDoesNotFit        symbol_does_not_fit      a symbol that cannot be printed in whole dots
    │   ├── BadCutFile              bad_cut_file             a file that no DXF reader can read
    │   ├── NoOutline               no_outline               a drawing without a closed outline
    │   ├── NoUnits                 no_units                 a drawing without units, and none given
    │   ├── SelfCrossing            self_crossing            an outline that crosses itself
    │   ├── BadFileName             bad_file_name            a name that is no plain DXF file name
    │   ├── BadRevision             bad_revision             not a revision letter, or not the next one
    │   ├── NoEngravingRoom         no_engraving_room        no text of the ladder fits the outline
    │   ├── BadArchive              bad_archive              an exported archive that is not whole
    │   ├── ArchiveTooNew           archive_too_new          an archive that a newer version made
    │   ├── BadPicture              bad_picture              bytes that no picture can be read from
    │   ├── BadWebhookAddress       bad_webhook_address      no address that notices may be sent to
    │   ├── BadPrinterAddress       bad_printer_address      no address of a printer that speaks IPP
    │   ├── FormatRefused           format_refused           a printer that takes no format that is made here
    │   ├── MediaRefused            media_refused            a printer without paper of this size
    │   ├── ResolutionRefused       resolution_refused       a printer whose dots are not those of the marks
    │   ├── BadRequest              bad_request              a parameter of a request that is wrong
    │   └── IdempotencyMismatch     idempotency_mismatch     an Idempotency-Key used again with another payload
    ├── MethodNotTaken          method_not_taken         an address that takes other methods
    ├── TooLarge                    too_large                more bytes than the service takes
    ├── NotFound                what was asked for is not on record
    │   ├── NumberUnknown           number_unknown
    │   ├── MarkUnknown             mark_unknown
    │   ├── KitUnknown              kit_unknown
    │   ├── CutFileUnknown          cut_file_unknown
    │   ├── RevisionUnknown         revision_unknown
    │   ├── TemplateUnknown         template_unknown
    │   ├── RouterUnknown           router_unknown           no router of this name, or no such tool in it
    │   ├── MachineUnknown          machine_unknown          no machine was ever born under this designation
    │   ├── PlaceUnknown            place_unknown            no plant or line of this code or name
    │   ├── ContainerUnknown        container_unknown        no container of this code
    │   ├── AliasUnknown            alias_unknown            no legacy mark has this id
    │   ├── SameInterfaceUnknown    same_interface_unknown   nobody recorded this about two machines
    │   ├── PrinterUnknown          printer_unknown          no printer of the shop has this name
    │   ├── ReorderUnknown          reorder_unknown
    │   ├── ReportUnknown           report_unknown           no damage report of this id
    │   ├── PhotoUnknown            photo_unknown            a damage report has no such photograph
    │   ├── LinkUnknown             link_unknown             a link to pictures that is wrong or no longer open
    │   ├── WebhookUnknown          webhook_unknown          no webhook or notice of this id
    │   ├── PrintJobUnknown         print_job_unknown        no print job of this id
    │   ├── PieceUnknown            piece_unknown            no tracked piece bears this key
    │   ├── SetUnknown              set_unknown              a set that was never made
    │   └── PageUnknown             page_unknown             no such address
    ├── Conflict                what is on record stands against it
    │   ├── Contradiction           contradiction            a plant, machine or container on record otherwise
    │   ├── RequestInProgress       request_in_progress      the same work is already under way
    │   ├── RevisionExists          revision_exists
    │   ├── RevisionWithdrawn       revision_withdrawn
    │   ├── MarkExists              mark_exists              a fact that is already on a mark
    │   ├── PlaceVoided             place_voided             a number that is spent
    │   ├── SegmentShared           segment_shared           other kits lean on this segment
    │   ├── TokenStale              token_stale              the records changed since the kit was prepared
    │   ├── AmbiguousMark           ambiguous_mark           several segments fit; none is picked
    │   ├── StaleEdit               stale_edit               somebody else changed the record since
    │   ├── EditUnseen              edit_unseen              an edit that does not say which state it was made from
    │   ├── ReorderClosed           reorder_closed           a reorder that is fitted or cancelled
    │   ├── AlreadyOnOrder          already_on_order         what may be the same piece is on order
    │   ├── StepRefused             step_refused             a state of an order that does not follow its last one
    │   ├── ReportClosed            report_closed            a damage report that is ordered or was given up
    │   ├── NothingToSend           nothing_to_send          a notice that was delivered, or whose webhook is ended
    │   ├── FitDisputed             fit_disputed             record and outlines differ over what will lock
    │   ├── PrintJobClosed          print_job_closed         a print job that is done or cancelled
    │   ├── NothingAsked            nothing_asked            an answer to a print job that asks nothing
    │   ├── PieceGone               piece_gone               a piece that is scrapped
    │   ├── PieceOnOrder            piece_on_order           a piece that is ordered and not fitted yet
    │   ├── TooFewPieces            too_few_pieces           more pieces named than are there
    │   ├── KitRetired              kit_retired              a kit that is out of use
    │   ├── DesignLettersSpent      design_letters_spent
    │   └── DatabaseNotEmpty        database_not_empty       records that a restore would write over
    ├── Denied                  who asks may not
    │   ├── NotSignedIn             not_signed_in
    │   ├── ForeignOrigin           foreign_origin           a page of another site called
    │   └── ForeignHost             foreign_host             called under a name that is not this service's
    ├── Unavailable             what the service needs does not answer just now
    │   ├── DatabaseUnavailable     database_unavailable
    │   ├── TargetUnavailable       target_unavailable       an export or a backup that cannot be written
    │   └── VaultUnavailable        vault_unavailable
    ├── PrinterFault            a printer does not do what it was asked
    │   ├── PrinterUnreachable      printer_unreachable      it does not answer, or went away
    │   ├── NoPrinter               no_printer               what answers there speaks no IPP
    │   ├── PrinterRefused          printer_refused          it refuses, and says why
    │   ├── PrinterStopped          printer_stopped          it waits for somebody, or takes no jobs
    │   └── JobAborted              job_aborted              it ended a job before all of it was printed
    ├── Untrusted               what the service itself holds or made is wrong, and is not handed out
    │   ├── CutFileAltered          cut_file_altered         kept bytes no longer match their SHA-256
    │   ├── CutFileMissing          cut_file_missing         kept bytes are gone
    │   ├── CopyUnproven            copy_unproven            a restore or a backup that is not what it was made from
    │   ├── ReadBackFailed          read_back_failed         a rendered symbol decodes to something else, or not at all
    │   └── UnsafeSetting           unsafe_setting           a configuration the service refuses to start with
    └── Defect                  defect                   a fault of the program itself
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from service.findings import Finding


class KitwrightError(Exception):
    """Something a person must know: what is wrong, in which field, with which value, and what to do next.

    Args:
        what: what is wrong, a clause without a full stop.
        field: the name of the input field, setting or record that is wrong.
        value: its value as it was received or found.
        todo: the next thing to do, an imperative sentence without a full stop.
        place: where in the input, for example ``assemblies[0].segments[2]``, ``line 7`` or ``LWPOLYLINE #2F``.
    """

    code: ClassVar[str] = "kitwright_error"
    title: ClassVar[str] = "Something is wrong"

    def __init__(self, what: str, *, field: str, value: object, todo: str, place: str | None = None) -> None:
        # What a library says of hostile bytes may hold some of them, and so may the name of a field that nobody knows.
        self.what, self.field, self.todo = printable(what), printable(field), printable(todo)
        self.place = None if place is None else printable(place)
        self.value = value
        super().__init__(f"{self.field} {shown(value)}: {self.what}. {self.todo}.")

    def __reduce__(self) -> tuple[object, ...]:
        """An error raised in a rendering process reaches the asking one whole."""
        return _rebuilt, (type(self), self.args, self.__dict__)


def _rebuilt(kind: type[KitwrightError], args: tuple[object, ...], facts: dict[str, object]) -> KitwrightError:
    error = kind.__new__(kind)
    error.args = args
    error.__dict__.update(facts)
    return error


def shown(value: object) -> str:
    """A value as a message quotes it: in single quotes, on one line, at most 60 characters."""
    return "(not given)" if value is None else f"'{short(str(value))}'"


def printable(text: str) -> str:
    """A text with a dot for each character that has no sign of its own."""
    return "".join(char if char.isprintable() else "·" for char in text)


def short(text: str) -> str:
    """A text on one line, printable, at most 60 characters."""
    line = printable(" ".join(text.split()))
    return line if len(line) <= 60 else line[:57] + "…"


class BadInput(KitwrightError):
    """What was sent cannot be right."""

    code = "bad_input"
    title = "The input is wrong"


class BadCharacter(BadInput):
    """A character that no number or key can hold; ``position`` counts from 0."""

    code = "bad_character"
    title = "A character that no number can hold"

    def __init__(
        self, what: str, *, field: str, value: object, todo: str, position: int, place: str | None = None
    ) -> None:
        super().__init__(what, field=field, value=value, todo=todo, place=place or f"character {position + 1}")
        self.position = position

    def underlined(self) -> str:
        """The text and, in a second line, a caret under the bad character."""
        return f"{self.value}\n{' ' * self.position}^"


class BadNumber(BadInput):
    """Not the grammar of a number, a kit, a place or a designation."""

    code = "bad_number"
    title = "Not a number of this shop's form"


class BadCheck(BadInput):
    """The two check digits do not fit what stands before them."""

    code = "bad_check"
    title = "The check digits do not fit"


class BadKey(BadInput):
    """Not eight key symbols whose weighted sum fits."""

    code = "bad_key"
    title = "Not a key"


class BadCode(BadInput):
    """A new code that is malformed."""

    code = "bad_code"
    title = "Not a usable code"


class CodeTooAlike(BadInput):
    """A new code that looks or sounds like one already in the table."""

    code = "code_too_alike"
    title = "The code is too like another"


class UnknownCode(BadInput):
    """A code that stands in no table of the shop."""

    code = "unknown_code"
    title = "A code that is in no table"


class Faults(BadInput):
    """Several findings at once: all are carried, and the first error among them speaks for all."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        errors = [finding for finding in findings if finding.level == "error"]
        first = errors[0]
        others = f" (and {len(errors) - 1} more)" if len(errors) > 1 else ""
        super().__init__(
            first.message + others, field=first.field, value=first.value, todo=first.todo, place=first.place or None
        )
        self.findings = tuple(findings)


class BadManifest(Faults):
    """A manifest whose fields are wrong or missing."""

    code = "bad_manifest"
    title = "The kit manifest is wrong"


class NotJson(BadInput):
    """A body that is no JSON."""

    code = "not_json"
    title = "The body is no JSON"


class BadCsv(BadInput):
    """A manifest table that cannot be read."""

    code = "bad_csv"
    title = "The manifest table cannot be read"


class LintFailed(Faults):
    """Findings that stop an issue, a print or an engraving. Its code is that of the first error among them."""

    code = "lint_failed"
    title = "The rules stop this"

    def __init__(self, findings: Sequence[Finding]) -> None:
        super().__init__(findings)
        self.rule = next(finding.rule for finding in findings if finding.level == "error")


class BadTemplate(BadInput):
    """A label template with faults."""

    code = "bad_template"
    title = "The label template is wrong"


class BadRouter(BadInput):
    """A file of a router with faults."""

    code = "bad_router"
    title = "The file of the router is wrong"


class FieldDoesNotFit(BadInput):
    """A text that cannot be set legibly in its field."""

    code = "field_does_not_fit"
    title = "A text does not fit its field"


class MissingGlyph(BadInput):
    """A text with a letter that the font lacks."""

    code = "missing_glyph"
    title = "The font lacks a letter"


class SymbolDoesNotFit(BadInput):
    """A symbol that cannot be printed in whole dots in its place."""

    code = "symbol_does_not_fit"
    title = "A symbol does not fit its place"


class BadCutFile(BadInput):
    """A file that no DXF reader can read."""

    code = "bad_cut_file"
    title = "The cut file cannot be read"


class NoOutline(BadInput):
    """A drawing without a closed outline."""

    code = "no_outline"
    title = "The cut file has no closed outline"


class NoUnits(BadInput):
    """A drawing without units, and none given with it."""

    code = "no_units"
    title = "The cut file has no units"


class SelfCrossing(BadInput):
    """An outline that crosses itself."""

    code = "self_crossing"
    title = "An outline crosses itself"


class BadFileName(BadInput):
    """A name that is no plain DXF file name."""

    code = "bad_file_name"
    title = "Not a usable file name"


class BadRevision(BadInput):
    """Not a revision letter, or not the one that comes next."""

    code = "bad_revision"
    title = "Not the next revision"


class NoEngravingRoom(BadInput):
    """No text of the ladder fits the outline."""

    code = "no_engraving_room"
    title = "No room for engraving"


class BadArchive(BadInput):
    """An exported archive that is damaged, incomplete, changed, or no such archive."""

    code = "bad_archive"
    title = "The archive is not whole"


class ArchiveTooNew(BadInput):
    """An exported archive that a newer version of this program made."""

    code = "archive_too_new"
    title = "A newer version made this archive"


class BadPicture(BadInput):
    """Bytes that no picture can be read from."""

    code = "bad_picture"
    title = "No picture can be read from this"


class BadWebhookAddress(BadInput):
    """No address that notices may be sent to."""

    code = "bad_webhook_address"
    title = "Not an address for notices"


class BadPrinterAddress(BadInput):
    """No address of a printer that speaks IPP."""

    code = "bad_printer_address"
    title = "Not a printer's address"


class FormatRefused(BadInput):
    """A printer that takes no format of document that is made here."""

    code = "format_refused"
    title = "The printer takes other formats"


class MediaRefused(BadInput):
    """A printer that has no paper of this size, or does not take it."""

    code = "media_refused"
    title = "The printer has no such paper"


class ResolutionRefused(BadInput):
    """A printer whose dots are not those that the marks are drawn in."""

    code = "resolution_refused"
    title = "The printer has another resolution"


class BadRequest(BadInput):
    """A parameter of a request that is wrong."""

    code = "bad_request"
    title = "The request is wrong"


class BadFields(Faults):
    """Fields of a request's body that are wrong or missing."""

    code = "bad_fields"
    title = "The request's fields are wrong"


class IdempotencyMismatch(BadInput):
    """An Idempotency-Key that was used before with another payload."""

    code = "idempotency_mismatch"
    title = "This Idempotency-Key was used for something else"


class MethodNotTaken(KitwrightError):
    """An address that takes other methods."""

    code = "method_not_taken"
    title = "This address takes other methods"


class TooLarge(KitwrightError):
    """More bytes than the service takes."""

    code = "too_large"
    title = "Too large"


class NotFound(KitwrightError):
    """What was asked for is not on record."""

    code = "not_found"
    title = "Not on record"


class NumberUnknown(NotFound):
    """A number that was never issued."""

    code = "number_unknown"
    title = "This number was never issued"


class MarkUnknown(NotFound):
    """A text in which no issued number or key can be found."""

    code = "mark_unknown"
    title = "Nothing on record bears this mark"


class KitUnknown(NotFound):
    """A kit that was never issued."""

    code = "kit_unknown"
    title = "This kit was never issued"


class CutFileUnknown(NotFound):
    """A cut file that was never uploaded."""

    code = "cut_file_unknown"
    title = "This cut file was never uploaded"


class RevisionUnknown(NotFound):
    """A revision that was never released."""

    code = "revision_unknown"
    title = "This revision was never released"


class RouterUnknown(NotFound):
    """A router, or a tool of it, that the shop does not have."""

    code = "router_unknown"
    title = "No such router or tool"


class TemplateUnknown(NotFound):
    """A label template that the shop does not have."""

    code = "template_unknown"
    title = "No such label template"


class MachineUnknown(NotFound):
    """No machine was ever born under this designation."""

    code = "machine_unknown"
    title = "This machine is not on record"


class PlaceUnknown(NotFound):
    """No plant or line has this code, ordinal or name, or ever had it."""

    code = "place_unknown"
    title = "This plant or line is not on record"


class ContainerUnknown(NotFound):
    """No container of this code is on record."""

    code = "container_unknown"
    title = "No such container"


class AliasUnknown(NotFound):
    """No legacy mark has this id."""

    code = "alias_unknown"
    title = "No such legacy mark"


class SameInterfaceUnknown(NotFound):
    """Nobody recorded this about two machines."""

    code = "same_interface_unknown"
    title = "Nothing like this was recorded of machines"


class PrinterUnknown(NotFound):
    """A name that no printer of the shop has."""

    code = "printer_unknown"
    title = "No such printer"


class PrintJobUnknown(NotFound):
    """An id under which there is no print job."""

    code = "print_job_unknown"
    title = "No such print job"


class ReorderUnknown(NotFound):
    """A reorder that was never made."""

    code = "reorder_unknown"
    title = "No such reorder"


class ReportUnknown(NotFound):
    """An id under which there is no damage report."""

    code = "report_unknown"
    title = "No such damage report"


class PhotoUnknown(NotFound):
    """A photograph that a damage report does not have."""

    code = "photo_unknown"
    title = "No such photograph"


class LinkUnknown(NotFound):
    """A link to pictures that was never made, or is no longer open."""

    code = "link_unknown"
    title = "This link is not open"


class WebhookUnknown(NotFound):
    """An id under which there is no webhook, or no notice."""

    code = "webhook_unknown"
    title = "No such webhook or notice"


class PieceUnknown(NotFound):
    """A key that no tracked piece bears."""

    code = "piece_unknown"
    title = "No piece bears this key"


class SetUnknown(NotFound):
    """A set of a kit that was never made."""

    code = "set_unknown"
    title = "This set was never made"


class PageUnknown(NotFound):
    """An address that the service does not have."""

    code = "page_unknown"
    title = "No such address"


class Conflict(KitwrightError):
    """What is on record stands against it."""

    code = "conflict"
    title = "The records stand against this"


class Contradiction(Conflict):
    """A plant, line, machine or container that is on record otherwise."""

    code = "contradiction"
    title = "On record otherwise"


class RequestInProgress(Conflict):
    """The same work is already under way."""

    code = "request_in_progress"
    title = "This is already under way"


class RevisionExists(Conflict):
    """A revision that is already released."""

    code = "revision_exists"
    title = "This revision is already released"


class RevisionWithdrawn(Conflict):
    """A revision that must not be cut any more."""

    code = "revision_withdrawn"
    title = "This revision is withdrawn"


class MarkExists(Conflict):
    """A fact that already stands on a mark and so cannot be corrected in place."""

    code = "mark_exists"
    title = "A mark already bears this"


class PlaceVoided(Conflict):
    """A place that was voided; its number is spent."""

    code = "place_voided"
    title = "This number is spent"


class SegmentShared(Conflict):
    """A segment that other kits lean on."""

    code = "segment_shared"
    title = "Other kits lean on this"


class TokenStale(Conflict):
    """The records changed since the kit was prepared."""

    code = "token_stale"
    title = "Prepared on older records"


class AmbiguousMark(Conflict):
    """Several segments fit the mark; none is picked."""

    code = "ambiguous_mark"
    title = "Several segments fit this mark"

    def __init__(
        self,
        what: str,
        *,
        field: str,
        value: object,
        todo: str,
        place: str | None = None,
        candidates: Sequence[str] = (),
    ) -> None:
        super().__init__(what, field=field, value=value, todo=todo, place=place)
        self.candidates = tuple(candidates)


class StaleEdit(Conflict):
    """Somebody else changed the record since it was looked at."""

    code = "stale_edit"
    title = "Changed by somebody else"


class EditUnseen(Conflict):
    """An edit that does not say which state of the record it was made from."""

    code = "edit_unseen"
    title = "From which state?"


class PrintJobClosed(Conflict):
    """A print job of which all is printed, or that was cancelled."""

    code = "print_job_closed"
    title = "The print job has ended"


class NothingAsked(Conflict):
    """An answer to a print job of which no mark is in doubt."""

    code = "nothing_asked"
    title = "The print job asks nothing"


class ReorderClosed(Conflict):
    """A reorder that is fitted or cancelled."""

    code = "reorder_closed"
    title = "This reorder is closed"


class AlreadyOnOrder(Conflict):
    """An open order may be for the same piece, and nobody says why one more is wanted."""

    code = "already_on_order"
    title = "This may be on order already"


class StepRefused(Conflict):
    """A state that does not follow the one at which an order stands, or a step without what it needs."""

    code = "step_refused"
    title = "The order cannot take this step"


class ReportClosed(Conflict):
    """A damage report that is ordered already, or was given up."""

    code = "report_closed"
    title = "This damage report is closed"


class NothingToSend(Conflict):
    """A notice that was delivered, or whose webhook is ended."""

    code = "nothing_to_send"
    title = "Nothing is sent"


class FitDisputed(Conflict):
    """Declared joint revisions and outlines contradict each other over what will lock, and nobody has decided."""

    code = "fit_disputed"
    title = "The record and the outlines contradict each other"


class PieceGone(Conflict):
    """A piece that is scrapped already."""

    code = "piece_gone"
    title = "This piece is scrapped"


class PieceOnOrder(Conflict):
    """A piece that is ordered and not fitted yet."""

    code = "piece_on_order"
    title = "This piece is not fitted yet"


class TooFewPieces(Conflict):
    """More pieces were named than there are in the machine."""

    code = "too_few_pieces"
    title = "There are not so many pieces"


class KitRetired(Conflict):
    """A kit that is out of use; a stated reason overrides that."""

    code = "kit_retired"
    title = "This kit is retired"


class DesignLettersSpent(Conflict):
    """Every design letter of a nominal size is taken."""

    code = "design_letters_spent"
    title = "No design letter is left"


class DatabaseNotEmpty(Conflict):
    """A database that holds records already; nothing is restored over them."""

    code = "database_not_empty"
    title = "The database is not empty"


class Denied(KitwrightError):
    """Who asks may not."""

    code = "denied"
    title = "Not allowed"


class NotSignedIn(Denied):
    """No key, or a wrong one."""

    code = "not_signed_in"
    title = "Sign in first"


class ForeignOrigin(Denied):
    """A page of another site called."""

    code = "foreign_origin"
    title = "Called from another site"


class ForeignHost(Denied):
    """The service was called under a name that is not its own."""

    code = "foreign_host"
    title = "Called under a foreign name"


class Unavailable(KitwrightError):
    """What the service needs does not answer just now; the same request may succeed later."""

    code = "unavailable"
    title = "Not available just now"

    def for_clients(self) -> Unavailable:
        """The same error without what tells a stranger where the records are kept; the log holds the whole of it."""
        return type(self)(
            self.title[:1].lower() + self.title[1:],
            field=self.field,
            value="(in the log)",
            todo="Try again in a moment; if it stays so, whoever runs the service finds the reason in its log",
        )


class DatabaseUnavailable(Unavailable):
    """The database does not answer, is kept by another writer, or has no room."""

    code = "database_unavailable"
    title = "The database does not answer"


class TargetUnavailable(Unavailable):
    """The file that an export or a backup is written to cannot be written."""

    code = "target_unavailable"
    title = "The file cannot be written"


class VaultUnavailable(Unavailable):
    """The folder or object store that keeps the cut files does not answer or has no room."""

    code = "vault_unavailable"
    title = "The vault does not answer"


class PrinterFault(KitwrightError):
    """A printer does not do what it was asked; what it did not print is on record and can be sent again."""

    code = "printer_fault"
    title = "The printer did not do it"


class PrinterUnreachable(PrinterFault):
    """A printer that does not answer, or went away in the middle."""

    code = "printer_unreachable"
    title = "The printer does not answer"


class NoPrinter(PrinterFault):
    """What answers at this address speaks no IPP, or speaks it wrongly."""

    code = "no_printer"
    title = "No printer answers there"


class PrinterRefused(PrinterFault):
    """A printer that refuses a request; ``status`` is the code of RFC 8011 appendix B, 0 where it gave none."""

    code = "printer_refused"
    title = "The printer refuses"

    def __init__(
        self, what: str, *, field: str, value: object, todo: str, place: str | None = None, status: int = 0
    ) -> None:
        super().__init__(what, field=field, value=value, todo=todo, place=place)
        self.status = status


class PrinterStopped(PrinterFault):
    """A printer that waits for somebody, or takes no jobs just now."""

    code = "printer_stopped"
    title = "The printer waits for somebody"


class JobAborted(PrinterFault):
    """A job that ended before all of it was printed."""

    code = "job_aborted"
    title = "The job was not printed to its end"


class Untrusted(KitwrightError):
    """What the service itself holds or made is wrong, and is not handed out."""

    code = "untrusted"
    title = "Not handed out"


class CutFileAltered(Untrusted):
    """Kept bytes that no longer match their SHA-256."""

    code = "cut_file_altered"
    title = "The cut file was altered"


class CutFileMissing(Untrusted):
    """Kept bytes that are gone."""

    code = "cut_file_missing"
    title = "The cut file is gone"


class CopyUnproven(Untrusted):
    """A restore, an export or a backup that, read again, is not what it was made from. Nothing of it is kept."""

    code = "copy_unproven"
    title = "The copy is not what it was made from"


class ReadBackFailed(Untrusted):
    """A rendered symbol that decodes to something else, or not at all."""

    code = "read_back_failed"
    title = "A symbol does not read back"


class UnsafeSetting(Untrusted):
    """A configuration that the service refuses to start with."""

    code = "unsafe_setting"
    title = "Refused to start"


class Defect(KitwrightError):
    """A fault of the program itself."""

    code = "defect"
    title = "The service failed"
