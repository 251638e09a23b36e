// The bodies as they were packed: all points, triangles and edges in one array each, and where each body's own begin.

function unpacked(content, text) {
  const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0)).buffer;
  let at = 0;
  const forms = content.forms.map(([points, triangles, edges, wide, step]) => {
    const Numbers = wide === 2 ? Uint16Array : Uint32Array;
    const take = (Kind, count) => {
      const taken = new Kind(bytes.slice(at, at + count * Kind.BYTES_PER_ELEMENT));
      at += taken.byteLength;
      return taken;
    };
    const form = {
      steps: take(Uint16Array, 3 * points),
      triangles: take(Numbers, 3 * triangles),
      edges: take(Numbers, 2 * edges),
      step,
    };
    at += (4 - (at % 4)) % 4;
    return form;
  });
  const total = { points: 0, triangles: 0, edges: 0 };
  const bodies = content.places.map(([form, x, y, z], n) => {
    const { steps, triangles, edges } = forms[form];
    const [name, kind, frame] = content.bodies[n];
    const body = {
      n,
      name,
      kind,
      frame,
      form: forms[form],
      at: [x, y, z],
      point: total.points,
      triangle: total.triangles,
      edge: total.edges,
    };
    body.points = steps.length / 3;
    body.triangles = triangles.length / 3;
    body.edges = edges.length / 2;
    for (const what of ["points", "triangles", "edges"]) total[what] += body[what];
    return body;
  });
  const points = new Float32Array(3 * total.points);
  const triangles = new Uint32Array(3 * total.triangles);
  const edges = new Uint32Array(2 * total.edges);
  const owner = new Float32Array(total.points);
  for (const body of bodies) {
    const { steps, step } = body.form;
    body.low = [Infinity, Infinity, Infinity];
    body.high = [-Infinity, -Infinity, -Infinity];
    for (let i = 0; i < steps.length; i++) {
      const value = body.at[i % 3] + steps[i] * step;
      points[3 * body.point + i] = value;
      body.low[i % 3] = Math.min(body.low[i % 3], value);
      body.high[i % 3] = Math.max(body.high[i % 3], value);
    }
    body.form.triangles.forEach((v, i) => (triangles[3 * body.triangle + i] = v + body.point));
    body.form.edges.forEach((v, i) => (edges[2 * body.edge + i] = v + body.point));
    owner.fill(body.n, body.point, body.point + body.points);
  }
  return { bodies, points, triangles, edges, owner };
}

// A mesh of JSON: points in hundredths of a mm.
const small = (mesh) => ({
  points: Float32Array.from(mesh.points, (v) => v / 100),
  triangles: Uint32Array.from(mesh.triangles),
  edges: Uint32Array.from(mesh.edges),
});

// [first, one past the last, ...] as a set of numbers.
function members(runs) {
  const out = new Set();
  for (let i = 0; i < runs.length; i += 2) for (let n = runs[i]; n < runs[i + 1]; n++) out.add(n);
  return out;
}

// The nearest of the bodies that a line of sight meets, or null. `offsets` (3 a body) move them, `taken(n)` says which count.
function met(boat, eye, way, offsets, taken) {
  let found = null;
  let far = Infinity;
  for (const body of boat.bodies) {
    if (!taken(body.n)) continue;
    const start = sub(eye, offsets.slice(3 * body.n, 3 * body.n + 3));
    if (!passes(start, way, body.low, body.high)) continue;
    for (let t = body.triangle; t < body.triangle + body.triangles; t++) {
      const [a, b, c] = [0, 1, 2].map((k) => {
        const p = 3 * boat.triangles[3 * t + k];
        return [boat.points[p], boat.points[p + 1], boat.points[p + 2]];
      });
      const one = sub(b, a);
      const two = sub(c, a);
      const normal = cross(way, two);
      const size = dot(one, normal);
      if (size < 1e-9) continue; // seen from behind, or along
      const off = sub(start, a);
      const u = dot(off, normal) / size;
      const side = cross(off, one);
      const v = dot(way, side) / size;
      const d = dot(two, side) / size;
      if (u >= 0 && v >= 0 && u + v <= 1 && d > 0 && d < far) [far, found] = [d, body.n];
    }
  }
  return found;
}

function passes(start, way, low, high) {
  let [from, to] = [0, Infinity];
  for (let k = 0; k < 3; k++) {
    const [a, b] = [(low[k] - 0.1 - start[k]) / way[k], (high[k] + 0.1 - start[k]) / way[k]];
    from = Math.max(from, Math.min(a, b));
    to = Math.min(to, Math.max(a, b));
  }
  return from <= to;
}
