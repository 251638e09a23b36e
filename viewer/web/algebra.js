// Vectors are arrays of three; a quaternion [x, y, z, w] turns the axes of the picture (right, up, back) into the hull's.

const add = (a, b) => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
const sub = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const times = (a, s) => [a[0] * s, a[1] * s, a[2] * s];
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const length = (a) => Math.hypot(a[0], a[1], a[2]);
const unit = (a) => times(a, 1 / (length(a) || 1));
const mix = (a, b, t) => add(times(a, 1 - t), times(b, t));
const clamp = (x, low, high) => Math.min(Math.max(x, low), high);

function turned(q, v) {
  const t = times(cross(q, v), 2);
  return add(add(v, times(t, q[3])), cross(q, t));
}

function about(axis, angle) {
  const s = Math.sin(angle / 2);
  return [axis[0] * s, axis[1] * s, axis[2] * s, Math.cos(angle / 2)];
}

// First b, then a.
function after(a, b) {
  const v = add(add(times(b, a[3]), times(a, b[3])), cross(a, b));
  const w = a[3] * b[3] - dot(a, b);
  const l = Math.hypot(v[0], v[1], v[2], w);
  return [v[0] / l, v[1] / l, v[2] / l, w / l];
}

function fromAxes(x, y, z) {
  const trace = x[0] + y[1] + z[2];
  let q;
  if (trace > 0) q = [y[2] - z[1], z[0] - x[2], x[1] - y[0], 1 + trace];
  else if (x[0] > y[1] && x[0] > z[2]) q = [1 + x[0] - y[1] - z[2], y[0] + x[1], z[0] + x[2], y[2] - z[1]];
  else if (y[1] > z[2]) q = [y[0] + x[1], 1 - x[0] + y[1] - z[2], z[1] + y[2], z[0] - x[2]];
  else q = [z[0] + x[2], z[1] + y[2], 1 - x[0] - y[1] + z[2], x[1] - y[0]];
  const l = Math.hypot(...q);
  return q.map((v) => v / l);
}

function between(a, b, t) {
  let cosine = a[0] * b[0] + a[1] * b[1] + a[2] * b[2] + a[3] * b[3];
  const to = cosine < 0 ? b.map((v) => -v) : b;
  cosine = Math.abs(cosine);
  let [p, q] = [1 - t, t];
  if (cosine < 0.9995) {
    const angle = Math.acos(cosine);
    [p, q] = [Math.sin((1 - t) * angle) / Math.sin(angle), Math.sin(t * angle) / Math.sin(angle)];
  }
  const r = a.map((v, n) => v * p + to[n] * q);
  const l = Math.hypot(...r);
  return r.map((v) => v / l);
}
