// What is in hand: its name, flat, bends and joins, in space, in the list and in the drawing.
const SVG = "http://www.w3.org/2000/svg";
const el = (tag, text, cls) => { const e = document.createElement(tag); if (text !== undefined) e.textContent = text; if (cls) e.className = cls; return e; };
const path = (l, flip = -1) => { let d = ""; for (let i = 0; i < l.length; i += 2) d += (i ? "L" : "M") + l[i].toFixed(3) + " " + (flip * l[i + 1]).toFixed(3); return d + "Z"; };

function take(hand) {
  if (hand && state.hidden.has(hand.copy)) state.hidden.delete(hand.copy);
  state.hand = hand;
  document.querySelectorAll("#sheets article:not([hidden]) [data-copy]").forEach(b => b.setAttribute("aria-pressed", String(!!hand && +b.dataset.copy == hand.copy)));
  if ($("hand")) showHand();
  ask();
}

function nameOf(z, hand) {
  const s = shapeOf(z, hand.copy), i = hand.of;
  switch (hand.kind) {
    case "face": return s.faces[i] ? s.faces[i].called : "";
    case "fold": return "fold " + s.folds[i].called;
    case "hole": return s.holes[i].kind + " " + s.holes[i].name;
    case "join": return z.joins[i].k + " " + z.joins[i].n;
  }
  return "";
}

function showHand() {
  const box = $("hand"), title = box.querySelector("h2"), body = box.querySelector(".body");
  body.textContent = "";
  box.classList.toggle("none", !state.hand);
  if (!state.hand) { title.textContent = "Nothing picked"; body.append(el("p", "Pick a part in the picture or in the list.", "hint")); if (state.hidden.size) body.append(knob("Show everything", showAll)); return; }
  const z = current(), h = state.hand, s = shapeOf(z, h.copy), c = z.copies[h.copy], what = nameOf(z, h);
  title.textContent = c.n + (what ? ": " + what : "");
  const row = el("div", undefined, "row");
  row.append(knob("Hide", () => { state.hidden.add(h.copy); take(null); }), knob("Alone", () => { state.hidden = new Set(z.copies.keys()); state.hidden.delete(h.copy); take({ ...h }); fitShown(); }), knob("Show everything", showAll), knob("Let go", () => take(null)));
  body.append(row, table(facts(z, h, s)), flatOf(s, h));
}

function showAll() { state.hidden.clear(); showHand(); fitShown(); ask(); }
function knob(text, act) { const b = el("button", text); b.type = "button"; b.addEventListener("click", act); return b; }
function table(rows) { const dl = el("dl"); for (const [a, b] of rows) { const d = el("div"); d.append(el("dt", a), el("dd", b)); dl.append(d); } return dl; }

// facts are lines on what is picked.
function facts(z, h, s) {
  const out = [], i = h.of;
  if (h.kind == "fold") {
    const f = s.folds[i];
    out.push(["angle", degrees(f.angle * 180 / Math.PI)], ["way", f.down ? "down, away from the drawn side" : "up, towards the drawn side"], ["inside radius", words(f.radius)], ["neutral axis K", String(Math.round(f.k * 1000) / 1000)], ["allowance", words(f.wide, 3)]);
    const turn = s.order.indexOf(i);
    if (turn >= 0) out.push(["bent as", "number " + (turn + 1) + " of " + s.order.length]);
  } else if (h.kind == "hole") {
    const o = s.holes[i], when = { before: "in the flat", locate: "in the flat, to put parts in their places", in_place: "drilled through when the bent parts are clamped" };
    if (o.wide) out.push(["diameter", words(o.wide)]);
    if (o.when) out.push(["made", when[o.when] || o.when]);
    if (o.join) out.push(["for", o.join]);
    out.push(["on", s.faces[o.face].called]);
  } else if (h.kind == "join") {
    const j = z.joins[i];
    out.push(["diameter", words(j.d)], ["through", words(j.g)], ["holds", j.c.map(k => z.copies[k].n).join(", ")]);
  }
  out.push(["sheet", s.stock + ", " + words(s.thick)]);
  if (!h.kind || h.kind == "face") {
    const held = {};
    z.joins.forEach(j => { if (j.c.includes(h.copy)) { const k = j.k + "s to " + (j.c.filter(x => x != h.copy).map(x => z.copies[x].n).join(", ") || "itself"); held[k] = (held[k] || 0) + 1; } });
    for (const k in held) out.push([k, String(held[k])]);
  }
  return out;
}

// flatOf draws the flat: its faces, folds and holes can be picked in it.
function flatOf(s, h) {
  const svg = document.createElementNS(SVG, "svg"), put = (cls, d, kind, of, name) => {
    const p = document.createElementNS(SVG, "path");
    p.setAttribute("class", cls);
    p.setAttribute("d", d);
    if (kind) {
      p.dataset.kind = kind; p.dataset.of = of;
      if (h.kind == kind && h.of == of) p.setAttribute("class", cls + " flat-hand");
      const t = document.createElementNS(SVG, "title");
      t.textContent = name;
      p.append(t);
      p.addEventListener("click", () => take({ copy: h.copy, kind, of }));
    }
    svg.append(p);
  };
  let lo = [Infinity, Infinity], hi = [-Infinity, -Infinity];
  s.outline.forEach((x, i) => { lo[i % 2] = Math.min(lo[i % 2], x); hi[i % 2] = Math.max(hi[i % 2], x); });
  const pad = .03 * Math.max(hi[0] - lo[0], hi[1] - lo[1]);
  svg.setAttribute("viewBox", [lo[0] - pad, -hi[1] - pad, hi[0] - lo[0] + 2 * pad, hi[1] - lo[1] + 2 * pad].join(" "));
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", "Flat of " + s.called);
  put("flat-metal", [s.outline, ...s.openings].map(l => path(l)).join(""));
  s.faces.forEach((f, i) => put("flat-face", path(f.loop), "face", i, f.called));
  s.folds.forEach((f, i) => {
    put("flat-fold", path(f.loop), "fold", i, "fold " + f.called);
    const along = [0, 1].map(k => { let e = k ? -Infinity : Infinity; for (let i = 0; i < f.loop.length; i += 2) { const d = (f.loop[i] - f.start[0]) * f.along[0] + (f.loop[i + 1] - f.start[1]) * f.along[1]; e = k ? Math.max(e, d) : Math.min(e, d); } return e; });
    const at = along.map(d => [f.start[0] + f.along[0] * d + f.away[0] * f.wide / 2, f.start[1] + f.along[1] * d + f.away[1] * f.wide / 2]);
    put("flat-line " + (f.down ? "flat-down" : "flat-up"), "M" + at.map(p => p[0].toFixed(3) + " " + (-p[1]).toFixed(3)).join("L"));
  });
  s.lines.forEach(l => put("flat-line", path(l.pts).slice(0, -1)));
  s.holes.forEach((o, i) => put("flat-hole", path(o.loop || circle(o.at, Math.max(o.wide, 2) / 2)), "hole", i, o.kind + " " + o.name));
  return svg;
}

// fitShown brings what is not hidden into the picture.
function fitShown() {
  const z = current(), off = offsets(z);
  let lo = [Infinity, Infinity, Infinity], hi = [-Infinity, -Infinity, -Infinity];
  fold();
  z.copies.forEach((c, i) => {
    if (state.hidden.has(i)) return;
    const s = shapeOf(z, i);
    for (let k = 0; k < 8; k++) { const p = place(c, off[i], [0, 1, 2].map(a => (k >> a & 1 ? s.hi : s.lo)[a])); for (let a = 0; a < 3; a++) { lo[a] = Math.min(lo[a], p[a]); hi[a] = Math.max(hi[a], p[a]); } }
  });
  if (lo[0] > hi[0]) { lo = [-50, -50, -50]; hi = [50, 50, 50]; }
  state.box = [lo, hi];
  camera.fit(lo, hi, $("space").clientWidth / $("space").clientHeight || 1);
  ask();
}

// fly goes to a place of a part: straight away where motion is to be reduced.
function fly(hand) {
  const z = current(), s = shapeOf(z, hand.copy), c = z.copies[hand.copy];
  take(hand);
  fold();
  let n = [0, 0, 0], mid = [0, 0, 0], count = 0, r = 20;
  if (hand.kind == "hole") { const h = s.holes[hand.of], [p, q] = s.at(h.face, h.at[0], h.at[1], 0); mid = p; n = q; r = Math.max(25, 2 * h.wide); }
  else {
    for (const t of s.trianglesOf(hand.kind, hand.of)) for (let k = 0; k < 3; k++) { const v = s.index[3 * t + k]; mid = add(mid, [s.pos[3 * v], s.pos[3 * v + 1], s.pos[3 * v + 2]]); if (t < s.tri.length / 3) n = add(n, [s.normal[3 * v], s.normal[3 * v + 1], s.normal[3 * v + 2]]); count++; }
    if (count) mid = scale(mid, 1 / count);
    for (const t of s.trianglesOf(hand.kind, hand.of)) { const v = s.index[3 * t]; r = Math.max(r, 1.1 * size(sub([s.pos[3 * v], s.pos[3 * v + 1], s.pos[3 * v + 2]], mid))); }
  }
  const to = place(c, offsets(z)[hand.copy], mid), out = unit(turn(c, n)), far = Math.max(60, r * 1.6) / Math.sin(camera.fov / 2);
  const goal = { target: to, far, yaw: size(out) && Math.abs(out[2]) < .95 ? Math.atan2(out[0], -out[1]) + .35 : camera.yaw, pitch: Math.max(-1.2, Math.min(1.3, Math.asin(Math.max(-1, Math.min(1, out[2] || 0))) + .25)) };
  goTo(goal);
}

function goTo(goal) {
  const from = { target: camera.target, far: camera.far, yaw: camera.yaw, pitch: camera.pitch }, start = performance.now(), long = still.matches ? 0 : 450;
  goal = { ...from, ...goal };
  const spin = Math.atan2(Math.sin(goal.yaw - from.yaw), Math.cos(goal.yaw - from.yaw)), me = goTo.now = {};
  const step = () => {
    if (goTo.now !== me) return;
    const t = long ? Math.min(1, (performance.now() - start) / long) : 1, e = t * t * (3 - 2 * t);
    camera.target = add(from.target, scale(sub(goal.target, from.target), e));
    camera.far = from.far * (goal.far / from.far) ** e; camera.yaw = from.yaw + spin * e; camera.pitch = from.pitch + (goal.pitch - from.pitch) * e;
    if (t < 1) { turned(); requestAnimationFrame(step); } else ask();
  };
  step();
}

// lookCrossing tells which parts pass through each other as they are folded and set apart.
function lookCrossing() {
  const z = current(), off = offsets(z);
  state.crossing = [];
  fold();
  if (state.part < 1 && !state.file.plain) {
    const found = through(z.copies.map((c, i) => ({ shape: shapeOf(z, i), place: p => place(c, off[i], p) })), state.work);
    state.crossing = found.pairs;
    const names = found.pairs.slice(0, 3).map(([a, b]) => z.copies[a].n + " and " + z.copies[b].n).join("; ");
    if (found.pairs.length) say("As they lie here parts pass through each other: " + names + (found.pairs.length > 3 ? " and " + (found.pairs.length - 3) + " more pairs" : "") + ". Set them apart first." + (found.cut ? " Not all pairs were looked at: there are too many." : ""));
    else if (found.cut) say("As they lie here parts may pass through each other: not all pairs were looked at, there are too many.");
    else if ($("said").textContent.startsWith("As they lie")) say("");
  } else if ($("said").textContent.startsWith("As they lie")) say("");
  ask();
}
