"""Makes the pictures of the README of the builder's book, on a desk and on a phone, in a browser.

python tests/make_book_pictures.py        writes hulls/pictures/book.png and book-phone.png
"""

from __future__ import annotations

import tempfile
from io import BytesIO
from pathlib import Path

from browser import Browser
from make_pictures import HULLS, SOUND, small
from PIL import Image

from scrieve.viewer.verbs.commands import run

HIGH, APART, COLOURS = 716, 14, 80
DESK, PHONE = 740, 390
PLATES = "[...document.querySelectorAll('#frame-5 h3')].find(each => each.textContent.includes('plates'))"
BENCH = "[...document.querySelectorAll('#frame-5 h3')].find(each => each.textContent.includes('bench'))"
PICTURES = {
    "book.png": ((DESK, "document.querySelector('#frame-5')", 0.77), (DESK, PLATES, 0.77)),
    "book-phone.png": ((PHONE, BENCH, 1.0), (DESK, "document.querySelector('#legs')", 0.77)),
}
"""What is seen of the book in each picture: how wide the screen is, what is at its upper edge, the scale."""


def make(to: Path) -> list[Path]:
    """The pictures, each of two pages beside one another."""
    out = []
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as home:
        file = Path(home) / "book.html"
        assert run(["book", str(SOUND), str(file)]) == 0
        browser = Browser(Path(home) / "profile")
        try:
            for name, pages in PICTURES.items():
                seen = [_seen(browser, file, *page) for page in pages]
                page = Image.new("RGB", (sum(each.width for each in seen) + APART, HIGH), "#c9c4bb")
                page.paste(seen[0], (0, 0))
                page.paste(seen[1], (seen[0].width + APART, 0))
                stream = BytesIO()
                page.save(stream, "PNG")
                (to / name).write_bytes(small(stream.getvalue(), COLOURS))
                out.append(to / name)
        finally:
            browser.close()
    return out


def _seen(browser: Browser, file: Path, wide: int, at: str, scale: float) -> Image.Image:
    browser.ask("Emulation.setScrollbarsHidden", hidden=True)
    browser.open(file, wide, round(HIGH / scale), touch=wide == PHONE)
    browser.run(f"{at}.scrollIntoView(); new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
    return Image.open(BytesIO(browser.picture())).resize((round(wide * scale), HIGH), Image.Resampling.LANCZOS)


if __name__ == "__main__":
    for place in make(HULLS / "pictures"):
        print(place.name, place.stat().st_size)  # noqa: T201
