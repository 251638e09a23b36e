"""The actions of the groups "Boat", "Go to" and "Help"."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QSettings, QSignalBlocker
from PySide6.QtWidgets import QFileDialog, QLabel, QListWidget, QTabWidget, QWidget

from scrieve.shared.errors import UseError

from ..system.written import keep_off_unread, write_whole
from .actions import KeysPage
from .banner import Banner
from .canvas import PictureWidget
from .findings_pane import FindingsPane
from .reading import BoatReading
from .selection import Hand
from .steps_pane import StepsPane

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


class Panes:
    """Brings a pane to the front and gives it the keys; nothing is taken in hand by that."""

    def __init__(self, pages: QTabWidget, findings: FindingsPane, steps: StepsPane, picture: QWidget) -> None:
        self.pages, self.findings, self.steps, self.picture = pages, findings, steps, picture

    def go_to_findings(self) -> None:
        """The list of findings."""
        self._go(self.findings, self.findings.list)

    def go_to_steps(self) -> None:
        """The list of steps."""
        self._go(self.steps, self.steps.list)

    def go_to_picture(self) -> None:
        """The picture."""
        self.picture.setFocus()

    def _go(self, page: QWidget, lines: QListWidget) -> None:
        row = lines.currentRow()
        with QSignalBlocker(lines):  # a list that gets the keys chooses its first line where none is chosen
            self.pages.setCurrentWidget(page)
            lines.setFocus()
            lines.setCurrentRow(row)
