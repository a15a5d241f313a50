/* The section as it is seen from the leading end: left flange up, the web to the right. */
function drawSection(shape) {
  const p = shape.profile, t = p.thickness_nm, S = 150, pad = 34;
  const zed = p.section === "Z", hat = p.section === "hat";
  const depth = Math.max(p.left_flange_nm, p.right_flange_nm);
  const tall = p.web_nm + (hat ? p.left_lip_nm + p.right_lip_nm : 0);
  const wide = zed ? p.left_flange_nm + p.right_flange_nm : depth;
  const k = S / Math.max(tall, wide, 1), W = wide * k + 2 * pad + 24, H = tall * k + 2 * pad;
  const half = p.web_nm / 2, cx = W - pad - 10 - (zed ? p.right_flange_nm * k : 0), cy = pad + (half + (hat ? p.left_lip_nm : 0)) * k;
  /* From the web's outside: depth to the open side is to the left. */
  const X = d => cx - d * k, Y = y => cy - y * k;
  const leftIn = p.left_flange_nm, rightIn = zed ? -p.right_flange_nm : p.right_flange_nm, lip = hat ? -1 : 1;
  const points = [];
  if (p.left_lip_nm) points.push([leftIn, half - lip * p.left_lip_nm]);
  if (p.left_flange_nm) points.push([leftIn, half]);
  points.push([0, half], [0, -half]);
  if (p.right_flange_nm) points.push([rightIn, -half]);
  if (p.right_lip_nm) points.push([rightIn, -half + lip * p.right_lip_nm]);
  const svg = sv("svg", { width: W, height: H, viewBox: "0 0 " + W + " " + H, role: "img", "aria-label": "Section of " + p.name + ", seen from the leading end" });
  /* Corners rounded by the bend's outer radius; the outline stands for the out-to-out dimension. */
  const R = (p.radius_nm + t) * k;
  let path = "M" + X(points[0][0]) + " " + Y(points[0][1]);
  for (let i = 1; i < points.length; i++) {
    const [x, y] = [X(points[i][0]), Y(points[i][1])], next = points[i + 1];
    if (!next) { path += " L" + x + " " + y; continue; }
    const [px, py] = [X(points[i - 1][0]), Y(points[i - 1][1])], [nx, ny] = [X(next[0]), Y(next[1])];
    const a = Math.hypot(px - x, py - y) || 1, b = Math.hypot(nx - x, ny - y) || 1, r = Math.min(R, a / 2, b / 2);
    path += " L" + (x + (px - x) / a * r) + " " + (y + (py - y) / a * r) + " Q" + x + " " + y + " " + (x + (nx - x) / b * r) + " " + (y + (ny - y) / b * r);
  }
  svg.append(sv("path", { d: path, class: "sheetline", "stroke-width": Math.max(2, t * k) }));
  const write = (x, y, text, anchor, extra = {}) => svg.append(sv("text", { x, y, "font-size": 13, "text-anchor": anchor, ...extra }, text));
  write(X(0) + 8, Y(0) + 4, figure(p.web_nm), "start");
  if (p.left_flange_nm) write((X(0) + X(leftIn)) / 2, Y(half) - 8, figure(p.left_flange_nm), "middle");
  if (p.right_flange_nm) write((X(0) + X(rightIn)) / 2, Y(-half) + 18, figure(p.right_flange_nm), "middle");
  if (p.left_lip_nm) write(X(leftIn) - 6, Y(half - lip * p.left_lip_nm / 2) + 4, figure(p.left_lip_nm), "end");
  if (p.right_lip_nm) write(X(rightIn) - 6, Y(-half + lip * p.right_lip_nm / 2) + 4, figure(p.right_lip_nm), "end");
  /* Where features lie: a bar through the face, with the feature's letter. */
  const seen = new Set();
  shape.features.forEach(f => {
    const key = f.letter + ":" + f.faces + ":" + f.across + ":" + f.wide;
    if (seen.has(key)) return;
    seen.add(key);
    for (const [bit] of FACES) {
      if (!(f.faces & bit)) continue;
      const lo = f.across - f.wide / 2, hi = f.across + f.wide / 2;
      let a, b, out;
      if (bit === 1) { a = [0, lo]; b = [0, hi]; out = [-10, 0]; }
      else if (bit === 2) { a = [leftIn / 2 + lo, half]; b = [leftIn / 2 + hi, half]; out = [0, 10]; }
      else if (bit === 4) { const s = zed ? -1 : 1; a = [rightIn / 2 + s * lo, -half]; b = [rightIn / 2 + s * hi, -half]; out = [0, -10]; }
      else if (bit === 8) { a = [leftIn, half - lip * (p.left_lip_nm / 2 + lo)]; b = [leftIn, half - lip * (p.left_lip_nm / 2 + hi)]; out = [10, 0]; }
      else { a = [rightIn, -half + lip * (p.right_lip_nm / 2 + lo)]; b = [rightIn, -half + lip * (p.right_lip_nm / 2 + hi)]; out = [10, 0]; }
      svg.append(sv("path", { d: "M" + X(a[0]) + " " + Y(a[1]) + " L" + X(b[0]) + " " + Y(b[1]), stroke: "var(--mark)", "stroke-width": Math.max(4, t * k + 3), "data-f": f.letter }));
    }
  });
  return el("figure", {}, svg, el("figcaption", {}, p.name + ", " + p.section + ", " + thick(t) + " " + SHORT + " thick; seen from the leading end, left flange up; thick bars: where features lie across"));
}
