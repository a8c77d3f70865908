// The form of a surface for shading: directions and how sharply it turns.

import type { Packed } from "./packed";

/**
 * Four numbers per vertex, scaled to 32767: the outward direction, evened once over
 * the triangles around it as in the server's pictures, and the turn of the
 * surface over `reach` mm in radians, positive on edges and negative in creases,
 * clipped at one. For drawing only: nothing is measured on it.
 */
export function form(m: Packed): Int16Array {
  const reach = 0.28;
  const n = evened(m);
  const turn = new Float32Array(m.vertices);
  const count = new Float32Array(m.vertices);
  const { at, index } = m;
  for (let k = 0; k < index.length; k++) {
    const a = index[k];
    const b = index[k % 3 === 2 ? k - 2 : k + 1];
    const ex = at[4 * b] - at[4 * a];
    const ey = at[4 * b + 1] - at[4 * a + 1];
    const ez = at[4 * b + 2] - at[4 * a + 2];
    const e2 = ex * ex + ey * ey + ez * ez;
    if (e2 === 0) continue;
    const t = ((n[3 * b] - n[3 * a]) * ex + (n[3 * b + 1] - n[3 * a + 1]) * ey + (n[3 * b + 2] - n[3 * a + 2]) * ez) / e2;
    turn[a] += t;
    turn[b] += t;
    count[a]++;
    count[b]++;
  }
  for (let v = 0; v < turn.length; v++) turn[v] *= reach / m.step / (count[v] || 1);
  const even = averaged(turn, index, 2);
  const out = new Int16Array(4 * m.vertices);
  for (let v = 0; v < m.vertices; v++) {
    for (let i = 0; i < 3; i++) out[4 * v + i] = Math.round(32767 * n[3 * v + i]);
    out[4 * v + 3] = Math.round(32767 * Math.min(1, Math.max(-1, even[v])));
  }
  return out;
}

/** Averages over the triangles around each vertex, a few rounds. */
function averaged(x: Float32Array, index: Uint32Array, rounds: number): Float32Array {
  for (let r = 0; r < rounds; r++) {
    const sum = new Float32Array(x.length);
    const count = new Float32Array(x.length);
    for (let k = 0; k < index.length; k += 3) {
      const [a, b, c] = [index[k], index[k + 1], index[k + 2]];
      const s = x[a] + x[b] + x[c];
      sum[a] += s;
      sum[b] += s;
      sum[c] += s;
      count[a] += 3;
      count[b] += 3;
      count[c] += 3;
    }
    for (let v = 0; v < sum.length; v++) sum[v] /= count[v] || 1;
    x = sum;
  }
  return x;
}

/** Area-weighted unit normals, evened once. */
function evened(m: Packed): Float32Array {
  const { at, index } = m;
  const n = new Float32Array(3 * m.vertices);
  for (let k = 0; k < index.length; k += 3) {
    const [a, b, c] = [4 * index[k], 4 * index[k + 1], 4 * index[k + 2]];
    const ux = at[b] - at[a];
    const uy = at[b + 1] - at[a + 1];
    const uz = at[b + 2] - at[a + 2];
    const vx = at[c] - at[a];
    const vy = at[c + 1] - at[a + 1];
    const vz = at[c + 2] - at[a + 2];
    const x = uy * vz - uz * vy;
    const y = uz * vx - ux * vz;
    const z = ux * vy - uy * vx;
    for (let i = 0; i < 3; i++) {
      const v = 3 * index[k + i];
      n[v] += x;
      n[v + 1] += y;
      n[v + 2] += z;
    }
  }
  unit(n);
  const even = new Float32Array(n.length);
  for (let k = 0; k < index.length; k += 3) {
    const [a, b, c] = [3 * index[k], 3 * index[k + 1], 3 * index[k + 2]];
    for (let i = 0; i < 3; i++) {
      const s = n[a + i] + n[b + i] + n[c + i];
      even[a + i] += s;
      even[b + i] += s;
      even[c + i] += s;
    }
  }
  unit(even);
  return even;
}

function unit(n: Float32Array): void {
  for (let i = 0; i < n.length; i += 3) {
    const d = Math.hypot(n[i], n[i + 1], n[i + 2]) || 1;
    n[i] /= d;
    n[i + 1] /= d;
    n[i + 2] /= d;
  }
}
