"""A real IPP printer program on loopback: Debian's ``ippeveprinter`` with a private message bus and a command of ours.

``EvePrinter`` is one printer: what it takes is written into its attribute file, what happens to a document into its
mood. It can be killed in the middle and started again on the same port.
"""

from __future__ import annotations

import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

COMMAND = Path(__file__).with_name("eve_command.py")
#: Names and sizes in hundredths of a millimetre: a plate, a tag, a placard, and sheets.
SIZES = {
    "om_plate_60x22mm": (6000, 2200),
    "om_tag_80x50mm": (8000, 5000),
    "iso_a5_148x210mm": (14800, 21000),
    "iso_a4_210x297mm": (21000, 29700),
}
_SIDES = ("bottom", "left", "right", "top")
_MEDIA_COL = (
    "media-size",
    "media-size-name",
    "media-source",
    "media-type",
    *(f"media-{side}-margin" for side in _SIDES),
)
_BUS = """<!DOCTYPE busconfig PUBLIC "-//freedesktop//DTD D-Bus Bus Configuration 1.0//EN"
 "http://www.freedesktop.org/standards/dbus/1.0/busconfig.dtd">
<busconfig><listen>unix:path={path}</listen><auth>EXTERNAL</auth><policy context="default">
<allow send_destination="*" eavesdrop="true"/><allow eavesdrop="true"/><allow own="*"/><allow user="*"/>
</policy></busconfig>
"""


def free_port() -> int:
    """A port of loopback that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def missing() -> str | None:
    """What is not installed, None when all is there."""
    absent = [name for name in ("ippeveprinter", "ipptool", "dbus-daemon") if _which(name) is None]
    return f"{', '.join(absent)} not found: apt-get install cups-ipp-utils dbus" if absent else None


def skip_or_fail() -> None:
    """Skip the test where the program is not installed; under CI that is a failure."""
    absent = missing()
    if absent and os.environ.get("CI") == "true":
        pytest.fail(absent)
    elif absent:
        pytest.skip(absent)


def _which(name: str) -> str | None:
    # ippeveprinter lies in /usr/sbin, which is not on everybody's path.
    return shutil.which(name, path=f"{os.environ.get('PATH', '')}:/usr/sbin:/sbin")


class Bus:
    """A message bus of its own: the printer program announces itself there and to nobody else."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "bus"
        config = folder / "bus.conf"
        config.write_text(_BUS.format(path=self.path), encoding="utf-8")
        program = _which("dbus-daemon")
        assert program is not None
        self._process = subprocess.Popen(
            [program, f"--config-file={config}", "--nofork", "--nosyslog"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        _wait_for(self.path.exists)

    def close(self) -> None:
        self._process.kill()
        self._process.wait()


@dataclass
class EvePrinter:
    """One printer; ``start`` it, print, ``kill`` it, start it again."""

    bus: Bus
    folder: Path
    formats: Sequence[str] = ("application/pdf", "image/pwg-raster")
    dpi: Sequence[int] = (203,)
    raster_types: Sequence[str] = ("black_1", "sgray_8")
    sizes: Sequence[str] = tuple(SIZES)
    ready: Sequence[str] = ("om_plate_60x22mm",)
    #: Least and most across, least and most along the feed.
    roll: tuple[int, int, int, int] | None = None
    port: int = field(default_factory=free_port)
    _process: subprocess.Popen[bytes] | None = None

    def __post_init__(self) -> None:
        self.folder.mkdir(parents=True, exist_ok=True)
        (self.folder / "spool").mkdir(exist_ok=True)
        (self.folder / "attributes.conf").write_text(self._attributes(), encoding="utf-8")
        script = self.folder / "command"
        script.write_text(f'#!/bin/sh\nEVE_FOLDER="{self.folder}" exec "{sys.executable}" "{COMMAND}" "$@"\n')
        script.chmod(0o755)
        self.mood()

    @property
    def uri(self) -> str:
        return f"ipp://localhost:{self.port}/ipp/print"

    def mood(self, **mood: Any) -> None:
        """``pages_before_empty``, ``seconds_a_page`` or ``hang``; none of them for a printer that just prints."""
        (self.folder / "mood.json").write_text(json.dumps(mood), encoding="utf-8")

    def start(self) -> EvePrinter:
        program = _which("ippeveprinter")
        assert program is not None
        log = (self.folder / "log").open("ab")
        self._process = subprocess.Popen(
            [
                *[program, "-vv", "-k", "-r", "off", "--no-web-forms", "-n", "localhost", "-p", str(self.port)],
                *["-d", str(self.folder / "spool"), "-K", str(self.folder)],
                *[
                    "-a",
                    str(self.folder / "attributes.conf"),
                    "-c",
                    str(self.folder / "command"),
                    "Bench printer",
                ],
            ],
            stdout=log,
            stderr=log,
            env={**os.environ, "DBUS_SYSTEM_BUS_ADDRESS": f"unix:path={self.bus.path}"},
            start_new_session=True,
        )
        log.close()
        _wait_for(self._answers)
        return self

    def kill(self) -> None:
        """At once, with all that it runs, as when the plug is pulled."""
        if self._process is not None:
            with suppress(ProcessLookupError):
                os.killpg(self._process.pid, signal.SIGKILL)
            self._process.wait()
            self._process = None

    def printed(self) -> list[dict[str, Any]]:
        """Every page that came out, in order."""
        tray = self.folder / "printed.jsonl"
        return [json.loads(line) for line in tray.read_text(encoding="utf-8").splitlines()] if tray.exists() else []

    def _answers(self) -> bool:
        assert self._process is not None
        if self._process.poll() is not None:
            raise RuntimeError(f"ippeveprinter ended: {(self.folder / 'log').read_text(errors='replace')[-500:]}")
        with suppress(OSError), socket.create_connection(("localhost", self.port), timeout=1):
            return True
        return False

    def _attributes(self) -> str:
        """What it can do, in ipptool's language."""
        collections = ",".join(_media_col(name) for name in self.sizes)
        loaded = ",".join(_media_col(name) for name in self.ready)
        measured = ",".join(f"{{{_media_size(*SIZES[name])}}}" for name in self.sizes)
        names = list(self.sizes)
        if self.roll is not None:
            narrow, wide, short, long = self.roll
            names += [f"roll_min_{narrow / 100:g}x{short / 100:g}mm", f"roll_max_{wide / 100:g}x{long / 100:g}mm"]
            across, along = f"x-dimension {narrow}-{wide}", f"y-dimension {short}-{long}"
            span = f"{{MEMBER rangeOfInteger {across} MEMBER rangeOfInteger {along}}}"
            measured = f"{measured},{span}" if measured else span
        dots = ",".join(f"{dpi}dpi" for dpi in self.dpi)
        lines = [
            "ATTR boolean color-supported false",
            "ATTR rangeOfInteger copies-supported 1-99",
            f"ATTR mimeMediaType document-format-supported {','.join(self.formats)}",
            f"ATTR mimeMediaType document-format-default {self.formats[0]}",
            'ATTR text printer-make-and-model "A printer for tests"',
            f"ATTR keyword media-supported {','.join(names)}",
            f"ATTR keyword media-default {self.sizes[0]}",
            f"ATTR keyword media-ready {','.join(self.ready)}",
            f"ATTR collection media-col-default {_media_col(self.sizes[0])}",
            f"ATTR collection media-col-ready {loaded}",
            f"ATTR collection media-col-database {collections}",
            f"ATTR collection media-size-supported {measured}",
            *(f"ATTR integer media-{side}-margin-supported 0" for side in _SIDES),
            "ATTR keyword media-source-supported main",
            "ATTR keyword media-type-supported labels",
            f"ATTR keyword media-col-supported {','.join(_MEDIA_COL)}",
            f"ATTR resolution printer-resolution-default {self.dpi[0]}dpi",
            f"ATTR resolution printer-resolution-supported {dots}",
            "ATTR keyword print-scaling-default none",
            "ATTR keyword print-scaling-supported none,fit",
            "ATTR keyword sides-supported one-sided",
            "ATTR keyword sides-default one-sided",
        ]
        if "image/pwg-raster" in self.formats:
            lines += [
                f"ATTR resolution pwg-raster-document-resolution-supported {dots}",
                f"ATTR keyword pwg-raster-document-type-supported {','.join(self.raster_types)}",
            ]
        return "\n".join(lines) + "\n"


def _media_size(x: int, y: int) -> str:
    return f"MEMBER integer x-dimension {x} MEMBER integer y-dimension {y}"


def _media_col(name: str) -> str:
    margins = " ".join(f"MEMBER integer media-{side}-margin 0" for side in _SIDES)
    size = f"MEMBER collection media-size {{{_media_size(*SIZES[name])}}}"
    return f"{{{size} MEMBER keyword media-size-name {name} {margins} MEMBER keyword media-source main}}"


def _wait_for(ready: Any) -> None:
    for _ in range(400):
        if ready():
            return
        time.sleep(0.05)
    raise TimeoutError("the printer program did not come up")


if __name__ == "__main__":
    print(missing() or "")
    sys.exit(missing() is not None)
