// The desk: what the page shows of the piece, and what hands do with it.
const $ = id => document.getElementById(id), pageBody = document.body, still = matchMedia("(prefers-reduced-motion: reduce)");
const state = { file: null, now: 0, beside: -1, part: 1, away: 0, hand: null, hidden: new Set(), measuring: false, ends: [], crossing: [], work: 3e6, stale: false, looked: false };
const camera = new Camera();
let space = null, bodies = new Map(), shapes = [], heads = null, marked = null, points3 = null, asked = false, slow = false, watched = false, turning = 0;

const current = () => state.file.sizes[state.now];
const shapeOf = (z, copy) => shapes[z.shapes[z.copies[copy].s]];
const words = (mm, n = 2) => state.file.inches ? Math.round(mm / 25.4 * 1000) / 1000 + " in" : Math.round(mm * 10 ** n) / 10 ** n + " mm";
const degrees = a => Math.round(a * 100) / 100 + "°";
const say = text => { const p = $("said"); if (p.textContent != text) p.textContent = text; };

// offsets are how far copies are moved apart: what was joined last goes first.
function offsets(z) {
  const out = z.copies.map(() => [0, 0, 0]), n = z.moves.length;
  z.moves.forEach((moves, k) => {
    const t = Math.min(1, Math.max(0, state.away * n - (n - 1 - k))), e = t * t * (3 - 2 * t);
    if (e > 0) for (const m of moves) for (const c of m.c) out[c] = add(out[c], scale(m.by, e));
  });
  return out;
}

const model = (c, o) => new Float32Array([c.m[0], c.m[4], c.m[8], 0, c.m[1], c.m[5], c.m[9], 0, c.m[2], c.m[6], c.m[10], 0, c.m[3] + o[0], c.m[7] + o[1], c.m[11] + o[2], 1]);
const place = (c, o, p) => [0, 4, 8].map((r, k) => c.m[r] * p[0] + c.m[r + 1] * p[1] + c.m[r + 2] * p[2] + c.m[r + 3] + o[k]);
const turn = (c, v) => [0, 4, 8].map(r => c.m[r] * v[0] + c.m[r + 1] * v[1] + c.m[r + 2] * v[2]);
const back = (c, o, p) => { const q = sub(p, [c.m[3] + o[0], c.m[7] + o[1], c.m[11] + o[2]]); return [0, 1, 2].map(k => c.m[k] * q[0] + c.m[4 + k] * q[1] + c.m[8 + k] * q[2]); };
const backDir = (c, v) => [0, 1, 2].map(k => c.m[k] * v[0] + c.m[4 + k] * v[1] + c.m[8 + k] * v[2]);

// colours are the paper's, read off the page so that dark and light are one table.
function colours() {
  const css = getComputedStyle(document.documentElement), of = name => { const h = css.getPropertyValue(name).trim().replace("#", ""); return [0, 2, 4].map(i => parseInt(h.slice(i, i + 2), 16) / 255); };
  const dark = !printing && matchMedia("(prefers-color-scheme: dark)").matches, tints = [[226, 224, 216], [176, 197, 206], [222, 190, 148], [186, 204, 168], [214, 178, 176], [196, 186, 210]];
  return { ground: printing ? [1, 1, 1] : of("--ground"), ink: dark ? [.05, .05, .05] : [.17, .165, .157], accent: of("--accent"), was: of("--was"), inside: of("--accent").map(x => .75 * x + .25), dark, tints: tints.map(t => t.map(x => x / 255 * (dark ? .86 : 1))) };
}
let printing = false;

// headsMesh are the fasteners' heads: flat rounds a little over the sheet, and stripes of welds.
function headsMesh(z, off) {
  const pos = [], nrm = [], edges = [], idx = [];
  if (state.part >= 1) z.joins.forEach((j, i) => {
    const of = j.c[0] ?? -1, last = j.c[j.c.length - 1];
    if (of < 0 || state.hidden.has(of) && state.hidden.has(last)) return;
    const put = (at, out, wide, sides, copy) => {
      if (state.hidden.has(copy)) return;
      const x = unit(Math.abs(out[2]) < .9 ? cross(out, [0, 0, 1]) : cross(out, [1, 0, 0])), y = cross(out, x), v = pos.length / 3, ring = [];
      for (let k = 0; k < sides; k++) { const a = 2 * Math.PI * k / sides; ring.push(add(scale(x, Math.cos(a) * wide / 2), scale(y, Math.sin(a) * wide / 2))); }
      const c = add(at, off[copy]), top = scale(out, .16 * wide);
      pos.push(...add(c, top)); nrm.push(...out);
      for (const r of ring) { pos.push(...add(add(c, top), scale(r, .72))); nrm.push(...out); }
      for (const r of ring) { pos.push(...add(c, r)); nrm.push(...unit(add(unit(r), scale(out, .7)))); }
      for (let k = 0; k < sides; k++) {
        const n = (k + 1) % sides;
        idx.push(v, v + 1 + k, v + 1 + n, v + 1 + k, v + 1 + sides + k, v + 1 + sides + n, v + 1 + k, v + 1 + sides + n, v + 1 + n);
        edges.push(...add(c, ring[k]), ...add(c, ring[n]));
      }
    };
    if (j.l) {
      const a = add(j.l.slice(0, 3), off[of]), b = add(j.l.slice(3), off[of]), out = scale(j.x, -1), w = scale(unit(cross(out, sub(b, a))), 1.5), up = scale(out, .8), v = pos.length / 3;
      for (const p of [sub(a, w), sub(b, w), add(b, w), add(a, w)]) { pos.push(...add(p, up)); nrm.push(...out); }
      idx.push(v, v + 1, v + 2, v, v + 2, v + 3);
      [0, 1, 2, 3].forEach(k => edges.push(...pos.slice(3 * (v + k), 3 * (v + k) + 3), ...pos.slice(3 * (v + (k + 1) % 4), 3 * (v + (k + 1) % 4) + 3)));
    } else if (j.h) {
      put(j.a, scale(j.x, -1), j.h, j.k == "bolt" ? 6 : 14, of);
      if (state.away == 0 && j.c.length > 1) put(add(j.a, scale(j.x, j.g)), j.x, j.h * .75, j.k == "bolt" ? 6 : 14, last);
    }
  });
  return { pos: Float32Array.from(pos), nrm: Float32Array.from(nrm), edges: Float32Array.from(edges), idx: Uint32Array.from(idx) };
}

function bodyOf(s) {
  let b = bodies.get(s);
  if (!b) { b = space.body(s.index); bodies.set(s, b); s.drawn = -1; }
  if (s.drawn !== s.step) { space.fill(b, s.pos, s.normal, s.edges); s.drawn = s.step; }
  return b;
}

function fold() {
  const z = current();
  for (const i of new Set(z.shapes)) shapes[i].fold(state.part);
  if (state.beside >= 0) for (const i of new Set(state.file.sizes[state.beside].shapes)) if (!z.shapes.includes(i)) shapes[i].fold(1);
}

function draw() {
  asked = false;
  if (!space || !state.file) return;
  const t0 = performance.now(), z = current(), c = colours(), off = offsets(z), items = [], rev = z.copies.some(k => k.v);
  fold();
  space.scale = slow && turning > t0 ? .5 : 1;
  z.copies.forEach((k, i) => {
    if (state.hidden.has(i)) return;
    const s = shapeOf(z, i), bad = state.crossing.some(p => p.includes(i)), tint = rev ? (k.v == 1 ? c.was : k.v == 2 ? c.accent : c.tints[0]) : c.tints[s.tint % c.tints.length];
    items.push({ body: bodyOf(s), model: model(k, off[i]), turned: k.o ? -1 : 1, colour: k.v ? tint.map(x => .45 * x + .45) : tint, ink: bad || k.v ? (k.v == 1 ? c.was : c.accent) : c.ink, wide: bad ? 3 : 1.3, only: k.v == 1 ? "edges" : undefined });
  });
  if (state.beside >= 0 && state.beside != state.now) {
    const o = state.file.sizes[state.beside];
    o.copies.forEach((k, i) => items.push({ body: bodyOf(shapeOf(o, i)), model: model(k, [0, 0, 0]), turned: 1, ink: c.was, wide: 1.1, only: "edges" }));
  }
  const h = headsMesh(z, off);
  heads ??= space.body();
  space.fill(heads, h.pos, h.nrm, h.edges, h.idx);
  items.push({ body: heads, model: model({ m: [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0] }, [0, 0, 0]), turned: 1, colour: c.tints[0].map(x => x * .92), ink: c.ink, wide: 1 });
  if (state.hand) items.push(...handItems(z, off, c));
  if (state.ends.length) items.push(endItems(c));
  space.draw(camera, items, c);
  ruler();
  if (performance.now() - t0 > 30) slow = true; // of the script; graphics hold up the next frame
  if (turning > t0 && !slow && !watched) { watched = true; requestAnimationFrame(() => { watched = false; if (performance.now() - t0 > 60) slow = true; }); }
}

const ask = () => { if (!asked) { asked = true; requestAnimationFrame(draw); } };

// turned draws now at half resolution where drawing is slow, and fully when the hand rests.
function turned() { turning = performance.now() + 180; ask(); clearTimeout(turned.rest); turned.rest = setTimeout(ask, 200); }

// handItems are what is picked, in the accent colour on top of it.
function handItems(z, off, c) {
  const { copy, kind, of } = state.hand, s = shapeOf(z, copy), k = z.copies[copy], same = { model: model(k, off[copy]), turned: k.o ? -1 : 1, colour: c.accent, ink: c.accent, wide: 3, over: true };
  marked ??= space.body();
  if (kind == "join") {
    const one = { copies: z.copies, joins: [z.joins[of]], moves: [] }, h = headsMesh(one, off);
    space.fill(marked, h.pos, h.nrm, h.edges, h.idx);
    return [{ ...same, body: marked, model: model({ m: [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0] }, [0, 0, 0]), turned: 1 }];
  }
  let edges = [], idx = new Uint32Array(0);
  if (kind == "hole") {
    const h = s.holes[of], l = h.loop || circle(h.at, Math.max(h.wide, 3) / 2), at = i => s.at(h.face, l[i], l[i + 1], 0)[0], low = i => s.at(h.face, l[i], l[i + 1], s.thick)[0];
    for (let i = 0, j = l.length - 2; i < l.length; j = i, i += 2) edges.push(...at(j), ...at(i), ...low(j), ...low(i));
  } else {
    const list = s.trianglesOf(kind, of);
    idx = new Uint32Array(3 * list.length);
    list.forEach((t, i) => idx.set(s.index.subarray(3 * t, 3 * t + 3), 3 * i));
    if (!kind) edges = Array.from(s.edges);
  }
  space.fill(marked, s.pos, s.normal, Float32Array.from(edges), idx);
  return [{ ...same, body: marked }];
}

const circle = (at, r) => Array.from({ length: 48 }, (_, i) => i % 2 ? at[1] + r * Math.sin(Math.PI * (i - 1) / 24) : at[0] + r * Math.cos(Math.PI * i / 24));

// endItems are the marks of what is measured.
function endItems(c) {
  points3 ??= space.body();
  const edges = [], r = camera.half() * .012;
  for (const e of state.ends) for (const v of [[1, 0, 0], [0, 1, 0], [0, 0, 1]]) edges.push(...sub(e.p, scale(v, r)), ...add(e.p, scale(v, r)));
  for (const e of state.ends) if (e.a) edges.push(...e.a, ...e.b);
  if (state.ends.length == 2) edges.push(...state.ends[0].p, ...state.ends[1].p);
  space.fill(points3, null, null, Float32Array.from(edges));
  return { body: points3, model: model({ m: [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0] }, [0, 0, 0]), turned: 1, ink: c.accent, wide: 3, over: true, only: "edges" };
}

// ruler is a length at the middle of the picture, of a round number.
function ruler() {
  const w = $("space").clientWidth, h = $("space").clientHeight, mm = 2 * camera.half() / h, one = state.file.inches ? 25.4 : 1, most = mm * w * .25 / one, ten = 10 ** Math.floor(Math.log10(most)), n = [5, 2, 1].find(k => k * ten <= most) * ten;
  $("ruler").style.width = n * one / mm + "px";
  $("ruler").firstElementChild.textContent = +n.toPrecision(3) + (state.file.inches ? " in" : " mm");
}

// pick is what is under a place of the picture, in its pixels.
function pick(x, y) {
  const el = $("space"), r = camera.ray(x, y, el.clientWidth, el.clientHeight), z = current(), off = offsets(z), cut = space.cut;
  let best = null;
  z.copies.forEach((c, i) => {
    if (state.hidden.has(i)) return;
    let o = back(c, off[i], r.o), d = backDir(c, r.d), skip = 0;
    for (let k = 0; k < 12; k++) {
      const p = pickShape(shapeOf(z, i), add(o, scale(d, skip)), d);
      if (!p) return;
      const t = p.t + skip, at = add(r.o, scale(r.d, t));
      if (dot(cut, at) > cut[3]) { skip = t + 1e-4; continue; } // cut away
      if (!best || t < best.t) best = { ...p, t, copy: i, at };
      return;
    }
  });
  if (state.part >= 1) z.joins.forEach((j, i) => {
    if (!j.h || !j.c.length) return;
    for (const [at, out, wide, copy] of [[j.a, scale(j.x, -1), j.h, j.c[0]], [add(j.a, scale(j.x, j.g)), j.x, j.h * .75, j.c[j.c.length - 1]]]) {
      const facing = dot(r.d, out);
      if (facing > -1e-6 || state.hidden.has(copy) || state.away > 0 && at !== j.a) continue;
      const c = add(add(at, off[copy]), scale(out, .1 * wide)), t = dot(sub(c, r.o), out) / facing, p = add(r.o, scale(r.d, t));
      if (t > 0 && size(sub(p, c)) < wide / 2 && (!best || t < best.t) && dot(cut, p) <= cut[3]) best = { t, copy, kind: "join", of: i, at: p };
    }
  });
  return best;
}

// endAt is what a measure takes at a place: a corner or edge that is near, else the face.
function endAt(x, y) {
  const p = pick(x, y);
  if (!p) return null;
  const z = current(), off = offsets(z)[p.copy], c = z.copies[p.copy], s = shapeOf(z, p.copy), el = $("space"), w = el.clientWidth, h = el.clientHeight, world = i => place(c, off, [s.edges[i], s.edges[i + 1], s.edges[i + 2]]);
  let corner = null, edge = null;
  for (let i = 0; i < s.edges.length; i += 6) {
    const a = world(i), b = world(i + 3), A = camera.onScreen(a, w, h), B = camera.onScreen(b, w, h);
    if (size(sub(b, a)) < 1) continue; // of a round
    for (const [q, Q] of [[a, A], [b, B]]) { const d = Math.hypot(Q[0] - x, Q[1] - y); if (d < 10 && size(sub(q, p.at)) < 30 + s.thick && (!corner || d < corner.d0)) corner = { d0: d, p: q, word: "corner" }; }
    const [d, t] = toSegment(A, B, [x, y]);
    if (d < 7 && (!edge || d < edge.d0)) { const at = add(a, scale(sub(b, a), t)); if (size(sub(at, p.at)) < 30 + s.thick) edge = { d0: d, p: at, d: unit(sub(b, a)), a, b, word: "edge" }; }
  }
  if (corner) return corner;
  if (edge) return edge;
  if (p.triangle < 0 || p.kind == "join") return { p: p.at, word: "point" };
  const v = s.index[3 * p.triangle], n = unit(turn(c, [s.normal[3 * v], s.normal[3 * v + 1], s.normal[3 * v + 2]]));
  return p.kind == "fold" ? { p: p.at, word: "point" } : { p: p.at, n, word: "face" };
}

function measureAt(x, y) {
  const e = endAt(x, y);
  if (!e) return;
  if (state.ends.length == 2) state.ends = [];
  state.ends.push(e);
  if (state.ends.length == 1) say("From this " + e.word + " to …");
  else {
    const m = between(...state.ends), out = [];
    if (m.distance !== undefined) out.push(words(m.distance) + " apart");
    if (m.angle !== undefined) out.push(degrees(m.angle) + " between them");
    if (m.distance === undefined || m.straight - m.distance > .005) out.push(words(m.straight) + " straight from pick to pick");
    say(state.ends.map(k => k.word).join(" to ") + ": " + out.join(", "));
  }
  ask();
}
