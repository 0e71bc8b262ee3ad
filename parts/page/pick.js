// What is pointed at: the nearest metal, hole or head on a ray, and what lies between two picks.

// hit is where a ray meets a triangle, as a distance along it; Infinity where it does not.
function hit(o, d, p, a, b, c) {
  const A = [p[3 * a], p[3 * a + 1], p[3 * a + 2]], u = [p[3 * b] - A[0], p[3 * b + 1] - A[1], p[3 * b + 2] - A[2]], v = [p[3 * c] - A[0], p[3 * c + 1] - A[1], p[3 * c + 2] - A[2]];
  const q = cross(d, v), det = dot(u, q);
  if (Math.abs(det) < 1e-12) return Infinity;
  const s = sub(o, A), x = dot(s, q) / det;
  if (x < 0 || x > 1) return Infinity;
  const r = cross(s, u), y = dot(d, r) / det;
  if (y < 0 || x + y > 1) return Infinity;
  const t = dot(v, r) / det;
  return t > 0 ? t : Infinity;
}

function meetsBox(o, d, lo, hi) {
  let near = -Infinity, far = Infinity;
  for (let k = 0; k < 3; k++) {
    if (Math.abs(d[k]) < 1e-12) { if (o[k] < lo[k] - .01 || o[k] > hi[k] + .01) return false; continue; }
    const a = (lo[k] - .01 - o[k]) / d[k], b = (hi[k] + .01 - o[k]) / d[k];
    near = Math.max(near, Math.min(a, b)); far = Math.min(far, Math.max(a, b));
  }
  return near <= far && far > 0;
}

function inLoop(l, x, y) {
  let inside = false;
  for (let i = 0, j = l.length - 2; i < l.length; j = i, i += 2)
    if ((l[i + 1] > y) != (l[j + 1] > y) && x < l[i] + (y - l[i + 1]) / (l[j + 1] - l[i + 1]) * (l[j] - l[i])) inside = !inside;
  return inside;
}

function toLoop(l, x, y) {
  let least = Infinity;
  for (let i = 0, j = l.length - 2; i < l.length; j = i, i += 2) least = Math.min(least, toSegment([l[j], l[j + 1]], [l[i], l[i + 1]], [x, y])[0]);
  return least;
}

// toSegment is how far a point is off a stretch, and at which part of it the nearest is.
function toSegment(a, b, p) {
  let dd = 0, pd = 0, off = 0;
  for (let k = 0; k < a.length; k++) { dd += (b[k] - a[k]) ** 2; pd += (b[k] - a[k]) * (p[k] - a[k]); }
  const t = dd > 0 ? Math.min(1, Math.max(0, pd / dd)) : 0;
  for (let k = 0; k < a.length; k++) off += (a[k] + (b[k] - a[k]) * t - p[k]) ** 2;
  return [Math.sqrt(off), t];
}

const smallHole = 45; // mm: through a wider one what is behind it is meant

// pickShape is what of a shape a ray in part space meets first.
function pickShape(s, o, d) {
  if (!meetsBox(o, d, s.lo, s.hi)) return null;
  let best = Infinity, which = -1;
  for (let i = 0; i < s.index.length; i += 3) {
    const t = hit(o, d, s.pos, s.index[i], s.index[i + 1], s.index[i + 2]);
    if (t < best) { best = t; which = i / 3; }
  }
  const n = s.tri.length / 3;
  let out = null;
  if (which >= 0) {
    out = { t: best, triangle: which, kind: "face", of: 0 };
    const edge = which >= 2 * n ? (which - 2 * n) >> 1 : -1, region = edge < 0 ? s.part[which % n] : s.region ? s.region[s.from[edge]] : 0;
    if (region >= s.faces.length && s.faces.length) { out.kind = "fold"; out.of = region - s.faces.length; } else out.of = region;
    if (edge >= 0 && s.xy) {
      const x = (s.xy[2 * s.from[edge]] + s.xy[2 * s.to[edge]]) / 2, y = (s.xy[2 * s.from[edge] + 1] + s.xy[2 * s.to[edge] + 1]) / 2;
      const h = s.holes.findIndex(h => h.loop && toLoop(h.loop, x, y) < .05);
      if (h >= 0) { out.kind = "hole"; out.of = h; }
    }
  }
  s.holes.forEach((h, i) => {
    if (!h.loop) return;
    const f = s.frames[h.face], down = dot(d, f.z);
    if (Math.abs(down) < 1e-9) return;
    for (const depth of [0, s.thick]) {
      const t = (dot(sub(f.o, o), f.z) - depth) / down;
      if (!(t > 0) || out && t > out.t + 1e-6) continue;
      const p = sub(add(o, scale(d, t)), f.o), x = dot(p, f.x), y = dot(p, f.y);
      if (inLoop(h.loop, x, y) && spread(h.loop) < smallHole) out = { t, triangle: -1, kind: "hole", of: i };
    }
  });
  return out;
}

function spread(l) {
  let lo = [Infinity, Infinity], hi = [-Infinity, -Infinity];
  for (let i = 0; i < l.length; i++) { lo[i % 2] = Math.min(lo[i % 2], l[i]); hi[i % 2] = Math.max(hi[i % 2], l[i]); }
  return Math.max(hi[0] - lo[0], hi[1] - lo[1]);
}

// between measures two picks: each a point p, with a direction d of an edge or a normal n of a face.
function between(a, b) {
  const line = x => x.d ? "edge" : x.n ? "face" : "point", kinds = line(a) + " " + line(b), out = {};
  const angle = (u, v, whole) => { const c = Math.max(-1, Math.min(1, dot(u, v))); return Math.acos(whole ? c : Math.abs(c)) * 180 / Math.PI; };
  const off = sub(b.p, a.p);
  out.straight = size(off);
  switch (kinds) {
    case "point point": out.distance = out.straight; break;
    case "point edge": out.distance = size(cross(off, b.d)); break;
    case "edge point": out.distance = size(cross(off, a.d)); break;
    case "point face": out.distance = Math.abs(dot(off, b.n)); break;
    case "face point": out.distance = Math.abs(dot(off, a.n)); break;
    case "edge edge": {
      const n = cross(a.d, b.d), l = size(n);
      out.angle = angle(a.d, b.d);
      out.distance = l < 1e-6 ? size(cross(off, a.d)) : Math.abs(dot(off, n)) / l;
      break;
    }
    case "face face":
      out.angle = angle(a.n, b.n, true);
      if (out.angle < .01 || out.angle > 179.99) out.distance = Math.abs(dot(off, a.n));
      break;
    default: {
      const e = a.d ? a : b, f = a.n ? a : b;
      out.angle = 90 - angle(e.d, f.n);
      if (out.angle < .01) out.distance = Math.abs(dot(off, f.n));
    }
  }
  return out;
}

// through lists pairs of copies whose middle surfaces cross as they lie, at most so many tests.
function through(copies, work) {
  const out = [], nets = copies.map(c => {
    const s = c.shape, n = s.tri.length / 3, tris = [];
    const mid = i => { const p = s.pos, n3 = 3 * s.nodes; return c.place([(p[3 * i] + p[n3 + 3 * i]) / 2, (p[3 * i + 1] + p[n3 + 3 * i + 1]) / 2, (p[3 * i + 2] + p[n3 + 3 * i + 2]) / 2]); };
    const pts = Array.from({ length: s.nodes }, (_, i) => mid(i));
    for (let i = 0; i < n; i++) tris.push([pts[s.tri[3 * i]], pts[s.tri[3 * i + 1]], pts[s.tri[3 * i + 2]]]);
    const boxes = tris.map(t => boxOf(t));
    const edges = Array.from(s.from, (f, i) => [pts[f], pts[s.to[i]]]);
    return { tris, boxes, box: boxOf(pts), edges, ends: edges.map(boxOf) };
  });
  for (let i = 0; i < nets.length; i++) for (let j = i + 1; j < nets.length; j++) {
    if (!boxesMeet(nets[i].box, nets[j].box)) continue;
    const both = nets[i].box.map((x, k) => k < 3 ? Math.max(x, nets[j].box[k]) : Math.min(x, nets[j].box[k]));
    const crossed = (a, b) => {
      const tris = b.tris.map((_, k) => k).filter(k => boxesMeet(b.boxes[k], both));
      return a.edges.some((e, n) => {
        const eb = a.ends[n];
        if (!boxesMeet(eb, both)) return false;
        return tris.some(k => {
          if (--work < 0 || !boxesMeet(eb, b.boxes[k])) return false;
          const d = sub(e[1], e[0]), l = size(d), t = b.tris[k], x = l > 0 ? hit(e[0], scale(d, 1 / l), [...t[0], ...t[1], ...t[2]], 0, 1, 2) : Infinity;
          return x > .05 && x < l - .05;
        });
      });
    };
    if (crossed(nets[i], nets[j]) || crossed(nets[j], nets[i])) out.push([i, j]);
    if (work < 0) return { pairs: out, cut: true };
  }
  return { pairs: out, cut: false };
}

function boxOf(pts) {
  const b = [Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity];
  for (const p of pts) for (let k = 0; k < 3; k++) { if (p[k] < b[k]) b[k] = p[k]; if (p[k] > b[3 + k]) b[3 + k] = p[k]; }
  return b;
}

const boxesMeet = (a, b) => a[0] <= b[3] && b[0] <= a[3] && a[1] <= b[4] && b[1] <= a[4] && a[2] <= b[5] && b[2] <= a[5];
