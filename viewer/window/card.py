"""The card of the body in hand, laid on the picture, and what it says of a part, a screw, a batten, a rail."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import QEvent, QObject, Qt, QUrl, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QTextBrowser, QToolButton, QVBoxLayout, QWidget

from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.sequence.steps.words import short
from scrieve.shared.findings import Finding
from scrieve.shared.wording import mm

from ..scene.facts import PASSES, facts_by_name
from .boat import LoadedBoat
from .keeping_keys import READING, keep_keys
from .paper import sized
from .words import link, points, quiet, rows, sign

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


def card_words(boat: LoadedBoat, name: str) -> tuple[str, str]:
    """What stands at the head of the card, and its text as HTML; links lead to findings, steps and bodies."""
    known = [(fact, escape(value)) for fact, value in facts_by_name(boat.assembly).get(name, ())]
    more = ""
    for frame in boat.assembly.frames:
        more += "".join(_screws_through(part, frame) for part in frame.parts if part.name == name)
        for screw in frame.screws:
            if screw.name == name and screw.plies:
                plies = (f"{link(f'body:{ply.part.name}', ply.part.name)} {mm(ply.depth)}" for ply in screw.plies)
                known = [(fact, "<br>".join(plies) if fact == PASSES else value) for fact, value in known]
    return name, rows(known) + more + _step(boat, name) + _findings(boat, name)


def _screws_through(part: Part, frame: Frame) -> str:
    through = [screw for screw in frame.screws if any(ply.part is part for ply in screw.plies)]
    if not through:
        return f"<p>{quiet('No screws pass it.')}</p>"
    links = ", ".join(link(f"body:{screw.name}", short(screw.name)) for screw in through)
    return f"<p><b>{len(through)} screw{'s' if len(through) > 1 else ''}</b> through it: {links}</p>"


def _step(boat: LoadedBoat, name: str) -> str:
    for step in boat.steps:
        if name in step.names or any(name in driving.screws for driving in step.screws):
            return f"<p>Comes with {link(f'step:{step.number}', f'step {step.number}')}: {escape(step.title)}.</p>"
    return ""


def _findings(boat: LoadedBoat, name: str) -> str:
    own: list[tuple[int, Finding]] = [(n, f) for n, f in enumerate(boat.findings) if name in f.parts]
    if not own:
        return f"<p>{quiet('Nothing was found wrong with it.')}</p>"
    said = [f"{sign(finding)} {link(f'finding:{n}', finding.message)}" for n, finding in own]
    return f"<p><b>Findings</b></p>{points(said)}"
