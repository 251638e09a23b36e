"""The card of the body in hand, laid on the picture, and what it says of a part, a screw, a batten, a rail."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from PySide6.QtCore import QEvent, QObject, Qt, QUrl, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QTextBrowser, QToolButton, QVBoxLayout, QWidget

from scrieve.model.boat.assembly import Assembly
from scrieve.model.boat.batten import Batten
from scrieve.model.boat.frame import Frame
from scrieve.model.boat.part import Part
from scrieve.model.boat.screw import Screw
from scrieve.model.sequence.steps.words import short
from scrieve.shared.findings import Finding
from scrieve.shared.wording import formatted, mm, place, trimmed

from .boat import LoadedBoat
from .keeping_keys import READING, keep_keys
from .paper import sized
from .words import link, points, quiet, rows, sign

_WIDE = 330
_EDGE = 12

_FACES = {"core": "core", "forward": "forward face", "aft": "aft face"}


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
    assembly = boat.assembly
    for frame in assembly.frames:
        for part in frame.parts:
            if part.name == name:
                return name, _text(boat, name, _part(part, frame), _screws_through(part, frame))
        for screw in frame.screws:
            if screw.name == name:
                return name, _text(boat, name, _screw(screw), "")
    for batten in assembly.battens:
        if batten.name == name:
            return name, _text(boat, name, _batten(batten), "")
    rail = any(body.name == name and body.kind == "rail" for body in boat.bodies)
    return name, _text(boat, name, _other(assembly, name, rail=rail), "")


def _text(boat: LoadedBoat, name: str, pairs: Iterator[tuple[str, str]], more: str) -> str:
    return rows(pairs) + more + _step(boat, name) + _findings(boat, name)


def _part(part: Part, frame: Frame) -> Iterator[tuple[str, str]]:
    if part.label:
        yield "label", escape(part.label)
    yield "stock", f"{escape(part.stock)}, {trimmed(part.thickness)} mm thick"
    yield "lies", f"{_FACES[part.face]} of {escape(frame.name)}, station {trimmed(frame.placement.station)} mm"
    if part.pockets:
        cut = sorted({(pocket.face, pocket.depth) for pocket in part.pockets})
        yield "pockets", ", ".join(f"{trimmed(depth)} mm deep in its {face} face" for face, depth in cut)
    left, low, right, high = part.shape.bounds
    yield "measures", f"{trimmed(right - left)} × {trimmed(high - low)} mm over all"
    yield "mass", f"{formatted(part.mass)} kg" if part.mass else quiet("its stock has no density")
    yield "from", escape(str(part.source))


def _screws_through(part: Part, frame: Frame) -> str:
    through = [screw for screw in frame.screws if any(ply.part is part for ply in screw.plies)]
    if not through:
        return f"<p>{quiet('No screws pass it.')}</p>"
    links = ", ".join(link(f"body:{screw.name}", short(screw.name)) for screw in through)
    return f"<p><b>{len(through)} screw{'s' if len(through) > 1 else ''}</b> through it: {links}</p>"


def _screw(screw: Screw) -> Iterator[tuple[str, str]]:
    size = screw.size
    yield "size", f"{escape(size.name)}, {mm(size.diameter)} by {mm(size.length)}"
    yield "driven", f"from {screw.driven_from}"
    yield "at", f"{place(*screw.at)} mm in the frame's plane"
    plies = "<br>".join(f"{link(f'body:{ply.part.name}', ply.part.name)} {mm(ply.depth)}" for ply in screw.plies)
    yield "passes", plies or "no wood"
    if screw.plies:
        left = screw.left_beyond
        yield "leaves", f"{mm(left)} beyond its tip" if left >= 0 else f"its tip stands {mm(-left)} out"
    yield "from", "laid out by computation" if screw.proposed else escape(str(screw.source))


def _batten(batten: Batten) -> Iterator[tuple[str, str]]:
    eased = f", edges eased {trimmed(batten.arris)} mm" if batten.arris else ""
    yield "section", f"{trimmed(batten.long)} × {trimmed(batten.short)} mm{eased}"
    if batten.layers > 1:
        yield "layers", f"{batten.layers}, glued together in place"
    yield "passes", ", ".join(f"F{section.frame}" for section in batten.sections)
    first, last = batten.centres[0, 0], batten.centres[-1, 0]
    yield "reaches", f"from x {trimmed(first)} to {trimmed(last)} mm"


def _other(assembly: Assembly, name: str, *, rail: bool) -> Iterator[tuple[str, str]]:
    rails = assembly.strongback
    if rails is not None and rail:
        yield "section", f"{trimmed(rails.width)} × {trimmed(rails.depth)} mm"
        yield "reaches", f"from x {trimmed(rails.start)} to {trimmed(rails.end)} mm"
        yield "apart", f"{trimmed(rails.inside_width)} mm between the inner faces"
    for frame in assembly.frames:
        for dowel in frame.dowels:
            if dowel.name == name:
                yield "diameter", f"{trimmed(dowel.diameter)} mm"
                yield "at", f"{place(*dowel.at)} mm in the frame's plane"


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
