"""The actions of the groups "Boat" and "Help"."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QFileDialog, QLabel, QWidget

from scrieve.shared.errors import UseError

from ..system.written import keep_off_unread, write_whole
from .banner import Banner
from .canvas import PictureWidget
from .keys_page import KeysPage
from .reading import BoatReading
from .selection import Hand

PICTURES = {".png": "PNG", ".jpg": "JPEG", ".jpeg": "JPEG", ".bmp": "BMP", ".tif": "TIFF", ".tiff": "TIFF"}
"""The endings of a picture's name, and the format of each."""


class Matters:
    """What concerns the boat and its window as a whole."""

    def __init__(
        self,
        window: QWidget,
        hand: Hand,
        canvas: PictureWidget,
        reading: BoatReading,
        settings: QSettings,
        banner: Banner,
        word: QLabel,
    ) -> None:
        """`window` is what is closed, and what dialogs belong to; `word` says what was done, `banner` what was not."""
        self.window, self.hand, self.canvas, self.reading = window, hand, canvas, reading
        self.settings, self.banner, self.word = settings, banner, word
        self.keys: KeysPage | None = None

    def read_again(self) -> None:
        """Reads the plan again; the boat on the screen stays until the new one is there."""
        self.reading.begin()

    def save_picture(self) -> None:
        """Asks for a file and writes the picture to it, as it is seen."""
        boat = self.hand.boat
        if boat is None:
            return
        start = Path(str(self.settings.value("pictures", ""))) / f"{boat.assembly.name}.png"
        kinds = f"Pictures ({' '.join(f'*{kind}' for kind in PICTURES)})"
        dialog = QFileDialog(self.window, "Save a picture", str(start.parent), kinds)
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setDefaultSuffix("png")  # by the dialog itself, which then asks before it writes over a file
        dialog.selectFile(start.name)
        if dialog.exec():
            self.save_picture_to(Path(dialog.selectedFiles()[0]))
        dialog.deleteLater()

    def save_picture_to(self, file: Path) -> None:
        """Writes the picture, and says so; or says why it could not be written."""
        try:
            form = PICTURES.get(file.suffix.lower())
            if form is None:
                what = f"a picture's name ends in one of {', '.join(PICTURES)} (got {file.suffix or 'none'})"
                raise UseError.at(what, path=str(file))
            keep_off_unread(str(file), str(self.reading.path))
            write_whole(str(file), self.canvas.encoded(form), replace=True)
        except UseError as error:
            self.banner.say("The picture was not saved", tuple(map(str, error.mistakes)))
            return
        self.settings.setValue("pictures", str(file.parent))
        self.word.setText(f"Saved {file}")

    def leave(self) -> None:
        """Closes the window."""
        self.window.close()

    def list_keys(self) -> None:
        """Opens the page of keys, beside which work can go on."""
        if self.keys is None:
            self.keys = KeysPage(self.window)
        self.keys.show()
        self.keys.raise_()
        self.keys.activateWindow()
