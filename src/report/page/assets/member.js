/* The picked piece: unrolled strip with running dimensions, section, and a row for each feature. */
const view = { shape: -1, from: 0, to: 1 };
function letterFeatures(shape) {
  if (shape.lettered) return;
  shape.lettered = true;
  const letters = new Map();
  for (const f of shape.features) {
    const key = [f.kind, f.form, f.wide, f.place === 1 ? -1 : f.long].join(":");
    if (!letters.has(key)) { const n = letters.size; letters.set(key, n < 26 ? String.fromCharCode(65 + n) : String.fromCharCode(64 + Math.floor(n / 26)) + String.fromCharCode(65 + n % 26)); }
    f.letter = letters.get(key);
  }
}
/* Labels that lie too near each other move apart, in order. */
function spread(at, pitch, lo, hi) {
  const out = at.slice();
  for (let i = 0; i < out.length; i++) out[i] = Math.max(out[i], i ? out[i - 1] + pitch : lo);
  for (let i = out.length - 1, most = hi; i >= 0; i--, most -= pitch) out[i] = Math.max(lo, Math.min(out[i], most));
  return out;
}
function drawUnrolled(shape, width) {
  const p = shape.profile, lanes = p.lanes, left = 92, right = 18, room = Math.max(120, width - left - right);
  const from = view.from, to = view.to, sx = room / (to - from);
  const high = lanes[0][4], low = lanes[lanes.length - 1][3], blank = Math.max(1, high - low);
  const tall = Math.min(Math.max(blank * sx, 96), 280), sy = tall / blank, top = 16;
  const X = nm => left + (nm - from) * sx, Y = nm => top + (high - nm) * sy;
  const figures = 78, H = top + tall + figures;
  const svg = sv("svg", { id: "unrolled", width, height: H, viewBox: "0 0 " + width + " " + H, tabindex: 0, role: "img", "aria-label": "Unrolled piece to scale with running dimensions; the same figures stand in the table below" });
  svg.append(sv("defs", {}, sv("clipPath", { id: "window" }, sv("rect", { x: left - 1, y: 0, width: room + 2, height: H })),
    sv("pattern", { id: "formed", width: 7, height: 7, patternUnits: "userSpaceOnUse" }, sv("path", { d: "M0 7 L7 0", stroke: "var(--ink)", "stroke-width": .9 }))));
  const inside = sv("g", { "clip-path": "url(#window)" });
  svg.append(inside);
  const contour = D.contours[shape.number] || [0, high, 0, low, shape.length, low, shape.length, high];
  let d = "";
  for (let i = 0; i < contour.length; i += 2) d += (i ? "L" : "M") + X(contour[i]).toFixed(2) + " " + Y(contour[i + 1]).toFixed(2);
  inside.append(sv("path", { d: d + "Z", class: "steel" }));
  lanes.forEach((lane, n) => {
    const name = FACES.find(([bit]) => bit === lane[0])[1], y = (Y(lane[3]) + Y(lane[4])) / 2 + 4;
    svg.append(sv("text", { x: left - 8, y, "text-anchor": "end", "font-size": 12, class: "soft" }, name));
    if (n) { const fold = (lanes[n - 1][3] + lane[4]) / 2; inside.append(sv("path", { d: "M" + X(0) + " " + Y(fold) + "H" + X(shape.length), class: "fold" })); }
  });
  const shown = new Map();
  shape.features.forEach((f, n) => {
    if (f.to < from || f.from > to) return;
    for (const lane of lanes) {
      if (!(f.faces & lane[0])) continue;
      const mid = lane[1] + (lane[2] ? f.across : -f.across), x = X(f.from), w = Math.max((f.to - f.from) * sx, 2), h = Math.max(f.wide * sy, 2), y = Y(mid) - h / 2;
      const about = { class: f.place === 2 ? "form" : "hole", "data-n": n };
      const node = f.form === 0 ? sv("ellipse", { cx: x + w / 2, cy: y + h / 2, rx: Math.max(w / 2, 2), ry: Math.max(h / 2, 2), ...about })
        : sv("rect", { x, y, width: w, height: h, ...(f.form === 1 ? { rx: Math.min(w, h * sx / sy) / 2, ry: Math.min(h, w * sy / sx) / 2 } : {}), ...about });
      node.append(sv("title", {}, f.letter + " " + D.kinds[f.kind] + " " + sizes(f) + " at " + placeWords(f)));
      inside.append(node);
      if (w > 15 && h > 13) inside.append(sv("text", { x: x + w / 2, y: y + h / 2 + 4, "text-anchor": "middle", "font-size": 11, "pointer-events": "none" }, f.letter));
    }
    const put = nm => { if (nm >= from && nm <= to) shown.set(nm, (shown.get(nm) || new Set()).add(f.letter)); };
    if (f.place === 0) put(f.at); else if (f.place === 1) { put(f.from); put(f.to); } else put(f.datum === 0 ? f.to : f.from);
  });
  if (from <= 0) shown.set(0, new Set());
  if (to >= shape.length) shown.set(shape.length, new Set(["length"]));
  const all = [...shown.keys()].sort((a, b) => a - b), base = top + tall + 14, pitch = all.length * 13 > room ? 11 : 13;
  const most = Math.floor((room + right) / pitch), step = Math.ceil(all.length / most);
  const xs = all.filter((_, i) => i % step === 0 || i === all.length - 1), labels = spread(xs.map(X), pitch, left + 2, width - 16);
  svg.append(sv("path", { d: "M" + X(Math.max(0, from)) + " " + base + "H" + X(Math.min(shape.length, to)), class: "dim" }));
  if (from <= 0) svg.append(sv("circle", { cx: X(0), cy: base, r: 4, class: "dim" }));
  xs.forEach((nm, i) => {
    inside.append(sv("path", { d: "M" + X(nm) + " " + (top + tall * .08) + "V" + (base - 4), class: "far" }));
    svg.append(sv("path", { d: "M" + X(nm) + " " + (base - 4) + "v8 L" + labels[i] + " " + (base + 14), class: "dim" }));
    const whole = nm === shape.length;
    svg.append(sv("text", { class: "run", transform: "translate(" + (labels[i] + 4) + " " + (base + 17) + ") rotate(90)", "font-size": pitch === 13 ? 12 : 10.5, "font-weight": whole ? 700 : 400 }, figure(nm)));
  });
  const times = sy / sx, note = Math.abs(times - 1) < .02 ? "to one scale" : "across drawn " + times.toPrecision(2) + " times as large as along";
  return [svg, "Unrolled, outside of the web toward you, leading end left; " + note + ". Running dimensions in " + SHORT + " from the leading end"
    + (step > 1 ? "; " + (all.length - xs.length) + " of " + all.length + " figures left out for room: zoom in" : "") + "."];
}
function zoomPiece(by, centre) {
  const shape = shapeOf(state.piece), mid = centre ?? (view.from + view.to) / 2, whole = shape.length * 1.02;
  const size = Math.min(whole, Math.max((view.to - view.from) * by, 40e6)), share = (mid - view.from) / (view.to - view.from);
  moveView(mid - share * size, size, shape);
}
function moveView(from, size, shape) {
  const pad = shape.length * .01;
  view.from = Math.max(-pad, Math.min(from, shape.length + pad - size));
  view.to = view.from + size;
  redrawUnrolled();
}
function redrawUnrolled() {
  const holder = byId("drawing");
  if (!holder || state.piece < 0) return;
  const shape = shapeOf(state.piece), focused = document.activeElement && document.activeElement.id === "unrolled";
  const [svg, caption] = drawUnrolled(shape, Math.max(320, holder.clientWidth));
  holder.replaceChildren(svg, el("figcaption", {}, caption));
  if (focused) svg.focus({ preventScroll: true });
  const at = event => view.from + (event.offsetX - 92) / (svg.clientWidth - 110) * (view.to - view.from);
  svg.addEventListener("wheel", event => {
    if (!event.ctrlKey && document.activeElement !== svg) return;
    event.preventDefault(); zoomPiece(Math.exp(event.deltaY / 400), at(event));
  }, { passive: false });
  svg.addEventListener("keydown", event => {
    const size = view.to - view.from, act = { "+": () => zoomPiece(.6), "=": () => zoomPiece(.6), "-": () => zoomPiece(1.7), "0": () => zoomPiece(1e9), ArrowLeft: () => moveView(view.from - size / 6, size, shape), ArrowRight: () => moveView(view.from + size / 6, size, shape) }[event.key];
    if (act) { event.preventDefault(); act(); }
  });
  let held = null;
  svg.addEventListener("pointerdown", event => { svg.focus({ preventScroll: true }); held = { x: event.clientX, from: view.from }; });
  svg.addEventListener("pointermove", event => {
    const part = event.target.dataset ? event.target.dataset.n : undefined;
    light(part === undefined ? -1 : +part);
    if (!held || !event.buttons || Math.abs(event.clientX - held.x) < 4) return;
    const size = view.to - view.from;
    view.from = held.from; moveView(held.from - (event.clientX - held.x) / (svg.clientWidth - 110) * size, size, shape);
  });
}
/* Feature and row stand out together. */
function light(n) {
  byId("piece").querySelectorAll(".lit").forEach(node => node.classList.remove("lit"));
  if (n >= 0) byId("piece").querySelectorAll('[data-n="' + n + '"]').forEach(node => node.classList.add("lit"));
}
function findingBox(found) {
  return el("div", { class: "finding " + (found.waived ? "waived" : found.severity) },
    el("p", {}, el("strong", {}, (found.waived ? "waived " : "") + found.severity + " " + found.code), " " + found.message + (found.place ? " (" + found.place + ")" : "")),
    ...(found.waived ? [el("p", {}, found.waived)] : []),
    ...found.notes.map(note => el("p", { class: "why" }, note)), found.help ? el("p", {}, "→ " + found.help) : null);
}
function drawPiece() {
  const i = state.piece, holder = byId("piece");
  if (i < 0) { holder.replaceChildren(el("p", {}, "Pick a piece in the list, on the strip, or by search.")); return; }
  const shape = shapeOf(i), run = RUNS[P.run[i]].about;
  letterFeatures(shape);
  if (view.shape !== shape.number) { view.shape = shape.number; view.from = -shape.length * .01; view.to = shape.length * 1.01; }
  const facts = [["serial", String(P.serial[i])], ["job, frame", jobOf(i) + ", " + frameName(i)], ["usage", usageOf(i)], ["profile", shape.profile.name],
    ["made", "run " + run.run + ", " + (run.coil.bar ? "bar " : "coil ") + run.coil.id + ", from " + strip(P.start[i], 3) + " to " + strip(P.cut[i], 3) + " " + LONG],
    ["printed", P.printed[i] ? D.members[P.member[i]][3] : "leaves blank: write it by hand"],
    ["ends", "leading " + slopeWords(shape.start) + "; trailing " + slopeWords(shape.end)]];
  const origin = D.origins[P.member[i]];
  if (origin) facts.push(["imported from", origin[0] + (origin[1] ? "; the members file has been changed since" : "")]);
  if (P.turned[i]) facts.push(["turned", "comes off end first, and is drawn and dimensioned so"]);
  const heads = ["", "what", "on", "#from leading end", "drawn at", "#tolerance", "#across", "tool (station)"];
  const rows = shape.features.map((f, n) => {
    const tools = D.made[P.made[i]][n].map(t => D.tools[t][0] + " (" + D.stations[D.tools[t][1]].name + ")").join(", ");
    const row = el("tr", { "data-n": n }, el("td", {}, el("span", { class: "letter" }, f.letter)), el("td", {}, D.kinds[f.kind] + " " + sizes(f)), el("td", {}, sideWords(f)),
      el("td", { class: "num at" }, placeWords(f)), el("td", {}, drawnWords(f)), el("td", { class: "num" }, toleranceWords(f)), el("td", { class: "num" }, tolerance(f.acrossTol)), el("td", {}, tools));
    row.addEventListener("pointerenter", () => light(n));
    return row;
  });
  const order = shape.features.map((f, n) => n).sort((a, b) => shape.features[a].from - shape.features[b].from || a - b);
  const flags = (FLAGS.get(P.member[i]) || []).map(n => findingBox(D.findings[n]));
  const go = (text, to, title) => { const b = el("button", { type: "button", title }, text); b.addEventListener("click", () => pick(to, "step")); b.disabled = to < 0 || to >= COUNT; return b; };
  const act = (text, run) => { const b = el("button", { type: "button" }, text); b.addEventListener("click", run); return b; };
  holder.replaceChildren(
    el("div", { class: "controls" }, go("◀ before", i - 1, "The piece that drops before it"), go("after ▶", i + 1, "The piece that drops after it"),
      act("zoom in", () => zoomPiece(.6)), act("zoom out", () => zoomPiece(1.7)), act("whole piece", () => zoomPiece(1e9)),
      el("span", { class: "hint" }, "drag, + − 0 and arrow keys on the drawing")),
    el("div", { class: "about" },
      el("dl", {}, el("dt", {}, "mark"), el("dd", { class: "big", id: "piece-mark" }, markOf(i)), el("dt", {}, "length"), el("dd", { class: "big", id: "piece-length" }, figure(shape.length) + " " + SHORT + "  " + tolerance(shape.tol)),
        ...facts.flatMap(([name, value]) => [el("dt", {}, name), el("dd", {}, value)])),
      drawSection(shape)),
    ...flags, el("figure", { id: "drawing" }),
    shape.features.length ? table(heads, order.map(n => rows[n])) : el("p", {}, "No features: it is only cut."));
  redrawUnrolled();
}
