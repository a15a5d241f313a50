/* The strip of one run: all of it in a thin row, what is looked at below, to one scale along. */
const WORDS = { head: "head: scrap before the first piece", defect: "defect, and scrap around it", slopes: "scrap between unequal slopes", gap: "gap between pieces", tail: "tail" };
const TOP = 34, BAND = 22, BODY = 88;
let stripAxis;
function stripEnd(run) { return run.about.account.strip_nm; }
function scrapOf(run) {
  if (run.scrap) return run.scrap;
  const a = run.about.account, last = run.end > run.first ? P.cut[run.end - 1] : 0;
  run.scrap = run.about.scrap.map(s => ({ from: s.cut_nm - s.length_nm, to: s.cut_nm, cause: s.cause }));
  const rest = stripEnd(run) - a.tail_nm - a.remnant_nm;
  if (a.tail_nm > 0) run.scrap.push({ from: Math.max(rest, last), to: rest + a.tail_nm, cause: "tail" });
  run.remnant = a.remnant_nm > 0 ? [rest + a.tail_nm, rest + a.tail_nm + a.remnant_nm] : null;
  return run.scrap;
}
/* Pieces of a run that touch a stretch. */
function piecesIn(run, a, b) {
  return [firstWhere(run.first, run.end, i => P.cut[i] > a), firstWhere(run.first, run.end, i => P.start[i] >= b)];
}
function paintStrip(g, run, px, y, h, a, b, close) {
  const ink = colour("--ink"), tints = [colour("--even"), colour("--odd")], pickBg = colour("--pick-bg");
  const box = (from, to) => [px(from), y, Math.max(.6, px(to) - px(from)), h];
  scrapOf(run);
  if (run.remnant) { g.save(); g.setLineDash([6, 4]); g.strokeStyle = ink; g.strokeRect(...box(...run.remnant)); g.restore(); }
  for (const s of run.scrap) if (s.to > a && s.from < b) { g.fillStyle = hatch(g, s.cause); g.fillRect(...box(s.from, s.to)); if (close) { g.strokeStyle = ink; g.lineWidth = .7; g.strokeRect(...box(s.from, s.to)); } }
  const [first, end] = piecesIn(run, a, b);
  for (let i = first; i < end; i++) {
    const shape = close ? D.shapes[P.shape[i]] : null, x0 = px(P.start[i]), x1 = px(P.cut[i]);
    g.fillStyle = i === state.piece ? pickBg : tints[bandOf(run, i) & 1];
    if (!close || x1 - x0 < 4) { g.fillRect(x0, y, Math.max(.6, x1 - x0 - .2), h); continue; }
    /* Sloped ends run across the web; drawn over the height of the strip. */
    const web = D.profiles[shape[0]].web_nm / 2, per = px(1e9) - px(0), lean = (rise, run) => run ? rise / run * web * per / 1e9 : 0;
    const ls = -lean(shape[4], shape[5]), le = lean(shape[6], shape[7]);
    g.beginPath(); g.moveTo(x0 + ls, y); g.lineTo(x1 + le, y); g.lineTo(x1 - le, y + h); g.lineTo(x0 - ls, y + h); g.closePath(); g.fill();
    g.strokeStyle = ink; g.lineWidth = i === state.piece ? 3 : .8; g.stroke();
  }
  for (const d of run.about.coil.defects) if (d.to_nm > a && d.from_nm < b) { g.fillStyle = hatch(g, "defect"); g.fillRect(...box(d.from_nm, d.to_nm)); g.strokeStyle = colour("--lost"); g.lineWidth = 2; g.strokeRect(...box(d.from_nm, d.to_nm)); }
}
/* Which frame in the order of the run a piece is of: neighbours of one frame share a tint. */
function bandOf(run, i) {
  if (!run.bands) {
    run.bands = new Uint32Array(run.end - run.first);
    for (let k = run.first + 1; k < run.end; k++) run.bands[k - run.first] = run.bands[k - 1 - run.first] + (frameOf(k) !== frameOf(k - 1) || P.copy[k] !== P.copy[k - 1] ? 1 : 0);
  }
  return run.bands[i - run.first];
}
function fit(g, text, width) {
  if (g.measureText(text).width <= width) return text;
  let n = Math.floor(text.length * width / Math.max(1, g.measureText(text).width));
  while (n > 0 && g.measureText(text.slice(0, n) + "…").width > width) n--;
  return n > 0 ? text.slice(0, n) + "…" : "";
}
function drawStrip(g, w) {
  const run = RUNS[state.run], axis = stripAxis, ink = colour("--ink"), soft = colour("--soft"), all = stripEnd(run) || 1;
  const whole = nm => nm / all * w;
  paintStrip(g, run, whole, 5, 18, 0, all, false);
  g.strokeStyle = ink; g.lineWidth = 1; g.strokeRect(.5, 5, w - 1, 18);
  const wa = whole(axis.a), wb = whole(axis.b);
  g.lineWidth = 2.5; g.strokeRect(Math.max(1, wa), 2, Math.max(5, wb - wa - 2), 24);
  if (state.piece >= 0 && P.run[state.piece] === state.run) { const x = whole((P.start[state.piece] + P.cut[state.piece]) / 2); g.fillStyle = ink; g.beginPath(); g.moveTo(x, 26); g.lineTo(x - 5, 33); g.lineTo(x + 5, 33); g.fill(); }
  const px = nm => axis.px(nm), y = TOP + BAND;
  paintStrip(g, run, px, y, BODY, axis.a, axis.b, true);
  const [first, end] = piecesIn(run, axis.a, axis.b);
  g.fillStyle = ink; g.textAlign = "center";
  for (let i = first; i < end; i++) {
    const x0 = Math.max(0, px(P.start[i])), x1 = Math.min(w, px(P.cut[i]));
    if (px(P.cut[i]) - px(P.start[i]) > 260) paintFeatures(g, i, px, y);
    if (x1 - x0 > 16) {
      g.fillStyle = ink; g.font = (i === state.piece ? "700 " : "") + "13px system-ui, 'DejaVu Sans', sans-serif";
      g.fillText(fit(g, markOf(i), x1 - x0 - 4), (x0 + x1) / 2, y + BODY - 26);
      if (x1 - x0 > 48) { g.font = "12px system-ui, 'DejaVu Sans', sans-serif"; g.fillText(fit(g, figure(lengthOf(i)), x1 - x0 - 4), (x0 + x1) / 2, y + BODY - 10); }
    }
  }
  g.font = "13px system-ui, 'DejaVu Sans', sans-serif";
  /* Frames: a bracket over their pieces. */
  for (let i = first; i < end;) {
    let j = i + 1;
    const band = bandOf(run, i);
    while (j < end && bandOf(run, j) === band) j++;
    const x0 = Math.max(0, px(P.start[i])), x1 = Math.min(w, px(P.cut[j - 1]));
    if (x1 - x0 > 5) {
      g.strokeStyle = ink; g.lineWidth = 1; g.beginPath(); g.moveTo(x0 + 1, y - 2); g.lineTo(x0 + 1, y - 5); g.lineTo(x1 - 1, y - 5); g.lineTo(x1 - 1, y - 2); g.stroke();
      const name = fit(g, frameName(i), x1 - x0 - 6);
      if (name) { g.fillStyle = ink; g.fillText(name, (x0 + x1) / 2, y - 13); }
    }
    i = j;
  }
  if (run.remnant) { const x0 = Math.max(0, px(run.remnant[0])), x1 = Math.min(w, px(run.remnant[1])); if (x1 - x0 > 60) { g.fillStyle = ink; g.fillText(fit(g, (run.about.stays ? "stays in the line " : "back to stock ") + strip(run.about.account.remnant_nm, 1) + " " + LONG, x1 - x0 - 6), (x0 + x1) / 2, y + BODY / 2); } }
  /* Ruler. */
  const unit = IN ? 304800000 : 1e9, step = ruler((axis.b - axis.a) / unit / axis.span(), 90), under = y + BODY;
  g.strokeStyle = soft; g.fillStyle = soft; g.lineWidth = 1; g.textAlign = "left";
  for (let t = Math.ceil(axis.a / unit / step) * step; t * unit <= axis.b; t += step) {
    const x = px(t * unit); g.beginPath(); g.moveTo(x, under); g.lineTo(x, under + 8); g.stroke();
    g.fillText(+t.toFixed(4) + " " + LONG, x + 3, under + 11);
  }
  g.fillStyle = soft; g.textAlign = "left"; g.fillText("leading edge ▸", 3, under + 28);
  g.textAlign = "right"; g.fillText("coil end", w - 3, under + 28);
}
/* Features on a piece that is looked at from near, on its unrolled faces. */
function paintFeatures(g, i, px, y) {
  const shape = shapeOf(i), lanes = shape.profile.lanes, high = lanes[0][4], tall = high - lanes[lanes.length - 1][3];
  const room = BODY - 38, k = room / tall, base = P.start[i], along = (P.cut[i] - base) / shape.length;
  g.save(); g.strokeStyle = colour("--ink"); g.fillStyle = colour("--raised"); g.lineWidth = 1;
  for (const f of shape.features) for (const lane of lanes) {
    if (!(f.faces & lane[0])) continue;
    const mid = lane[1] + (lane[2] ? f.across : -f.across), x0 = px(base + f.from * along), x1 = px(base + f.to * along), h = Math.max(1.5, f.wide * k), top = y + 3 + (high - mid) * k - h / 2;
    g.beginPath();
    if (f.form === 0) g.ellipse((x0 + x1) / 2, top + h / 2, Math.max(1, (x1 - x0) / 2), h / 2, 0, 0, 7); else g.rect(x0, top, Math.max(1, x1 - x0), h);
    g.fill(); g.stroke();
  }
  g.restore();
}
function pieceAt(x, y) {
  const run = RUNS[state.run], nm = y < TOP - 4 ? x / stripAxis.canvas.clientWidth * stripEnd(run) : stripAxis.at(x);
  const [first, end] = piecesIn(run, nm, nm + 1);
  return [nm, first < end ? first : -1];
}
function setUpStrip() {
  stripAxis = new Axis("strip", drawStrip, () => TOP + BAND + BODY + 42);
  stripAxis.over = (x, y) => {
    const [nm, i] = pieceAt(x, y);
    const scrap = RUNS[state.run].scrap && RUNS[state.run].scrap.find(s => s.from <= nm && nm <= s.to);
    byId("strip-reading").textContent = strip(Math.round(nm), 3) + " " + LONG + (i >= 0 ? ":  " + markOf(i) + ",  " + frameName(i) + ",  " + usageOf(i) + ",  " + figure(lengthOf(i)) + " " + SHORT + ",  serial " + P.serial[i] : scrap ? ":  " + WORDS[scrap.cause] : "");
  };
  stripAxis.click = (x, y) => {
    const [nm, i] = pieceAt(x, y), half = (stripAxis.b - stripAxis.a) / 2;
    if (y < TOP - 4) stripAxis.show(nm - half, nm + half);
    if (i >= 0) pick(i, "strip");
  };
  stripAxis.home = () => { const i = state.piece; if (i < 0) return; if (P.run[i] !== state.run) showRun(P.run[i]); const size = P.cut[i] - P.start[i]; stripAxis.show(P.start[i] - size, P.cut[i] + size); };
  const key = byId("strip-key");
  for (const [kind, words] of Object.entries(WORDS)) {
    if (!RUNS.some(run => scrapOf(run).some(s => s.cause === kind)) && !(kind === "defect" && RUNS.some(run => run.about.coil.defects.length))) continue;
    const swatch = el("canvas", { width: 34, height: 16, "data-hatch": kind, "aria-hidden": "true" });
    key.append(el("li", {}, swatch, words));
  }
  key.append(el("li", {}, "tints change where the frame changes; ▲ in the thin row: the picked piece"));
  paintKey();
}
function paintKey() {
  document.querySelectorAll("[data-hatch]").forEach(c => { const g = c.getContext("2d"); g.fillStyle = hatch(g, c.dataset.hatch); g.fillRect(0, 0, 34, 16); });
}
