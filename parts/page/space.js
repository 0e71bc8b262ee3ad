// What is drawn: shapes in space by WebGL2, with edges as lines of even width, a plane that cuts,
// and what is picked in the accent colour.
const SURFACE = [`#version 300 es
in vec3 p; in vec3 n; uniform mat4 view, model; out vec3 N; out vec3 W;
void main() { vec4 w = model * vec4(p, 1.); W = w.xyz; N = mat3(model) * n; gl_Position = view * w; }`, `#version 300 es
precision highp float;
in vec3 N; in vec3 W; uniform vec4 colour, cut, inside; uniform vec3 light; uniform float turned, flatly; out vec4 to;
void main() {
  if (dot(cut.xyz, W) > cut.w) discard;
  bool back = gl_FrontFacing == (turned < 0.);
  if (back && cut.w < 1e8) { to = inside; return; }
  vec3 n = normalize(back ? -N : N);
  float l = mix(.58 + .42 * max(0., dot(n, light)) + .05 * n.z, 1., flatly);
  to = vec4(colour.rgb * min(1., l), 1.);
}`];
const LINES = [`#version 300 es
in vec3 a; in vec3 b; uniform mat4 view, model; uniform vec2 screen; uniform float wide, lift; out vec3 W;
void main() {
  bool end = gl_VertexID % 4 > 1; vec4 wa = model * vec4(a, 1.), wb = model * vec4(b, 1.), A = view * wa, B = view * wb;
  vec2 d = (B.xy / B.w - A.xy / A.w) * screen; d = length(d) > 1e-6 ? normalize(d) : vec2(1., 0.);
  vec4 at = end ? B : A; W = (end ? wb : wa).xyz;
  vec2 off = vec2(-d.y, d.x) * (gl_VertexID % 2 == 0 ? 1. : -1.) + d * (end ? .5 : -.5);
  at.xy += off * wide / screen * at.w; at.z -= lift; gl_Position = at;
}`, `#version 300 es
precision highp float; in vec3 W; uniform vec4 colour, cut; out vec4 to;
void main() { if (dot(cut.xyz, W) > cut.w) discard; to = colour; }`];

// fourfold has each line's two ends once for each corner of its quad: graphics in software draw one
// instance at a time, which takes far longer than these bytes.
function fourfold(edges) {
  const out = new Float32Array(4 * edges.length);
  for (let i = 0, k = 0; i < edges.length; i += 6) for (let c = 0; c < 4; c++) for (let n = 0; n < 6; n++) out[k++] = edges[i + n];
  return out;
}

class Space {
  constructor(canvas) {
    this.canvas = canvas;
    const gl = this.gl = canvas.getContext("webgl2", { antialias: true, alpha: false, powerPreference: "low-power" });
    if (!gl) return;
    this.surface = this.program(SURFACE, ["p", "n"]);
    this.lines = this.program(LINES, ["a", "b"]);
    gl.enable(gl.DEPTH_TEST);
    this.cut = [0, 0, 0, 1e9];
    this.quads = gl.createBuffer();
    this.quadsFor = 0;
    this.scale = 1;
  }

  program(sources, attributes) {
    const gl = this.gl, p = gl.createProgram();
    [gl.VERTEX_SHADER, gl.FRAGMENT_SHADER].forEach((kind, i) => {
      const s = gl.createShader(kind);
      gl.shaderSource(s, sources[i]);
      gl.compileShader(s);
      gl.attachShader(p, s);
    });
    attributes.forEach((name, i) => gl.bindAttribLocation(p, i, name));
    gl.linkProgram(p);
    if (!gl.getProgramParameter(p, gl.LINK_STATUS) && !gl.isContextLost()) throw new Error(gl.getProgramInfoLog(p));
    const at = {};
    for (let i = 0; i < gl.getProgramParameter(p, gl.ACTIVE_UNIFORMS); i++) {
      const name = gl.getActiveUniform(p, i).name;
      at[name] = gl.getUniformLocation(p, name);
    }
    return { p, at };
  }

  // body keeps a shape's corners, normals, triangles and edges on the graphics side.
  body(index) {
    const gl = this.gl, b = { pos: gl.createBuffer(), nrm: gl.createBuffer(), idx: gl.createBuffer(), edg: gl.createBuffer(), vao: gl.createVertexArray(), lines: gl.createVertexArray(), count: 0, edges: 0 };
    gl.bindVertexArray(b.vao);
    [b.pos, b.nrm].forEach((buffer, i) => { gl.bindBuffer(gl.ARRAY_BUFFER, buffer); gl.enableVertexAttribArray(i); gl.vertexAttribPointer(i, 3, gl.FLOAT, false, 0, 0); });
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, b.idx);
    if (index) { gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, index, gl.STATIC_DRAW); b.count = index.length; }
    gl.bindVertexArray(b.lines);
    gl.bindBuffer(gl.ARRAY_BUFFER, b.edg);
    for (let i = 0; i < 2; i++) { gl.enableVertexAttribArray(i); gl.vertexAttribPointer(i, 3, gl.FLOAT, false, 24, 12 * i); }
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, this.quads);
    gl.bindVertexArray(null);
    return b;
  }

  // fill writes corners, normals and edges; into the room that is there where they fit.
  fill(b, pos, normal, edges, index) {
    const gl = this.gl, put = (buffer, data, name) => {
      gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
      if (b[name] === data.length && data.length) gl.bufferSubData(gl.ARRAY_BUFFER, 0, data); else gl.bufferData(gl.ARRAY_BUFFER, data, gl.DYNAMIC_DRAW);
      b[name] = data.length;
    };
    gl.bindVertexArray(null);
    if (pos) { put(b.pos, pos instanceof Float32Array ? pos : Float32Array.from(pos), "np"); put(b.nrm, normal, "nn"); }
    if (index) { gl.bindVertexArray(b.vao); gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, b.idx); gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, index, gl.DYNAMIC_DRAW); b.count = index.length; gl.bindVertexArray(null); }
    b.edges = edges.length / 6;
    put(b.edg, fourfold(edges), "ne");
    this.numberQuads(b.edges);
  }

  // numberQuads keeps the corners of as many lines' quads as any body has: all draw by the same.
  numberQuads(n) {
    if (n <= this.quadsFor) return;
    const gl = this.gl, to = new Uint32Array(6 * (this.quadsFor = 2 * n));
    for (let i = 0, k = 0; k < to.length; i += 4) for (const c of [0, 1, 2, 1, 3, 2]) to[k++] = i + c;
    gl.bindVertexArray(null);
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, this.quads);
    gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, to, gl.STATIC_DRAW);
  }

  drop(b) {
    const gl = this.gl;
    [b.pos, b.nrm, b.idx, b.edg].forEach(x => gl.deleteBuffer(x));
    [b.vao, b.lines].forEach(x => gl.deleteVertexArray(x));
  }

  // draw shows items: a body, where it stands, its colour, its edges' colour and width; those
  // marked over lie on top of what is at their depth.
  draw(camera, items, colours) {
    const gl = this.gl, w = Math.max(1, Math.round(this.canvas.clientWidth * devicePixelRatio * this.scale)), h = Math.max(1, Math.round(this.canvas.clientHeight * devicePixelRatio * this.scale));
    if (this.canvas.width != w || this.canvas.height != h) { this.canvas.width = w; this.canvas.height = h; }
    gl.viewport(0, 0, w, h);
    gl.clearColor(...colours.ground, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    const view = camera.matrix(w / h), light = unit(add(scale(camera.right(), -.35), add(scale(camera.away(), .55), [-.15, -.2, .9])));
    gl.useProgram(this.surface.p);
    let at = this.surface.at;
    gl.uniformMatrix4fv(at.view, false, view);
    gl.uniform3fv(at.light, light);
    gl.uniform4fv(at.cut, this.cut);
    gl.uniform4f(at.inside, ...colours.inside, 1);
    gl.enable(gl.POLYGON_OFFSET_FILL);
    for (const it of items) {
      if (!it.body.count || it.only == "edges") continue;
      gl.polygonOffset(it.over ? 0 : 1, it.over ? 0 : 2);
      gl.uniformMatrix4fv(at.model, false, it.model);
      gl.uniform1f(at.turned, it.turned);
      gl.uniform1f(at.flatly, it.over ? .55 : 0);
      gl.uniform4f(at.colour, ...it.colour, 1);
      gl.bindVertexArray(it.body.vao);
      gl.drawElements(gl.TRIANGLES, it.count ?? it.body.count, gl.UNSIGNED_INT, 0);
    }
    gl.disable(gl.POLYGON_OFFSET_FILL);
    gl.useProgram(this.lines.p);
    at = this.lines.at;
    gl.uniformMatrix4fv(at.view, false, view);
    gl.uniform4fv(at.cut, this.cut);
    gl.uniform2f(at.screen, w / 2, h / 2);
    for (const it of items) {
      if (!it.body.edges || it.only == "metal") continue;
      gl.uniformMatrix4fv(at.model, false, it.model);
      gl.uniform4f(at.colour, ...it.ink, 1);
      gl.uniform1f(at.wide, it.wide * Math.max(.5, devicePixelRatio * this.scale * .5));
      gl.uniform1f(at.lift, camera.nearer(it.over ? 7e-4 : 2.6e-4));
      gl.bindVertexArray(it.body.lines);
      gl.drawElements(gl.TRIANGLES, 6 * it.body.edges, gl.UNSIGNED_INT, 0);
    }
    gl.bindVertexArray(null);
  }
}

// Camera looks at a point from a distance; yaw 0 is from the front, pitch 90° from above.
class Camera {
  constructor() { Object.assign(this, { target: [0, 0, 0], far: 1000, yaw: .4, pitch: .38, parallel: false, radius: 500, fov: .5 }); }
  away() { const c = Math.cos(this.pitch); return [Math.sin(this.yaw) * c, -Math.cos(this.yaw) * c, Math.sin(this.pitch)]; }
  right() { return [Math.cos(this.yaw), Math.sin(this.yaw), 0]; }
  up() { return cross(this.away(), this.right()); }
  eye() { return add(this.target, scale(this.away(), this.far)); }
  fit(lo, hi, aspect) {
    this.target = scale(add(lo, hi), .5);
    this.radius = Math.max(1, size(sub(hi, lo)) / 2);
    this.far = this.radius * 1.02 / Math.sin(this.fov / 2) / Math.min(1, aspect);
  }
  // half is half the height that is seen at the target, mm.
  half() { return this.far * Math.tan(this.fov / 2); }
  // depths are the nearest and the farthest that is drawn, mm from the eye.
  depths() { const reach = this.radius * 3; return [Math.max(this.far * .02, this.far - reach), this.far + reach]; }
  // nearer is how much less depth a line has, before the division by w, to lie over its own metal:
  // as if it were nearer by a part of its distance, so that thin sheets hide what is behind them
  // however large the piece is around them.
  nearer(part) { const [near, far] = this.depths(); return 2 * part * (this.parallel ? this.far : near * far) / (far - near); }
  matrix(aspect) {
    const r = this.right(), u = this.up(), z = this.away(), e = this.eye();
    const [near, far] = this.depths(), f = 1 / Math.tan(this.fov / 2);
    const V = [r[0], u[0], z[0], 0, r[1], u[1], z[1], 0, r[2], u[2], z[2], 0, -dot(r, e), -dot(u, e), -dot(z, e), 1];
    const h = this.half(), P = this.parallel
      ? [1 / (h * aspect), 0, 0, 0, 0, 1 / h, 0, 0, 0, 0, -2 / (far - near), 0, 0, 0, -(far + near) / (far - near), 1]
      : [f / aspect, 0, 0, 0, 0, f, 0, 0, 0, 0, -(far + near) / (far - near), -1, 0, 0, -2 * far * near / (far - near), 0];
    const out = new Float32Array(16);
    for (let c = 0; c < 4; c++) for (let i = 0; i < 4; i++) for (let k = 0; k < 4; k++) out[4 * c + i] += P[4 * k + i] * V[4 * c + k];
    return out;
  }
  // onScreen is where a point of the world is seen, in pixels of a picture w wide and h high.
  onScreen(p, w, h) {
    const m = this.matrix(w / h), c = [0, 1, 3].map(i => m[i] * p[0] + m[4 + i] * p[1] + m[8 + i] * p[2] + m[12 + i]);
    return [(c[0] / c[2] + 1) * w / 2, (1 - c[1] / c[2]) * h / 2];
  }
  ray(x, y, w, h) {
    const a = (2 * x / w - 1) * this.half() * w / h, b = (1 - 2 * y / h) * this.half(), side = add(scale(this.right(), a), scale(this.up(), b));
    if (this.parallel) return { o: add(this.eye(), side), d: scale(this.away(), -1) };
    return { o: this.eye(), d: unit(sub(side, scale(this.away(), this.far))) };
  }
}
