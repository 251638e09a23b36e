// Where the eye is: `q` turns the picture's axes into the hull's, `target` is what it looks at, `far` mm before it.

const UPRIGHT = [0, 0, 1];

function axesOf(toward, up) {
  const back = unit(toward);
  let right = cross(up, back);
  if (length(right) < 1e-6) right = cross(Math.abs(back[0]) < 0.5 ? [1, 0, 0] : UPRIGHT, back);
  right = unit(right);
  return [right, cross(back, right), back];
}

class Camera {
  constructor(angle, changed) {
    this.tangent = Math.tan((angle * Math.PI) / 360);
    this.changed = changed;
    this.vertical = UPRIGHT;
    this.size = [1, 1];
    this.view = { q: [0, 0, 0, 1], target: [0, 0, 0], far: 1000 };
    this.flight = null;
  }

  get axes() {
    return [
      [1, 0, 0],
      [0, 1, 0],
      [0, 0, 1],
    ].map((axis) => turned(this.view.q, axis));
  }

  get eye() {
    return add(this.view.target, times(this.axes[2], this.view.far));
  }

  // The nearest view from a direction (towards the eye) that just holds all points, `room` left free at each edge.
  holding(toward, up, points, room = 0.05) {
    const [right, over, back] = axesOf(toward, up);
    const aspect = this.size[0] / this.size[1];
    const wedge = (axis, tangent) => {
      let [low, high] = [-Infinity, -Infinity];
      for (const p of points) {
        const [along, behind] = [dot(p, axis), dot(p, back)];
        low = Math.max(low, -along + behind * tangent);
        high = Math.max(high, along + behind * tangent);
      }
      return { far: (low + high) / (2 * tangent), middle: (high - low) / 2 };
    };
    const [across, upright] = [
      wedge(right, this.tangent * aspect * (1 - 2 * room)),
      wedge(over, this.tangent * (1 - 2 * room)),
    ];
    let [least, most] = [Infinity, -Infinity];
    for (const p of points) {
      least = Math.min(least, dot(p, back));
      most = Math.max(most, dot(p, back));
    }
    const far = Math.max(across.far, upright.far, most + 5);
    const target = add(add(times(right, across.middle), times(over, upright.middle)), times(back, (least + most) / 2));
    return { q: fromAxes(right, over, back), target, far: far - (least + most) / 2 };
  }

  fly(to, { vertical = UPRIGHT, at = false } = {}) {
    this.vertical = vertical;
    if (at || matchMedia("(prefers-reduced-motion: reduce)").matches) {
      this.flight = null;
      this.view = to;
    } else {
      this.flight = { from: this.view, to, began: performance.now() };
    }
    this.changed();
  }

  // Moves on along a flight; whether it goes on.
  step(now) {
    if (!this.flight) return false;
    const { from, to, began } = this.flight;
    const t = clamp((now - began) / 550, 0, 1);
    const s = t * t * (3 - 2 * t);
    this.view = {
      q: between(from.q, to.q, s),
      target: mix(from.target, to.target, s),
      far: Math.exp((1 - s) * Math.log(from.far) + s * Math.log(to.far)),
    };
    if (t >= 1) this.flight = null;
    return t < 1;
  }

  turn(dx, dy) {
    this.flight = null;
    const speed = Math.PI / Math.min(...this.size);
    const [right, , back] = this.axes;
    const height = Math.asin(clamp(dot(back, this.vertical), -1, 1));
    const over = clamp(height + dy * speed, -1.5, 1.5) - height;
    const q = after(about(right, -over), this.view.q);
    this.view = { ...this.view, q: after(about(this.vertical, -dx * speed), q) };
    this.changed();
  }

  slide(dx, dy) {
    this.flight = null;
    const point = (2 * this.tangent * this.view.far) / this.size[1];
    const [right, over] = this.axes;
    this.view = {
      ...this.view,
      target: add(this.view.target, add(times(right, -dx * point), times(over, dy * point))),
    };
    this.changed();
  }

  // Nearer by a factor, the place under (x, y) of the picture staying where it is.
  near(factor, x, y) {
    this.flight = null;
    const far = clamp(this.view.far * factor, 15, 200000);
    const share = 1 - far / this.view.far;
    const point = (2 * this.tangent * this.view.far) / this.size[1];
    const [right, over] = this.axes;
    const way = add(times(right, (x - this.size[0] / 2) * point), times(over, (this.size[1] / 2 - y) * point));
    this.view = { ...this.view, far, target: add(this.view.target, times(way, share)) };
    this.changed();
  }

  // The way from the eye through a place of the picture.
  sight(x, y) {
    const [right, over, back] = this.axes;
    const point = (2 * this.tangent) / this.size[1];
    return unit(
      sub(add(times(right, (x - this.size[0] / 2) * point), times(over, (this.size[1] / 2 - y) * point)), back),
    );
  }

  // Where a place of the boat is in the picture, [x, y]; null behind the eye.
  seen(place) {
    const [right, over, back] = this.axes;
    const off = sub(place, this.eye);
    const depth = -dot(off, back);
    if (depth <= 1) return null;
    const scale = this.size[1] / (2 * this.tangent * depth);
    return [this.size[0] / 2 + dot(off, right) * scale, this.size[1] / 2 - dot(off, over) * scale];
  }

  // The matrices for what lies in a ball.
  lens(middle, radius) {
    const [right, over, back] = this.axes;
    const { eye } = this;
    const depth = dot(sub(eye, middle), back);
    const near = Math.max(depth - radius, this.view.far * 0.02, 2);
    const end = Math.max(depth + radius, near * 2);
    const aspect = this.size[0] / this.size[1];
    const viewing = [right, over, back].reduce((m, axis, n) => {
      m[n] = axis[0];
      m[n + 4] = axis[1];
      m[n + 8] = axis[2];
      m[n + 12] = -dot(axis, eye);
      return m;
    }, new Float32Array(16));
    viewing[15] = 1;
    const projecting = new Float32Array(16);
    projecting[0] = 1 / (this.tangent * aspect);
    projecting[5] = 1 / this.tangent;
    projecting[10] = -(end + near) / (end - near);
    projecting[11] = -1;
    projecting[14] = (-2 * end * near) / (end - near);
    return { viewing, projecting, near };
  }
}

// Fingers and mouse: one turns, two slide and near, a short touch is handed to `tap`.
function gestures(element, camera, tap) {
  const down = new Map();
  let moved = 0;
  const place = (event) => {
    const box = element.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };
  element.addEventListener("pointerdown", (event) => {
    element.setPointerCapture(event.pointerId);
    if (!down.size) moved = 0;
    down.set(event.pointerId, place(event));
    if (down.size > 1) moved = Infinity;
  });
  element.addEventListener("pointermove", (event) => {
    const before = down.get(event.pointerId);
    if (!before) return;
    const now = place(event);
    const [dx, dy] = [now[0] - before[0], now[1] - before[1]];
    moved += Math.hypot(dx, dy);
    if (down.size === 2) {
      const other = [...down].find(([id]) => id !== event.pointerId)[1];
      const apart = (p) => Math.max(Math.hypot(p[0] - other[0], p[1] - other[1]), 10);
      camera.slide(dx / 2, dy / 2);
      camera.near(apart(before) / apart(now), (now[0] + other[0]) / 2, (now[1] + other[1]) / 2);
    } else if (event.buttons & 6 || event.shiftKey) {
      camera.slide(dx, dy);
    } else if (moved > 4) {
      camera.turn(dx, dy);
    }
    down.set(event.pointerId, now);
  });
  const up = (event) => {
    const at = down.get(event.pointerId);
    down.delete(event.pointerId);
    if (at && event.type === "pointerup" && moved <= 8 && event.button === 0) tap(...at);
  };
  element.addEventListener("pointerup", up);
  element.addEventListener("pointercancel", up);
  element.addEventListener("contextmenu", (event) => event.preventDefault());
  element.addEventListener(
    "wheel",
    (event) => {
      event.preventDefault();
      camera.near(Math.exp(clamp(event.deltaY, -100, 100) * 0.003), ...place(event));
    },
    { passive: false },
  );
}
