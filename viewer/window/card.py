"""The card of the body in hand, laid on the picture."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, QUrl, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QTextBrowser, QToolButton, QVBoxLayout, QWidget

from .keeping_keys import READING, keep_keys
from .paper import sized

_WIDE = 330
_EDGE = 12


class Card(QFrame):
    """A slip of paper in the lower left of its parent. `followed` hands over a link that was followed."""

    followed = Signal(str)
    closed = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self.setAccessibleName("Card")
        self.head = QLabel()
        self.head.setWordWrap(True)
        self.head.setFont(sized(self.head.font(), by=1.1, bold=True))
        self.text = QTextBrowser()
        self.text.setOpenLinks(False)
        self.text.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        keep_keys(self.text, READING)
        self.text.anchorClicked.connect(lambda url: self.followed.emit(QUrl(url).toString()))
        away = QToolButton()
        away.setText("✕")
        away.setToolTip("Put the card away (Esc)")
        away.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        away.clicked.connect(self.closed)
        top = QHBoxLayout()
        top.addWidget(self.head, 1)
        top.addWidget(away, 0, Qt.AlignmentFlag.AlignTop)
        box = QVBoxLayout(self)
        box.setContentsMargins(14, 9, 8, 8)
        box.setSpacing(4)
        box.addLayout(top)
        box.addWidget(self.text)
        parent.installEventFilter(self)
        self.hide()

    def show_words(self, head: str, html: str) -> None:
        """Shows these words; none puts the card away."""
        self.setVisible(bool(head))
        if head:
            self.head.setText(head)
            self.text.setHtml(html)
            self._place()
            self.raise_()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Stays in its corner when the picture is made larger or smaller."""
        if event.type() == QEvent.Type.Resize and self.isVisible():
            self._place()
        return False

    def _place(self) -> None:
        parent = self.parentWidget()
        if parent is None:
            return
        wide = min(_WIDE, parent.width() - 2 * _EDGE)
        self.text.document().setTextWidth(wide - 34)
        words = int(self.text.document().size().height()) + 6
        over = self.head.heightForWidth(wide - 62) + 30
        tall = min(words + over, int(parent.height() * 0.62))
        self.setGeometry(_EDGE, parent.height() - tall - _EDGE, wide, tall)
