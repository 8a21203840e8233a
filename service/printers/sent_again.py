"""A document that is sent once more when a busy printer refused it: what was drawn already is not drawn again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from tempfile import SpooledTemporaryFile
from types import TracebackType

_IN_MEMORY = 4_000_000
_PIECE = 65_536


class SentAgain:
    """The pieces of a document, as often as they are asked for; what was taken from their source once is kept."""

    def __init__(self, document: bytes | Iterable[bytes]) -> None:
        self._rest = iter((document,) if isinstance(document, bytes) else document)
        self._kept = SpooledTemporaryFile(max_size=_IN_MEMORY)  # noqa: SIM115 - closed by __exit__

    def __enter__(self) -> SentAgain:
        """Itself, until the block ends."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Throw away what was kept."""
        self._kept.close()

    def __iter__(self) -> Iterator[bytes]:
        """What is kept, then what is still to come."""
        self._kept.seek(0)
        while piece := self._kept.read(_PIECE):
            yield piece
        for piece in self._rest:
            self._kept.write(piece)
            yield piece
