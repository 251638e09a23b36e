// What is drawn over the picture, hidden by nothing: lines, arrows, dimensions, forms about places, and words.

const SVG = "http://www.w3.org/2000/svg";
const FONT = "600 13px system-ui, sans-serif";

class Overlay {
  constructor(element, look) {
    this.element = element;
    this.look = look;
    this.ruler = document.createElement("canvas").getContext("2d");
    this.ruler.font = FONT;
    this.words = []; // the boxes of the words of the last picture, [left, top, right, bottom]
  }

  // `drawn`: [{what, ...}] with places in hull axes; `labels`: [{text, at, manner, below, off, close}], the
  // first having the choice: `below` its place by so many pixels, `off` it at any rate, or `close` to it.
  draw(camera, drawn, labels) {
    this.pieces = [];
    const [wide, high] = camera.size;
    this.element.setAttribute("viewBox", `0 0 ${wide} ${high}`);
    for (const each of drawn) this[each.what](camera, each);
    const taken = drawn
      .filter((each) => each.what === "form")
      .map((each) => [camera.seen(each.at), Math.min(each.size + 2, 17)])
      .filter(([at]) => at)
      .map(([[x, y], r]) => [x - r, y - r, x + r, y + r]);
    this.words = [];
    this.leads = [];
    for (const label of labels) {
      const at = camera.seen(label.at);
      if (at && at[0] > -40 && at[0] < wide + 40 && at[1] > -40 && at[1] < high + 40)
        this.label(label, at, taken, wide, high);
    }
    this.element.replaceChildren(...this.pieces);
  }

  put(tag, attributes, text) {
    const piece = document.createElementNS(SVG, tag);
    for (const [key, value] of Object.entries(attributes)) piece.setAttribute(key, value);
    if (text !== undefined) piece.textContent = text;
    this.pieces.push(piece);
  }

  path(points, colour, width, more = {}) {
    const d = `M${points.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L")}`;
    const common = { d, fill: "none", "stroke-linejoin": "round", "stroke-linecap": "round" };
    this.put("path", { ...common, stroke: this.look.paper, "stroke-width": width + 4, ...more });
    this.put("path", { ...common, stroke: colour, "stroke-width": width, ...more });
  }

  line(camera, { path, colour, width = 2.5, dashed = false }) {
    const seen = path.map((place) => camera.seen(place));
    if (seen.every(Boolean))
      this.path(seen, colour, width, dashed ? { "stroke-dasharray": "7 7", "stroke-linecap": "butt" } : {});
  }

  // An arrow is never too short to be read.
  arrow(camera, { path, colour, shaft = true }) {
    let seen = path.map((place) => camera.seen(place));
    if (!seen.every(Boolean)) return;
    const tip = seen[seen.length - 1];
    const long = seen.slice(1).reduce((sum, p, n) => sum + Math.hypot(p[0] - seen[n][0], p[1] - seen[n][1]), 0);
    if (long < 0.5) return;
    const grow = shaft ? Math.max(1, 34 / long) : 1;
    seen = seen.map((p) => [tip[0] + (p[0] - tip[0]) * grow, tip[1] + (p[1] - tip[1]) * grow]);
    const before = seen[seen.length - 2];
    const far = Math.hypot(tip[0] - before[0], tip[1] - before[1]) || 1;
    const way = [(tip[0] - before[0]) / far, (tip[1] - before[1]) / far];
    const neck = [tip[0] - way[0] * 14, tip[1] - way[1] * 14];
    if (shaft) this.path([...seen.slice(0, -1), neck], colour, 4.5);
    const barb = (side) =>
      `${(tip[0] - way[0] * 16 - way[1] * 7.5 * side).toFixed(1)} ${(tip[1] - way[1] * 16 + way[0] * 7.5 * side).toFixed(1)}`;
    const d = `M${tip[0].toFixed(1)} ${tip[1].toFixed(1)}L${barb(1)}L${barb(-1)}Z`;
    this.put("path", {
      d,
      fill: colour,
      stroke: this.look.paper,
      "stroke-width": 4,
      "paint-order": "stroke",
      "stroke-linejoin": "round",
    });
  }

  gap(camera, { ends, colour }) {
    const [a, b] = ends.map((place) => camera.seen(place));
    if (!a || !b) return;
    const long = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const across = long > 0.1 ? [-(b[1] - a[1]) / long, (b[0] - a[0]) / long] : [0, 1];
    const bar = (p) => [
      [p[0] + across[0] * 7, p[1] + across[1] * 7],
      [p[0] - across[0] * 7, p[1] - across[1] * 7],
    ];
    for (const points of [[a, b], bar(a), bar(b)]) this.path(points, colour, 2.5);
  }

  form(camera, { at, corners, colour, size, dot }) {
    const seen = camera.seen(at);
    if (!seen) return;
    const loop = (share) => corners.map(([x, y]) => [seen[0] + x * size * share, seen[1] - y * size * share]);
    this.path([...loop(1), loop(1)[0]], colour, 2.5);
    if (dot) this.put("circle", { cx: seen[0], cy: seen[1], r: 3, fill: colour });
  }

  label({ text, manner = "plain", below = 0, off = false, close = false }, [x, y], taken, wide, high) {
    const { look } = this;
    const half = [this.ruler.measureText(text).width / 2 + 6, 11];
    const offs = [];
    if (!off) offs.push([0, below]);
    for (const far of close ? [26, 46] : [30, 52, 80, 115]) {
      for (let n = 0; n < 8; n++) {
        const turn = (Math.PI / 4) * n * (n % 2 ? 1 : -1) - Math.PI / 2; // above first, then to one side and the other
        offs.push([Math.cos(turn) * (far + half[0] * 0.8), Math.sin(turn) * far]);
      }
    }
    const box = ([dx, dy]) => [x + dx - half[0], y + dy - half[1], x + dx + half[0], y + dy + half[1]];
    const meet = (b, t) => b[0] < t[2] + 3 && b[2] > t[0] - 3 && b[1] < t[3] + 3 && b[3] > t[1] - 3;
    // the way from the place to words that stand off it, as small boxes
    const lead = ([left, top, right, bottom]) => {
      const end = [clamp(x, left, right), clamp(y, top, bottom)];
      const far = Math.hypot(end[0] - x, end[1] - y);
      return Array.from({ length: Math.floor(far / 4) }, (_, n) => [
        x + ((end[0] - x) * n * 4) / far,
        y + ((end[1] - y) * n * 4) / far,
      ]).map(([u, v]) => [u, v, u, v]);
    };
    const inside = (b) => b[0] >= 4 && b[1] >= 4 && b[2] <= wide - 4 && b[3] <= high - 4;
    const free = (b) =>
      inside(b) &&
      ![...taken, ...this.words, ...this.leads].some((t) => meet(b, t)) &&
      !lead(b).some((spot) => this.words.some((t) => meet(spot, t)));
    const place = offs.find((way) => free(box(way)));
    if (!place) return;
    const [left, top, right, bottom] = box(place);
    if (Math.hypot(...place) > 20 && !below) {
      this.leads.push(...lead([left, top, right, bottom]));
      this.path(
        [
          [x, y],
          [clamp(x, left, right), clamp(y, top, bottom)],
        ],
        look.ink,
        1.2,
      );
    }
    this.words.push([left, top, right, bottom]);
    const [ink, ground] = {
      plain: [look.ink, look.paper],
      strong: [look.paper, look.strong],
      measure: [look.paper, look.ink],
    }[manner];
    this.put("rect", {
      x: left,
      y: top,
      width: right - left,
      height: bottom - top,
      rx: 2,
      fill: ground,
      "fill-opacity": manner === "plain" ? 0.88 : 1,
    });
    this.put("text", { x: (left + right) / 2, y: bottom - 6.5, fill: ink, "text-anchor": "middle" }, text);
  }
}
