// The boat in WebGL 2: faces lit from the eye, edges as strips of a width in pixels. Bodies lie one after the other, so that
// those that are seen alike are drawn in runs; where each stands is in a table of three texels: [offset], [colour], [from x,
// to x] of a piece.

const ROW = 256; // bodies in a row of the table
const LIFT = 0.999; // lines come this much nearer to the eye than the faces that they lie on

const COMMON = `#version 300 es
precision highp float;
uniform mat4 viewing, projecting;
uniform highp sampler2D table;
uniform int kept;  // 0: by no table; 1: by the table; 2: a piece
vec4 texel(float body, int k) { int n = int(body); return texelFetch(table, ivec2(n % ${ROW} * 3 + k, n / ${ROW}), 0); }
vec3 off(float body) { return kept == 0 ? vec3(0.0) : texel(body, 0).xyz; }
vec2 ends(float body) { return kept < 2 ? vec2(-1e9, 1e9) : texel(body, 2).xy; }
const vec4 OUT = vec4(2.0, 2.0, 2.0, 1.0);
`;

const FACES = `${COMMON}
layout(location = 0) in vec3 place;
layout(location = 1) in float body;
uniform vec3 tint;
out vec3 seen, colour;
out float x;
flat out vec2 span;
void main() {
  vec4 at = viewing * vec4(place + off(body), 1.0);
  seen = at.xyz;
  x = place.x;
  colour = kept == 0 ? tint : texel(body, 1).xyz;
  span = ends(body);
  gl_Position = projecting * at;
}`;

const LIT = `#version 300 es
precision highp float;
in vec3 seen, colour;
in float x;
flat in vec2 span;
uniform float opacity, ambient, diffuse, hatch;
uniform vec4 lights[3];
uniform vec3 paper;
out vec4 painted;
void main() {
  if (x < span.x || x > span.y) discard;
  vec3 normal = normalize(cross(dFdx(seen), dFdy(seen)));
  float light = ambient;
  for (int n = 0; n < 3; n++) light += diffuse * lights[n].w * max(dot(normal, lights[n].xyz), 0.0);
  if (!gl_FrontFacing) light = 0.9; // looked into where it is cut off: seen as its cut face
  vec3 shade = colour * min(light, 1.15);
  if (hatch > 0.0) shade = mix(shade, paper, smoothstep(0.72, 0.86, abs(fract((gl_FragCoord.x + gl_FragCoord.y) / hatch) * 2.0 - 1.0)));
  painted = vec4(min(shade, 1.0), opacity);
}`;

const STRIPS = `${COMMON}
layout(location = 0) in vec3 start;
layout(location = 1) in vec3 end;
layout(location = 2) in float body;
uniform vec2 size;
uniform float width, near, lift;
out float x;
flat out vec2 span;
void main() {
  vec3 moved = off(body);
  vec4 a = viewing * vec4(start + moved, 1.0), b = viewing * vec4(end + moved, 1.0);
  if (a.z > -near && b.z > -near) { gl_Position = OUT; return; }
  bool second = gl_VertexID > 1;
  x = second ? end.x : start.x;
  span = ends(body);
  if (a.z > -near) a = mix(a, b, (a.z + near) / (a.z - b.z));
  if (b.z > -near) b = mix(b, a, (b.z + near) / (b.z - a.z));
  a.xyz *= lift; b.xyz *= lift;
  vec4 p = projecting * a, q = projecting * b;
  vec2 along = (q.xy / q.w - p.xy / p.w) * size;
  along = length(along) > 1e-6 ? normalize(along) : vec2(1.0, 0.0);
  float side = gl_VertexID % 2 == 0 ? 1.0 : -1.0;
  vec2 aside = (vec2(-along.y, along.x) * side + along * (second ? 0.35 : -0.35)) * width / size;
  gl_Position = second ? q : p;
  gl_Position.xy += aside * gl_Position.w;
}`;

const PLAIN = `#version 300 es
precision highp float;
in float x;
flat in vec2 span;
uniform vec4 ink;
out vec4 painted;
void main() { if (x < span.x || x > span.y) discard; painted = ink; }`;

const rgb = (hex) => [1, 3, 5].map((n) => parseInt(hex.slice(n, n + 2), 16) / 255);

class Canvas {
  constructor(element, look) {
    this.element = element;
    this.look = look;
    const gl = element.getContext("webgl2", { antialias: true, alpha: false });
    if (!gl) throw new Error("this browser shows no WebGL 2");
    this.gl = gl;
    this.faces = this.program(FACES, LIT);
    this.strips = this.program(STRIPS, PLAIN);
    this.corners = gl.createBuffer();
    gl.useProgram(this.faces.program);
    gl.uniform1f(this.faces.at("ambient"), look.ambient);
    gl.uniform1f(this.faces.at("diffuse"), look.diffuse);
    gl.uniform3fv(this.faces.at("paper"), rgb(look.paper));
    gl.uniform4fv(
      this.faces.at("lights"),
      look.lights.flatMap(([way, strong]) => [...unit(way), strong]),
    );
    gl.enable(gl.CULL_FACE);
    gl.blendFunc(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA);
    gl.clearColor(...rgb(look.paper), 1);
    this.extras = [];
    this.made = [];
  }

  program(vertex, fragment) {
    const { gl } = this;
    const program = gl.createProgram();
    for (const [kind, text] of [
      [gl.VERTEX_SHADER, vertex],
      [gl.FRAGMENT_SHADER, fragment],
    ]) {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      gl.attachShader(program, shader);
    }
    gl.linkProgram(program);
    if (!gl.getProgramParameter(program, gl.LINK_STATUS)) {
      throw new Error(
        gl
          .getAttachedShaders(program)
          .map((s) => gl.getShaderInfoLog(s))
          .join("") || gl.getProgramInfoLog(program),
      );
    }
    const places = new Map();
    const at = (name) => {
      if (!places.has(name)) places.set(name, gl.getUniformLocation(program, name));
      return places.get(name);
    };
    return { program, at };
  }

  // Points, triangles and edges as the card keeps them; `owner` says whose each point is, none for what is no body.
  mesh({ points, triangles, edges }, owner) {
    const { gl } = this;
    const buffers = [];
    const attribute = (data, place, wide, each = 0) => {
      const buffer = gl.createBuffer();
      buffers.push(buffer);
      gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
      gl.bufferData(gl.ARRAY_BUFFER, data, gl.STATIC_DRAW);
      for (const [where, start] of place) {
        gl.enableVertexAttribArray(where);
        gl.vertexAttribPointer(where, wide, gl.FLOAT, false, each ? 28 : 0, start);
        gl.vertexAttribDivisor(where, each);
      }
    };
    const faces = gl.createVertexArray();
    gl.bindVertexArray(faces);
    attribute(points, [[0, 0]], 3);
    if (owner) attribute(owner, [[1, 0]], 1);
    const index = gl.createBuffer();
    buffers.push(index);
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, index);
    gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, triangles, gl.STATIC_DRAW);
    const strips = gl.createVertexArray();
    gl.bindVertexArray(strips);
    const ends = new Float32Array((edges.length / 2) * 7);
    for (let n = 0; n < edges.length / 2; n++) {
      const [a, b] = [edges[2 * n], edges[2 * n + 1]];
      ends.set(points.subarray(3 * a, 3 * a + 3), 7 * n);
      ends.set(points.subarray(3 * b, 3 * b + 3), 7 * n + 3);
      ends[7 * n + 6] = owner ? owner[a] : 0;
    }
    attribute(
      ends,
      [
        [0, 0],
        [1, 12],
      ],
      3,
      1,
    );
    gl.enableVertexAttribArray(2);
    gl.vertexAttribPointer(2, 1, gl.FLOAT, false, 28, 24);
    gl.vertexAttribDivisor(2, 1);
    gl.bindVertexArray(null);
    const all = [{ triangle: 0, triangles: triangles.length / 3, edge: 0, edges: edges.length / 2 }];
    return { faces, strips, all, ends: buffers[buffers.length - 1], buffers };
  }

  keep(boat) {
    this.boat = this.mesh(boat, boat.owner);
    this.bodies = boat.bodies;
    this.high = Math.ceil(boat.bodies.length / ROW) || 1;
    this.table = new Float32Array(ROW * 3 * 4 * this.high);
    this.texture = this.gl.createTexture();
  }

  // Puts what is drawn besides the bodies: [{mesh, tint, opacity, over, hatch, rim and
  // lines: [[colour, width, opacity, over]], last}].
  put(extras) {
    const { gl } = this;
    for (const { faces, strips, buffers } of this.made) {
      gl.deleteVertexArray(faces);
      gl.deleteVertexArray(strips);
      buffers.forEach((buffer) => gl.deleteBuffer(buffer));
    }
    this.extras = extras.map((extra) => ({ ...extra, mesh: this.mesh(extra.mesh) }));
    this.made = this.extras.map((extra) => extra.mesh);
  }

  // How each body is seen: states by number, offsets (3 a body), colours, those that stand out, [from x, to x] of pieces.
  show({ states, offsets, colours, chosen, pieces }) {
    const { gl, table } = this;
    states.forEach((_, n) => {
      table.set(
        [...offsets.slice(3 * n, 3 * n + 3), 0, ...colours[n], 0, ...(pieces.get(n) ?? [-1e9, 1e9]), 0, 0],
        12 * n,
      );
    });
    this.runs = { chosen: this.together((n) => chosen.has(n) && states[n] !== "hidden") };
    for (const state of ["shown", "glass", "faded", "piece"])
      this.runs[state] = this.together((n) => states[n] === state);
    gl.bindTexture(gl.TEXTURE_2D, this.texture);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA32F, ROW * 3, this.high, 0, gl.RGBA, gl.FLOAT, table);
    for (const key of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) gl.texParameteri(gl.TEXTURE_2D, key, gl.NEAREST);
  }

  // The bodies that are wanted, those that lie one after the other as one.
  together(wanted) {
    const out = [];
    for (const { n, triangle, triangles, edge, edges } of this.bodies) {
      if (!wanted(n)) continue;
      const last = out[out.length - 1];
      if (last && last.triangle + last.triangles === triangle) {
        last.triangles += triangles;
        last.edges += edges;
      } else out.push({ triangle, triangles, edge, edges });
    }
    return out;
  }

  // As many pixels as the screen has where it lies, whatever screen that is by now.
  fit([wide, high]) {
    const ratio = window.devicePixelRatio || 1;
    const size = [wide, high].map((side) => Math.max(1, Math.round(side * ratio)));
    if (size[0] !== this.element.width || size[1] !== this.element.height)
      [this.element.width, this.element.height] = size;
  }

  draw(lens, { clear, faded }) {
    const { gl, look, runs } = this;
    const ratio = window.devicePixelRatio || 1;
    gl.viewport(0, 0, this.element.width, this.element.height);
    gl.depthMask(true);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    for (const { program, at } of [this.faces, this.strips]) {
      gl.useProgram(program);
      gl.uniformMatrix4fv(at("viewing"), false, lens.viewing);
      gl.uniformMatrix4fv(at("projecting"), false, lens.projecting);
    }
    gl.uniform2f(this.strips.at("size"), this.element.width, this.element.height);
    gl.uniform1f(this.strips.at("near"), lens.near);
    const faces = (mesh, runs, opacity, { kept = 1, tint = look.ink, hatch = 0, over = false } = {}) => {
      if (!runs.length) return;
      gl.useProgram(this.faces.program);
      this.modes(opacity, over);
      gl.uniform1i(this.faces.at("kept"), kept);
      gl.uniform1f(this.faces.at("opacity"), opacity);
      gl.uniform1f(this.faces.at("hatch"), hatch * ratio);
      gl.uniform3fv(this.faces.at("tint"), rgb(tint));
      gl.bindVertexArray(mesh.faces);
      for (const { triangle, triangles } of runs)
        gl.drawElements(gl.TRIANGLES, 3 * triangles, gl.UNSIGNED_INT, 12 * triangle);
    };
    // what is cut off is closed by its own inside: first how near it is, then only that is painted
    const pieces = (opacity) => {
      if (!runs.piece.length) return;
      gl.disable(gl.CULL_FACE);
      gl.colorMask(false, false, false, false);
      faces(this.boat, runs.piece, 1, { kept: 2 });
      gl.colorMask(true, true, true, true);
      faces(this.boat, runs.piece, opacity, { kept: 2 });
      gl.enable(gl.CULL_FACE);
      strips(this.boat, runs.piece, look.ink, 1, 1, { kept: 2 });
    };
    const strips = (mesh, runs, colour, width, opacity, { kept = 1, over = false, lift = LIFT } = {}) => {
      if (!runs.length) return;
      gl.useProgram(this.strips.program);
      this.modes(opacity, over);
      gl.disable(gl.CULL_FACE);
      gl.uniform1i(this.strips.at("kept"), kept);
      gl.uniform1f(this.strips.at("width"), width * ratio);
      gl.uniform1f(this.strips.at("lift"), lift);
      gl.uniform4f(this.strips.at("ink"), ...rgb(colour), opacity);
      gl.bindVertexArray(mesh.strips);
      gl.bindBuffer(gl.ARRAY_BUFFER, mesh.ends);
      for (const { edge, edges } of runs) {
        [
          [0, 3, 0],
          [1, 3, 12],
          [2, 1, 24],
        ].forEach(([where, wide, at]) => gl.vertexAttribPointer(where, wide, gl.FLOAT, false, 28, 28 * edge + at));
        gl.drawArraysInstanced(gl.TRIANGLE_STRIP, 0, 4, edges);
      }
      gl.enable(gl.CULL_FACE);
    };
    const extras = (last) => {
      for (const { mesh, tint, opacity = 1, over = false, hatch = 0, rim = [], lines = [] } of this.extras.filter(
        (e) => Boolean(e.last) === last,
      )) {
        for (const [colour, width, strong] of rim) strips(mesh, mesh.all, colour, width, strong, { kept: 0, over });
        if (tint) faces(mesh, mesh.all, opacity, { kept: 0, tint, hatch, over });
        for (const [colour, width, strong, first = over] of lines)
          strips(mesh, mesh.all, colour, width, strong, { kept: 0, over: first });
      }
    };
    extras(false);
    faces(this.boat, runs.shown, 1);
    strips(this.boat, runs.shown, look.ink, 1, 1);
    faces(this.boat, runs.glass, clear);
    strips(this.boat, runs.glass, look.ink, 1, 1);
    pieces(0.65);
    faces(this.boat, runs.faded, faded);
    strips(this.boat, runs.faded, look.ink, 1, Math.min(1, faded * (look.fadedLines / look.faded)));
    strips(this.boat, runs.chosen, look.chosen, 2.6, 1, { lift: LIFT * LIFT * LIFT });
    extras(true);
    gl.bindVertexArray(null);
  }

  modes(opacity, over) {
    const { gl } = this;
    if (over) gl.disable(gl.DEPTH_TEST);
    else gl.enable(gl.DEPTH_TEST);
    if (opacity < 1) gl.enable(gl.BLEND);
    else gl.disable(gl.BLEND);
    gl.depthMask(opacity >= 1 && !over);
    gl.depthFunc(gl.LEQUAL);
  }
}
