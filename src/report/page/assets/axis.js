/* A canvas with one axis that is zoomed and panned by mouse, touch, keys and buttons. */
class Axis {
  constructor(id, draw, height) {
    this.canvas = byId(id); this.draw = draw; this.lo = 0; this.hi = 1; this.a = 0; this.b = 1; this.least = 1e-9; this.left = 0; this.right = 0;
    this.height = height; this.pointers = new Map();
    const c = this.canvas;
    new ResizeObserver(() => this.redraw()).observe(c);
    c.addEventListener("wheel", e => {
      if (e.shiftKey || Math.abs(e.deltaX) > Math.abs(e.deltaY)) { e.preventDefault(); this.pan((e.deltaX || e.deltaY) / this.span() * (this.b - this.a)); return; }
      if (!e.ctrlKey && document.activeElement !== c) return;
      e.preventDefault(); this.zoom(Math.exp(e.deltaY / 400), this.at(e.offsetX));
    }, { passive: false });
    c.addEventListener("keydown", e => {
      const size = this.b - this.a;
      const act = { "+": () => this.zoom(.6), "=": () => this.zoom(.6), "-": () => this.zoom(1.7), "0": () => this.show(this.lo, this.hi), ArrowLeft: () => this.pan(-size / 6), ArrowRight: () => this.pan(size / 6), Home: () => this.pan(-1e18), End: () => this.pan(1e18), ",": () => pick(state.piece - 1, "step"), ".": () => pick(state.piece + 1, "step") }[e.key];
      if (act) { e.preventDefault(); act(); }
    });
    c.addEventListener("pointerdown", e => { this.pointers.set(e.pointerId, e.offsetX); this.moved = 0; c.focus({ preventScroll: true }); });
    c.addEventListener("pointermove", e => {
      if (this.over) this.over(e.offsetX, e.offsetY);
      if (!this.pointers.has(e.pointerId) || !e.buttons) return;
      const before = [...this.pointers.values()], was = this.pointers.get(e.pointerId);
      this.pointers.set(e.pointerId, e.offsetX); this.moved += Math.abs(e.offsetX - was);
      const now = [...this.pointers.values()];
      if (now.length > 1) { const d0 = Math.abs(before[0] - before[1]) || 1, d1 = Math.abs(now[0] - now[1]) || 1; this.zoom(d0 / d1, this.at((now[0] + now[1]) / 2)); }
      else if (this.moved > 4) { c.setPointerCapture(e.pointerId); this.pan((was - e.offsetX) / this.span() * (this.b - this.a)); }
    });
    for (const end of ["pointerup", "pointercancel", "pointerleave"]) c.addEventListener(end, e => {
      if (end === "pointerup" && this.pointers.has(e.pointerId) && this.moved <= 4 && this.click) this.click(e.offsetX, e.offsetY);
      if (end !== "pointerleave" || !c.hasPointerCapture(e.pointerId)) this.pointers.delete(e.pointerId);
    });
    const bar = document.querySelector('.controls[data-for="' + id + '"]');
    for (const [text, act] of [["zoom in", () => this.zoom(.5)], ["zoom out", () => this.zoom(2)], ["◀", () => this.pan(-(this.b - this.a) / 3)], ["▶", () => this.pan((this.b - this.a) / 3)], ["all of it", () => this.show(this.lo, this.hi)], ["picked piece", () => this.home && this.home()]]) {
      const button = el("button", { type: "button", "aria-label": text === "◀" ? "earlier" : text === "▶" ? "later" : null }, text);
      button.addEventListener("click", act); bar.append(button);
    }
    bar.append(el("span", { class: "hint" }, "drag to move; Ctrl and wheel or two fingers to zoom; keys: + − 0, arrows, comma and full stop for the piece before and after"));
  }
  span() { return Math.max(1, this.canvas.clientWidth - this.left - this.right); }
  at(px) { return this.a + (px - this.left) / this.span() * (this.b - this.a); }
  px(x) { return this.left + (x - this.a) / (this.b - this.a) * this.span(); }
  limits(lo, hi, least) { this.lo = lo; this.hi = Math.max(hi, lo + least); this.least = least; this.show(this.lo, this.hi); }
  show(a, b) {
    const size = Math.min(Math.max(b - a, this.least), this.hi - this.lo);
    a = Math.max(this.lo, Math.min(a, this.hi - size)); this.a = a; this.b = a + size; this.redraw();
  }
  zoom(by, centre = (this.a + this.b) / 2) { const size = Math.min(Math.max((this.b - this.a) * by, this.least), this.hi - this.lo), share = (centre - this.a) / (this.b - this.a); this.show(centre - share * size, centre - share * size + size); }
  pan(d) { this.show(this.a + d, this.b + d); }
  redraw() { if (this.waits) return; this.waits = requestAnimationFrame(() => { this.waits = 0; this.paint(); }); }
  paint() {
    const c = this.canvas, w = c.clientWidth, h = this.height(), scale = window.devicePixelRatio || 1;
    if (!w) return;
    if (c.style.height !== h + "px") c.style.height = h + "px";
    if (c.width !== Math.round(w * scale) || c.height !== Math.round(h * scale)) { c.width = Math.round(w * scale); c.height = Math.round(h * scale); }
    const g = c.getContext("2d");
    g.setTransform(scale, 0, 0, scale, 0, 0); g.clearRect(0, 0, w, h); g.font = "13px system-ui, 'DejaVu Sans', sans-serif"; g.textBaseline = "middle";
    this.draw(g, w, h);
  }
}
/* Round steps for a ruler with about this many pixels between figures. */
function ruler(perPixel, pixels) {
  const raw = perPixel * pixels, ten = Math.pow(10, Math.floor(Math.log10(raw)));
  return [1, 2, 5, 10].map(m => m * ten).find(step => step >= raw);
}
/* Hatches for the canvas: the same figures as in the key. */
function hatch(g, kind) {
  const tile = document.createElement("canvas"); tile.width = tile.height = 8;
  const t = tile.getContext("2d");
  t.fillStyle = colour("--lost-bg"); t.fillRect(0, 0, 8, 8); t.strokeStyle = colour("--lost"); t.lineWidth = 1.5; t.beginPath();
  const paths = { head: [[-2, 6, 6, -2], [2, 10, 10, 2]], tail: [[0, 4, 8, 4]], gap: [[4, 0, 4, 8]], slopes: [[4, 2, 4, 6], [2, 4, 6, 4]], defect: [[0, 0, 8, 8], [8, 0, 0, 8]] }[kind] || [];
  for (const [a, b, c, d] of paths) { t.moveTo(a, b); t.lineTo(c, d); }
  t.stroke();
  return g.createPattern(tile, "repeat");
}
