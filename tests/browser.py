"""Chromium without a screen, spoken to over a pipe by its DevTools protocol."""

from __future__ import annotations

import base64
import fcntl
import json
import os
import select
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome")
_FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--enable-unsafe-swiftshader", "--no-first-run", "--disable-sync",
    "--disable-background-networking", "--disable-component-update", "--disable-quic", "--remote-debugging-pipe",
)  # fmt: skip
_PATIENCE = 60.0  # seconds


def found() -> str:
    """Where the browser is. Skips the test that needs it where there is none, but in CI, where it fails."""
    here = next((path for name in NAMES if (path := shutil.which(name))), None)
    if here is None and not os.environ.get("CI"):
        pytest.skip("no Chromium: .ci/run installs it")
    assert here is not None, "no Chromium"
    return here


class Browser:
    """One browser, and one page in it at a time. `events` are all that it told, in their order."""

    def __init__(self, home: Path) -> None:
        self.events: list[dict[str, Any]] = []
        command = [found(), *_FLAGS, f"--user-data-dir={home}"]
        to_read, self._out = os.pipe()
        self._in, to_write = os.pipe()
        # the browser reads from 3 and writes to 4, which may be taken here
        ends = [fcntl.fcntl(end, fcntl.F_DUPFD, 20) for end in (to_read, to_write)]
        command = ["bash", "-c", f'exec "$@" 3<&{ends[0]} 4>&{ends[1]}', "bash", *command]
        self._process = subprocess.Popen(command, pass_fds=ends, stderr=subprocess.DEVNULL)
        for end in (to_read, to_write, *ends):
            os.close(end)
        self._number, self._rest, self._session = 0, b"", ""
        target = self.ask("Target.createTarget", url="about:blank")["targetId"]
        self._session = self.ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.ask(f"{domain}.enable")

    def ask(self, method: str, **given: Any) -> dict[str, Any]:
        """The answer to one command; what is told meanwhile is kept."""
        self._number += 1
        message = {"id": self._number, "method": method, "params": given}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._out, json.dumps(message).encode() + b"\0")
        while (answer := self._next()).get("id") != self._number:
            self.events.append(answer)
        assert "error" not in answer, answer
        return dict(answer["result"])

    def _next(self) -> dict[str, Any]:
        while b"\0" not in self._rest:
            assert select.select([self._in], [], [], _PATIENCE)[0], "the browser says nothing"
            piece = os.read(self._in, 1 << 20)
            assert piece, "the browser is gone"
            self._rest += piece
        told, _, self._rest = self._rest.partition(b"\0")
        return dict(json.loads(told))

    def run(self, script: str) -> Any:
        """What a script comes to, its promise kept."""
        done = self.ask("Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True)
        assert "exceptionDetails" not in done, done["exceptionDetails"]
        return done["result"].get("value")

    def open(self, file: Path, width: int, height: int, *, touch: bool = False) -> None:
        """Shows a file in a picture of this size."""
        self.ask("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=touch)
        self.ask("Emulation.setTouchEmulationEnabled", enabled=touch, maxTouchPoints=2)
        self.hurry(True)
        self.ask("Page.navigate", url=file.as_uri())
        self.run("new Promise(done => document.readyState === 'complete' ? done() : addEventListener('load', done))")

    def hurry(self, on: bool) -> None:
        """Whether the page is told that whoever looks at it wants nothing to move."""
        features = [{"name": "prefers-reduced-motion", "value": "reduce" if on else ""}]
        self.ask("Emulation.setEmulatedMedia", features=features)

    def picture(self) -> bytes:
        """What is seen, as PNG."""
        return base64.b64decode(self.ask("Page.captureScreenshot", format="png")["data"])

    def told(self, *methods: str) -> list[dict[str, Any]]:
        """What was told of these kinds so far."""
        return [event["params"] for event in self.events if event.get("method") in methods]

    def close(self) -> None:
        """Ends the browser."""
        os.write(self._out, json.dumps({"id": 0, "method": "Browser.close"}).encode() + b"\0")
        self._process.wait(_PATIENCE)
        os.close(self._in)
        os.close(self._out)
