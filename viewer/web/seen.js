// What is in hand as the picture has it: how each body is seen, what is drawn besides, what lies over it all.

// Runs of numbers as a set, each made once.
const unrolled = new Map();

function membersOf(runs) {
  if (!unrolled.has(runs)) unrolled.set(runs, members(runs));
  return unrolled.get(runs);
}

// For `Canvas.show`.
function seenNow({ hand, content, boat }, step, finding) {
  const { look } = content;
  const offsets = new Float32Array(3 * boat.bodies.length);
  const pieces = new Map();
  let chosen = new Set();
  let clear = 0.6;
  let states = boat.bodies.map(({ kind, frame }) => {
    if (kind === "dowel") return "hidden";
    return hand.frame && frame !== hand.frame ? hand.others : "shown";
  });
  if (step) {
    const [shown, faint] = [membersOf(step.shown), membersOf(step.faint)];
    states = boat.bodies.map(({ n }) => (shown.has(n) ? "shown" : faint.has(n) ? "faded" : "hidden"));
    for (const [moves, share] of [
      [step.rest, 1],
      [step.ways, 1 - hand.share],
    ]) {
      for (const [x, y, z, ...own] of moves)
        for (const n of own) [x, y, z].forEach((v, k) => (offsets[3 * n + k] += v * share));
    }
    chosen = new Set(hand.share < 1 ? step.coming.filter((n) => boat.bodies[n].kind !== "screw") : []);
  } else if (finding) {
    const [shown, glass, hidden] = [finding.shown, finding.glass, finding.hidden].map(membersOf);
    states = boat.bodies.map(({ n }) =>
      shown.has(n) ? "shown" : glass.has(n) ? "glass" : hidden.has(n) ? "hidden" : "faded",
    );
    clear = finding.clear;
    for (const [n, from, to] of finding.close?.pieces ?? []) {
      states[n] = "piece";
      pieces.set(n, [from, to]);
    }
  }
  if (hand.body >= 0) {
    chosen = new Set([hand.body]);
    if (states[hand.body] === "hidden" || states[hand.body] === "faded") states[hand.body] = "shown";
    if (hand.alone) states = states.map((state, n) => (n === hand.body || state === "hidden" ? state : "faded"));
  }
  const seconds = new Set(finding?.seconds ?? []);
  const colours = boat.bodies.map(({ n, kind }) => rgb((seconds.has(n) ? look.second : look.colours)[kind]));
  return { states, offsets, colours, chosen, pieces, clear };
}

// The assembly board: its sheet, its lines, and the holes, those of the frame's own dowels filled.
function benchDrawn(bench, look) {
  const { up } = bench;
  const [right, over] = axesOf(up, Math.abs(up[2]) > 0.9 ? [1, 0, 0] : UPRIGHT);
  const flat = (holes, filled) => {
    const made = { points: [], triangles: [], edges: [] };
    for (const [x, y, z, radius] of holes) {
      const start = made.points.length / 3;
      for (let n = 0; n < 20; n++) {
        const turn = (Math.PI * n) / 10;
        made.points.push(
          ...add([x, y, z], add(times(right, Math.cos(turn) * radius), times(over, Math.sin(turn) * radius))),
        );
        made.edges.push(start + n, start + ((n + 1) % 20));
        if (filled && n > 1) made.triangles.push(start, start + n - 1, start + n);
      }
    }
    return {
      points: Float32Array.from(made.points),
      triangles: Uint32Array.from(made.triangles),
      edges: Uint32Array.from(made.edges),
    };
  };
  const ends = bench.rules.length / 3;
  const rules = {
    points: Float32Array.from(bench.rules),
    triangles: new Uint32Array(),
    edges: Uint32Array.from({ length: ends }, (_, n) => n),
  };
  return [
    { mesh: small(bench.mesh), tint: look.board, lines: [[look.water, 1, 1]] },
    { mesh: rules, lines: [[look.ink, 1, 0.5]] },
    {
      mesh: flat(
        bench.holes.filter((hole) => !hole[4]),
        false,
      ),
      lines: [[look.ink, 1, 0.35]],
    },
    {
      mesh: flat(
        bench.holes.filter((hole) => hole[4]),
        true,
      ),
      tint: look.hole,
      lines: [[look.ink, 1.4, 1]],
    },
  ];
}

// What is not there, and what two things both want.
function signsDrawn(close, look) {
  const ghosts = (close?.ghosts ?? []).map((mesh) => ({
    mesh: small(mesh),
    tint: look.strong,
    opacity: look.ghost,
    last: true,
    lines: [
      [look.paper, 5, 1, true],
      [look.strong, 2, 1, true],
    ],
  }));
  const shared = close?.shared
    ? [
        {
          mesh: small(close.shared),
          tint: look.strong,
          over: true,
          hatch: 9,
          last: true,
          rim: [[look.ink, 4, 1]],
          lines: [[look.ink, 0.8, 0.5]],
        },
      ]
    : [];
  return [...ghosts, ...shared];
}

// Lines, forms and words for `Overlay.draw`, and which findings can be touched.
function overlaid(stage, step, finding) {
  const { look, findings } = stage.content;
  const drawn = [];
  const labels = [];
  stage.marks = [];
  if (step) {
    if (stage.hand.share < 1)
      for (const ends of waysOf(stage, step)) {
        drawn.push({ what: "line", path: ends, colour: look.chosen, width: 2, dashed: true });
        drawn.push({ what: "arrow", path: ends, colour: look.chosen, shaft: false });
      }
    return { drawn, labels };
  }
  if (finding?.close) {
    const { close } = finding;
    const line = (path, colour) => ({ what: "line", path, colour });
    drawn.push(
      ...close.strokes.map((path) => line(path, look.strong)),
      ...close.inked.map((path) => line(path, look.ink)),
    );
    drawn.push(...close.arrows.map((path) => ({ what: "arrow", path, colour: look.strong })));
    if (close.gap) drawn.push({ what: "gap", ends: close.gap, colour: look.strong });
    drawn.push({ what: "form", at: close.at, corners: finding.corners, colour: finding.colour, size: 26 });
    if (finding.measure) {
      const at = close.gap ? mix(close.gap[0], close.gap[1], 0.5) : close.at;
      labels.push({
        text: finding.measure,
        at,
        manner: finding.colour === look.strong ? "strong" : "measure",
        below: 40,
      });
    }
    labels.push(...close.words.map(([text, at]) => ({ text, at, off: true })));
    labels.push(...close.names.map(([text, at, off]) => ({ text, at, off })));
    return { drawn, labels };
  }
  if (stage.hand.body >= 0 || finding) return { drawn, labels };
  const few = findings.filter((each) => each.close && each.level !== "note" && !each.waived).length <= 12;
  findings.forEach((each, n) => {
    if (!each.close || each.level === "note" || each.waived) return;
    if (stage.hand.frame && stage.hand.others !== "shown" && each.frame !== stage.hand.frame) return;
    const { at } = each.close;
    stage.marks.push({ at, finding: n });
    drawn.push({
      what: "form",
      at,
      corners: each.corners,
      colour: each.colour,
      size: few ? 13 : 8,
      dot: each.level === "error",
    });
  });
  for (const { number } of stage.content.frames) {
    if (stage.hand.frame && number !== stage.hand.frame) continue;
    labels.push({ text: `F${number}`, at: sheerEnd(stage, number), off: true, close: true });
  }
  return { drawn, labels };
}

// The ways of what comes at a step, from where it is now to its place; one for all that comes alike.
function waysOf(stage, step) {
  return step.ways
    .map(([x, y, z, ...own]) => {
      const bodies = own.map((n) => stage.boat.bodies[n]).filter((body) => body.kind !== "screw");
      if (!bodies.length) return null;
      const points = stage.pointsOf(bodies);
      const middle = times(points.reduce(add), 1 / points.length);
      const at = points.reduce((best, p) => (length(sub(p, middle)) < length(sub(best, middle)) ? p : best));
      const rest = step.rest.find((moves) => moves.indexOf(own[0], 3) >= 3) ?? [0, 0, 0];
      const end = add(at, rest.slice(0, 3));
      return [add(end, times([x, y, z], 1 - stage.hand.share)), end];
    })
    .filter((ends) => ends && length(sub(...ends)) > 1);
}

function sheerEnd(stage, number) {
  stage.ends ??= new Map();
  if (!stage.ends.has(number)) {
    const points = stage.pointsOf(
      stage.boat.bodies.filter((body) => body.frame === number && body.kind !== "screw" && body.kind !== "dowel"),
    );
    stage.ends.set(
      number,
      points.reduce((best, p) => (p[2] + 0.4 * p[1] > best[2] + 0.4 * best[1] ? p : best)),
    );
  }
  return stage.ends.get(number);
}
