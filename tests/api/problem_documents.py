"""What every problem document owes: the members of RFC 9457, and a sentence that a person can act on."""

from __future__ import annotations

import re

import httpx2

from schemas.problem import Problem

CODE = re.compile(r"[a-z]+(_[a-z]+)*")


def problem_of(answer: httpx2.Response) -> Problem:
    """The problem document of an answer, held to RFC 9457 section 3 and to the sentence that every error owes."""
    assert answer.headers["content-type"] == "application/problem+json"
    # Section 3: "type", "status", "title", "detail", "instance"; the rest are extension members (section 3.2).
    assert {"type", "status", "title", "detail", "instance"} <= answer.json().keys()
    document = Problem.model_validate(answer.json())
    # Section 3.1.2: the same as the status of the answer itself.
    assert document.status == answer.status_code
    # Section 3.1.1 and 3.1.5: both are URI references, so that none of their characters stands outside RFC 3986.
    assert document.type == f"/docs#{document.code}"
    assert re.fullmatch(r"/[A-Za-z0-9/._~:@!$&'()*+,;=%-]*", document.instance)
    assert CODE.fullmatch(document.code)
    assert document.title
    # The sentence names the field and its value, and ends with the next thing to do.
    assert document.detail.startswith(document.field)
    assert document.detail.isprintable()
    assert document.value[:30] in document.detail or document.value == "(not given)"
    assert document.detail.endswith(document.todo)
    assert len(document.todo) > 10
    assert ".." not in document.detail.removesuffix(document.todo).replace(document.value, "")
    return document
