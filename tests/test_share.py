"""`scrieve share`: one page, built once and opened in one browser, as a file, with touch and with a mouse."""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import making
import numpy as np
import pytest
from browser import Browser

from scrieve.model.assemble import assemble
from scrieve.model.diagnosis.examine import examine
from scrieve.model.plan.plan_reader import read_plan
from scrieve.model.sequence.steps import steps_of
from scrieve.shared.findings import Level
from scrieve.viewer.scene.bodies import bodies_of
from scrieve.viewer.scene.solid_mesh import creases
from scrieve.viewer.verbs.commands import run
from scrieve.viewer.web.boat import SharedBoat
from scrieve.viewer.web.packing import packed, runs
from scrieve.viewer.web.page import page

HULLS = Path(__file__).parents[1] / "hulls"
EVIL = "<script>globalThis.owned = 1</script><img src=x onerror='globalThis.owned = 1'>\u202e\x1b[31m"
SETTLED = """new Promise(done => {
  const { stage, camera } = scrieve;
  const moves = () => !stage.firstPicture || camera.flight || stage.moving || stage.waiting;
  const look = () => moves() ? setTimeout(look, 20) : done();
  look();
})"""

PAINTED = """new Promise(done => requestAnimationFrame(now => {
  scrieve.stage.picture(now);
  const { gl } = scrieve.stage.canvas;
  const all = new Uint8Array(4 * gl.drawingBufferWidth * gl.drawingBufferHeight);
  gl.readPixels(0, 0, gl.drawingBufferWidth, gl.drawingBufferHeight, gl.RGBA, gl.UNSIGNED_BYTE, all);
  done(all.filter((v, n) => n % 4 === 2 && v < 200).length / (all.length / 4));
}))"""
"""How much of the picture is darker than paper."""


def shared(name: str) -> SharedBoat:
    boat = assemble(read_plan(HULLS / name))
    return SharedBoat(
        assembly=boat, findings=examine(boat, today=date(2026, 6, 1)), steps=steps_of(boat, file="plan.toml")
    )


@pytest.fixture(scope="module")
def faulty() -> SharedBoat:
    return shared("skiff-with-faults")


@pytest.fixture(scope="module")
def opened(faulty, tmp_path_factory) -> Iterator[SimpleNamespace]:
    """The faulty skiff's page, its file, and a browser."""
    home = tmp_path_factory.mktemp("share")
    text = page(faulty)
    (home / "boat.html").write_text(text, encoding="utf-8")
    browser = Browser(home / "profile")
    yield SimpleNamespace(text=text, file=home / "boat.html", browser=browser, boat=faulty, home=home)
    browser.close()


def first_seen(opened: SimpleNamespace, wide: int, high: int) -> Iterator[SimpleNamespace]:
    """The page as first seen; after the test nothing may have been complained of, nor asked of any network."""
    opened.browser.events.clear()
    opened.browser.open(opened.file, wide, high, touch=wide < 500)
    opened.browser.run(SETTLED)
    yield opened
    complaints = opened.browser.told("Runtime.exceptionThrown", "Runtime.consoleAPICalled")
    complaints += [told for told in opened.browser.told("Log.entryAdded") if told["entry"]["level"] == "error"]
    assert complaints == []
    asked = {told["request"]["url"] for told in opened.browser.told("Network.requestWillBeSent")}
    assert asked == {opened.file.as_uri()}


@pytest.fixture
def phone(opened) -> Iterator[SimpleNamespace]:
    yield from first_seen(opened, 390, 844)


@pytest.fixture
def desk(opened) -> Iterator[SimpleNamespace]:
    yield from first_seen(opened, 1280, 800)


def settled(shown: SimpleNamespace, act: str) -> Any:
    shown.browser.run(f"{act}; 0")
    return shown.browser.run(SETTLED)


def seen(shown: SimpleNamespace, place: Any) -> tuple[float, float]:
    x, y = shown.browser.run(f"scrieve.camera.seen({json.dumps(list(place))})")
    return x, y


def touch(shown: SimpleNamespace, *kinds: tuple[str, list[tuple[float, float]]]) -> None:
    """Touches, fingers by place; each kind is told as a finger's driver tells it."""
    for kind, places in kinds:
        points = [{"x": x, "y": y, "id": n} for n, (x, y) in enumerate(places)]
        shown.browser.ask("Input.dispatchTouchEvent", type=kind, touchPoints=points)


def size(shown: SimpleNamespace) -> tuple[float, float]:
    wide, high = shown.browser.run("scrieve.camera.size")
    return wide, high


# ---- the file


def test_the_page_is_one_small_file_that_names_no_other_and_is_the_same_each_time(opened):
    assert len(opened.text.encode()) < 3_000_000
    assert page(opened.boat) == opened.text
    outside = re.sub(r'xmlns="[^"]*"|http://www\.w3\.org/2000/svg', "", opened.text)
    assert not re.findall(r"https?://|\bsrc=|\bhref=|@import|url\(|fetch\(|XMLHttp|WebSocket", outside)
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', opened.text)[1]
    assert policy.startswith("default-src 'none'; script-src 'sha256-") and "unsafe" not in policy


def test_the_bodies_come_out_as_they_were_packed():
    bodies = bodies_of(assemble(read_plan(HULLS / "pram")))
    made = packed(bodies)
    data, at, forms = base64.b64decode(made.bytes64), 0, []
    for points, triangles, edges, wide, step in made.forms:
        sizes = (6 * points, 3 * wide * triangles, 2 * wide * edges)
        pieces = [data[at + sum(sizes[:n]) : at + sum(sizes[: n + 1])] for n in range(3)]
        kinds = ("<u2", f"<u{wide}", f"<u{wide}")
        forms.append([np.frombuffer(piece, kind) for piece, kind in zip(pieces, kinds, strict=True)] + [step])
        at += -(-sum(sizes) // 4) * 4
    assert at == len(data) and len(forms) < len(bodies) / 2
    for body, (form, *least) in zip(bodies, made.places, strict=True):
        steps, triangles, edges, step = forms[form]
        assert np.abs(steps.reshape(-1, 3) * step + least - body.points).max() < 0.05
        assert (triangles.reshape(-1, 3) == body.triangles).all() and (edges.reshape(-1, 2) == body.edges).all()


def test_runs_and_creases():
    assert runs([0, 1, 2, 5, 7, 8]) == [0, 3, 5, 6, 7, 9]
    corners = np.array([(x, y, z) for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=float)
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    triangles = np.array([each for a, b, c, d in quads for each in ((a, b, c), (a, c, d))])
    found = {tuple(sorted(edge)) for edge in creases(corners, triangles).tolist()}
    assert len(found) == 12 and all(np.abs(corners[a] - corners[b]).sum() == 1 for a, b in found)


# ---- in a browser


@pytest.mark.parametrize("device", ["phone", "desk"])
def test_the_boat_is_seen_whole(device, request):
    shown = request.getfixturevalue(device)
    wide, high = size(shown)
    inside = "(([x, y]) => x >= 0 && y >= 0 && x <= scrieve.camera.size[0] && y <= scrieve.camera.size[1])"
    bodies = "scrieve.stage.boat.bodies.filter(body => body.kind !== 'dowel')"
    assert shown.browser.run(f"scrieve.stage.pointsOf({bodies}).map(p => scrieve.camera.seen(p)).every({inside})")
    painted = shown.browser.run(PAINTED)
    assert 0.05 < painted < 0.7
    boxes = shown.browser.run("scrieve.overlay.words")
    assert len(boxes) >= 3
    for n, (left, top, right, bottom) in enumerate(boxes):
        assert min(left, top) >= 0 and right <= wide and bottom <= high
        assert all(right <= o[0] or o[2] <= left or bottom <= o[1] or o[3] <= top for o in boxes[:n])


def test_a_finding_is_flown_to_and_its_marks_are_drawn(phone):
    shown = phone
    shown.browser.hurry(False)
    number = next(n for n, f in enumerate(shown.boat.findings) if f.check == "foul")
    finding = shown.boat.findings[number]
    before = shown.browser.run("scrieve.camera.eye")
    shown.browser.run("document.querySelector('#tab-findings').click(); 0")
    settled(shown, f"document.querySelector('[data-finding=\"{number}\"]').click()")
    eye = shown.browser.run("scrieve.camera.eye")
    assert np.linalg.norm(np.subtract(eye, finding.at)) < 0.3 * np.linalg.norm(np.subtract(before, finding.at))
    wide, high = size(shown)
    x, y = seen(shown, finding.at)
    assert 0.2 * wide < x < 0.8 * wide and 0.2 * high < y < 0.8 * high
    words = shown.browser.run("[...document.querySelectorAll('#overlay text')].map(t => t.textContent)")
    assert "4.00 mm, 0.10 allowed" in words
    assert finding.message in shown.browser.run("document.querySelector('.held').textContent")
    assert shown.browser.run("scrieve.stage.canvas.extras.length") == sum(
        type(mark).__name__ == "Region" for mark in finding.evidence
    )


def test_steps_advance_their_parts_move_and_ticks_stay(desk):
    shown, run = desk, desk.browser.run
    settled(shown, "document.querySelector('#tab-steps').click()")
    steps = shown.boat.steps
    number = next(step.number for step in steps if step.kind == "core" and step.adds)
    shown.browser.run(f"scrieve.stage.takeStep({number}, {{share: 0.5}}); scrieve.stage.moving = false; 0")
    run(SETTLED)
    moved = run("[...scrieve.stage.shown.offsets].filter(v => v).length")
    assert moved and run("scrieve.stage.drawn.drawn.length")
    settled(shown, f"scrieve.stage.takeStep({number})")
    assert run("scrieve.stage.hand.share") == 1 and run("[...scrieve.stage.shown.offsets].every(v => !v)")
    assert run("document.querySelector('h2').textContent") == steps[number - 1].title
    for expected in (number + 1, number + 2):
        settled(shown, "document.querySelector('#walk .main').click()")
        assert run("scrieve.stage.hand.step") == expected
        assert steps[expected - 1].title in run("document.querySelector('#page').textContent")
    run("document.querySelector('#done').click(); 0")
    shown.browser.ask("Page.reload")
    run("new Promise(done => document.readyState === 'complete' ? done() : addEventListener('load', done))")
    run(SETTLED)
    settled(shown, f"scrieve.stage.takeStep({number + 2})")
    assert run("document.querySelector('#done').checked") and "1 of" in run(
        "document.querySelector('#counted').textContent"
    )
    run("document.querySelector('#done').click(); 0")


def test_a_part_is_found_by_its_label_and_its_card_says_how_it_is_drilled(desk):
    shown, run = desk, desk.browser.run
    run("document.querySelector('#tab-parts').click(); 0")
    run("var field = document.querySelector('#search'); field.value = 'f4 chine port gusset'; 0")
    run("field.dispatchEvent(new Event('input')); 0")
    settled(shown, "document.querySelector('.found button').click()")
    (body,) = run("[...scrieve.stage.shown.chosen]")
    name = bodies_of(shown.boat.assembly)[body].name
    assert name.startswith("F4 port chine gusset") and run("document.querySelector('.head h2').textContent") == name
    card = run("document.querySelector('#page').textContent")
    frame = next(frame for frame in shown.boat.assembly.frames if frame.number == "4")
    part = next(part for part in frame.parts if part.name == name)
    driving = next(d for step in shown.boat.steps for d in step.screws if step.frame == "4")
    assert part.stock in card and f"{driving.stop:.1f} mm deep" in card and driving.size in card
    assert run("scrieve.stage.shown.states.filter(s => s === 'shown').length") == 1
    run("document.querySelector('#alone').click(); 0")
    assert run("scrieve.stage.shown.states.filter(s => s === 'shown').length") > 100


def test_fingers_turn_slide_near_and_pick_the_boat(phone):
    shown = phone
    wide, high = size(shown)
    middle = (wide / 2, high / 2)
    before = shown.browser.run("scrieve.camera.view")
    touch(shown, ("touchStart", [middle]), ("touchMove", [(wide / 2 + 60, high / 2 + 20)]), ("touchEnd", []))
    turned = shown.browser.run("scrieve.camera.view")
    assert turned["q"] != before["q"] and turned["far"] == before["far"]
    apart = [[(wide / 2 - r, high / 2), (wide / 2 + r, high / 2)] for r in (40, 60, 80)]
    touch(shown, ("touchStart", apart[0]), ("touchMove", apart[1]), ("touchMove", apart[2]), ("touchEnd", []))
    nearer = shown.browser.run("scrieve.camera.view")
    assert nearer["far"] == pytest.approx(turned["far"] / 2, rel=0.05) and nearer["q"] == turned["q"]
    # the transom is what one meets from astern
    settled(shown, "scrieve.stage.look('aft')")
    place = seen(shown, (190, 60, 620))
    touch(shown, ("touchStart", [place]), ("touchEnd", []))
    assert shown.browser.run("document.querySelector('.head h2')?.textContent") == "F1 transom"


def test_a_mouse_turns_slides_and_nears_the_boat_and_keys_walk_the_steps(desk):
    shown = desk

    def mouse(kind: str, x: float, y: float, button: str = "none", **more: float) -> None:
        held = {"left": 1, "right": 2}.get(button, 0)
        shown.browser.ask(
            "Input.dispatchMouseEvent", type=kind, x=x, y=y, button=button, buttons=held, clickCount=1, **more
        )

    def view() -> dict[str, Any]:
        return dict(shown.browser.run("scrieve.camera.view"))

    views = [view()]
    for button in ("left", "right"):
        mouse("mousePressed", 300, 300, button)
        mouse("mouseMoved", 360, 320, button)
        mouse("mouseReleased", 360, 320, button)
        views.append(view())
    mouse("mouseWheel", 300, 300, deltaX=0, deltaY=-100)
    views.append(view())
    whole, turned, slid, nearer = views
    assert turned["q"] != whole["q"] and turned["target"] == whole["target"]
    assert slid["q"] == turned["q"] and slid["target"] != turned["target"] and slid["far"] == turned["far"]
    assert nearer["far"] < slid["far"] and nearer["q"] == slid["q"]
    settled(shown, "scrieve.stage.takeStep(3)")
    for key, step in (("ArrowRight", 4), ("ArrowLeft", 3)):
        shown.browser.ask("Input.dispatchKeyEvent", type="keyDown", key=key)
        assert shown.browser.run("scrieve.stage.hand.step") == step


def test_text_from_a_plan_is_shown_and_never_run(opened):
    part = making.part(EVIL, making.rectangle(0, 0, 100, 60))
    boat = replace(making.assembly([making.frame([part])]), name=EVIL)
    finding = making.finding(message=EVIL, cure=EVIL, frame="5", parts=(part.name,), level=Level.ERROR, at=(2306, 5, 5))
    text = page(SharedBoat(assembly=boat, findings=(finding,), steps=()))
    assert "<script>globalThis" not in text and "\u202e" not in text
    file = opened.home / "evil.html"
    file.write_text(text, encoding="utf-8")
    opened.browser.events.clear()
    opened.browser.open(file, 900, 700)
    for act in (
        "document.querySelector('#tab-findings').click()",
        "scrieve.stage.takeFinding(0)",
        "scrieve.stage.takeBody(0)",
    ):
        settled(opened, act)
    assert "<script>globalThis.owned" in opened.browser.run("document.querySelector('.head h2').textContent")
    assert opened.browser.run("typeof globalThis.owned") == "undefined"
    assert opened.browser.run("document.querySelectorAll('img').length") == 0


def test_a_plan_with_nothing_in_it_yet_has_a_page_too(opened):
    file = opened.home / "nothing.html"
    boat = SharedBoat(assembly=replace(making.assembly([]), strongback=None), findings=(), steps=())
    file.write_text(page(boat), encoding="utf-8")
    opened.browser.events.clear()
    opened.browser.open(file, 900, 700)
    for tab in ("steps", "findings", "parts", "boat"):
        settled(opened, f"scrieve.panel.open('{tab}')")
    assert opened.browser.told("Runtime.exceptionThrown") == []
    assert opened.browser.run("document.querySelector('#word').hidden")


# ---- the verb


def test_the_verb_writes_the_page_and_says_so(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run(["share", str(HULLS / "pram"), "pram.html"]) == 0
    assert re.match(r"wrote pram\.html: \d+ steps, \d+ findings, 0\.\d MB\n", capsys.readouterr().out)
    assert "Burdock" in Path("pram.html").read_text(encoding="utf-8")
    assert run(["share", str(HULLS / "pram"), "pram.html"]) == 2
    assert "--replace" in capsys.readouterr().err
    assert run(["share", str(HULLS / "pram"), "pram.pdf"]) == 2
    assert "a name ending in .html is wanted" in capsys.readouterr().err
