// What is in hand, and what that makes of the picture.

const SIDES = {
  quarter: [[-0.78, 0.62, 0.42], UPRIGHT],
  bow: [[0.78, 0.62, 0.42], UPRIGHT],
  side: [[0, 1, 0.0001], UPRIGHT],
  aft: [[-1, 0, 0.0001], UPRIGHT],
  above: [[0, 0, 1], [0, 1, 0]],
};
const STANDING = [0.78, -0.62, 0.42];
const COMING = 1100; // milliseconds that what a step adds takes to its place
const RESTING = 900; // from there to the next step, while they are played

class Stage {
  constructor(content, boat, parts) {
    Object.assign(this, { content, boat, ...parts });
    this.hand = { tab: "boat", frame: "", others: "faded", step: 0, share: 1, finding: -1, body: -1, alone: false, faint: content.look.faded };
    this.listeners = [];
    this.waiting = false;
    this.playing = false;
    this.firstPicture = 0;
    this.sets = new Map();
    const all = boat.bodies.filter((body) => body.kind !== "dowel");
    this.low = [0, 1, 2].map((k) => Math.min(...all.map((body) => body.low[k])));
    this.high = [0, 1, 2].map((k) => Math.max(...all.map((body) => body.high[k])));
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
    if (frame) this.fly([-1, 0.25, 0.3], UPRIGHT, this.pointsOf(this.boat.bodies.filter((body) => body.frame === frame && body.kind !== "dowel")));
    else this.look("quarter");
  }

  takeBody(body, { fly = false } = {}) {
    if (fly) {
      this.stop();
      this.take({ body, step: 0, share: 1, finding: -1, frame: "", alone: true, tab: "parts" });
      const { kind, frame } = this.boat.bodies[body];
      const points = this.pointsOf([this.boat.bodies[body]]);
      const toward = kind === "batten" || kind === "rail" ? [-0.5, 0.8, 0.5] : [-1, 0.35 * Math.sign(points[0][1] || 1), 0.35];
      const about = kind === "screw" || kind === "dowel" ? points.flatMap((p) => [add(p, [-40, -60, -60]), add(p, [40, 60, 60])]) : points;
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
    this.take({ step: number, share: step.adds ? share : 1, finding: -1, body: -1, alone: false, frame: "", tab: "steps" });
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
    const [toward, up] = SIDES[side];
    const { size } = this.camera; // a tall picture wants the boat more from her end
    this.fly(side === "quarter" && size[0] < size[1] ? [-0.9, 0.4, 0.55] : toward, up, this.pointsOf(wanted), 0.06);
  }

  lookAtStep(step) {
    if (step.bench === null) return this.fly(STANDING, UPRIGHT, this.pointsOf(this.boat.bodies.filter((body) => body.kind !== "dowel")));
    const { up, foot } = this.content.benches[step.bench];
    const legs = step.scene.endsWith("legs");
    const own = this.boat.bodies.filter((body) => body.frame === step.frame && (legs || body.kind !== "leg") && body.kind !== "screw");
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
      for (let n = 3 * point; n < 3 * (point + points); n += 3) out.push([this.boat.points[n], this.boat.points[n + 1], this.boat.points[n + 2]]);
    }
    return out.length ? out : [this.low ?? [0, 0, 0], this.high ?? [0, 0, 0]];
  }

  tap(x, y) {
    const near = this.marks.map(({ at, finding }) => [this.camera.seen(at), finding])
      .filter(([seen]) => seen && Math.hypot(seen[0] - x, seen[1] - y) < 20)
      .sort(([a], [b]) => Math.hypot(a[0] - x, a[1] - y) - Math.hypot(b[0] - x, b[1] - y));
    if (near.length && this.hand.finding < 0) return this.takeFinding(near[0][1]);
    const { states } = this.shown;
    const found = met(this.boat, this.camera.eye, this.camera.sight(x, y), this.shown.offsets, (n) => ["shown", "glass", "piece"].includes(states[n]));
    return this.takeBody(found ?? -1);
  }

  // ---- what is seen

  runs(of, key) {
    const name = `${of} ${key}`;
    if (!this.sets.has(name)) this.sets.set(name, members(this.content[of.split(" ")[0]][Number(of.split(" ")[1])][key]));
    return this.sets.get(name);
  }

  arrange() {
    const { hand, content, boat } = this;
    const { look } = content;
    const step = content.steps[hand.step - 1];
    const finding = content.findings[hand.finding];
    const offsets = new Float32Array(3 * boat.bodies.length);
    const pieces = new Map();
    const extras = [];
    let chosen = new Set();
    let clear = 0.6;
    let states = boat.bodies.map(({ kind, frame }) => {
      if (kind === "dowel") return "hidden";
      return hand.frame && frame !== hand.frame ? hand.others : "shown";
    });
    if (step) {
      const [shown, faint] = [this.runs(`steps ${hand.step - 1}`, "shown"), this.runs(`steps ${hand.step - 1}`, "faint")];
      states = boat.bodies.map(({ n }) => (shown.has(n) ? "shown" : faint.has(n) ? "faded" : "hidden"));
      for (const [moves, share] of [[step.rest, 1], [step.ways, 1 - hand.share]]) {
        for (const [x, y, z, ...own] of moves) for (const n of own) [x, y, z].forEach((v, k) => (offsets[3 * n + k] += v * share));
      }
      chosen = new Set(hand.share < 1 ? step.coming.filter((n) => boat.bodies[n].kind !== "screw") : []);
      if (step.bench !== null) extras.push(...this.board(step.bench));
    } else if (finding) {
      const [shown, glass, hidden] = ["shown", "glass", "hidden"].map((key) => this.runs(`findings ${hand.finding}`, key));
      states = boat.bodies.map(({ n }) => (shown.has(n) ? "shown" : glass.has(n) ? "glass" : hidden.has(n) ? "hidden" : "faded"));
      clear = finding.clear;
      for (const [n, from, to] of finding.close?.pieces ?? []) {
        states[n] = "piece";
        pieces.set(n, [from, to]);
      }
      extras.push(...this.signs(finding.close));
    }
    if (hand.body >= 0) {
      chosen = new Set([hand.body]);
      if (states[hand.body] === "hidden" || states[hand.body] === "faded") states[hand.body] = "shown";
      if (hand.alone) states = states.map((state, n) => (n === hand.body || state === "hidden" ? state : "faded"));
    }
    const seconds = new Set(finding?.seconds ?? []);
    const colours = boat.bodies.map(({ n, kind }) => rgb((seconds.has(n) ? look.second : look.colours)[kind]));
    this.shown = { states, offsets, colours, chosen, pieces, clear };
    this.canvas.show(this.shown);
    const about = `${hand.finding} ${step ? step.bench : -1}`;
    if (about !== this.about) this.canvas.put(extras);
    this.about = about;
    this.drawn = this.overlaid(step, finding);
    this.changed();
  }

  // The assembly board: its sheet, its lines, and the holes, those of the frame's own dowels filled.
  board(number) {
    const { look, benches } = this.content;
    const bench = benches[number];
    const { up } = bench;
    const [right, over] = axesOf(up, Math.abs(up[2]) > 0.9 ? [1, 0, 0] : UPRIGHT);
    const flat = (holes, filled) => {
      const made = { points: [], triangles: [], edges: [] };
      for (const [x, y, z, radius] of holes) {
        const start = made.points.length / 3;
        for (let n = 0; n < 20; n++) {
          const turn = (Math.PI * n) / 10;
          made.points.push(...add([x, y, z], add(times(right, Math.cos(turn) * radius), times(over, Math.sin(turn) * radius))));
          made.edges.push(start + n, start + ((n + 1) % 20));
          if (filled && n > 1) made.triangles.push(start, start + n - 1, start + n);
        }
      }
      return { points: Float32Array.from(made.points), triangles: Uint32Array.from(made.triangles), edges: Uint32Array.from(made.edges) };
    };
    const ends = bench.rules.length / 3;
    const rules = { points: Float32Array.from(bench.rules), triangles: new Uint32Array(), edges: Uint32Array.from({ length: ends }, (_, n) => n) };
    return [
      { mesh: small(bench.mesh), tint: look.board, lines: [[look.water, 1, 1]] },
      { mesh: rules, lines: [[look.ink, 1, 0.5]] },
      { mesh: flat(bench.holes.filter((hole) => !hole[4]), false), lines: [[look.ink, 1, 0.35]] },
      { mesh: flat(bench.holes.filter((hole) => hole[4]), true), tint: look.hole, lines: [[look.ink, 1.4, 1]] },
    ];
  }

  // What is not there, and what two things both want.
  signs(close) {
    const { look } = this.content;
    const ghosts = (close?.ghosts ?? []).map((mesh) => ({
      mesh: small(mesh), tint: look.strong, opacity: look.ghost, last: true, lines: [[look.paper, 5, 1, true], [look.strong, 2, 1, true]],
    }));
    const shared = close?.shared ? [{
      mesh: small(close.shared), tint: look.strong, over: true, hatch: 9, last: true, rim: [[look.ink, 4, 1]], lines: [[look.ink, 0.8, 0.5]],
    }] : [];
    return [...ghosts, ...shared];
  }

  overlaid(step, finding) {
    const { look, findings } = this.content;
    const drawn = [];
    const labels = [];
    this.marks = [];
    if (step) {
      if (this.hand.share < 1) for (const ends of this.ways(step)) {
        drawn.push({ what: "line", path: ends, colour: look.chosen, width: 2, dashed: true });
        drawn.push({ what: "arrow", path: ends, colour: look.chosen, shaft: false });
      }
      return { drawn, labels };
    }
    if (finding?.close) {
      const { close } = finding;
      const line = (path, colour) => ({ what: "line", path, colour });
      drawn.push(...close.strokes.map((path) => line(path, look.strong)), ...close.inked.map((path) => line(path, look.ink)));
      drawn.push(...close.arrows.map((path) => ({ what: "arrow", path, colour: look.strong })));
      if (close.gap) drawn.push({ what: "gap", ends: close.gap, colour: look.strong });
      drawn.push({ what: "form", at: close.at, corners: finding.corners, colour: finding.colour, size: 26 });
      if (finding.measure) {
        const at = close.gap ? mix(close.gap[0], close.gap[1], 0.5) : close.at;
        labels.push({ text: finding.measure, at, manner: finding.colour === look.strong ? "strong" : "measure", below: 40 });
      }
      labels.push(...close.words.map(([text, at]) => ({ text, at, off: true })));
      labels.push(...close.names.map(([text, at, off]) => ({ text, at, off })));
      return { drawn, labels };
    }
    if (this.hand.body >= 0 || finding) return { drawn, labels };
    const few = findings.filter((each) => each.close && each.level !== "note" && !each.waived).length <= 12;
    findings.forEach((each, n) => {
      if (!each.close || each.level === "note" || each.waived) return;
      if (this.hand.frame && this.hand.others !== "shown" && each.frame !== this.hand.frame) return;
      const { at } = each.close;
      this.marks.push({ at, finding: n });
      drawn.push({ what: "form", at, corners: each.corners, colour: each.colour, size: few ? 13 : 8, dot: each.level === "error" });
    });
    for (const { number } of this.content.frames) {
      if (this.hand.frame && number !== this.hand.frame) continue;
      labels.push({ text: `F${number}`, at: this.sheerEnd(number), off: true, close: true });
    }
    return { drawn, labels };
  }

  // The ways of what comes at a step, from where it is now to its place; one for all that comes alike.
  ways(step) {
    return step.ways.map(([x, y, z, ...own]) => {
      const bodies = own.map((n) => this.boat.bodies[n]).filter((body) => body.kind !== "screw");
      if (!bodies.length) return null;
      const points = this.pointsOf(bodies);
      const middle = times(points.reduce(add), 1 / points.length);
      const at = points.reduce((best, p) => (length(sub(p, middle)) < length(sub(best, middle)) ? p : best));
      const rest = step.rest.find((moves) => moves.indexOf(own[0], 3) >= 3) ?? [0, 0, 0];
      const end = add(at, rest.slice(0, 3));
      return [add(end, times([x, y, z], 1 - this.hand.share)), end];
    }).filter((ends) => ends && length(sub(...ends)) > 1);
  }

  sheerEnd(number) {
    this.ends ??= new Map();
    if (!this.ends.has(number)) {
      const points = this.pointsOf(this.boat.bodies.filter((body) => body.frame === number && body.kind !== "screw" && body.kind !== "dowel"));
      this.ends.set(number, points.reduce((best, p) => (p[2] + 0.4 * p[1] > best[2] + 0.4 * best[1] ? p : best)));
    }
    return this.ends.get(number);
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
    this.canvas.draw(this.camera.lens(middle, length(sub(this.high, middle)) + 600), { clear: this.shown.clear, faded: this.hand.faint });
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
