"""The helper of the fault tests: it must really kill, and never wait in vain."""

from __future__ import annotations

import contextlib
import os
import textwrap
import time

import pytest

from tests.faults.processes import NotReady, free_port, serving, snippet, wait_for_http

SERVER = """
    import http.server, os, subprocess, sys
    child = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(600)"])
    print("child", child.pid)
    class Handler(http.server.BaseHTTPRequestHandler):
        def do_GET(self):
            self.send_response(200)
            self.end_headers()
    print("up")
    http.server.HTTPServer(("127.0.0.1", int(sys.argv[1])), Handler).serve_forever()
"""


def is_alive(pid: int) -> bool:
    with contextlib.suppress(OSError), open(f"/proc/{pid}/stat") as stat:  # noqa: PTH123 - /proc is no file system
        return stat.read().rsplit(")", 1)[1].split()[0] != "Z"
    return False


def test_kill9_takes_the_children_too() -> None:
    port = free_port()
    with snippet(textwrap.dedent(SERVER), arguments=[str(port)]) as process:
        process.wait_for_output("up")
        wait_for_http(process, f"http://127.0.0.1:{port}/healthz", timeout_s=10)
        child = int(process.output.split()[1])
        assert is_alive(child)
        process.kill9()
        assert not process.alive
        assert process.wait() == -9
    # The signal is on its way; on a busy machine the child is gone a moment later.
    until = time.monotonic() + 10
    while is_alive(child) and time.monotonic() < until:
        time.sleep(0.02)
    assert not is_alive(child)


def test_a_snippet_sees_the_project_and_not_the_settings_of_the_tester(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KITWRIGHT_OWNER_KEY", "of the tester")
    code = """
        import os, service.errors
        print(sorted(name for name in os.environ if name.startswith("KITWRIGHT_")), os.environ["KITWRIGHT_HOST"])
    """
    with snippet(textwrap.dedent(code), environment={"KITWRIGHT_HOST": "127.0.0.1"}) as process:
        assert process.wait() == 0
        assert process.output.strip() == "['KITWRIGHT_HOST'] 127.0.0.1"
    assert os.environ["KITWRIGHT_OWNER_KEY"] == "of the tester"


def test_a_process_that_ends_too_early_is_reported_with_what_it_wrote() -> None:
    with snippet("print('no vault'); raise SystemExit(3)") as process:
        with pytest.raises(NotReady, match=r"ended with 3.*no vault"):
            process.wait_for_output("ready")
        with pytest.raises(NotReady, match="the process ended: no vault"):
            wait_for_http(process, f"http://127.0.0.1:{free_port()}/", timeout_s=10)


def test_stop_lets_a_process_tidy_up() -> None:
    code = """
        import signal, sys, time
        def tidy(number, frame):
            print("tidy")
            sys.exit(0)
        signal.signal(signal.SIGTERM, tidy)
        print("up")
        time.sleep(600)
    """
    with snippet(textwrap.dedent(code)) as process:
        process.wait_for_output("up")
        assert process.stop() == 0
        assert "tidy" in process.output


def test_a_service_that_cannot_start_says_why() -> None:
    with pytest.raises(NotReady, match="KITWRIGHT_OWNER_KEY"), serving(environment={"KITWRIGHT_HOST": "0.0.0.0"}):  # noqa: S104 - it must refuse
        pass
