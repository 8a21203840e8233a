"""Where the bytes of cut files lie, each under its own SHA-256: written once, never changed, checked on every read.

A folder is written with the standard library, because a release must still be there after a power cut: bytes and
folder entry reach the disk before ``put`` returns. An object store that speaks S3 does that on its side.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import tempfile
import time
from datetime import timedelta
from pathlib import Path
from typing import Protocol
from urllib.parse import unquote, urlsplit

from obstore.exceptions import AlreadyExistsError, BaseError, NotFoundError
from obstore.store import S3Store

from service.errors import CutFileAltered, CutFileMissing, UnsafeSetting, VaultUnavailable

_DRAFT = ".draft-"
_DRAFT_AGE_S = 86_400
# The client answers with errors of its own and with those of Python.
_REFUSALS = (BaseError, OSError)
_SHA256 = re.compile(r"[0-9a-f]{64}")


class Shelf(Protocol):
    """What keeps bytes under a path, and keeps them as they were first put there."""

    def create(self, path: str, data: bytes) -> bool:
        """Keep bytes, whole or not at all; False, and nothing changed, when something lies there already."""
        ...

    def fetch(self, path: str) -> bytes | None:
        """What lies there, None when nothing does."""
        ...


class Vault:
    """The cut files of a shop.

    Args:
        url: a folder, ``file:///folder`` or ``s3://bucket/prefix``. The address and the credentials of an S3 store
            come from the environment, under the names that its clients share (``AWS_ENDPOINT``, ``AWS_REGION``,
            ``AWS_ACCESS_KEY_ID``, ``AWS_SECRET_ACCESS_KEY``; ``AWS_ALLOW_HTTP=true`` where it has no certificate).

    Raises:
        UnsafeSetting: the address is neither, or the folder cannot be made.
    """

    def __init__(self, url: str) -> None:
        self._shelf = _open(url)

    def put(self, data: bytes) -> str:
        """Keep bytes; their SHA-256 in hexadecimal. Bytes that are kept already are left as they are.

        Raises:
            CutFileAltered: under this SHA-256 lie other bytes.
            VaultUnavailable: the disk or the object store refuses.
        """
        sha256 = hashlib.sha256(data).hexdigest()
        if not self._shelf.create(_path(sha256), data):
            self.get(sha256)
        return sha256

    def get(self, sha256: str) -> bytes:
        """The bytes under a SHA-256, compared with it before they are handed out.

        Raises:
            CutFileAltered: one or more bytes are no longer what they were.
            CutFileMissing: nothing lies there.
            VaultUnavailable: the disk or the object store refuses.
        """
        if not _SHA256.fullmatch(sha256):
            raise CutFileMissing(
                "no SHA-256 has this form", field="sha256", value=sha256, todo="Give 64 hexadecimal digits"
            )
        data = self._shelf.fetch(_path(sha256))
        if data is None:
            raise CutFileMissing(
                "the vault holds no bytes under this SHA-256",
                field="sha256",
                value=sha256,
                todo="Bring the file back from a copy of the vault; do not release it again under another name",
            )
        found = hashlib.sha256(data).hexdigest()
        if found != sha256:
            raise CutFileAltered(
                f"the bytes kept under it now have the SHA-256 {found}",
                field="sha256",
                value=sha256,
                todo="Cut nothing from it; bring the file back from a copy of the vault",
            )
        return data

    def ready(self) -> bool:
        """Whether the folder or the object store answers."""
        try:
            self._shelf.fetch(_path(hashlib.sha256(b"").hexdigest()))
        except VaultUnavailable:
            return False
        return True


def _path(sha256: str) -> str:
    return f"sha256/{sha256[:2]}/{sha256[2:]}"


def _open(url: str) -> Shelf:
    parts = urlsplit(url)
    if parts.scheme == "s3" and parts.netloc:
        return _Bucket(url)
    if parts.scheme == "file" and parts.netloc in {"", "localhost"} and parts.path not in {"", "/"}:
        return _Folder(Path(unquote(parts.path)))
    if "://" not in url and url.strip():
        return _Folder(Path(url))
    raise UnsafeSetting(
        "neither a folder nor an S3 address",
        field="KITWRIGHT_VAULT_URL",
        value=url,
        todo="Write a folder, file:///folder or s3://bucket/prefix",
    )


class _Folder:
    """A folder of this machine, or one that several machines mount."""

    def __init__(self, root: Path) -> None:
        self._root = root.absolute()
        try:
            self._root.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise UnsafeSetting(
                f"the folder cannot be made ({error.strerror})",
                field="KITWRIGHT_VAULT_URL",
                value=root,
                todo="Name a folder that this user may write to",
            ) from error
        self._sweep()

    def _sweep(self) -> None:
        """Take away what a killed process left behind; nothing younger, another process may be writing it."""
        for draft in self._root.glob(f"{_DRAFT}*"):
            with contextlib.suppress(FileNotFoundError):
                if draft.stat().st_mtime < time.time() - _DRAFT_AGE_S:
                    draft.unlink()

    def create(self, path: str, data: bytes) -> bool:
        target = self._root / path
        try:
            return self._create(target, data)
        except OSError as error:
            raise _unavailable(str(error), self._root) from error

    def _create(self, target: Path, data: bytes) -> bool:
        if target.exists():
            return False
        self._make_folder(target.parent)
        # Written under another name, then linked: the link appears at once, whole, and never over another file.
        handle, name = tempfile.mkstemp(prefix=_DRAFT, dir=self._root)
        draft = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            draft.chmod(0o444)
            try:
                os.link(draft, target)
            except FileExistsError:
                return False
            _sync_folder(target.parent)
        finally:
            draft.unlink()
        return True

    def _make_folder(self, folder: Path) -> None:
        if not folder.is_dir():
            folder.mkdir(parents=True, exist_ok=True)
            for above in (folder.parent, folder.parent.parent):
                _sync_folder(above)

    def fetch(self, path: str) -> bytes | None:
        try:
            return (self._root / path).read_bytes()
        except FileNotFoundError:
            return None
        except OSError as error:
            raise _unavailable(str(error), self._root) from error


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


class _Bucket:
    """A bucket of an object store that honours conditional writes."""

    def __init__(self, url: str) -> None:
        self._url = url
        # Its own patience would hold a person's request for minutes.
        self._store = S3Store.from_url(
            url,
            retry_config={"max_retries": 3, "retry_timeout": timedelta(seconds=20)},
        )

    def create(self, path: str, data: bytes) -> bool:
        try:
            self._store.put(path, data, mode="create")
        except AlreadyExistsError:
            return False
        except _REFUSALS as error:
            raise _unavailable(str(error), self._url) from error
        return True

    def fetch(self, path: str) -> bytes | None:
        try:
            return bytes(self._store.get(path).bytes())
        except _REFUSALS as error:
            if isinstance(error, FileNotFoundError | NotFoundError) and "NoSuchBucket" not in str(error):
                return None
            raise _unavailable(str(error), self._url) from error


def _unavailable(reason: str, where: object) -> VaultUnavailable:
    return VaultUnavailable(
        f"the vault does not answer ({next(iter(reason.strip().splitlines()), 'no reason given')})",
        field="KITWRIGHT_VAULT_URL",
        value=where,
        todo="See whether the folder or the object store can be reached and has room, then try again",
    )
