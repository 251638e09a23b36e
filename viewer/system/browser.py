"""A browser at hand, for printing a page of ours to PDF: found on the PATH, started with nothing of the user's."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

from scrieve.shared.errors import UseError
from scrieve.shared.tidying import tidied_away

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
"""Programs that print a page without a window, the first that is found."""

_QUIET = (
    "--headless", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update",
    "--disable-sync", "--disable-extensions", "--no-pdf-header-footer",
)  # fmt: skip
_LONGEST = 300.0  # seconds


def find_browser(*, verb: str) -> str:
    """The path of a browser. Raises UseError, in the name of `verb`, where there is none."""
    for name in BROWSERS:
        found = shutil.which(name)
        if found is not None:
            return found
    names = f"{', '.join(BROWSERS[:-1])} or {BROWSERS[-1]}"
    raise UseError.at(f"--pdf is printed by a browser: {names} is wanted on the PATH (got none)", path=verb)


def printed(page: str, browser: str, *, verb: str) -> bytes:
    """The page, HTML, as a PDF. Raises UseError, in the name of `verb`, where the browser does not make one."""
    folder = Path(tempfile.mkdtemp(prefix="scrieve-"))
    started: list[subprocess.Popen[bytes]] = []

    def tidy() -> None:
        for process in started:
            process.kill()
            process.wait()
        shutil.rmtree(folder, ignore_errors=True)

    with tidied_away(tidy):
        try:
            return _printed(page, browser, folder, verb, started)
        finally:
            tidy()


def _printed(page: str, browser: str, folder: Path, verb: str, started: list[subprocess.Popen[bytes]]) -> bytes:
    source, target = folder / "page.html", folder / "page.pdf"
    call = [browser, *_QUIET, f"--user-data-dir={folder / 'profile'}", f"--print-to-pdf={target}", source.as_uri()]
    if hasattr(os, "geteuid") and os.geteuid() == 0:  # its sandbox does not work for the superuser
        call.insert(1, "--no-sandbox")
    try:
        source.write_text(page, encoding="utf-8")
        quiet = subprocess.DEVNULL
        started.append(subprocess.Popen(call, env=os.environ | {"HOME": str(folder)}, stdout=quiet, stderr=quiet))
        ended = started[0].wait(_LONGEST)
        content = target.read_bytes() if target.exists() else b""
    except (OSError, subprocess.TimeoutExpired) as error:
        raise UseError.at(f"the browser {browser} could not print the page ({error})", path=verb) from error
    if not content.startswith(b"%PDF"):
        raise UseError.at(f"the browser {browser} could not print the page (it ended {ended})", path=verb)
    return content
