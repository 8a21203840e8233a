"""What a segment would be cut from: its cut file and revision, its material and mass. Reads, writes nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sqlalchemy import Connection

from schemas.manifest import SegmentBody
from service.errors import KitwrightError
from service.findings import Finding
from service.numbering.number import Number
from service.rules.colours import stock_colour
from service.rules.materials import Material, mass_kg, material
from service.store import cutfiles
from service.store.values import RevisionRow


@dataclass(frozen=True, slots=True)
class DraftSegment:
    """A place that would get a number, and what its piece is cut from.

    ``printed`` and ``place`` are the number and its place as texts: a kit is asked for them many times over.
    """

    number: Number
    printed: str
    place: str
    assembly: int
    part: SegmentBody
    revision: RevisionRow
    material: str
    thickness_mm: float
    stock_colour: str
    mass_kg: float


class Cutter:
    """Finds the revision that each segment is cut from, with one look at the records for the whole kit."""

    def __init__(
        self, connection: Connection, parts: Iterable[SegmentBody], *, kit_colour: str, findings: list[Finding]
    ) -> None:
        self.findings = findings
        self.kit_colour = kit_colour
        names = {part.cut_file for part in parts if part.cut_file is not None}
        self.releases: Mapping[str, tuple[RevisionRow, ...]] = cutfiles.revisions_by_name(connection, names)
        # By the words of the manifest: a kit says the same few many times over. What is wrong is never kept here.
        self._materials: dict[str, Material] = {}
        self._colours: dict[str, str] = {}

    def segment(self, number: Number, assembly: int, part: SegmentBody, here: str) -> DraftSegment | None:
        """The segment with its revision and mass; None, and findings, where something is missing."""
        revision = self.revision(part, here)
        self._missing(part, here)
        if part.material is None or part.thickness_mm is None:
            return None
        stuff = self._materials.get(part.material)
        if stuff is None:
            try:
                stuff = self._materials[part.material] = material(part.material)
            except KitwrightError as error:
                self.findings.append(_as_finding(error, f"{here}.material"))
                return None
        colour = self._colour(part.stock_colour or self.kit_colour, here)
        if revision is None:
            return None
        thickness_mm = part.thickness_mm
        return DraftSegment(
            number=number,
            printed=str(number),
            place=str(number.place),
            assembly=assembly,
            part=part,
            revision=revision,
            material=stuff.name,
            thickness_mm=thickness_mm,
            stock_colour=colour,
            mass_kg=round(mass_kg(revision.area_mm2, thickness_mm, stuff), 4),
        )

    def _missing(self, part: SegmentBody, here: str) -> None:
        for name, value in (("material", part.material), ("thickness_mm", part.thickness_mm)):
            if value is None:
                self._say("missing_field", "this field is missing", name, "(not given)", f"Add '{name}'", here)

    def _colour(self, word: str, here: str) -> str:
        known = self._colours.get(word)
        if known is not None:
            return known
        before = len(self.findings)
        colour = known_colour(word, f"{here}.stock_colour", self.findings)
        if len(self.findings) == before:
            self._colours[word] = colour
        return colour

    def revision(self, part: SegmentBody, here: str) -> RevisionRow | None:
        """The revision that is named, otherwise the newest that is not withdrawn."""
        if part.cut_file is None:
            self._say("missing_field", "this field is missing", "cut_file", "(not given)", "Add 'cut_file'", here)
            return None
        releases = self.releases.get(part.cut_file, ())
        if not releases:
            self._say(
                "cut_file_unknown",
                "this cut file was never uploaded",
                "cut_file",
                part.cut_file,
                "Upload the file first, or correct its name",
                here,
            )
            return None
        usable = [release for release in releases if release.withdrawn_at is None]
        if part.revision is None:
            if usable:
                return usable[-1]
            self._say(
                "revision_withdrawn",
                "every revision of this cut file is withdrawn",
                "cut_file",
                part.cut_file,
                "Release a good revision first",
                here,
            )
            return None
        wanted = part.revision.strip().upper()
        for release in releases:
            if release.letter == wanted:
                if release.withdrawn_at is not None:
                    self._say(
                        "revision_withdrawn",
                        f"revision {wanted} of {part.cut_file} is withdrawn: {release.withdrawn_reason}",
                        "revision",
                        wanted,
                        f"Use one of {', '.join(row.letter for row in usable) or 'none: release one first'}",
                        here,
                    )
                    return None
                return release
        self._say(
            "revision_unknown",
            f"revision {wanted} of {part.cut_file} was never released",
            "revision",
            wanted,
            f"Use one of {', '.join(row.letter for row in usable)}, or upload revision {wanted}",
            here,
        )
        return None

    def _say(self, rule: str, message: str, field: str, value: str, todo: str, here: str) -> None:
        self.findings.append(
            Finding(
                rule=rule, level="error", message=message, field=field, value=value, todo=todo, place=f"{here}.{field}"
            )
        )


def known_colour(word: str, place: str, findings: list[Finding]) -> str:
    """The stock colour by the word of the shop's table."""
    try:
        return stock_colour(word).word
    except KitwrightError as error:
        findings.append(_as_finding(error, place))
        return word


def _as_finding(error: KitwrightError, place: str) -> Finding:
    return Finding(
        rule=error.code,
        level="error",
        message=error.what,
        field=error.field,
        value=str(error.value),
        todo=error.todo,
        place=place,
    )
