// What is in hand, and what that makes of the picture.

const COMING = 1100; // milliseconds that what a step adds takes to its place
const RESTING = 900; // from there to the next step, while they are played

class Stage {
  constructor(content, boat, parts) {
    Object.assign(this, { content, boat, ...parts });
    this.hand = {
      tab: "boat",
      frame: "",
      others: "faded",
      step: 0,
      share: 1,
      finding: -1,
      body: -1,
      alone: false,
      faint: content.look.faded,
    };
    this.listeners = [];
    this.waiting = false;
    this.playing = false;
    this.firstPicture = 0;
    const all = boat.bodies.filter((body) => body.kind !== "dowel" && body.points);
    this.low = [0, 1, 2].map((k) => Math.min(...all.map((body) => body.low[k])));
    this.high = [0, 1, 2].map((k) => Math.max(...all.map((body) => body.high[k])));
    if (!all.length)
      [this.low, this.high] = [
        [0, 0, 0],
        [1000, 1000, 1000],
      ]; // a plan may have nothing in it yet
    this.arrange();
  }

  // ---- what is in hand

  take(change) {
    Object.assign(this.hand, change);
    this.arrange();
    this.listeners.forEach((listener) => listener(this.hand));
  }

  whole() {
    this.stop();
    this.take({ step: 0, share: 1, finding: -1, body: -1, alone: false, frame: "" });
    this.look("quarter");
  }

  takeFrame(frame) {
    this.stop();
    this.take({ step: 0, share: 1, finding: -1, body: -1, alone: false, frame });
    if (frame)
      this.fly(
        [-1, 0.25, 0.3],
        UPRIGHT,
        this.pointsOf(this.boat.bodies.filter((body) => body.frame === frame && body.kind !== "dowel")),
      );
    else this.look("quarter");
  }

  takeBody(body, { fly = false } = {}) {
    if (fly) {
      this.stop();
      this.take({ body, step: 0, share: 1, finding: -1, frame: "", alone: true, tab: "parts" });
      const { kind, frame } = this.boat.bodies[body];
      const points = this.pointsOf([this.boat.bodies[body]]);
      const toward =
        kind === "batten" || kind === "rail" ? [-0.5, 0.8, 0.5] : [-1, 0.35 * Math.sign(points[0][1] || 1), 0.35];
      const about =
        kind === "screw" || kind === "dowel"
          ? points.flatMap((p) => [add(p, [-40, -60, -60]), add(p, [40, 60, 60])])
          : points;
      this.fly(toward, UPRIGHT, about, 0.16);
    } else this.take({ body, alone: body >= 0 && this.hand.alone });
  }

  takeFinding(finding) {
    this.stop();
    this.take({ finding, step: 0, share: 1, body: -1, alone: false, frame: "", tab: "findings" });
    const close = this.content.findings[finding]?.close;
    if (close) this.fly(close.toward, close.up, close.about, 0.07);
    else this.look("quarter");
  }

  takeStep(number, { share = 0 } = {}) {
    const step = this.content.steps[number - 1];
    const before = this.content.steps[this.hand.step - 1];
    this.take({
      step: number,
      share: step.adds ? share : 1,
      finding: -1,
      body: -1,
      alone: false,
      frame: "",
      tab: "steps",
    });
    if (before?.scene !== step.scene || this.stray) this.lookAtStep(step);
    this.stray = false;
    this.began = performance.now() - share * COMING;
    this.moving = step.adds;
    this.changed();
  }

  play() {
    this.playing = !this.playing;
    if (this.playing) {
      const last = this.content.steps.length;
      this.takeStep(this.hand.step && this.hand.step < last ? this.hand.step + (this.hand.share < 1 ? 0 : 1) : 1);
    }
    this.take({});
  }

  stop() {
    this.playing = this.moving = false;
    this.stray = true; // the next step is looked at anew
  }

  // ---- where it is looked at from

  fly(toward, up, points, room = 0.06, vertical = UPRIGHT) {
    this.camera.fly(this.camera.holding(toward, up, points, room), { vertical, at: !this.firstPicture });
  }

  look(side) {
    const { frame } = this.hand;
    const wanted = this.boat.bodies.filter((body) => body.kind !== "dowel" && (!frame || body.frame === frame));
    const [toward, up] = this.content.look.sides[side];
    const { size } = this.camera; // a tall picture wants the boat more from her end
    this.fly(side === "quarter" && size[0] < size[1] ? [-0.9, 0.4, 0.55] : toward, up, this.pointsOf(wanted), 0.06);
  }

  lookAtStep(step) {
    if (step.bench === null)
      return this.fly(
        ...this.content.look.standing,
        this.pointsOf(this.boat.bodies.filter((body) => body.kind !== "dowel")),
      );
    const { up, foot } = this.content.benches[step.bench];
    const legs = step.scene.endsWith("legs");
    const own = this.boat.bodies.filter(
      (body) => body.frame === step.frame && (legs || body.kind !== "leg") && body.kind !== "screw",
    );
    const points = this.pointsOf(own);
    return this.fly(add(times(up, 1.15), foot), up, [...points, ...points.map((p) => add(p, times(up, 90)))], 0.05, up);
  }

  // Looked at again in a picture of another size.
  refit() {
    const { step, finding, body } = this.hand;
    if (finding >= 0) this.takeFinding(finding);
    else if (step) this.lookAtStep(this.content.steps[step - 1]);
    else if (body < 0) this.look("quarter");
  }

  pointsOf(bodies) {
    const out = [];
    for (const { point, points } of bodies) {
      for (let n = 3 * point; n < 3 * (point + points); n += 3)
        out.push([this.boat.points[n], this.boat.points[n + 1], this.boat.points[n + 2]]);
    }
    return out.length ? out : [this.low ?? [0, 0, 0], this.high ?? [0, 0, 0]];
  }

  tap(x, y) {
    const near = this.marks
      .map(({ at, finding }) => [this.camera.seen(at), finding])
      .filter(([seen]) => seen && Math.hypot(seen[0] - x, seen[1] - y) < 20)
      .sort(([a], [b]) => Math.hypot(a[0] - x, a[1] - y) - Math.hypot(b[0] - x, b[1] - y));
    if (near.length && this.hand.finding < 0) return this.takeFinding(near[0][1]);
    const { states } = this.shown;
    const found = met(this.boat, this.camera.eye, this.camera.sight(x, y), this.shown.offsets, (n) =>
      ["shown", "glass", "piece"].includes(states[n]),
    );
    return this.takeBody(found ?? -1);
  }

  // ---- what is seen

  arrange() {
    const { hand, content } = this;
    const [step, finding] = [content.steps[hand.step - 1], content.findings[hand.finding]];
    this.shown = seenNow(this, step, finding);
    this.canvas.show(this.shown);
    const about = `${hand.finding} ${step ? step.bench : -1}`;
    if (about !== this.about) {
      const bench = step && step.bench !== null ? content.benches[step.bench] : null;
      this.canvas.put(bench ? benchDrawn(bench, content.look) : signsDrawn(finding?.close, content.look));
    }
    this.about = about;
    this.drawn = overlaid(this, step, finding);
    this.changed();
  }

  // ---- pictures, as they are wanted

  changed() {
    if (this.waiting || !this.camera) return;
    this.waiting = true;
    requestAnimationFrame((now) => this.picture(now));
  }

  picture(now) {
    this.waiting = false;
    let more = this.camera.step(now);
    if (this.moving) more = this.move(performance.now() - this.began) || more;
    const middle = mix(this.low, this.high, 0.5);
    this.canvas.fit(this.camera.size);
    this.canvas.draw(this.camera.lens(middle, length(sub(this.high, middle)) + 600), {
      clear: this.shown.clear,
      faded: this.hand.faint,
    });
    this.overlay.draw(this.camera, this.drawn.drawn, this.drawn.labels);
    this.firstPicture ||= performance.now();
    if (more) this.changed();
  }

  // Lets what a step adds come in; whether that goes on.
  move(past) {
    const t = clamp(past / COMING, 0, 1);
    if (this.hand.share < 1) {
      this.hand.share = t >= 1 ? 1 : t * t * (3 - 2 * t);
      this.arrange();
    }
    if (t < 1) return true;
    if (!this.playing || this.hand.step >= this.content.steps.length) {
      this.moving = false;
      if (this.playing) this.play();
      return false;
    }
    if (past > COMING + RESTING) this.takeStep(this.hand.step + 1);
    return true;
  }
}
