/* Where the steel goes: one bar to scale, what is lost of it enlarged below, and the numbers. */
const LOSSES = { "thread-up": "heads at thread-up", slug: "cuts (slugs)", tail: "tails", defects: "around defects", slopes: "between unequal slopes", gaps: "gaps between members" };
const HATCH = { "thread-up": 0, gaps: 1, tail: 2, defects: 3, slug: 4, slopes: 5 };
function hatches() {
  const line = (id, size, ...paths) => sv("pattern", { id, width: size, height: size, patternUnits: "userSpaceOnUse" },
    sv("rect", { width: size, height: size, fill: "var(--lost-bg)" }), ...paths.map(d => sv("path", { d, stroke: "var(--lost)", "stroke-width": 1.6, fill: "none" })));
  return sv("defs", {},
    line("h0", 8, "M-2 6 L6 -2 M2 10 L10 2"), line("h1", 8, "M4 0 V8"), line("h2", 8, "M0 4 H8"),
    line("h3", 8, "M0 0 L8 8 M8 0 L0 8"), line("h4", 8, "M-2 2 L6 10 M2 -2 L10 6"), line("h5", 8, "M2 4 H6 M4 2 V6"));
}
function drawSteel() {
  const total = D.preview.total, a = total.account, losses = D.preview.scrap.filter(s => s.strip_nm > 0);
  const W = 1000, svg = sv("svg", { viewBox: "0 0 " + W + " 176", role: "img", "aria-label": "Strip by what becomes of it; the figures stand in the table below" }, hatches());
  const lost = a.slug_nm + a.head_nm + a.tail_nm, all = Math.max(1, a.strip_nm), px = nm => nm / all * W;
  const bar = (x, w, y, h, fill, title) => svg.append(sv("rect", { x, y, width: Math.max(w, .6), height: h, fill, stroke: "var(--ink)", "stroke-width": 1 }, sv("title", {}, title)));
  const write = (x, y, text, anchor = "start", size = 17) => { const t = sv("text", { x, y, "font-size": size, "text-anchor": anchor }, text); svg.append(t); return t; };
  const g = px(a.good_nm), l = px(lost), r = px(a.remnant_nm);
  bar(0, g, 28, 40, "var(--even)", "good pieces"); bar(g, l, 28, 40, "url(#h0)", "lost");
  if (r > 0) svg.append(sv("rect", { x: g + l, y: 28, width: Math.max(r, .6), height: 40, fill: "var(--raised)", stroke: "var(--ink)", "stroke-dasharray": "6 4" }));
  write(4, 20, "good pieces " + strip(a.good_nm) + " " + LONG + ", " + percent(a.good_nm, a.used_nm) + " of the strip used");
  if (r > 0) write(W - 4, 20, "back to stock " + strip(a.remnant_nm, 1) + " " + LONG, "end");
  if (lost > 0) {
    svg.append(sv("path", { d: "M" + g + " 68 L0 112 M" + (g + l) + " 68 L" + W + " 112", class: "far" }));
    write(W / 2, 100, "lost " + strip(lost) + " " + LONG + ", " + percent(lost, a.used_nm) + ", enlarged", "middle");
    let x = 0;
    losses.forEach((loss, i) => {
      const w = loss.strip_nm / lost * W;
      bar(x, w, 112, 36, "url(#h" + HATCH[loss.cause] + ")", LOSSES[loss.cause] || loss.cause);
      if (w > 24) write(x + w / 2, 168, String.fromCharCode(97 + i), "middle", 15);
      x += w;
    });
  }
  const swatch = n => sv("svg", { width: 30, height: 15, viewBox: "0 0 30 15", "aria-hidden": "true", style: "display:inline-block;vertical-align:-3px;max-width:none" }, sv("rect", { width: 30, height: 15, fill: n }));
  const rows = [[swatch("var(--even)"), "good pieces", strip(a.good_nm, 3), "", percent(a.good_nm, a.used_nm)]];
  losses.forEach((loss, i) => rows.push([swatch("url(#h" + HATCH[loss.cause] + ")"), String.fromCharCode(97 + i) + "  " + (LOSSES[loss.cause] || loss.cause), strip(loss.strip_nm, 3), mass(loss.mass_mg), percent(loss.strip_nm, a.used_nm)]));
  rows.push(["", "used, all together", strip(a.used_nm, 3), mass(a.used_mg), ""]);
  for (const left of D.preview.remnants) rows.push(["", (left.threaded ? "stays in the line: " : "back to stock: ") + (left.bar ? "bar " : "coil ") + left.coil, strip(left.length_nm, 3), "", ""]);
  byId("steel").replaceChildren(svg, table(["", "", "#" + LONG, "#" + HEAVY + " coated", "#of strip used"], rows));
}
