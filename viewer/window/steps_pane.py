"""The pane of the build order: the steps in a list, and the step in hand with what to watch."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from html import escape
from itertools import groupby

from PySide6.QtCore import QRect, QSignalBlocker, QSize, Qt, QUrl, Signal
from PySide6.QtGui import QAction, QColor
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QListWidgetItem,
    QSlider,
    QSplitter,
    QStyle,
    QStyledItemDelegate,
    QTextBrowser,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from scrieve.model.sequence.steps import Driving, Step
from scrieve.model.sequence.steps.drilling import drill
from scrieve.model.sequence.steps.words import numbered, short

from ..marks.colours import INK, PAPER
from ..scene.looks import CHOSEN
from .keeping_keys import PRESSING, READING, SLIDING, keep_keys
from .paper import HELD, HOVER, QUIET, sized
from .words import caution, link, points, quiet, rows
from .wrapped_list import WrappedList

STEP = Qt.ItemDataRole.UserRole
_FULL = 1000
_BEFORE, _TITLE, _AFTER, _LEAD = 14, 42, 12, 5  # points left free about the words

_AHEAD = 3
"""steps after the one in hand that are seen with it."""


class StepsPane(QWidget):
    """Tells `chosen` (number) when a step is chosen, `moved` (share of the way) when the slider is moved."""

    chosen = Signal(int)
    moved = Signal(float)
    followed = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._rows: dict[int, int] = {}
        self._steps: tuple[Step, ...] = ()
        self._bodies = frozenset[str]()
        self._told = -1
        self.head = QLabel()
        self.head.setObjectName("head")
        self.list = WrappedList("steps", "Build order", _Lines())
        self.list.currentItemChanged.connect(self._tell)
        self.way = QSlider(Qt.Orientation.Horizontal)
        self.way.setRange(0, _FULL)
        self.way.setAccessibleName("How far what the step adds has come")
        self.way.setToolTip("How far what the step adds has come")
        keep_keys(self.way, SLIDING)
        self.way.valueChanged.connect(lambda value: self.moved.emit(value / _FULL))
        self.words = QTextBrowser()
        self.words.setAccessibleName("The step in hand")
        self.words.setOpenLinks(False)
        self.words.document().setDocumentMargin(12)
        keep_keys(self.words, READING)
        self.words.anchorClicked.connect(lambda url: self.followed.emit(QUrl(url).toString()))
        self._controls = QHBoxLayout()
        self._controls.setContentsMargins(10, 6, 12, 6)
        self._controls.setSpacing(2)
        lower = QWidget()
        lower.setObjectName("panes")
        lower.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        below = QVBoxLayout(lower)
        below.setContentsMargins(0, 0, 0, 0)
        below.setSpacing(0)
        below.addLayout(self._controls)
        below.addWidget(self.words, 1)
        self.split = QSplitter(Qt.Orientation.Vertical)
        self.split.addWidget(self.list)
        self.split.addWidget(lower)
        self.split.setStretchFactor(0, 3)
        self.split.setStretchFactor(1, 2)
        self.split.setChildrenCollapsible(False)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(0)
        box.addWidget(self.head)
        box.addWidget(self.split, 1)

    def give_controls(self, actions: Mapping[str, QAction]) -> None:
        """Lays the buttons of these actions about the slider."""
        for name, sign in (("previous_step", "◂"), ("play", "▶"), ("next_step", "▸")):
            self._controls.addWidget(_control(actions[name], sign))
        self._controls.addSpacing(8)
        self._controls.addWidget(self.way, 1)
        self._controls.addSpacing(8)
        self._controls.addWidget(_control(actions["finished_boat"], "Finished"))

    def show_steps(self, steps: Sequence[Step], bodies: Iterable[str]) -> None:
        """Lists these, frame by frame and then setting up; the names of `bodies` become links."""
        self._steps, self._bodies = tuple(steps), frozenset(bodies)
        self._rows = {}
        with QSignalBlocker(self.list):
            self.list.clear()
            for heading, own in groupby(steps, key=_heading):
                item = QListWidgetItem(heading)
                item.setFlags(Qt.ItemFlag.NoItemFlags)
                self.list.addItem(item)
                for step in own:
                    item = QListWidgetItem(step.title)
                    item.setData(STEP, step.number)
                    self._rows[step.number] = self.list.count()
                    self.list.addItem(item)
        frames = len({step.frame for step in steps if step.frame})
        self.head.setText(f"{len(steps)} steps, {frames} frames" if steps else "There is nothing to put together.")
        self._told = -1
        self.show_step(0, 1.0)

    def show_step(self, number: int, share: float) -> None:
        """Marks a step as the one in hand, 0 for none, and says what belongs to it; without telling."""
        self.way.setEnabled(bool(number))
        with QSignalBlocker(self.way):
            self.way.setValue(round(share * _FULL) if number else 0)
        if number == self._told:
            return
        self._told = number
        row = self._rows.get(number, -1)
        with QSignalBlocker(self.list):
            self.list.setCurrentRow(row)
        if number:
            for seen in (row + _AHEAD, row - 1, row):  # what comes next is seen as well, and the heading before
                self.list.scrollToItem(self.list.item(min(max(seen, 0), self.list.count() - 1)))
        self.words.setHtml(step_words(self._steps[number - 1], self._bodies) if number else _NOTHING)

    def _tell(self, item: QListWidgetItem | None) -> None:
        if item is not None and item.data(STEP):
            self.chosen.emit(int(item.data(STEP)))


class _Lines(QStyledItemDelegate):
    """Paints a step, its number before it; or a heading."""

    def paint(self, painter, option, index) -> None:  # type: ignore[no-untyped-def]
        painter.save()
        box, number = option.rect, index.data(STEP)
        if number is None:
            painter.fillRect(box, QColor(PAPER))
            painter.setPen(QColor(QUIET))
            painter.setFont(sized(option.font, by=0.92, bold=True))
            painter.drawText(box.adjusted(_BEFORE, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, index.data())
            painter.restore()
            return
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(box, QColor(HELD))
            painter.fillRect(QRect(box.left(), box.top(), 3, box.height()), QColor(CHOSEN))
        elif option.state & QStyle.StateFlag.State_MouseOver:
            painter.fillRect(box, QColor(HOVER))
        words = box.adjusted(_TITLE, _LEAD, -_AFTER, -_LEAD)
        painter.setPen(QColor(QUIET))
        painter.drawText(
            QRect(box.left(), words.top(), _TITLE - 9, words.height()), Qt.AlignmentFlag.AlignRight, str(number)
        )
        painter.setPen(QColor(INK))
        painter.drawText(words, Qt.TextFlag.TextWordWrap, index.data())
        painter.restore()

    def sizeHint(self, option, index) -> QSize:  # type: ignore[no-untyped-def]
        if index.data(STEP) is None:
            return QSize(0, option.fontMetrics.height() + 14)
        room = QRect(0, 0, max(80, option.widget.viewport().width() - _TITLE - _AFTER), 10_000)
        tall = option.fontMetrics.boundingRect(room, Qt.TextFlag.TextWordWrap, index.data()).height()
        return QSize(0, tall + 2 * _LEAD)


_NOTHING = quiet("Choose a step, or press play: each part comes in along the way that was computed for it.")


def _heading(step: Step) -> str:
    return f"F{step.frame} on the bench" if step.stage == "bench" else "Setting up"


def step_words(step: Step, bodies: Collection[str]) -> str:
    """What belongs to a step, as HTML: how things come in, screws and stop depths, what to watch, cautions.

    The names that are among `bodies` lead there.
    """
    said = f"<p><b>{step.number}&nbsp; {escape(step.title)}.</b></p>"
    coming = [
        ", ".join(_named(name, name, bodies) for name in adding.names)
        + (f": {escape(adding.way)}" if adding.way else "")
        for adding in step.adds
    ]
    if coming:
        said += points(coming)
    for driving in step.screws:
        said += _driving(driving, bodies)
    if step.watch:
        said += f"<p><b>Watch</b></p>{points(escape(watch) for watch in step.watch)}"
    if step.cautions:
        said += f"<p><b>Take care</b></p>{points(caution(topic) for topic in step.cautions)}"
    return said


def _named(name: str, words: str, bodies: Collection[str]) -> str:
    return link(f"body:{name}", words) if name in bodies else escape(words)


def _driving(driving: Driving, bodies: Collection[str]) -> str:
    table = rows(
        (
            ("drill", escape(drill(driving))),
            ("stop at", f"<b>{driving.stop:.1f} mm</b> below the face of the plate"),
            ("each", " ".join(_named(name, short(name).rpartition(" ")[2], bodies) for name in driving.screws)),
        )
    )
    return f"<p><b>{escape(numbered(driving.screws).capitalize())}</b></p>{table}"


def _control(action: QAction, sign: str) -> QToolButton:
    button = QToolButton()
    button.setDefaultAction(action)
    button.setText(sign)
    button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
    keep_keys(button, PRESSING)
    # the action's words would take the sign's place whenever it changes
    action.changed.connect(lambda: button.setText("❚❚" if sign == "▶" and action.isChecked() else sign))
    return button
