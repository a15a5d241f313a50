/* Unpacks what the page knows. Orders of rows are those of src/report/page. */
const D = JSON.parse(document.getElementById("data").textContent);
const P = { run: [], serial: [], member: [], copy: [], turned: [], printed: [], shape: [], made: [], start: [], cut: [] };
const RUNS = D.runs.map((run, r) => {
  const first = P.serial.length, rows = run.rows;
  for (let i = 0; i < rows.length; i += 8) {
    P.run.push(r); P.serial.push(rows[i]); P.member.push(rows[i + 1]); P.copy.push(rows[i + 2]);
    P.turned.push((rows[i + 3] & 1) === 1); P.printed.push((rows[i + 3] & 2) === 2);
    P.shape.push(rows[i + 4]); P.made.push(rows[i + 5]); P.start.push(rows[i + 6]); P.cut.push(rows[i + 7]);
  }
  return { first, end: P.serial.length, about: run };
});
const COUNT = P.serial.length;
const FACES = [[1, "web"], [2, "left flange"], [4, "right flange"], [8, "left lip"], [16, "right lip"]];
const frameOf = i => D.members[P.member[i]][0];
const markOf = i => D.members[P.member[i]][1];
const usageOf = i => D.members[P.member[i]][2];
const jobOf = i => D.jobs[D.frames[frameOf(i)][0]][0];
const frameName = i => D.frames[frameOf(i)][1] + (P.copy[i] > 1 ? " no. " + P.copy[i] : "");
const lengthOf = i => D.shapes[P.shape[i]][1];

/* A shape with its features, every position from the leading end. */
const unpacked = new Map();
function shapeOf(i) {
  const number = P.shape[i];
  if (unpacked.has(number)) return unpacked.get(number);
  const row = D.shapes[number], length = row[1];
  const on = (datum, offset) => [0, Math.trunc(length / 2), length][datum] + offset;
  const features = [];
  for (let k = 8; k < row.length;) {
    const s = D.specs[row[k++]];
    const f = { kind: s[0], faces: s[1], across: s[2], acrossTol: [s[3], s[4]], form: s[5], long: s[6], wide: s[7], place: s[8], datum: s[9], tol: [s[10], s[11]] };
    if (f.place === 0) {
      f.offset = row[k++]; f.at = on(f.datum, f.offset);
      f.from = f.at - Math.trunc(f.long / 2); f.to = f.from + f.long;
    } else if (f.place === 1) {
      f.offset = row[k++]; f.datum2 = s[12]; f.tol2 = [s[13], s[14]]; f.offset2 = row[k++];
      f.from = on(f.datum, f.offset); f.to = on(f.datum2, f.offset2);
    } else {
      f.from = f.datum === 0 ? 0 : length - f.long; f.to = f.datum === 0 ? f.long : length;
    }
    features.push(f);
  }
  const shape = { number, profile: D.profiles[row[0]], length, tol: [row[2], row[3]], start: [row[4], row[5]], end: [row[6], row[7]], features };
  if (unpacked.size > 400) unpacked.clear();
  unpacked.set(number, shape);
  return shape;
}

/* Standstills of a run, on its clock in ticks of 0.1 ms. */
const TICK = 1e-4;
let beatsOf = { run: -1 };
function beats(r) {
  if (beatsOf.run === r) return beatsOf;
  const packed = D.runs[r].beats, n = [];
  for (let k = 0; k < packed.length; k += 4 + (packed[k + 3] >> 2)) n.push(k);
  const b = { run: r, n: n.length, row: n, packed, leaves: new Float64Array(n.length), stands: new Float64Array(n.length), done: new Float64Array(n.length), at: new Float64Array(n.length) };
  let t = 0, at = 0;
  n.forEach((k, i) => {
    at += packed[k]; b.at[i] = at * D.step_nm;
    b.leaves[i] = t; b.stands[i] = t + packed[k + 1]; t = b.done[i] = b.stands[i] + packed[k + 2];
  });
  b.total = t;
  return beatsOf = b;
}

/* Findings by member. */
const FLAGS = new Map();
D.findings.forEach((found, n) => found.members.forEach(m => {
  if (!FLAGS.has(m)) FLAGS.set(m, []);
  FLAGS.get(m).push(n);
}));

/* The first place in an ascending row, from lo to hi, where the test holds. */
function firstWhere(lo, hi, test) {
  while (lo < hi) { const mid = (lo + hi) >> 1; if (test(mid)) hi = mid; else lo = mid + 1; }
  return lo;
}
