"""The pane of findings: worst first, each with what is wrong and what would cure it.

What follows from a finding is listed below it while it, or one of them, is in hand.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from html import escape

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QPainter, QPen, QTextDocument
from PySide6.QtWidgets import QLabel, QListWidgetItem, QStyle, QStyledItemDelegate, QVBoxLayout, QWidget

from scrieve.shared.findings import Finding, Level

from ..marks.colours import INK
from ..marks.forms import form_of
from ..scene.looks import CHOSEN
from .paper import HELD, QUIET, RULE, paint_form
from .wrapped_list import WrappedList

_LEFT, _RIGHT, _ABOVE = 32, 12, 6  # points left free around the words

FINDING = Qt.ItemDataRole.UserRole


class FindingsPane(QWidget):
    """Tells `chosen` (place in the list given) when a finding is chosen, by mouse or key."""

    chosen = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.head = QLabel()
        self.head.setObjectName("head")
        self.head.setWordWrap(True)
        self._words = _Words()
        self.list = WrappedList("findings", "Findings", self._words)
        self.list.currentRowChanged.connect(self._tell)
        self.list.itemClicked.connect(self._tell_again)
        self._pressed_on = -1
        self.list.viewport().installEventFilter(self)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(0)
        box.addWidget(self.head)
        box.addWidget(self.list)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Learns which finding was in hand when a click began."""
        if event.type() == QEvent.Type.MouseButtonPress:
            self._pressed_on = self.list.currentRow()
        return False

    def _tell(self, row: int) -> None:
        self._unfold(row)
        if row >= 0:
            self.chosen.emit(row)

    def _tell_again(self, item: QListWidgetItem) -> None:
        """A click on the finding that is in hand already, which changes no row, flies there again."""
        row = self.list.row(item)
        if row == self._pressed_on:
            self.chosen.emit(row)

    def show_findings(self, findings: Sequence[Finding]) -> None:
        """Lists these, in their order."""
        with QSignalBlocker(self.list):
            self.list.clear()
            held = Counter(id(finding.because) for finding in findings)
            self._words.documents = [_document(finding, held[id(finding)]) for finding in findings]
            for finding in findings:
                item = QListWidgetItem(finding.message)
                item.setData(FINDING, finding)
                item.setToolTip(f"<p>{escape(finding.cure, quote=False)}</p>" if finding.cure else "")
                self.list.addItem(item)
            self.list.setCurrentRow(-1)
            self._unfold(-1)
        self.head.setText(_counted(findings))

    def choose(self, finding: int) -> None:
        """Marks a finding as the one in hand, without telling; -1 for none."""
        with QSignalBlocker(self.list):
            self.list.setCurrentRow(finding)
            self._unfold(finding)

    def _unfold(self, row: int) -> None:
        """Shows what follows from the finding in this row, or from what it follows from, and nothing else that does."""
        findings = [self.list.item(n).data(FINDING) for n in range(self.list.count())]
        root = (findings[row].because or findings[row]) if row >= 0 else None
        for n, finding in enumerate(findings):
            self.list.item(n).setHidden(finding.because is not None and finding.because is not root)


def _counted(findings: Sequence[Finding]) -> str:
    standing = [finding for finding in findings if not finding.waived]
    counts = {level: sum(f.level is level for f in standing) for level in Level}
    waived = len(findings) - len(standing)
    words = [f"{n} {level}{'' if n == 1 else 's'}" for level, n in counts.items() if n]
    words += [f"{waived} waived"] if waived else []
    held = sum(finding.because is not None for finding in standing)
    words += [f"{held} follow from another"] if held else []
    if not words:
        return "Nothing found wrong."
    sound = all(finding.level is Level.NOTE for finding in findings)
    return ("Nothing found wrong; " if sound else "") + ", ".join(words)


class _Words(QStyledItemDelegate):
    """Paints a finding: a bar for its level, its place, what is wrong, and the cure below in a lighter ink.

    `documents` are its words by row, made once: to make them takes longer than to lay them out at another width.
    """

    def __init__(self) -> None:
        super().__init__()
        self.documents: list[QTextDocument] = []

    def paint(self, painter, option, index) -> None:  # type: ignore[no-untyped-def]
        finding: Finding = index.data(FINDING)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = option.rect
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(box, QColor(HELD))
            painter.fillRect(QRectF(box.left(), box.top(), 3, box.height()), QColor(CHOSEN))
        painter.setPen(QPen(QColor(RULE), 1.0))
        painter.drawLine(box.left() + _LEFT, box.bottom(), box.right() - 8, box.bottom())
        paint_form(painter, form_of(finding), QPointF(box.left() + 18, box.top() + 17), 5.0)
        painter.translate(box.left() + _LEFT, box.top() + _ABOVE)
        wide = box.width() - _LEFT - _RIGHT
        _laid_out(self.documents[index.row()], option.font, wide).drawContents(
            painter, QRectF(0, 0, wide, box.height())
        )
        painter.restore()

    def sizeHint(self, option, index) -> QSize:  # type: ignore[no-untyped-def]
        width = max(160, option.widget.viewport().width())
        tall = _laid_out(self.documents[index.row()], option.font, width - _LEFT - _RIGHT).size().height()
        return QSize(width, round(tall) + 2 * _ABOVE + 1)


def _laid_out(document: QTextDocument, font: QFont, width: float) -> QTextDocument:
    if document.defaultFont() != font:
        document.setDefaultFont(font)
    document.setTextWidth(width)
    return document


def _document(finding: Finding, held: int = 0) -> QTextDocument:
    document = QTextDocument()
    document.setDocumentMargin(2)
    place = f"F{finding.frame}" if finding.frame else "Boat"
    rest = f"<br><span style='color:{QUIET}'>{escape(finding.cure, quote=False)}</span>" if finding.cure else ""
    waived = f"<br><i>waived: {escape(finding.waived, quote=False)}</i>" if finding.waived else ""
    follow = f"<br><i>{held} {'follow' if held > 1 else 'follows'} from this</i>" if held else ""
    follow += "<br><i>follows from the one above</i>" if finding.because else ""
    document.setHtml(
        f"<span style='color:{INK}'><b>{place}</b> &nbsp;<span style='color:{QUIET}'>{finding.check}</span><br>"
        f"{escape(finding.message, quote=False)}{rest}{waived}{follow}</span>"
    )
    return document
