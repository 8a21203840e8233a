"""The vault: written once, verified on every read, on a folder and on an object store that speaks S3."""

from __future__ import annotations

import contextlib
import hashlib
import http.client
import os
import stat
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from moto.server import ThreadedMotoServer
from obstore.store import S3Store

from service.errors import CutFileAltered, CutFileMissing, UnsafeSetting, VaultUnavailable
from service.store.vault import Vault

DATA = b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n"
SHA256 = hashlib.sha256(DATA).hexdigest()
PATH = f"sha256/{SHA256[:2]}/{SHA256[2:]}"
BUCKET = "s3://cut-files/shop"


@pytest.fixture(scope="session")
def object_store() -> Iterator[str]:
    """A server that speaks S3, on a port of its own."""
    server = ThreadedMotoServer(ip_address="127.0.0.1", port=0, verbose=False)
    server.start()
    host, port = server.get_host_and_port()
    yield f"http://{host}:{port}"
    server.stop()


@pytest.fixture
def bucket(object_store: str, monkeypatch: pytest.MonkeyPatch) -> str:
    """The address of an empty bucket; what else is needed stands in the environment."""
    for name, value in {
        "AWS_ENDPOINT": object_store,
        "AWS_ALLOW_HTTP": "true",
        "AWS_REGION": "us-east-1",
        "AWS_ACCESS_KEY_ID": "test",
        "AWS_SECRET_ACCESS_KEY": "test",
    }.items():
        monkeypatch.setenv(name, value)
    with contextlib.closing(http.client.HTTPConnection(object_store.removeprefix("http://"))) as server:
        for method, path in (("POST", "/moto-api/reset"), ("PUT", "/cut-files")):
            server.request(method, path)
            assert server.getresponse().read() is not None
    return BUCKET


@pytest.fixture(params=["folder", "file", "s3"])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of an empty vault of each kind."""
    if request.param == "s3":
        made: str = request.getfixturevalue("bucket")
        return made
    return f"{'file://' if request.param == 'file' else ''}{tmp_path / 'vault'}"


def overwrite(url: str, data: bytes) -> None:
    """Change the kept bytes behind the vault's back."""
    if url == BUCKET:
        S3Store.from_url(url).put(PATH, data)
    else:
        path = Path(url.removeprefix("file://")) / PATH
        path.parent.mkdir(parents=True, exist_ok=True)
        path.unlink(missing_ok=True)
        path.write_bytes(data)


def remove(url: str) -> None:
    """Take the kept bytes away behind the vault's back."""
    if url == BUCKET:
        S3Store.from_url(url).delete(PATH)
    else:
        (Path(url.removeprefix("file://")) / PATH).unlink()


def test_what_was_put_is_got_under_its_sha256(url: str) -> None:
    vault = Vault(url)
    assert vault.put(DATA) == SHA256
    assert Vault(url).get(SHA256) == DATA


def test_putting_the_same_bytes_again_changes_nothing(url: str) -> None:
    vault = Vault(url)
    assert vault.put(DATA) == vault.put(DATA) == SHA256
    assert vault.get(SHA256) == DATA


@pytest.mark.parametrize("position", [0, len(DATA) // 2, len(DATA) - 1])
def test_one_altered_byte_is_refused_with_the_reason(url: str, position: int) -> None:
    vault = Vault(url)
    vault.put(DATA)
    altered = bytearray(DATA)
    altered[position] ^= 1
    overwrite(url, bytes(altered))
    with pytest.raises(CutFileAltered) as caught:
        vault.get(SHA256)
    assert caught.value.value == SHA256
    assert hashlib.sha256(altered).hexdigest() in caught.value.what


def test_putting_over_altered_bytes_is_refused_and_heals_nothing_silently(url: str) -> None:
    vault = Vault(url)
    overwrite(url, DATA[:-1])
    with pytest.raises(CutFileAltered):
        vault.put(DATA)
    with pytest.raises(CutFileAltered):
        vault.get(SHA256)


def test_missing_bytes_are_named_by_their_hash(url: str) -> None:
    vault = Vault(url)
    vault.put(DATA)
    remove(url)
    with pytest.raises(CutFileMissing) as caught:
        vault.get(SHA256)
    assert caught.value.value == SHA256


@pytest.mark.parametrize("name", ["", "..", "../../etc/passwd", SHA256.upper(), SHA256[:-1], SHA256 + "0", "g" * 64])
def test_what_is_no_sha256_is_never_looked_for(tmp_path: Path, name: str) -> None:
    with pytest.raises(CutFileMissing):
        Vault(str(tmp_path)).get(name)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.binary(max_size=4096))
def test_any_bytes_come_back_as_they_were(tmp_path: Path, data: bytes) -> None:
    vault = Vault(str(tmp_path / "vault"))
    assert vault.get(vault.put(data)) == data


def test_many_threads_put_the_same_bytes_at_once(url: str) -> None:
    vault = Vault(url)
    start = threading.Barrier(8)
    answers: list[str] = []

    def put() -> None:
        start.wait()
        answers.append(vault.put(DATA))

    threads = [threading.Thread(target=put) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert answers == [SHA256] * 8
    assert vault.get(SHA256) == DATA


def test_kept_files_are_not_writable_and_no_draft_is_left(tmp_path: Path) -> None:
    Vault(str(tmp_path)).put(DATA)
    files = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert files == [tmp_path / PATH]
    assert stat.S_IMODE(files[0].stat().st_mode) == 0o444


def test_an_old_draft_of_a_killed_process_is_swept_and_a_young_one_left(tmp_path: Path) -> None:
    old, young = tmp_path / ".draft-old", tmp_path / ".draft-young"
    for draft in (old, young):
        draft.write_bytes(b"half")
    two_days_ago = young.stat().st_mtime - 2 * 86_400
    os.utime(old, (two_days_ago, two_days_ago))
    Vault(str(tmp_path))
    assert not old.exists()
    assert young.exists()


@pytest.mark.parametrize("url", ["", " ", "s3://", "http://host/vault", "file://", "file://elsewhere/vault", "gs://b"])
def test_an_address_of_another_kind_is_refused(url: str) -> None:
    with pytest.raises(UnsafeSetting) as caught:
        Vault(url)
    assert caught.value.field == "KITWRIGHT_VAULT_URL"


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    with pytest.raises(UnsafeSetting, match="cannot be made"):
        Vault(str(tmp_path / "file" / "vault"))


def test_a_folder_address_may_hold_blanks(tmp_path: Path) -> None:
    vault = Vault(f"file://{tmp_path}/cut%20files")
    vault.put(DATA)
    assert (tmp_path / "cut files" / PATH).exists()


def test_a_folder_that_takes_nothing_is_said(tmp_path: Path) -> None:
    vault = Vault(str(tmp_path))
    (tmp_path / "sha256").write_text("in the way")
    with pytest.raises(VaultUnavailable) as caught:
        vault.put(DATA)
    assert caught.value.field == "KITWRIGHT_VAULT_URL"
    with pytest.raises(VaultUnavailable):
        vault.get(SHA256)


def test_an_object_store_that_refuses_is_said(bucket: str) -> None:
    vault = Vault("s3://no-such-bucket/shop")
    with pytest.raises(VaultUnavailable) as caught:
        vault.put(DATA)
    assert caught.value.value == "s3://no-such-bucket/shop"
    with pytest.raises(VaultUnavailable):
        vault.get(SHA256)


def test_an_object_store_that_is_not_there_is_said(bucket: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("AWS_ENDPOINT", "http://127.0.0.1:1")
    with pytest.raises(VaultUnavailable):
        Vault(bucket).get(SHA256)
