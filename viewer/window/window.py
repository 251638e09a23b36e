"""The main window: the panes around the picture, and what passes between them.

What is in hand lives in `Hand`, and nowhere else. Actions change it; when it has changed, everything that
shows something of it is told to show it. Nothing else passes between the panes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from PySide6.QtCore import QByteArray, QSettings, QSize, Qt
from PySide6.QtGui import QAction, QCloseEvent, QKeySequence
from PySide6.QtWidgets import (
    QLabel,
    QMainWindow,
    QMenu,
    QSizePolicy,
    QSplitter,
    QStackedWidget,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)
from vtkmodules.vtkCommonCore import vtkLogger

from ..reports.style import plain
from .actions import ACTIONS, Action
from .arranging import Arranging
from .banner import Banner
from .building import Building
from .canvas import PictureWidget
from .card import Card, card_words
from .findings_pane import FindingsPane
from .loading import Loading
from .looking import Looking
from .matters import Matters, Panes
from .paper import available
from .reading import BoatReading
from .selection import Hand, Selection
from .shelf import Shelf
from .steps_pane import StepsPane
from .strip import StationStrip
from .walking import FindingWalk, FrameWalk
from .words import NO_STRENGTH, status_words

vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_ERROR)  # what it only warns of is nothing to whoever looks at a boat

SIZE = QSize(1360, 860)
LEAST = QSize(760, 480)
PANES = 350
"""points that the panes are wide at first."""


class MainWindow(QMainWindow):
    """One boat. Everything it can do is in `ACTIONS`; who does it, by group, in `handlers`."""

    def __init__(self, path: Path, settings: QSettings, loading: Loading | None = None) -> None:
        """Reads the boat of a plan, unless it is being read already."""
        super().__init__()
        self.path, self.settings = path, settings
        self.setWindowTitle("Scrieve")
        self.hand = Hand(self)
        self.canvas = PictureWidget()
        self.looking = Looking(self.hand, self.canvas)
        self.frames = FrameWalk(self.hand, self.looking)
        self.finding_walk = FindingWalk(self.hand, self.looking)
        self.arranging = Arranging(self.hand, self.canvas, self.frames, self.looking)
        self.building = Building(self.hand, self.looking, self)
        self.reading = BoatReading(path, self)
        self.banner, self.word = Banner(), QLabel()
        self.word.setTextFormat(Qt.TextFormat.PlainText)
        self.matters = Matters(self, self.hand, self.canvas, self.reading, settings, self.banner, self.word)
        self.pages, self.findings, self.steps = QTabWidget(), FindingsPane(), StepsPane()
        self.panes = Panes(self.pages, self.findings, self.steps, self.canvas)
        self.handlers: Mapping[str, Any] = {
            "Boat": self.matters,
            "Look from": self.looking,
            "Frame": self.frames,
            "Show": self.arranging,
            "Findings": self.finding_walk,
            "Build order": self.building,
            "Go to": self.panes,
            "Help": self.matters,
        }
        self.actions_of: dict[str, QAction] = {}
        self._make_menus()
        self._make_panes()
        self._connect()
        self._restore()
        self.reading.begin(loading)

    # ---- its parts

    def _make_menus(self) -> None:
        bar = self.menuBar()
        # made here and handed over: a menu that the bar makes may come back as some dead thing that lay at its address
        menus = {group: QMenu(group, bar) for group in dict.fromkeys(action.group for action in ACTIONS)}
        for menu in menus.values():
            bar.addMenu(menu)
        for action in ACTIONS:
            made = self._made(action)
            menus[action.group].addAction(made)
            self.addAction(made)
            self.actions_of[action.name] = made

    def _made(self, action: Action) -> QAction:
        made = QAction(action.words, self)
        made.setCheckable(action.stays)
        made.setShortcuts([QKeySequence(key) for key in action.keys])
        made.setToolTip(f"{action.words.rstrip('…')} ({action.keys[0]})")
        do: Callable[..., None] = getattr(self.handlers[action.group], action.name)
        if action.name == "let_go":
            do = self._let_go
        if action.stays:
            made.triggered.connect(lambda on: self._switch(do, on))
        else:
            made.triggered.connect(lambda _: do())
        return made

    def _switch(self, do: Callable[..., None], on: bool) -> None:
        """Does an action that stays switched on, and shows what came of it."""
        do(on)
        self._show()

    def _let_go(self) -> None:
        """First of the message over the picture, then of what is in hand."""
        if self.banner.isVisible():
            self.banner.hide()
        else:
            self.arranging.let_go()

    def _make_panes(self) -> None:
        self.shelf = Shelf(self.actions_of)
        self.strip = StationStrip()
        self.card = Card(self.canvas.view)
        self.steps.give_controls(self.actions_of)
        self.pages.setObjectName("panes")
        self.pages.setDocumentMode(True)
        self.pages.addTab(self.findings, "Findings")
        self.pages.addTab(self.steps, "Build order")
        self.pages.setMinimumWidth(260)
        self.pages.tabBar().setDrawBase(False)
        picture = _stacked(self.shelf, self.banner, self.canvas)
        self.split = QSplitter(Qt.Orientation.Horizontal)
        self.split.addWidget(_stacked(picture, self.strip))
        self.split.addWidget(self.pages)
        self.split.setStretchFactor(0, 1)
        self.split.setStretchFactor(1, 0)
        self.split.setChildrenCollapsible(False)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.reading.page)
        self.stack.addWidget(self.split)
        self.setCentralWidget(self.stack)
        self.word.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)  # long words widen nothing
        self.statusBar().addWidget(self.word, 1)
        self.statusBar().addPermanentWidget(self.reading.line)
        self.statusBar().addPermanentWidget(QLabel(NO_STRENGTH))
        self.statusBar().addPermanentWidget(QLabel("F1: keys"))
        self.statusBar().setSizeGripEnabled(False)

    def _connect(self) -> None:
        self.hand.changed.connect(lambda _: self._show())
        self.hand.boat_changed.connect(self._show_boat)
        self.reading.read.connect(self.hand.take_boat)
        self.reading.said.connect(self.banner.say)
        self.strip.frame_chosen.connect(self.frames.take)
        self.strip.finding_chosen.connect(self.finding_walk.take)
        self.findings.chosen.connect(self.finding_walk.take)
        self.steps.chosen.connect(self.building.take)
        self.steps.moved.connect(self.building.move_to)
        self.building.playing_changed.connect(lambda _: self._show())
        self.strip.cut_moved.connect(self.arranging.cut_at)
        self.shelf.spread_moved.connect(self.arranging.spread_by)
        self.shelf.cut_moved.connect(self.arranging.cut_at)
        self.canvas.body_clicked.connect(self.arranging.take)
        self.canvas.mark_clicked.connect(self.finding_walk.take)
        self.card.closed.connect(lambda: self.hand.change(body=""))
        for links in (self.card.followed, self.steps.followed):
            links.connect(self.follow)

    # ---- what is shown

    def _show_boat(self, before: Selection) -> None:
        boat = self.hand.boat
        assert boat is not None
        first = self.canvas.stage is None
        plays, comes = self.building.playing, self.building.moving
        self.building.stop()
        self.setWindowTitle(f"{plain(boat.assembly.name)}: Scrieve")
        self.strip.show_boat(boat.assembly, boat.findings)
        self.findings.show_findings(boat.findings)
        self.steps.show_steps(boat.steps, (body.name for body in boat.bodies))
        self.stack.setCurrentWidget(self.split)
        self.canvas.show_boat(boat, self.hand.now)
        if first:
            self.looking.whole_boat_at_once()
            self.canvas.setFocus()
        self._show()
        if before.step and not self.hand.now.step:
            self.looking.whole_boat()  # from the bench, where the boat does not stand upright
        elif plays:
            self.building.play(True)
        elif comes:
            self.hand.change(share=1.0)

    def _show(self) -> None:
        """Brings everything to what is in hand."""
        now, boat = self.hand.now, self.hand.boat
        if boat is None or self.canvas.stage is None:  # nothing to see yet, or it is closed
            return
        self.canvas.arrange(now)
        self.shelf.show_hand(now, self.canvas.stage.reach)
        self.strip.choose(now.frame, now.finding, now.cut)
        self.findings.choose(now.finding)
        self.steps.show_step(now.step, now.share)
        self.card.show_words(*(card_words(boat, now.body) if now.body else ("", "")))
        self.word.setText(status_words(now, boat))
        self._show_pages(now)
        for name, on in self._switched(now).items():
            self.actions_of[name].setChecked(on)

    def _show_pages(self, now: Selection) -> None:
        """The pane of what has just been taken in hand comes to the front."""
        before, self._in_front = getattr(self, "_in_front", (-1, 0)), (now.finding, now.step)
        if now.finding >= 0 and now.finding != before[0]:
            self.pages.setCurrentWidget(self.findings)
        elif now.step and not before[1]:
            self.pages.setCurrentWidget(self.steps)

    def _switched(self, now: Selection) -> dict[str, bool]:
        held = bool(now.frame) and not now.step and now.finding < 0
        return {
            "fade_others": held and now.others == "faded",
            "only_frame": held and now.others == "hidden",
            "spread": now.spread_on,
            "cut": now.cut is not None,
            "measure": now.measuring,
            "label": now.labels,
            "play": self.building.playing,
        }

    def say(self, head: str, lines: Sequence[str]) -> None:
        """Says this over the picture; where there is none yet, on the page in its place."""
        if self.stack.currentWidget() is self.split:
            self.banner.say(head, lines)
        else:
            self.reading.page.refuse(head, tuple(lines))

    def follow(self, to: str) -> None:
        """Goes where a link leads: "finding:3", "step:12", "body:F1 floor"."""
        kind, _, what = to.partition(":")
        if kind == "finding":
            self.finding_walk.take(int(what))
        elif kind == "step":
            self.building.take(int(what))
        else:
            self.arranging.take_body(what)

    # ---- from one time to the next

    def _restore(self) -> None:
        room = available(self)
        self.setMinimumSize(LEAST.boundedTo(room))
        geometry = self.settings.value("geometry")  # what another version or a hand wrote there counts for nothing
        if not isinstance(geometry, QByteArray) or not self.restoreGeometry(geometry):
            self.resize(SIZE.boundedTo(room))
        for name, split in (("split", self.split), ("steps", self.steps.split)):
            state = self.settings.value(name)
            if not isinstance(state, QByteArray) or not split.restoreState(state):
                split.setSizes([self.width() - PANES, PANES] if name == "split" else [320, 300])
        if self.settings.value("page") == "steps":
            self.pages.setCurrentWidget(self.steps)

    def _remember(self) -> None:
        self.settings.setValue("geometry", self.saveGeometry())
        self.settings.setValue("split", self.split.saveState())
        self.settings.setValue("steps", self.steps.split.saveState())
        self.settings.setValue("page", "steps" if self.pages.currentWidget() is self.steps else "findings")
        self.settings.sync()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Remembers size and layout, and closes in the order that the libraries want: timers, picture, window."""
        self._remember()
        self.hand.blockSignals(True)  # whatever is still done shows nothing any more
        self.reading.close()
        self.building.stop()
        self.canvas.close_view()
        super().closeEvent(event)


def _stacked(*widgets: QWidget) -> QWidget:
    """Widgets under one another without a gap, the last but the strip taking the room."""
    holder = QWidget()
    holder.setObjectName("paper")
    box = QVBoxLayout(holder)
    box.setContentsMargins(0, 0, 0, 0)
    box.setSpacing(0)
    for widget in widgets:
        box.addWidget(widget, 0 if isinstance(widget, Shelf | Banner | StationStrip) else 1)
    return holder
