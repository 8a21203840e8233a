"""Words that callers use for letters, digits and gaps, in English, German and Polish.

The English spelling alphabet is that of ICAO Annex 10 volume II and the ITU Radio Regulations, appendix 14 (from
memory); the German ones are DIN 5009, that of first names and that of towns of 2022 (from memory); the Polish one is
common practice, no source. Accents and letter case are set aside.
"""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["GAPS", "HUNDREDS", "LETTERS", "ONES", "PARTING", "TENS", "TIMES", "UNKNOWN_SIGNS"]

_ENGLISH = (
    "alfa bravo charlie delta echo foxtrot golf hotel india juliett kilo lima mike november oscar papa quebec romeo "
    "sierra tango uniform victor whiskey xray yankee zulu"
)
_GERMAN_NAMES = (
    "anton berta casar dora emil friedrich gustav heinrich ida julius kaufmann ludwig martha nordpol otto paula "
    "quelle richard samuel theodor ulrich viktor wilhelm xanthippe ypsilon zacharias"
)
_GERMAN_TOWNS = (
    "aachen berlin chemnitz dusseldorf essen frankfurt goslar hamburg ingelheim jena koln leipzig munchen nurnberg "
    "offenbach potsdam quickborn rostock salzwedel tubingen unna volklingen wuppertal xanten ypsilon zwickau"
)
_POLISH = (
    "adam barbara celina dorota ewa franciszek genowefa henryk irena jadwiga karol leon maria natalia olga pawel "
    "quebec roman stanislaw tadeusz urszula violetta waclaw xantypa ypsylon zygmunt"
)
_OTHER_NAMES = (
    "A=alpha,ay,eh B=bee,be,bie C=cee,see,sea,ce,caesar,cesar D=dee,de E=ee F=ef,eff G=gee,jee,ge,gie "
    "H=aitch,haitch,ha,eitsch I=eye J=jay,jot,juliet K=kay,ka L=el,ell M=em N=en O=oh P=pee,pe,peter "
    "Q=queue,cue,qu,ku R=ar,er S=ess,es,siegfried T=tee,te,tea U=you V=vee,vau,fau "
    "W=doubleu,doubleyou,we,weh,wu,whisky X=ex,eks,iks Y=why,igrek Z=zed,zee,zet,zett,zeppelin"
)

LETTERS: Mapping[str, str] = {
    **{
        word: letter
        for words in (_ENGLISH, _GERMAN_NAMES, _GERMAN_TOWNS, _POLISH)
        for letter, word in zip("ABCDEFGHIJKLMNOPQRSTUVWXYZ", words.split(), strict=True)
    },
    **{word: row[0] for row in _OTHER_NAMES.split() for word in row[2:].split(",")},
}
"""A word and its letter. Letters said bare (``u``) are letters as they stand."""

_ENGLISH_ONES = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
    "seventeen eighteen nineteen"
)
_GERMAN_ONES = (
    "null eins zwei drei vier funf sechs sieben acht neun zehn elf zwolf dreizehn vierzehn funfzehn sechzehn "
    "siebzehn achtzehn neunzehn"
)
_POLISH_ONES = (
    "zero jeden dwa trzy cztery piec szesc siedem osiem dziewiec dziesiec jedenascie dwanascie trzynascie "
    "czternascie pietnascie szesnascie siedemnascie osiemnascie dziewietnascie"
)

ONES: Mapping[str, int] = {
    word: value for words in (_ENGLISH_ONES, _GERMAN_ONES, _POLISH_ONES) for value, word in enumerate(words.split())
} | {"nought": 0, "naught": 0, "nil": 0, "ein": 1, "zwo": 2, "fife": 5, "fower": 4, "tree": 3, "niner": 9, "ait": 8}

TENS: Mapping[str, int] = {
    word: value
    for words in (
        "twenty thirty forty fifty sixty seventy eighty ninety",
        "zwanzig dreissig vierzig funfzig sechzig siebzig achtzig neunzig",
        "dwadziescia trzydziesci czterdziesci piecdziesiat szescdziesiat siedemdziesiat osiemdziesiat dziewiecdziesiat",
    )
    for value, word in zip(range(20, 100, 10), words.split(), strict=True)
} | {"fourty": 40}

HUNDREDS: Mapping[str, int] = {
    "hundred": 1, "hundert": 1, "sto": 1, "dwiescie": 2, "trzysta": 3, "czterysta": 4, "piecset": 5, "szescset": 6,
    "siedemset": 7, "osiemset": 8, "dziewiecset": 9,
}  # fmt: skip
"""Words for hundreds; the first two of them after a digit, the Polish ones whole."""

TIMES: Mapping[str, int] = {
    "double": 2,
    "triple": 3,
    "treble": 3,
    "doppel": 2,
    "zweimal": 2,
    "dreimal": 3,
    "podwojne": 2,
}
"""Words that repeat the next letter or digit."""

PARTING = frozenset(("dash", "hyphen", "minus", "bindestrich", "strich", "kreska", "myslnik"))
"""Words for a hyphen."""

GAPS = frozenset(
    ("something", "anything", "unknown", "unreadable", "illegible", "irgendwas", "unleserlich", "cos", "nieczytelne")
)
"""Words for any run of signs that nobody could read."""

UNKNOWN_SIGNS = frozenset(("questionmark", "blank", "fragezeichen", "pytajnik"))
"""Words for one such sign."""
