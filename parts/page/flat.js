// What folds: a blank's net of triangles, its fold tree, and where both lie at a step between
// flat and finished. Lengths mm, angles radians.
const FINE = 1e-4, LEAST = 1e-6;

const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const add = (a, b) => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
const sub = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const scale = (a, k) => [a[0] * k, a[1] * k, a[2] * k];
const size = a => Math.sqrt(dot(a, a));
const unit = a => { const l = size(a); return l > 0 ? scale(a, 1 / l) : [0, 0, 0]; };

// points reads coordinates that were written as differences.
function points(list, wide) {
  const out = new Float64Array(list.length), last = new Float64Array(wide);
  for (let i = 0; i < list.length; i++) out[i] = (last[i % wide] += list[i]) * FINE;
  return out;
}

async function unpack(text) {
  const raw = atob(text.replace(/-/g, "+").replace(/_/g, "/"));
  const bytes = Uint8Array.from(raw, c => c.charCodeAt(0));
  return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"))).json();
}

class Shape {
  constructor(d) {
    Object.assign(this, { name: d.n || "", called: d.c || "", stock: d.st || "", tint: d.ti, thick: d.t, root: d.root, order: d.order || [] });
    this.faces = d.faces.map(f => ({ name: f.n, called: f.c, loop: points(f.l || [], 2) }));
    this.folds = (d.folds || []).map(f => ({ name: f.n, called: f.c, a: f.a, b: f.b, start: f.s, along: f.u, away: [f.u[1], -f.u[0]],
      loop: points(f.l, 2), angle: f.A, radius: f.r, k: f.K, wide: f.w, down: !!f.d }));
    this.holes = (d.holes || []).map(h => ({ name: h.n, join: h.j || "", kind: h.k, when: h.w || "", face: h.f, at: h.p, wide: h.d || 0, loop: h.l && h.l.length ? points(h.l, 2) : null }));
    this.lines = (d.lines || []).map(l => ({ kind: l.k, face: l.f, pts: points(l.p, 2) }));
    this.outline = points(d.out || [], 2);
    this.openings = (d.in || []).map(l => points(l, 2));
    this.tri = Uint32Array.from(d.tri);
    this.part = d.tr ? Uint16Array.from(d.tr) : new Uint16Array(d.tri.length / 3);
    this.from = Uint32Array.from(d.bd.filter((_, i) => i % 2 == 0), x => x < 0 ? -1 - x : x);
    this.to = Uint32Array.from(d.bd.filter((_, i) => i % 2 == 1));
    this.sharp = d.bd.filter((_, i) => i % 2 == 0).map(x => x < 0);
    if (d.xyz) {
      this.fixed = points(d.xyz, 3);
      this.fixedNormals = Float64Array.from(d.nn, x => x / 1000);
      this.nodes = this.fixed.length / 6;
    } else {
      this.xy = points(d.xy, 2);
      this.region = Uint16Array.from(d.rg);
      this.nodes = this.region.length;
    }
    this.index = this.makeIndex();
    this.step = -1;
  }

  // bent is how far each fold is bent at a part of the way: one after the other where their
  // order is planned, the others together at the end.
  bent(part) {
    const planned = new Set(this.order), turns = this.order.length + (planned.size < this.folds.length ? 1 : 0);
    const stage = k => Math.min(1, Math.max(0, part * turns - k));
    const out = this.folds.map(f => f.angle * stage(turns - 1));
    this.order.forEach((f, k) => out[f] = this.folds[f].angle * stage(k));
    return out;
  }

  // pose bends the folds: frames of the faces, flat to part space, and the strips' arcs.
  pose(bent) {
    this.frames = this.faces.map(() => null);
    this.arcs = [];
    this.frames[this.root] = { o: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };
    for (let again = true; again;) {
      again = false;
      this.folds.forEach((f, i) => {
        if (!this.frames[f.a] || this.frames[f.b]) return;
        this.arcs[i] = this.arc(f, this.frames[f.a], bent[i]);
        this.frames[f.b] = this.far(f, this.arcs[i]);
        again = true;
      });
    }
  }

  arc(f, a, angle) {
    const dir = v => add(scale(a.x, v[0]), scale(a.y, v[1]));
    const out = { frame: a, n: dir(f.away), u: dir(f.along), z: a.z, angle: angle < LEAST ? 0 : angle, side: f.down ? -1 : 1, drawn: 0 };
    if (out.angle) out.drawn = f.wide / angle + (f.down ? (1 - f.k) * this.thick : -f.k * this.thick);
    return out;
  }

  far(f, a) {
    if (!a.angle) return a.frame;
    const end = [f.start[0] + f.away[0] * f.wide, f.start[1] + f.away[1] * f.wide];
    const [touch] = this.onArc(f, a, end[0], end[1], 0), s = Math.sin(a.angle), c = Math.cos(a.angle);
    const on = add(scale(a.n, c), scale(a.z, a.side * s));
    const image = (x, y) => add(scale(a.u, x * f.along[0] + y * f.along[1]), scale(on, x * f.away[0] + y * f.away[1]));
    const x = image(1, 0), y = image(0, 1);
    return { o: sub(touch, image(end[0], end[1])), x, y, z: cross(x, y) };
  }

  onArc(f, a, x, y, depth) {
    const dx = x - f.start[0], dy = y - f.start[1];
    const across = dx * f.away[0] + dy * f.away[1], along = dx * f.along[0] + dy * f.along[1];
    if (!a.angle) return this.onFrame(a.frame, x, y, depth);
    const turn = a.angle * across / f.wide, s = Math.sin(turn), c = Math.cos(turn), radius = a.drawn + a.side * depth;
    const base = this.onFrame(a.frame, f.start[0] + f.along[0] * along, f.start[1] + f.along[1] * along, 0)[0];
    return [add(add(base, scale(a.n, radius * s)), scale(a.z, a.side * (a.drawn - radius * c))), add(scale(a.z, c), scale(a.n, -a.side * s))];
  }

  onFrame(f, x, y, depth) {
    return [[f.o[0] + f.x[0] * x + f.y[0] * y - f.z[0] * depth, f.o[1] + f.x[1] * x + f.y[1] * y - f.z[1] * depth, f.o[2] + f.x[2] * x + f.y[2] * y - f.z[2] * depth], f.z];
  }

  // at is where a point of a region lies at a depth under the drawn side, and its normal.
  at(region, x, y, depth) {
    const k = region - this.faces.length;
    return k < 0 ? this.onFrame(this.frames[region], x, y, depth) : this.onArc(this.folds[k], this.arcs[k], x, y, depth);
  }

  makeIndex() {
    const t = this.tri, n = this.nodes, e = this.from.length, out = new Uint32Array(2 * t.length + 6 * e);
    out.set(t);
    for (let i = 0, o = t.length; i < t.length; i += 3, o += 3) { out[o] = t[i] + n; out[o + 1] = t[i + 2] + n; out[o + 2] = t[i + 1] + n; }
    for (let i = 0, o = 2 * t.length, v = 2 * n; i < e; i++, v += 4, o += 6) out.set([v + 1, v, v + 2, v + 1, v + 2, v + 3], o);
    return out;
  }

  // fold sets the corners, normals and drawn edges for a part of the way from flat to finished.
  fold(part) {
    if (this.fixed) part = 1;
    if (part === this.step) return false;
    this.step = part;
    if (!this.fixed) this.pose(this.bent(part));
    const n = this.nodes, e = this.from.length, all = 2 * n + 4 * e;
    this.pos ??= new Float64Array(3 * all);
    this.normal ??= new Float32Array(3 * all);
    const p = this.pos, q = this.normal;
    for (let i = 0; i < n; i++) {
      let top, low, z;
      if (this.fixed) {
        top = this.fixed.subarray(3 * i, 3 * i + 3); low = this.fixed.subarray(3 * (n + i), 3 * (n + i) + 3); z = this.fixedNormals.subarray(3 * i, 3 * i + 3);
      } else {
        const x = this.xy[2 * i], y = this.xy[2 * i + 1];
        [top, z] = this.at(this.region[i], x, y, 0);
        low = sub(top, scale(z, this.thick));
      }
      for (let k = 0; k < 3; k++) { p[3 * i + k] = top[k]; p[3 * (n + i) + k] = low[k]; q[3 * i + k] = z[k]; q[3 * (n + i) + k] = -z[k]; }
    }
    for (let i = 0, v = 2 * n; i < e; i++, v += 4) this.wall(this.from[i], this.to[i], v);
    this.drawEdges();
    this.box();
    return true;
  }

  wall(a, b, v) {
    const n = this.nodes, p = this.pos, q = this.normal, of = i => [p[3 * i], p[3 * i + 1], p[3 * i + 2]];
    const A = of(a), B = of(b), z = [q[3 * a], q[3 * a + 1], q[3 * a + 2]], out = unit(cross(sub(B, A), z));
    [A, B, of(a + n), of(b + n)].forEach((c, k) => { p.set(c, 3 * (v + k)); q.set(out, 3 * (v + k)); });
  }

  // drawEdges lists what is drawn as lines: both sides' outlines, corners, what is scribed.
  drawEdges() {
    const p = this.pos, n = this.nodes, e = this.from.length;
    const scribed = this.lines.reduce((s, l) => s + l.pts.length / 2 - 1, 0), corners = this.sharp.reduce((s, x) => s + (x ? 1 : 0), 0);
    this.edges ??= new Float32Array(6 * (2 * e + corners + scribed));
    let o = 0;
    const put = (a, b) => { for (let k = 0; k < 3; k++) { this.edges[o + k] = p[3 * a + k]; this.edges[o + 3 + k] = p[3 * b + k]; } o += 6; };
    for (let i = 0; i < e; i++) {
      put(this.from[i], this.to[i]);
      put(this.from[i] + n, this.to[i] + n);
      if (this.sharp[i]) put(this.from[i], this.from[i] + n);
    }
    for (const l of this.lines) for (let i = 0; i + 3 < l.pts.length; i += 2) {
      this.edges.set(this.at(l.face, l.pts[i], l.pts[i + 1], -0.02)[0], o);
      this.edges.set(this.at(l.face, l.pts[i + 2], l.pts[i + 3], -0.02)[0], o + 3);
      o += 6;
    }
  }

  box() {
    const lo = [Infinity, Infinity, Infinity], hi = [-Infinity, -Infinity, -Infinity];
    for (let i = 0; i < 6 * this.nodes; i++) { const k = i % 3, x = this.pos[i]; if (x < lo[k]) lo[k] = x; if (x > hi[k]) hi[k] = x; }
    this.lo = lo; this.hi = hi;
  }

  // loopOf is an outline of a face, a fold's strip or a hole in the flat.
  loopOf(kind, i) { return kind == "face" ? this.faces[i].loop : kind == "fold" ? this.folds[i].loop : this.holes[i].loop; }

  // trianglesOf are the numbers of the index's triangles of a face or fold, of all without kind.
  trianglesOf(kind, of) {
    const region = kind == "fold" ? this.faces.length + of : of, t = this.tri.length / 3, out = [];
    for (let i = 0; i < t; i++) if (!kind || this.part[i] == region) out.push(i, t + i);
    if (!kind) for (let i = 0; i < 2 * this.from.length; i++) out.push(2 * t + i);
    return out;
  }
}
