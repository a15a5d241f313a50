/* What is picked, and everything that follows it. */
const state = { piece: -1, run: 0 };
function pick(i, from) {
  if (i < 0 || i >= COUNT) return;
  state.piece = i;
  if (P.run[i] !== state.run) showRun(P.run[i]);
  const size = P.cut[i] - P.start[i];
  if (from !== "strip" && (P.start[i] < stripAxis.a || P.cut[i] > stripAxis.b || stripAxis.b - stripAxis.a > 40 * size)) stripAxis.show(P.start[i] - 3 * size, P.cut[i] + 3 * size);
  clockAxis.home();
  stripAxis.redraw(); clockAxis.redraw();
  drawPiece(); reveal(i); drawList();
  try { history.replaceState(null, "", "#s" + P.serial[i]); } catch { /* a page in a frame has no address of its own */ }
  if (from === "list" || from === "search") { const box = byId("picked").getBoundingClientRect(); if (box.top > window.innerHeight * .75 || box.bottom < 80) byId("picked").scrollIntoView({ block: "start" }); }
}
function showRun(r) {
  state.run = r;
  const run = RUNS[r], about = run.about;
  byId("run").value = String(r);
  byId("run-about").textContent = "Run " + about.run + ", " + (about.coil.bar ? "bar " : "coil ") + about.coil.id + ": " + about.profile + ", " + (run.end - run.first) + " pieces, " + strip(about.account.used_nm) + " " + LONG + " used, " + span(about.time.total_ns) + ", program " + about.program;
  stripAxis.limits(0, stripEnd(run), 100e6);
  clockAxis.limits(0, beats(r).total, 1000);
  showTimes();
  document.querySelectorAll(".rackrow").forEach(row => row.setAttribute("aria-current", String(+row.dataset.run === r)));
}
function setUpRack() {
  const longest = Math.max(1, ...RUNS.map(stripEnd));
  const seen = new IntersectionObserver(entries => entries.forEach(entry => { if (entry.isIntersecting) paintRibbon(entry.target, longest); }), { rootMargin: "200px" });
  RUNS.forEach((run, r) => {
    const about = run.about, ribbon = el("canvas", { "data-run": r, "aria-hidden": "true" });
    const row = el("button", { type: "button", class: "rackrow", "data-run": r }, el("span", {}, el("strong", {}, "Run " + about.run + ": " + (about.coil.bar ? "bar " : "coil ") + about.coil.id),
      el("small", {}, about.profile + ", " + (run.end - run.first) + " pieces, " + strip(about.account.used_nm, 1) + " " + LONG + ", " + about.stops + " stops (least " + about.stops_bound + ")")), ribbon);
    row.addEventListener("click", () => { showRun(r); byId("h-strip").scrollIntoView({ block: "start" }); });
    byId("rack").append(row); seen.observe(ribbon);
    byId("run").append(el("option", { value: r }, about.run + ": " + (about.coil.bar ? "bar " : "coil ") + about.coil.id + ", " + about.profile));
  });
  byId("rack").append(el("p", {}, "All runs to one scale; the longest strip has " + strip(longest, 1) + " " + LONG + "."));
  byId("run").addEventListener("change", event => showRun(+event.target.value));
}
function paintRibbon(canvas, longest) {
  const w = canvas.clientWidth, h = 26, scale = window.devicePixelRatio || 1, run = RUNS[+canvas.dataset.run];
  if (!w) return;
  canvas.width = w * scale; canvas.height = h * scale;
  const g = canvas.getContext("2d");
  g.setTransform(scale, 0, 0, scale, 0, 0); g.clearRect(0, 0, w, h);
  const px = nm => nm / longest * (w - 2) + 1;
  paintStrip(g, run, px, 4, 18, 0, stripEnd(run), false);
  g.strokeStyle = colour("--ink"); g.strokeRect(px(0), 4, px(stripEnd(run)) - px(0), 18);
}
function drawBound() {
  const rows = D.preview.profiles.map(p => [p.profile, String(p.pieces), strip(p.used_nm), p.bound_nm === null ? "–" : strip(p.bound_nm), p.gap_nm === null ? "–" : strip(p.gap_nm), p.gap]);
  const stops = D.preview.runs.map(r => [String(r.run), r.coil, String(r.stops), String(r.stops_bound), percent(r.stops - r.stops_bound, r.stops_bound), span(r.time_ns), span(r.time_bound_ns), percent(r.time_ns - r.time_bound_ns, r.time_bound_ns)]);
  byId("bound").replaceChildren(el("h3", {}, "Strip"), table(["profile", "#pieces", "#used " + LONG, "#no plan uses less than", "#gap " + LONG, "in words"], rows),
    el("h3", {}, "Stops and time, order and cuts as they are"), table(["run", "on", "#stops", "#least", "#over", "#time", "#least", "#over"], stops));
  if (D.preview.cut_short) byId("bound").append(el("p", {}, "The search was cut short: another run may find a better plan."));
}
function drawFound() {
  const holder = byId("found");
  if (!D.findings.length) { holder.replaceChildren(el("p", {}, "Nothing.")); return; }
  holder.replaceChildren(...D.findings.map(found => {
    const box = findingBox(found), wanted = new Set(found.members);
    if (wanted.size) {
      const pieces = []; let more = 0;
      for (let i = 0; i < COUNT; i++) if (wanted.has(P.member[i])) { if (pieces.length < 12) pieces.push(i); else more++; }
      const links = pieces.map(i => { const b = el("button", { type: "button" }, frameName(i) + " " + markOf(i)); b.addEventListener("click", () => pick(i, "search")); return b; });
      box.append(el("div", { class: "controls" }, ...links, more ? el("span", { class: "hint" }, "and " + more + " more") : null));
    }
    return box;
  }));
}
const THEMES = ["system", "light", "dark"];
function setTheme(name) {
  if (name === "system") delete document.documentElement.dataset.theme; else document.documentElement.dataset.theme = name;
  byId("theme").textContent = "colours: " + name; byId("theme").dataset.now = name;
  repaint();
}
function repaint() {
  if (!stripAxis) return;
  stripAxis.paint(); clockAxis.paint(); paintKey();
  const longest = Math.max(1, ...RUNS.map(stripEnd));
  document.querySelectorAll(".rackrow canvas").forEach(c => { if (c.width !== 300) paintRibbon(c, longest); });
}
function start() {
  const t = D.preview.total;
  byId("batch").textContent = "Batch " + D.preview.batch;
  byId("gist").textContent = "Line " + D.preview.line + ": " + COUNT + " pieces, " + RUNS.length + (RUNS.length === 1 ? " run, " : " runs, ") + strip(t.account.used_nm) + " " + LONG + " of strip, " + percent(t.account.good_nm, t.account.used_nm) + " of it in good pieces, " + span(t.planned_ns) + " planned" + (t.pieces_short ? "; no strip for " + t.pieces_short + " more" : "") + ". Calibration of " + D.calibration + ".";
  const errors = D.findings.filter(found => found.severity === "error" && !found.waived);
  if (errors.length) {
    byId("short").hidden = false;
    byId("short").append(el("p", {}, el("strong", {}, "Not all of it can be made: no program is written for this batch.")), ...errors.map(found => el("p", {}, found.code + ": " + found.message)), el("p", {}, "Shown is what can be made."));
  }
  setTheme("system");
  byId("theme").addEventListener("click", () => setTheme(THEMES[(THEMES.indexOf(byId("theme").dataset.now) + 1) % 3]));
  drawSteel();
  if (RUNS.length) {
    setUpRack(); setUpStrip(); setUpClock(); showRun(0); setUpList();
    const asked = /^#s(\d+)$/.exec(location.hash), i = asked ? P.serial.indexOf(+asked[1]) : 0;
    pick(Math.max(0, i), "start");
  }
  drawBound(); drawFound();
  byId("care").replaceChildren(...D.cautions.map(text => el("li", {}, text)));
  document.addEventListener("keydown", event => { if (event.key === "/" && !/INPUT|SELECT/.test(event.target.tagName)) { event.preventDefault(); byId("find").focus(); byId("find").select(); } });
  new ResizeObserver(() => redrawUnrolled()).observe(byId("piece"));
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", repaint);
  let before;
  addEventListener("beforeprint", () => { before = byId("theme").dataset.now; setTheme("light"); });
  addEventListener("afterprint", () => setTheme(before || "system"));
  requestAnimationFrame(() => requestAnimationFrame(() => { document.documentElement.dataset.drawn = Math.round(performance.now()); }));
}
start();
