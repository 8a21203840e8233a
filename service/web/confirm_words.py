"""The words of the page that a caller opens on a telephone, in the languages at hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from service.marks.words import WORDINGS


@dataclass(frozen=True, slots=True)
class ConfirmWords:
    """One language.

    Attributes:
        name: what the language calls itself.
        title: over several pictures; ``title_one`` over one.
        compare: what to look at.
        this_one: the button below a picture; ``none`` the one below all of them; ``not_this`` below a single one.
        chosen: after an answer, with ``{0}`` the number; ``chosen_none`` after none.
        thanks: what happens next; ``change`` says that the answer can still be changed.
        keep_out: the caution.
        call: before the telephone number.
        closed: what a link that is no longer open says, and what to do.
        picture: says what the picture is, with ``{0}`` the number.
    """

    name: str
    title: str
    title_one: str
    compare: str
    this_one: str
    none: str
    not_this: str
    chosen: str
    chosen_none: str
    thanks: str
    change: str
    keep_out: str
    call: str
    closed: str
    closed_todo: str
    picture: str


CONFIRM: Mapping[str, ConfirmWords] = {
    "en": ConfirmWords(
        name="English",
        title="Which of these is it?",
        title_one="Is it this one?",
        compare="Lay the broken piece in front of you and compare its edge: pockets, holes, joints at its ends. "
        "The picture is seen from above; the piece may lie turned.",
        this_one="This is it",
        none="None of these",
        not_this="It is not this one",
        chosen="You answered: {0}",
        chosen_none="You answered: none of these",
        thanks="Thank you. The service desk sees your answer now.",
        change="You can still change it here.",
        keep_out="Do not reach into the machine for this. Isolate it and lock it out before hands go in, and follow "
        "your site’s procedures.",
        call="Call the shop:",
        closed="This link is not open any more",
        closed_todo="Ask the service desk for a new one.",
        picture="Outline of {0}",
    ),
    "de": ConfirmWords(
        name="Deutsch",
        title="Welches dieser Teile ist es?",
        title_one="Ist es dieses Teil?",
        compare="Legen Sie das gebrochene Teil vor sich hin und vergleichen Sie seine Kante: Taschen, Löcher und die "
        "Verzahnungen an den Enden. Das Bild zeigt es von oben; das Teil kann gedreht liegen.",
        this_one="Das ist es",
        none="Keines davon",
        not_this="Das ist es nicht",
        chosen="Ihre Antwort: {0}",
        chosen_none="Ihre Antwort: keines davon",
        thanks="Danke. Der Kundendienst sieht Ihre Antwort jetzt.",
        change="Sie können sie hier noch ändern.",
        keep_out="Greifen Sie dafür nicht in die Maschine. Vor jedem Eingriff abschalten und gegen Wiedereinschalten "
        "sichern; es gelten die Vorschriften Ihres Betriebs.",
        call="Die Werkstatt anrufen:",
        closed="Dieser Link ist nicht mehr offen",
        closed_todo="Bitten Sie den Kundendienst um einen neuen.",
        picture="Umriss von {0}",
    ),
    "pl": ConfirmWords(
        name="Polski",
        title="Która to z tych części?",
        title_one="Czy to ta część?",
        compare="Połóż pękniętą część przed sobą i porównaj jej krawędź: gniazda, otwory i złącza na końcach. "
        "Rysunek pokazuje ją z góry; część może leżeć obrócona.",
        this_one="To ta",
        none="Żadna z nich",
        not_this="To nie ta",
        chosen="Twoja odpowiedź: {0}",
        chosen_none="Twoja odpowiedź: żadna z nich",
        thanks="Dziękujemy. Serwis widzi już Twoją odpowiedź.",
        change="Możesz ją tu jeszcze zmienić.",
        keep_out="Nie sięgaj w tym celu do maszyny. Przed włożeniem rąk wyłącz ją i zabezpiecz przed ponownym "
        "włączeniem; obowiązują przepisy zakładu.",
        call="Zadzwoń do warsztatu:",
        closed="Ten link nie jest już otwarty",
        closed_todo="Poproś serwis o nowy.",
        picture="Zarys {0}",
    ),
}
"""By the primary subtag; the same languages as on the plates."""

assert set(CONFIRM) == set(WORDINGS)


def language_for(chosen: str, accepted: str) -> str:
    """The language of the page: the one that was chosen, else the first at hand that the browser asks for.

    Args:
        chosen: what stands in the address.
        accepted: the header ``Accept-Language`` (RFC 9110, 12.5.4); weights order it, unreadable ones count for 1.
    """
    if chosen in CONFIRM:
        return chosen
    asked = []
    for order, part in enumerate(accepted.split(",")[:20]):
        tag, _, weight = part.strip().partition(";")
        asked.append((-_weight(weight), order, tag.strip().lower().partition("-")[0]))
    return next((tag for weight, _, tag in sorted(asked) if tag in CONFIRM and weight < 0), "en")


def _weight(text: str) -> float:
    try:
        return min(max(float(text.strip().removeprefix("q=")), 0.0), 1.0)
    except ValueError:
        return 1.0
