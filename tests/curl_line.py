"""A line of the documentation that calls ``curl``, done without that program, which a bare machine may lack."""

from __future__ import annotations

import argparse
import shlex
from pathlib import Path

import httpx2


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="curl", exit_on_error=False)
    parser.add_argument("url")
    parser.add_argument("-H", action="append", default=[], dest="headers")
    parser.add_argument("-F", action="append", default=[], dest="form")
    parser.add_argument("-d", "--data-binary", dest="body")
    parser.add_argument("-o", dest="output")
    return parser


def call(line: str, *, service: str, folder: Path) -> httpx2.Response:
    """Send what the line sends, to ``service`` instead of the address on the page; files are those of ``folder``."""
    given = _parser().parse_args(shlex.split(line)[1:])
    headers = dict(header.split(": ", 1) for header in given.headers)
    fields = dict(part.split("=", 1) for part in given.form)
    files = {
        name: (value[1:], (folder / value[1:]).read_bytes()) for name, value in fields.items() if value.startswith("@")
    }
    body: str | bytes | None = given.body
    if given.body is not None:
        headers.setdefault("Content-Type", "application/x-www-form-urlencoded")
        body = (folder / given.body[1:]).read_bytes() if given.body.startswith("@") else given.body
    with httpx2.Client(trust_env=False, timeout=60) as client:
        answer = client.request(
            "POST" if body is not None or fields else "GET",
            given.url.replace("http://127.0.0.1:8000", service),
            headers=headers,
            content=body,
            data={name: value for name, value in fields.items() if name not in files} or None,
            files=files or None,
        )
    if given.output is not None:
        (folder / given.output).write_bytes(answer.content)
    return answer
