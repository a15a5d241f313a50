/* All pieces, found by words; only rows in sight are there. */
const ROW = 50;
let found = [], words = null;
function wordsOf(i) {
  if (!words) words = new Array(COUNT);
  return words[i] ??= [markOf(i), frameName(i), jobOf(i), usageOf(i), "serial " + P.serial[i], RUNS[P.run[i]].about.profile, RUNS[P.run[i]].about.coil.id, figure(lengthOf(i))].join(" ").toLowerCase();
}
const natural = new Intl.Collator("en", { numeric: true });
function sift() {
  const asked = byId("find").value.trim().toLowerCase(), terms = asked.split(/\s+/).filter(Boolean), flagged = byId("flagged").checked, order = byId("order").value;
  found = [];
  for (let i = 0; i < COUNT; i++) if ((!flagged || FLAGS.has(P.member[i])) && (!terms.length || terms.every(t => wordsOf(i).includes(t)))) found.push(i);
  if (order === "length") found.sort((a, b) => lengthOf(b) - lengthOf(a) || a - b);
  if (order === "name") found.sort((a, b) => frameOf(a) - frameOf(b) || P.copy[a] - P.copy[b] || natural.compare(markOf(a), markOf(b)) || a - b);
  /* What is asked for in so many words comes first. */
  if (terms.length) { const rank = i => (terms.includes(markOf(i).toLowerCase()) ? 0 : 2) + (terms.includes(frameName(i).toLowerCase()) || terms.includes(String(P.serial[i])) ? 0 : 1); const ranks = new Map(found.map(i => [i, rank(i)])); found.sort((a, b) => ranks.get(a) - ranks.get(b)); }
  byId("count").textContent = found.length === COUNT ? COUNT + " pieces" : found.length + " of " + COUNT + " pieces";
  byId("rows").style.height = Math.max(1, found.length * ROW) + "px";
  byId("list").scrollTop = 0;
  drawList();
}
function drawList() {
  const list = byId("list"), first = Math.max(0, Math.floor(list.scrollTop / ROW) - 4), end = Math.min(found.length, first + Math.ceil((list.clientHeight || 600) / ROW) + 9);
  const rows = [];
  for (let k = first; k < end; k++) {
    const i = found[k], flags = FLAGS.get(P.member[i]);
    const row = el("div", { class: "row", role: "option", id: "o" + i, "aria-selected": String(i === state.piece), "aria-posinset": k + 1, "aria-setsize": found.length, style: "top:" + k * ROW + "px", title: markOf(i) + ", " + frameName(i) },
      el("span", { class: "who" }, markOf(i) + "  " + frameName(i)), el("span", { class: "num" }, figure(lengthOf(i))),
      el("span", { class: "sub" }, (flags ? "⚑ " + flags.length + "  " : "") + usageOf(i) + ", " + jobOf(i)), el("span", { class: "sub num" }, "no. " + P.serial[i] + ", run " + RUNS[P.run[i]].about.run));
    row.addEventListener("click", () => pick(i, "list"));
    rows.push(row);
  }
  byId("rows").replaceChildren(...rows);
  if (state.piece >= 0 && byId("o" + state.piece)) list.setAttribute("aria-activedescendant", "o" + state.piece); else list.removeAttribute("aria-activedescendant");
}
function reveal(i) {
  const k = found.indexOf(i), list = byId("list");
  if (k < 0) return;
  if (k * ROW < list.scrollTop) list.scrollTop = k * ROW;
  else if ((k + 1) * ROW > list.scrollTop + list.clientHeight) list.scrollTop = (k + 1) * ROW - list.clientHeight;
}
function setUpList() {
  let later;
  byId("find").addEventListener("input", () => { clearTimeout(later); later = setTimeout(sift, 60); });
  byId("find").addEventListener("keydown", e => {
    if (e.key === "Enter" && found.length) { clearTimeout(later); sift(); if (found.length) pick(found[0], "search"); }
    if (e.key === "ArrowDown") { e.preventDefault(); byId("list").focus(); }
  });
  byId("order").addEventListener("change", sift);
  byId("flagged").addEventListener("change", sift);
  byId("list").addEventListener("scroll", () => requestAnimationFrame(drawList));
  byId("list").addEventListener("keydown", e => {
    const k = found.indexOf(state.piece), page = Math.max(1, Math.floor(byId("list").clientHeight / ROW) - 1);
    const to = { ArrowDown: k + 1, ArrowUp: k - 1, PageDown: k + page, PageUp: k - page, Home: 0, End: found.length - 1 }[e.key];
    if (to === undefined || !found.length) return;
    e.preventDefault(); pick(found[Math.max(0, Math.min(found.length - 1, to))], "keys");
  });
  new ResizeObserver(drawList).observe(byId("list"));
  sift();
}
