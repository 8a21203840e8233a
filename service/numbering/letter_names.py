"""How letters and digits are called in English, German and Polish, as strings of speech sounds.

A sound is written with one character: ``E`` as in *bed*, ``e`` as in German *See*, ``A`` as in *father*, ``6`` as in
German *ü*, ``O`` as in *got*, ``@`` the unstressed vowel, ``S`` as in *ship*, ``Z`` as in *measure*, ``T`` as in
*thin*, ``C`` as in *church*, ``G`` as in *judge*, ``c`` as German *z*, ``x`` as in *Bach*, ``N`` as Polish *ń*, ``J``
as Polish *ź* and ``X`` as Polish *ś*; small letters else as in the International Phonetic Alphabet. The names: common
practice, no source; a few have two.
"""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["NAMES"]

_ENGLISH = (
    "A=ej B=bi C=si D=di E=i F=Ef G=Gi H=ejC I=aj J=Gej K=kej L=El M=Em N=En O=ow P=pi Q=kju R=Ar S=Es T=ti U=ju V=vi "
    "W=dablju X=Eks Y=waj Z=zi|zEd 0=zirow|ow 1=wan 2=tu 3=Tri 4=fOr 5=fajv 6=siks 7=sEvn 8=ejt 9=najn"
)
_GERMAN = (
    "A=A B=be C=ce D=de E=e F=Ef G=ge H=hA I=i J=jOt K=kA L=El M=Em N=En O=o P=pe Q=ku R=Er S=Es T=te U=u V=faw "
    "W=ve X=iks Y=6psilOn Z=cEt 0=nul 1=ajns 2=cvaj|cvo 3=draj 4=fir 5=f6nf 6=zEks 7=zib@n 8=axt 9=nOjn"
)
_POLISH = (
    "A=A B=bE C=cE D=dE E=E F=Ef G=gjE H=xA I=i J=jOt K=kA L=El M=Em N=En O=O P=pE Q=ku R=Er S=Es T=tE U=u V=faw "
    "W=vu X=iks Y=igrEk Z=zEt 0=zErO 1=jEdEn 2=dvA 3=tSi 4=CtEri 5=pjENC 6=SEXC 7=XEdEm 8=OXEm 9=GEvjENC"
)


def _read(rows: str) -> Mapping[str, tuple[str, ...]]:
    return {sign: tuple(names.split("|")) for sign, names in (row.split("=") for row in rows.split())}


NAMES: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "English": _read(_ENGLISH),
    "German": _read(_GERMAN),
    "Polish": _read(_POLISH),
}
"""Language, then sign, then its names in sounds."""
