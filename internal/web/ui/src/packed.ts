// Reads a packed mesh (doc/formats/mesh.md), the twin of internal/packed in Go.

/** A surface as it was sent: coordinates in whole steps from an origin. */
export interface Packed {
  vertices: number;
  triangles: number;
  origin: [number, number, number]; // mm
  step: number; // mm
  at: Uint16Array; // four per vertex: x, y, z and 0, as graphics cards like it
  index: Uint32Array;
  colour: Uint8Array | null; // four per vertex: red, green, blue, 255
  values: PackedValue[];
}

/** A named number per vertex: least + code * step, or none where code is 65535. */
export interface PackedValue {
  name: string;
  least: number;
  step: number;
  code: Uint16Array; // two per vertex: the code, and 65535 where there is a value
}

export const none = 0xffff;

export function unpack(buffer: ArrayBuffer): Packed {
  const bytes = new Uint8Array(buffer);
  const view = new DataView(buffer);
  if (bytes.length < 46 || String.fromCharCode(...bytes.subarray(0, 4)) !== "SVM2") throw new Error("not a packed mesh");
  const vertices = view.getUint32(4, true);
  const triangles = view.getUint32(8, true);
  if (vertices > bytes.length || triangles > bytes.length) throw new Error("packed mesh: the counts do not fit");
  const origin: [number, number, number] = [view.getFloat64(12, true), view.getFloat64(20, true), view.getFloat64(28, true)];
  const step = view.getFloat64(36, true);
  const flags = bytes[44];
  let p = 46;
  const values: PackedValue[] = [];
  for (let i = 0; i < bytes[45]; i++) {
    const n = bytes[p];
    const name = new TextDecoder().decode(bytes.subarray(p + 1, p + 1 + n));
    p += 1 + n;
    values.push({ name, least: view.getFloat64(p, true), step: view.getFloat64(p + 8, true), code: new Uint16Array(2 * vertices) });
    p += 16;
  }
  const index = new Uint32Array(3 * triangles);
  p = corners(bytes, p, index, vertices);
  const at = new Uint16Array(4 * vertices);
  const need = 6 * vertices + (flags & 1 ? 3 * vertices : 0) + 2 * vertices * values.length;
  if (p + need !== bytes.length) throw new Error("packed mesh: it ends early or late");
  points(bytes.subarray(p), index, at, vertices);
  p += 6 * vertices;
  let colour: Uint8Array | null = null;
  if (flags & 1) {
    colour = new Uint8Array(4 * vertices).fill(255);
    for (let ch = 0; ch < 3; ch++) {
      for (let i = 0, last = 0; i < vertices; i++) colour[4 * i + ch] = last = last + bytes[p + ch * vertices + i];
    }
    p += 3 * vertices;
  }
  for (const v of values) {
    for (let i = 0, last = 0; i < vertices; i++) {
      last = (last + unfold(bytes[p + i] | (bytes[p + vertices + i] << 8))) & none;
      v.code[2 * i] = last;
      v.code[2 * i + 1] = last === none ? 0 : none;
    }
    p += 2 * vertices;
  }
  return { vertices, triangles, origin, step, at, index, colour, values };
}

/**
 * Triangles: a step for each, then what the steps leave open. A triangle (a, b, x)
 * mostly lies across an edge e of the one before, p: a = p[e+1], b = p[e], and x is new
 * (step e) or was met (step 3 + e: so far from the last such corner); step 6 tells each
 * corner by how far it lies behind the newest vertex, 0 for a new one.
 */
function corners(bytes: Uint8Array, start: number, index: Uint32Array, vertices: number): number {
  const n = index.length / 3;
  let p = start + n;
  const number = () => {
    let x = 0;
    for (let shift = 0; ; shift += 7) {
      const b = bytes[p++];
      if (b === undefined || shift > 28) throw new Error("packed mesh: triangles end early");
      x |= (b & 0x7f) << shift;
      if (b < 0x80) return x;
    }
  };
  let newest = 0;
  let met = 0;
  for (let k = 0; k < n; k++) {
    const step = bytes[start + k];
    const at = 3 * k;
    if (step > 6 || (step < 6 && k === 0)) throw new Error("packed mesh: an unknown step");
    if (step === 6) {
      for (let i = 0; i < 3; i++) {
        const v = newest - number();
        if (v < 0) throw new Error("packed mesh: a corner ahead of its turn");
        index[at + i] = v;
        if (v === newest) newest++;
      }
      continue;
    }
    const e = step % 3;
    index[at] = index[at - 3 + ((e + 1) % 3)];
    index[at + 1] = index[at - 3 + e];
    if (step < 3) index[at + 2] = newest++;
    else {
      met += unfold(number());
      if (met < 0 || met >= newest) throw new Error("packed mesh: a corner ahead of its turn");
      index[at + 2] = met;
    }
  }
  if (newest !== vertices) throw new Error("packed mesh: vertices without a triangle");
  return p;
}

function unfold(z: number): number {
  return (z >>> 1) ^ -(z & 1);
}

/** Adds what was sent of each coordinate to what the triangles before foretell. */
function points(bytes: Uint8Array, index: Uint32Array, at: Uint16Array, n: number): void {
  let newest = 0;
  let [a0, a1, a2] = [-1, -1, -1]; // the triangle before
  for (let k = 0; k < index.length; k += 3) {
    for (let i = 0; i < 3; i++) {
      const v = index[k + i];
      if (v !== newest) continue;
      const a = index[k];
      const b = index[k + 1];
      let o = -1;
      if (i === 2) {
        if ((a1 === a && a2 === b) || (a1 === b && a2 === a)) o = a0;
        else if ((a2 === a && a0 === b) || (a2 === b && a0 === a)) o = a1;
        else if ((a0 === a && a1 === b) || (a0 === b && a1 === a)) o = a2;
      }
      for (let ax = 0; ax < 3; ax++) {
        let guess = 0;
        if (i === 2) {
          const [x, y] = [at[4 * a + ax], at[4 * b + ax]];
          guess = o >= 0 ? x + y - at[4 * o + ax] : (x + y) >> 1;
        } else if (i === 1) guess = at[4 * a + ax];
        else if (v > 0) guess = at[4 * (v - 1) + ax];
        const z = bytes[2 * ax * n + v] | (bytes[(2 * ax + 1) * n + v] << 8);
        at[4 * v + ax] = guess + unfold(z); // modulo 65536, as it was sent
      }
      newest++;
    }
    a0 = index[k];
    a1 = index[k + 1];
    a2 = index[k + 2];
  }
}
