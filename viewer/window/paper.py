"""The window's own look: paper and ink, one strong colour for findings, one blue for what is in hand."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QSize
from PySide6.QtGui import QColor, QFont, QPainter, QPalette, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from ..marks.colours import INK, PAPER, STRONG
from ..marks.forms import Form
from ..scene.looks import CHOSEN, PAPER_BELOW, SHEET

RULE = "#d9d1c1"
"""Thin lines between things."""

QUIET = "#6b6357"
"""Words of less weight. 5.4 to 1 on SHEET."""

HELD = "#e3edf5"
"""The ground of what is in hand."""

HOVER = "#f1ece1"

_FRAME = QSize(8, 40)
"""points that a desktop's frame and title bar take around a window; how many is not known before it is shown."""

STYLE = f"""
* {{ color: {INK}; }}
QMainWindow, QDialog, QWidget#paper {{ background: {PAPER}; }}
QMenuBar {{ background: {PAPER}; border-bottom: 1px solid {RULE}; padding: 1px 6px; }}
QMenuBar::item {{ padding: 4px 9px; background: transparent; border-radius: 4px; }}
QMenuBar::item:selected {{ background: {PAPER_BELOW}; }}
QMenu {{ background: {SHEET}; border: 1px solid {RULE}; padding: 5px; }}
QMenu::item {{ padding: 5px 26px 5px 22px; border-radius: 4px; }}
QMenu::item:selected {{ background: {HELD}; }}
QMenu::item:disabled {{ color: #a59c8d; }}
QMenu::separator {{ height: 1px; background: {RULE}; margin: 4px 8px; }}
QStatusBar {{ background: {PAPER}; border-top: 1px solid {RULE}; }}
QStatusBar::item {{ border: none; }}
QStatusBar QLabel {{ padding: 2px 8px; color: {QUIET}; }}
QSplitter::handle {{ background: {RULE}; }}
QSplitter::handle:horizontal {{ width: 1px; }}
QSplitter::handle:vertical {{ height: 1px; }}

QWidget#shelf {{ background: {PAPER}; border-bottom: 1px solid {RULE}; }}
QToolButton {{ background: transparent; border: 1px solid transparent; border-radius: 5px; padding: 4px 7px; }}
QToolButton[close="true"] {{ padding: 4px 2px; }}
QToolButton:hover {{ background: {HOVER}; border-color: {RULE}; }}
QToolButton:checked {{ background: {HELD}; border-color: {CHOSEN}; color: #12476f; }}
QToolButton:disabled {{ color: #a59c8d; }}
QToolButton:focus {{ border-color: {CHOSEN}; }}
QToolButton::menu-indicator {{ image: none; }}
QPushButton {{ background: {SHEET}; border: 1px solid {RULE}; border-radius: 5px; padding: 5px 14px; }}
QPushButton:hover {{ background: {HOVER}; }}
QPushButton:focus {{ border-color: {CHOSEN}; }}
QPushButton:disabled {{ color: #a59c8d; }}

QWidget#panes {{ background: {SHEET}; }}
QTabBar {{ background: {PAPER}; }}
QTabBar::tab {{ background: transparent; padding: 8px 14px 7px 14px; border: none; border-bottom: 2px solid transparent;
    color: {QUIET}; }}
QTabBar::tab:selected {{ color: {INK}; border-bottom: 2px solid {INK}; font-weight: 600; }}
QTabBar::tab:hover {{ color: {INK}; }}
QTabBar::tab:focus {{ color: #12476f; }}
QTabWidget::pane {{ border: none; border-top: 1px solid {RULE}; background: {SHEET}; }}
QTabWidget::tab-bar {{ left: 6px; }}
QListView {{ background: {SHEET}; border: none; outline: none; }}
QTextBrowser {{ background: {SHEET}; border: none; selection-background-color: {CHOSEN}; }}
QLabel#head {{ color: {QUIET}; padding: 8px 14px 7px 14px; background: {SHEET}; border-bottom: 1px solid {RULE}; }}
QFrame#card {{ background: {SHEET}; border: 1px solid {RULE}; border-radius: 7px; }}
QFrame#card QTextBrowser {{ background: transparent; }}
QLabel#middle {{ background: transparent; color: {CHOSEN}; font-size: 18px; }}
QFrame#banner {{ background: #fdf1ec; border: none; border-left: 5px solid {STRONG}; }}
QFrame#banner QLabel {{ background: transparent; }}

QProgressBar {{ background: {PAPER_BELOW}; border: none; border-radius: 3px; max-height: 6px; min-height: 6px; }}
QProgressBar::chunk {{ background: #a9793f; border-radius: 3px; }}
QSlider::groove:horizontal {{ height: 3px; background: {RULE}; border-radius: 1px; }}
QSlider::sub-page:horizontal {{ background: #a9793f; border-radius: 1px; }}
QSlider::handle:horizontal {{ background: {SHEET}; border: 2px solid #a9793f; width: 10px; margin: -6px 0;
    border-radius: 7px; }}
QSlider::handle:horizontal:focus {{ border-color: {CHOSEN}; }}
QScrollBar:vertical {{ background: transparent; width: 10px; margin: 0; }}
QScrollBar::handle:vertical {{ background: #cfc6b4; border-radius: 4px; min-height: 28px; margin: 1px 2px; }}
QScrollBar::handle:vertical:hover {{ background: #b3a890; }}
QScrollBar::add-line, QScrollBar::sub-line {{ height: 0; width: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
QScrollBar:horizontal {{ height: 0; }}
QToolTip {{ background: {SHEET}; color: {INK}; border: 1px solid {RULE}; padding: 4px 6px; }}
"""


def palette() -> QPalette:
    """The colours that the style sheet does not reach."""
    made = QPalette()
    for role, colour in (
        (QPalette.ColorRole.Window, PAPER),
        (QPalette.ColorRole.Base, SHEET),
        (QPalette.ColorRole.AlternateBase, PAPER),
        (QPalette.ColorRole.Button, PAPER),
        (QPalette.ColorRole.WindowText, INK),
        (QPalette.ColorRole.Text, INK),
        (QPalette.ColorRole.ButtonText, INK),
        (QPalette.ColorRole.Highlight, CHOSEN),
        (QPalette.ColorRole.HighlightedText, SHEET),
        (QPalette.ColorRole.Link, CHOSEN),
        (QPalette.ColorRole.PlaceholderText, QUIET),
    ):
        made.setColor(role, QColor(colour))
    return made


def sized(font: QFont, *, by: float = 1.0, bold: bool = False) -> QFont:
    """The font, larger or smaller by this factor, bold or not."""
    made = QFont(font)
    size = font.pointSizeF()
    if size > 0:
        made.setPointSizeF(size * by)
    else:
        made.setPixelSize(max(1, round(font.pixelSize() * by)))
    made.setBold(bold)
    return made


def available(window: QWidget) -> QSize:
    """How large a window can be on its screen, beside bars of the desktop and with its frame around it."""
    return window.screen().availableSize() - _FRAME


def paint_form(painter: QPainter, form: Form, at: QPointF, radius: float) -> None:
    """The form of a finding about a place, full where it has a dot; the same that marks it in the picture."""
    painter.setPen(QPen(QColor(form.colour), 1.4))
    painter.setBrush(QColor(form.colour if form.dot else PAPER))
    if form.shape == "ring":
        painter.drawEllipse(at, radius, radius)
    else:
        painter.drawPolygon(QPolygonF([at + QPointF(x, -y) * radius * 1.15 for x, y in form.corners]))
