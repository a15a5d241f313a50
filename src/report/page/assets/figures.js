/* Figures as the papers have them: whole numbers rounded once, halves upward. */
const INCH = 25400000n;
const IN = D.units === "in";
const SHORT = IN ? "in" : "mm", LONG = IN ? "ft" : "m", HEAVY = IN ? "lb" : "kg";
function decimal(value, unit, decimals) {
  const fine = 10n ** BigInt(decimals), twice = 2n * unit;
  let top = 2n * BigInt(value) * fine + unit, rounded = top / twice;
  if (top % twice < 0n) rounded -= 1n;
  const sign = rounded < 0n ? "-" : "", size = rounded < 0n ? -rounded : rounded;
  return sign + size / fine + (decimals ? "." + String(size % fine).padStart(decimals, "0") : "");
}
const plain = text => { const cut = text.includes(".") ? text.replace(/\.?0+$/, "") : text; return cut === "-0" ? "0" : cut; };
const UNIT = IN ? INCH : 1000000n, PLACES = IN ? 3 : 2;
const figure = nm => plain(decimal(nm, UNIT, PLACES));
const thick = nm => plain(decimal(nm, UNIT, PLACES + 1));
const strip = (nm, places = 2) => decimal(nm, IN ? 12n * INCH : 1000000000n, places);
const mass = mg => IN ? decimal(BigInt(mg) * 100n, 45359237n, 1) : decimal(mg, 1000000n, 1);
function tolerance([minus, plus]) {
  const step = UNIT / 10n ** BigInt(PLACES);
  const down = nm => { const n = BigInt(nm); return plain(decimal(n - n % step, UNIT, PLACES)); };
  return minus === plus ? "±" + down(plus) : "-" + down(minus) + "/+" + down(plus);
}
const percent = (part, whole) => whole > 0 ? decimal(BigInt(part) * 10000n, BigInt(whole), 0).replace(/^(-?)(\d+)$/, (_, s, d) => { d = d.padStart(3, "0"); return s + d.slice(0, -2) + "." + d.slice(-2); }) + " %" : "–";
function span(ns) {
  const s = Math.round(ns / 1e9);
  if (s < 60) return s + " s";
  const h = Math.floor(s / 3600), m = Math.floor(s % 3600 / 60), pad = n => String(n).padStart(2, "0");
  return h ? h + " h " + pad(m) + " min" : m + " min " + pad(s % 60) + " s";
}
const seconds = (s, places) => s >= 60 ? Math.floor(s / 60) + ":" + (s % 60).toFixed(places).padStart(places ? 3 + places : 2, "0") : s.toFixed(places) + " s";
const sizes = f => f.form === 0 ? "Ø" + figure(f.wide) : figure(f.place === 1 ? f.to - f.from : f.long) + " × " + figure(f.wide);
function faceWords(bits) {
  const words = [];
  for (const [both, word] of [[6, "flanges"], [24, "lips"]]) if ((bits & both) === both) { words.push(word); bits &= ~both; }
  for (const [bit, word] of FACES) if (bits & bit) words.push(word);
  return words.join(" and ");
}
function sideWords(f) {
  const faces = faceWords(f.faces);
  if (f.across === 0) return faces;
  const far = figure(Math.abs(f.across)), up = f.across > 0;
  if (f.faces === 1) return faces + ", " + far + (up ? " left" : " right");
  if (f.faces & 1) return faces + ", " + far + (up ? " left, out" : " right, in");
  return faces + ", " + far + (up ? " out" : " in");
}
const DATUM = ["start", "middle", "end"];
const drawnAt = (datum, offset) => datum === 0 ? figure(offset) : DATUM[datum] + (offset === 0 ? "" : (offset < 0 ? " − " : " + ") + figure(Math.abs(offset)));
function slopeWords([rise, run]) { return run === 0 ? "square" : "slope " + Math.abs(rise) + " : " + run + ", long point " + (rise > 0 ? "left" : "right"); }
/* Where a feature lies from the leading end, as it is taped. */
function placeWords(f) {
  if (f.place === 0) return figure(f.at);
  if (f.place === 1) return figure(f.from) + " to " + figure(f.to);
  return figure(f.datum === 0 ? f.to : f.from);
}
function drawnWords(f) {
  if (f.place === 0) return drawnAt(f.datum, f.offset);
  if (f.place === 1) return drawnAt(f.datum, f.offset) + " .. " + drawnAt(f.datum2, f.offset2);
  return "the " + DATUM[f.datum] + ", inner edge";
}
function toleranceWords(f) {
  const a = tolerance(f.tol), b = f.tol2 ? tolerance(f.tol2) : a;
  return a === b ? a : a + " to " + b;
}
/* Elements. */
function el(name, about = {}, ...inside) {
  const node = document.createElement(name);
  for (const [key, value] of Object.entries(about)) if (value !== false && value !== null) node.setAttribute(key, value === true ? "" : value);
  node.append(...inside.filter(x => x !== null && x !== undefined));
  return node;
}
function sv(name, about = {}, ...inside) {
  const node = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(about)) node.setAttribute(key, value);
  node.append(...inside);
  return node;
}
const table = (heads, rows) => el("div", { class: "wide" }, el("table", {},
  el("thead", {}, el("tr", {}, ...heads.map(h => el("th", { scope: "col", class: h.startsWith("#") ? "num" : null }, h.replace("#", ""))))),
  el("tbody", {}, ...rows.map(row => row instanceof Node ? row : el("tr", {}, ...row.map((cell, i) => el("td", { class: heads[i].startsWith("#") ? "num" : null }, cell)))))));
const byId = id => document.getElementById(id);
const colour = name => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
