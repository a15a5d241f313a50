/* Time from left to right: how fast the strip runs, and which station works at which stop. */
let clockAxis;
const SPEED = 74, LANE = 22, GUTTER = 150;
const LANES = (() => {
  const lanes = D.stations.map((s, n) => ({ name: s.name, offset: s.offset_nm, station: n }));
  if (D.marker_nm !== null) lanes.push({ name: "marker", offset: D.marker_nm, kind: 3 });
  lanes.push({ name: "shear", offset: 0, kind: 1 });
  return lanes.sort((a, b) => b.offset - a.offset);
})();
const LANE_OF = D.stations.map((_, n) => LANES.findIndex(lane => lane.station === n));
const SHEAR = LANES.findIndex(lane => lane.kind === 1), MARKER = LANES.findIndex(lane => lane.kind === 3);
/* A ramp between rest and v: its duration, and the speed after t of it. */
function ramp(v, a, jerk) {
  if (!jerk) return [v / a, t => a * t];
  const full = v >= a * a / jerk, tj = full ? a / jerk : Math.sqrt(v / jerk), time = full ? v / a + tj : 2 * tj;
  return [time, t => t < tj ? jerk * t * t / 2 : t > time - tj ? v - jerk * (time - t) * (time - t) / 2 : jerk * tj * tj / 2 + a * (t - tj)];
}
function drawClock(g, w, h) {
  const axis = clockAxis, b = beats(state.run), ink = colour("--ink"), soft = colour("--soft"), flow = colour("--flow"), rest = colour("--rest"), mark = colour("--mark"), lost = colour("--lost");
  const top = 8, base = top + SPEED, lanes = base + 16, px = t => axis.px(t), vmax = D.feed.speed;
  g.save(); g.beginPath(); g.rect(GUTTER, 0, w - GUTTER, h); g.clip();
  const first = firstWhere(0, b.n, i => b.done[i] >= axis.a), end = firstWhere(first, b.n, i => b.leaves[i] > axis.b);
  const speedY = v => base - v / vmax * (SPEED - 6), near = (end - first) < axis.span() / 3;
  for (let l = 0; l < LANES.length; l++) { g.fillStyle = l % 2 ? "transparent" : rest; g.fillRect(GUTTER, lanes + l * LANE, w - GUTTER, LANE); }
  if (near) {
    for (let i = first; i < end; i++) {
      const k = b.row[i], packed = b.packed, count = packed[k + 3] >> 2, kind = packed[k + 3] & 3;
      const d = packed[k] * D.step_nm / 1000, settle = d ? D.feed.settle_ns / 1e5 : 0, moving = (b.stands[i] - b.leaves[i] - settle) * TICK;
      if (d > 0 && moving > 0) {
        const v = Math.min(vmax, 2 * d / moving), [t1, up] = ramp(v, D.feed.acceleration, D.feed.jerk), [t2, down] = ramp(v, D.feed.deceleration, D.feed.jerk);
        g.beginPath(); g.moveTo(px(b.leaves[i]), base);
        for (let n = 1; n <= 8; n++) g.lineTo(px(b.leaves[i] + n / 8 * t1 / TICK), speedY(Math.min(v, up(n / 8 * t1))));
        for (let n = 8; n >= 0; n--) g.lineTo(px(b.leaves[i] + (moving - n / 8 * t2) / TICK), speedY(Math.min(v, down(n / 8 * t2))));
        g.closePath(); g.fillStyle = flow; g.fill(); g.strokeStyle = mark; g.lineWidth = 1; g.stroke();
      }
      const x0 = px(b.stands[i]), x1 = Math.max(x0 + 2, px(b.done[i]));
      const box = (lane, fill) => { g.fillStyle = fill; g.fillRect(x0, lanes + lane * LANE + 3, x1 - x0, LANE - 6); g.strokeStyle = ink; g.lineWidth = .8; g.strokeRect(x0, lanes + lane * LANE + 3, x1 - x0, LANE - 6); };
      for (let s = 0; s < count; s++) {
        const tool = packed[k + 4 + s] >> 4, lane = LANE_OF[D.tools[tool][1]];
        box(lane, mark);
        if (x1 - x0 > 50) { g.fillStyle = colour("--paper"); g.textAlign = "center"; g.font = "12px system-ui, sans-serif"; g.fillText(fit(g, D.tools[tool][0], x1 - x0 - 4), (x0 + x1) / 2, lanes + lane * LANE + LANE / 2); g.font = "13px system-ui, sans-serif"; }
      }
      if (kind === 1) box(SHEAR, ink);
      if (kind === 2) box(SHEAR, hatch(g, "head"));
      if (kind === 3 && MARKER >= 0) box(MARKER, lost);
    }
  } else {
    /* Too many to tell apart: the mean speed and the work of each station, pixel by pixel. */
    const cols = Math.ceil(axis.span()), way = new Float64Array(cols + 1), work = LANES.map(() => new Float64Array(cols + 1)), per = (axis.b - axis.a) / cols;
    for (let i = first; i < end; i++) {
      const k = b.row[i], packed = b.packed, kind = packed[k + 3] & 3, c0 = Math.max(0, Math.floor((b.leaves[i] - axis.a) / per)), c1 = Math.min(cols, Math.floor((b.stands[i] - axis.a) / per));
      const d = packed[k] * D.step_nm / 1000 / Math.max(1, c1 - c0 + 1);
      for (let c = c0; c <= c1; c++) way[c] += d;
      const at = Math.max(0, Math.min(cols, Math.floor((b.stands[i] - axis.a) / per)));
      for (let s = 0; s < packed[k + 3] >> 2; s++) work[LANE_OF[D.tools[packed[k + 4 + s] >> 4][1]]][at]++;
      if (kind === 1 || kind === 2) work[SHEAR][at]++;
      if (kind === 3 && MARKER >= 0) work[MARKER][at]++;
    }
    g.fillStyle = flow;
    for (let c = 0; c < cols; c++) { const v = Math.min(vmax, way[c] / (per * TICK)), y = speedY(v); g.fillRect(GUTTER + c, y, 1, base - y); }
    g.fillStyle = mark;
    work.forEach((row, l) => { const most = Math.max(1, ...row); for (let c = 0; c < cols; c++) if (row[c]) { const tall = Math.max(3, row[c] / most * (LANE - 6)); g.fillRect(GUTTER + c, lanes + l * LANE + LANE - 3 - tall, 1, tall); } });
  }
  g.strokeStyle = ink; g.lineWidth = 1; g.beginPath(); g.moveTo(GUTTER, base + .5); g.lineTo(w, base + .5); g.stroke();
  const under = lanes + LANES.length * LANE, step = ruler((axis.b - axis.a) * TICK / axis.span(), 80);
  g.fillStyle = soft; g.strokeStyle = soft; g.textAlign = "left";
  for (let t = Math.ceil(axis.a * TICK / step) * step; t / TICK <= axis.b; t += step) { const x = px(t / TICK); g.beginPath(); g.moveTo(x, under); g.lineTo(x, under + 7); g.stroke(); g.fillText(seconds(t, step < 1 ? (step < .1 ? 2 : 1) : 0), x + 3, under + 11); }
  const shown = pieceTimes();
  if (shown) { g.strokeStyle = ink; g.lineWidth = 2; g.setLineDash([5, 4]); for (const t of shown) { const x = px(t); g.beginPath(); g.moveTo(x, top); g.lineTo(x, under); g.stroke(); } g.setLineDash([]); const x = px(shown[1]), near = x > w - 150; g.fillStyle = ink; g.textAlign = near ? "right" : "left"; g.fillText("picked piece is cut", x + (near ? -5 : 5), under - 10); }
  g.restore();
  g.fillStyle = ink; g.textAlign = "right";
  g.fillText("speed", GUTTER - 8, base - 8); g.fillStyle = soft; g.fillText((IN ? (vmax * 60 / 304800).toFixed(0) + " ft/min" : (vmax * 60 / 1e6).toFixed(0) + " m/min"), GUTTER - 8, top + 8);
  LANES.forEach((lane, l) => { g.fillStyle = ink; g.fillText(fit(g, lane.name, GUTTER - 14), GUTTER - 8, lanes + l * LANE + LANE / 2); });
  g.fillStyle = soft; g.fillText(near ? "" : "mean by pixel", GUTTER - 8, under + 11);
}
/* From the cut before the picked piece to its own, on the clock of the run. */
function pieceTimes() {
  const i = state.piece;
  if (i < 0 || P.run[i] !== state.run) return null;
  const b = beats(state.run), cut = firstWhere(0, b.n, k => b.at[k] >= P.cut[i]);
  let own = cut;
  while (own < b.n - 1 && (b.packed[b.row[own] + 3] & 3) !== 1) own++;
  let before = Math.min(own, b.n) - 1;
  while (before >= 0 && !((b.packed[b.row[before] + 3] & 3) === 1 || (b.packed[b.row[before] + 3] & 3) === 2)) before--;
  return own < b.n ? [before >= 0 ? b.done[before] : 0, b.done[own]] : null;
}
function setUpClock() {
  clockAxis = new Axis("clock", drawClock, () => 8 + SPEED + 16 + LANES.length * LANE + 24);
  clockAxis.left = GUTTER;
  clockAxis.home = () => { const shown = pieceTimes(); if (shown) { const size = shown[1] - shown[0]; clockAxis.show(shown[0] - size * .15, shown[1] + size * .15); } };
  clockAxis.over = (x, y) => {
    const b = beats(state.run), t = clockAxis.at(x);
    if (x < GUTTER) return;
    const i = Math.min(b.n - 1, firstWhere(0, b.n, k => b.done[k] >= t));
    if (i < 0) return;
    const k = b.row[i], packed = b.packed, kind = packed[k + 3] & 3, tools = [];
    for (let s = 0; s < packed[k + 3] >> 2; s++) tools.push(D.tools[packed[k + 4 + s] >> 4][0]);
    const moving = t < b.stands[i] && packed[k] !== 0;
    byId("clock-reading").textContent = seconds(t * TICK, 2) + ":  " + (moving ? "on the way to " : "stands at ") + figure(b.at[i]) + " " + SHORT + (tools.length ? ",  " + tools.join(", ") : "") + ["", ",  cuts a piece off", ",  cuts scrap off", ",  stamps"][kind];
  };
}
function showTimes() {
  const run = RUNS[state.run].about, t = run.time;
  const parts = [["moving", t.moves_ns], ["settling", t.settle_ns], ["tools", t.strokes_ns], ["shear", t.cuts_ns], ["turning the shear", t.slopes_ns], ["clearing pieces", t.unloading_ns], ["coil change", t.coil_change_ns], ["set-up", t.set_up_ns]].filter(([, ns]) => ns > 0);
  byId("times").replaceChildren(el("p", {}, "Run " + run.run + " takes " + span(t.total_ns) + ": " + parts.map(([name, ns]) => name + " " + span(ns)).join(", ") + ". The clock above begins when the strip is threaded."));
}
