"""Makes the picture of the README of the page that `scrieve share` writes, on a phone, in a browser.

python tests/make_share_pictures.py        writes hulls/pictures/share.png
"""

from __future__ import annotations

import tempfile
from io import BytesIO
from pathlib import Path

from browser import Browser
from make_pictures import FAULTY, HULLS, small
from PIL import Image
from test_share import SETTLED

from scrieve.viewer.verbs.commands import run

SIZE, APART = (390, 760), 14
ACTS = (
    "0",
    "scrieve.stage.takeFinding(scrieve.content.findings.findIndex(each => each.measure === '4.00 mm, 0.10 allowed'))",
    "scrieve.stage.takeStep(scrieve.content.steps.findIndex(each => each.kind === 'plates' && each.frame === '4') + 1,"
    " {share: 0.7}); scrieve.stage.moving = false",
)
"""What is done to the page before each picture of it."""


def make(to: Path) -> Path:
    """The pictures beside one another."""
    seen = []
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as home:
        file = Path(home) / "boat.html"
        assert run(["share", str(FAULTY), str(file)]) == 0
        browser = Browser(Path(home) / "profile")
        try:
            browser.open(file, *SIZE, touch=True)
            for act in ACTS:
                browser.run(f"{act}; 0")
                browser.run(SETTLED)
                seen.append(Image.open(BytesIO(browser.picture())))
        finally:
            browser.close()
    wide, high = SIZE
    page = Image.new("RGB", (len(seen) * (wide + APART) - APART, high), "white")
    for n, picture in enumerate(seen):
        page.paste(picture, (n * (wide + APART), 0))
    stream = BytesIO()
    page.save(stream, "PNG")
    to.write_bytes(small(stream.getvalue(), 224))
    return to


if __name__ == "__main__":
    print(make(HULLS / "pictures" / "share.png").stat().st_size)  # noqa: T201
