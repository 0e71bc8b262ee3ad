// What hands do: sliders, buttons, keys, pointers, printing, and a live page's own server.

const decoded = new WeakMap(); // shapes by what they were read from

function show(file) {
  const first = !state.file;
  shapes = file.shapes.map(d => { let s = decoded.get(d); if (!s) decoded.set(d, s = new Shape(d)); return s; });
  const kept = new Set(shapes);
  for (const [s, b] of bodies) if (!kept.has(s)) { space.drop(b); bodies.delete(s); }
  state.file = file;
  state.now = Math.min(state.now, file.sizes.length - 1);
  if (state.beside >= file.sizes.length) state.beside = -1;
  const z = current(), h = state.hand;
  if (h && (h.copy >= z.copies.length || h.kind && h.of >= { face: shapeOf(z, h.copy).faces, fold: shapeOf(z, h.copy).folds, hole: shapeOf(z, h.copy).holes, join: z.joins }[h.kind].length)) state.hand = null;
  state.ends = [];
  for (const i of [...state.hidden]) if (i >= z.copies.length) state.hidden.delete(i);
  onlySize();
  if (first) fitShown(); else camera.radius = Math.max(1, size(sub(z.hi, z.lo)) / 2);
  setCut();
  if ($("hand")) showHand();
  ask();
}

function onlySize() {
  document.querySelectorAll("[data-size]").forEach(e => { e.hidden = +e.dataset.size != state.now; });
  document.querySelectorAll("#sheets .script").forEach(e => { e.hidden = !space; });
  if (space) $("still").hidden = true;
}

function setSize(i) {
  state.now = i;
  if (live.base && Object.keys(live.tried).length) { live.waiting = { size: current().name, values: { ...live.tried } }; if (!live.busy) next(); }
  state.hand = null; state.ends = []; state.hidden.clear(); state.crossing = [];
  onlySize();
  if (!space) return;
  if ($("hand")) showHand();
  fitShown();
  setCut();
  lookCrossing();
}

function setBent(part) {
  state.part = part;
  $("bent").value = Math.round(part * 1000);
  $("bent").nextElementSibling.value = part >= 1 ? "finished" : part <= 0 ? "flat" : Math.round(part * 100) + " %";
  clearTimeout(setBent.rest);
  setBent.rest = setTimeout(lookCrossing, 250);
  if (state.crossing.length && part >= 1) state.crossing = [];
  turned();
}

function setApart(away) {
  state.away = away;
  $("apart").value = Math.round(away * 1000);
  $("apart").nextElementSibling.value = away <= 0 ? "together" : away >= 1 ? "apart" : Math.round(away * 100) + " %";
  clearTimeout(setBent.rest);
  setBent.rest = setTimeout(lookCrossing, 250);
  turned();
}

function setCut() {
  if (!space || !$("cut")) return;
  const axis = $("cut").value, z = current();
  $("cutat").disabled = $("cutside").disabled = axis === "";
  if (axis === "") space.cut = [0, 0, 0, 1e9];
  else {
    const k = +axis, at = z.lo[k] + (z.hi[k] - z.lo[k]) * $("cutat").value / 1000, n = [0, 0, 0], s = $("cutside").checked ? -1 : 1;
    n[k] = s;
    space.cut = [...n, s * at];
  }
  ask();
}

const looks = { corner: [.4, .38], front: [0, 0], right: [Math.PI / 2, 0], back: [Math.PI, 0], left: [-Math.PI / 2, 0], above: [0, Math.PI / 2 - 1e-4], below: [0, -Math.PI / 2 + 1e-4] };
function look(name) { const [yaw, pitch] = looks[name]; goTo({ yaw, pitch }); say("From " + (name == "above" || name == "below" ? name : "the " + name)); }

function zoom(k) { camera.far = Math.min(camera.radius * 40, Math.max(camera.radius * .01 + 5, camera.far * k)); turned(); }
function shift(dx, dy) { const mm = 2 * camera.half() / $("space").clientHeight; camera.target = add(camera.target, add(scale(camera.right(), -dx * mm), scale(camera.up(), dy * mm))); turned(); }
function spin(dx, dy) { camera.yaw -= dx * .008; camera.pitch = Math.max(-Math.PI / 2 + 1e-4, Math.min(Math.PI / 2 - 1e-4, camera.pitch + dy * .008)); turned(); }

function pointers(canvas) {
  const down = new Map();
  let moved = 0, apart = 0;
  canvas.addEventListener("pointerdown", e => { canvas.setPointerCapture(e.pointerId); down.set(e.pointerId, [e.offsetX, e.offsetY]); if (down.size == 1) moved = 0; apart = 0; goTo.now = null; });
  canvas.addEventListener("pointermove", e => {
    const was = down.get(e.pointerId);
    if (!was) return;
    const dx = e.offsetX - was[0], dy = e.offsetY - was[1];
    moved += Math.abs(dx) + Math.abs(dy);
    down.set(e.pointerId, [e.offsetX, e.offsetY]);
    if (moved < 4) return;
    if (down.size == 2) {
      const [a, b] = [...down.values()], d = Math.hypot(a[0] - b[0], a[1] - b[1]);
      if (apart > 0 && d > 0) zoom(apart / d);
      apart = d;
      shift(dx / 2, dy / 2);
    } else if (e.shiftKey || e.buttons & 6) shift(dx, dy); else spin(dx, dy);
  });
  const up = e => {
    if (!down.delete(e.pointerId) || moved >= 4 || e.type == "pointercancel") return;
    if (state.measuring) return measureAt(e.offsetX, e.offsetY);
    if (state.file.plain) return;
    const p = pick(e.offsetX, e.offsetY);
    take(p && { copy: p.copy, kind: p.kind, of: p.of });
  };
  canvas.addEventListener("pointerup", up);
  canvas.addEventListener("pointercancel", up);
  canvas.addEventListener("wheel", e => { e.preventDefault(); zoom(Math.exp(Math.max(-120, Math.min(120, e.deltaY)) * .0012)); }, { passive: false });
  canvas.addEventListener("contextmenu", e => e.preventDefault());
}

function keys(canvas) {
  canvas.addEventListener("keydown", e => {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const go = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key], z = current(), plain = state.file.plain;
    if (go) (e.shiftKey ? shift : spin)(go[0] * 24, go[1] * 24);
    else if (e.key == "+" || e.key == "=") zoom(.87);
    else if (e.key == "-") zoom(1.15);
    else if (e.key == "0") fitShown();
    else if (!plain && (e.key == "n" || e.key == "p") && z.copies.length) { const n = z.copies.length, c = state.hand ? (state.hand.copy + (e.key == "n" ? 1 : n - 1)) % n : 0; take({ copy: c, kind: "", of: 0 }); say(z.copies[c].n); }
    else if (!plain && e.key == "h" && state.hand) { state.hidden.add(state.hand.copy); take(null); }
    else if (!plain && e.key == "a" && state.hand) { const c = state.hand.copy; state.hidden = new Set(z.copies.keys()); state.hidden.delete(c); take({ ...state.hand }); fitShown(); }
    else if (!plain && e.key == "Escape") { state.ends = []; if (state.hidden.size && !state.hand) showAll(); take(null); say(""); }
    else return;
    e.preventDefault();
  });
}

// toPaper puts a picture in the canvas's place, for a canvas is not printed: the piece as it is
// turned or, where its scene is not read yet, the still one. What is folded away is opened.
function toPaper() {
  printing = true;
  document.querySelectorAll("#sheets details:not([open])").forEach(d => { d.open = true; d.dataset.opened = ""; });
  if (!state.file) { $("still").hidden = false; document.querySelector(".view").hidden = true; return; }
  draw();
  const img = new Image();
  img.id = "printed"; img.alt = ""; img.src = $("space").toDataURL("image/png"); img.style.maxWidth = "100%"; img.style.maxHeight = "100%";
  $("space").hidden = true;
  $("space").after(img);
}

function fromPaper() {
  printing = false;
  document.querySelectorAll("#sheets details[data-opened]").forEach(d => { d.open = false; delete d.dataset.opened; });
  document.querySelector(".view").hidden = false;
  $("still").hidden = true;
  if ($("printed")) $("printed").remove();
  $("space").hidden = false;
  ask();
}

function wire() {
  document.querySelectorAll("input[name=size]").forEach(r => r.addEventListener("change", () => setSize(+r.value)));
  const picked = document.querySelector("input[name=size]:checked");
  if (picked) state.now = +picked.value;
  onlySize();
  document.querySelectorAll("fieldset.script").forEach(e => { e.hidden = false; });
  if (!space) { document.querySelectorAll(".also").forEach(e => e.remove()); return; }
  document.querySelectorAll(".script").forEach(e => { e.hidden = false; });
  pointers($("space"));
  keys($("space"));
  const on = (id, event, act) => { if ($(id)) $(id).addEventListener(event, act); };
  on("bent", "input", () => setBent($("bent").value / 1000));
  on("apart", "input", () => setApart($("apart").value / 1000));
  on("parallel", "change", () => { camera.parallel = $("parallel").checked; ask(); });
  on("beside", "change", () => { state.beside = $("beside").value === "" ? -1 : +$("beside").value; ask(); });
  ["cut", "cutat", "cutside"].forEach(id => on(id, "input", setCut));
  on("measure", "click", () => { state.measuring = !state.measuring; state.ends = []; $("measure").setAttribute("aria-pressed", String(state.measuring)); $("space").classList.toggle("measuring", state.measuring); say(state.measuring ? "Pick two corners, edges or faces" : ""); ask(); });
  document.querySelectorAll("[data-look]").forEach(b => b.addEventListener("click", () => look(b.dataset.look)));
  if ($("sheets")) $("sheets").addEventListener("click", e => {
    const copy = e.target.closest("[data-copy]"), warning = e.target.closest("[data-warning]");
    if (copy) take(state.hand && !state.hand.kind && state.hand.copy == +copy.dataset.copy ? null : { copy: +copy.dataset.copy, kind: "", of: 0 });
    if (warning) { const p = current().warnings[+warning.dataset.warning]; fly({ copy: p[0].c, kind: p[0].k || "", of: p[0].i }); }
  });
  new ResizeObserver(ask).observe($("space"));
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", ask);
  addEventListener("beforeprint", toPaper);
  addEventListener("afterprint", fromPaper);
  $("space").addEventListener("webglcontextlost", e => { e.preventDefault(); say("The graphics were lost; reload the page."); });
}

// A live page: what was tried is asked of its own server, the newest try alone.
const live = { waiting: null, busy: false, tried: {} };

function fields(list) {
  const box = $("fields"), act = document.activeElement, keep = act && box.contains(act);
  const same = box.children.length == list.length && list.every((f, i) => box.children[i].dataset.name == f.name && box.children[i].dataset.range == (f.low || "") + ".." + (f.high || ""));
  list.forEach((f, i) => {
    let row = same ? box.children[i] : null;
    if (!row) {
      if (i == 0) box.textContent = "";
      row = el("div", undefined, "field");
      row.dataset.name = f.name; row.dataset.range = (f.low || "") + ".." + (f.high || "");
      const label = el("label"), text = el("input");
      text.type = "text"; text.autocomplete = "off"; text.spellcheck = false;
      label.append(el("span", f.name), text);
      row.append(label);
      text.addEventListener("change", () => attempt(f.name, text.value));
      if (f.low && f.high) {
        const slide = el("input");
        slide.type = "range"; slide.min = f.from; slide.max = f.to; slide.step = f.step; slide.setAttribute("aria-label", f.name + ", " + f.low + " to " + f.high);
        slide.addEventListener("input", () => { text.value = +(+slide.value).toFixed(6) + f.unit; attempt(f.name, text.value); });
        row.append(slide);
      }
      if (f.doc) row.append(el("small", f.doc));
      box.append(row);
    }
    const text = row.querySelector("input[type=text]"), slide = row.querySelector("input[type=range]");
    if (act !== text && act !== slide || !keep) { text.value = f.value; if (slide) slide.value = f.at; }
    row.classList.toggle("stated", !!f.tried);
  });
}

function attempt(name, value) {
  live.tried[name] = value;
  live.waiting = { size: current().name, values: { ...live.tried } };
  if (!live.busy) next();
}

async function next() {
  const of = live.waiting;
  if (!of) return;
  live.waiting = null; live.busy = true;
  const start = performance.now();
  try {
    const r = await fetch("try", { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(of) });
    if (!r.ok) throw new Error(await r.text());
    answer(await r.json());
  } catch (e) { $("wrong").textContent = "The page's server does not answer: " + e.message; }
  live.took = performance.now() - start;
  live.busy = false;
  if (live.waiting) next();
}

function answer(a) {
  $("wrong").textContent = a.wrong || "";
  pageBody.classList.toggle("stale", !!a.stale);
  $("row").value = a.row || "";
  if (a.sheets !== undefined) $("sheets").innerHTML = a.sheets;
  if (a.file) {
    const name = state.file && current() ? current().name : null, at = a.file.sizes.findIndex(z => z.name == name);
    if (a.only && live.base) { // the other sizes stay as they were built
      const n = live.base.shapes.length, z = a.file.sizes[0];
      z.shapes = z.shapes.map(i => i + n);
      a.file = { ...live.base, shapes: [...live.base.shapes, ...a.file.shapes], sizes: live.base.sizes.map(o => o.name == z.name ? z : o) };
    } else { live.base = a.file; if (at >= 0) state.now = at; }
    show(a.file);
    draw();
  }
  if (a.fields) fields(a.fields);
  onlySize();
}

async function follow() {
  const all = async () => { const r = await fetch("scene"); if (r.ok) { live.tried = {}; answer(await r.json()); } };
  const events = new EventSource("events");
  events.addEventListener("built", all);
  events.addEventListener("error", () => { if (events.readyState == 2) $("wrong").textContent = "perch watch has ended; this is the last piece it built."; });
  await all();
}

async function start() {
  try { space = new Space($("space")); if (!space.gl) space = null; } catch (e) { space = null; }
  if (!space && !$("still").querySelector("img")) $("still").textContent = "This browser draws nothing in space, and there is no picture.";
  wire();
  if ($("try")) await follow();
  else if (space) show(await unpack($("scene").textContent));
  window.perch = { state, camera, current, shapeOf, offsets, place, pick, take, setBent, setApart, setSize, draw, live, between, endAt, measureAt, fly, attempt, turned, ready: true, get shapes() { return shapes; }, get space() { return space; } };
}

start();
