"""The deeds of the groups "Boat" and "Help"."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog

from .keys_page import KeysPage

if TYPE_CHECKING:
    from .window import Window

PICTURES = (".png", ".jpg", ".jpeg", ".bmp", ".tif", ".tiff")


class Matters:
    """What concerns the boat and its window as a whole."""

    def __init__(self, window: Window) -> None:
        self.window = window
        self.keys: KeysPage | None = None

    def read_again(self) -> None:
        """Reads the plan again; the boat on the screen stays until the new one is there."""
        self.window.reading.begin()

    def save_picture(self) -> None:
        """Asks for a file and writes the picture to it, as it is seen."""
        boat = self.window.hand.boat
        if boat is None:
            return
        start = str(Path(str(self.window.settings.value("pictures", ""))) / f"{boat.assembly.name}.png")
        kinds = f"Pictures ({' '.join(f'*{kind}' for kind in PICTURES)})"
        name, _ = QFileDialog.getSaveFileName(self.window, "Save a picture", start, kinds)
        if name:
            self.save_picture_to(Path(name))

    def save_picture_to(self, file: Path) -> None:
        """Writes the picture, and says so; or says why it could not be written."""
        if file.suffix.lower() not in PICTURES:
            file = file.with_name(f"{file.name}.png")
        try:
            self.window.canvas.save(file)
        except (OSError, ValueError) as error:
            self.window.banner.say("The picture was not saved", (f"{file}: {error}",))
            return
        self.window.settings.setValue("pictures", str(file.parent))
        self.window.word.setText(f"Saved {file}")

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
