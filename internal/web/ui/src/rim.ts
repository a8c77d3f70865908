// Where the preparation ends: how far the margin lies from its axis, all around.

import { Vector3 } from "three";
import type { Margin, Vec } from "./scene";

export interface Rim {
  far: Float32Array; // mm, by angle from `first` towards `quarter`
  first: Vector3;
  quarter: Vector3;
  axis: Vector3;
  low: number; // of the margin along the axis, mm from the centre
}

const bins = 64;

/** The rim of a closed margin seen along the axis; null where there is none. */
export function rimOf(m: Margin | undefined, centre: Vec, along: Vec | undefined): Rim | null {
  if (!m?.closed || !along || m.points.length < 8) return null;
  const axis = new Vector3(...along).normalize();
  const first = new Vector3(Math.abs(axis.x) < 0.8 ? 1 : 0, Math.abs(axis.x) < 0.8 ? 0 : 1, 0).projectOnPlane(axis).normalize();
  const quarter = axis.clone().cross(first);
  const c = new Vector3(...centre);
  const at = m.points.map((p) => {
    const d = new Vector3(...p).sub(c);
    const [x, y] = [d.dot(first), d.dot(quarter)];
    return { turn: ((Math.atan2(y, x) / (2 * Math.PI) + 1) % 1) * bins, far: Math.hypot(x, y), high: d.dot(axis) };
  });
  const sum = new Float32Array(bins);
  const far = new Float32Array(bins);
  for (let i = 0; i < at.length; i++) {
    // fill every bin between one point and the next, the short way around
    const [p, q] = [at[i], at[(i + 1) % at.length]];
    const step = ((q.turn - p.turn + 1.5 * bins) % bins) - bins / 2;
    const n = Math.max(1, Math.ceil(Math.abs(step) * 2));
    for (let k = 0; k < n; k++) {
      const b = Math.round(p.turn + (step * k) / n + bins) % bins;
      far[b] += p.far + ((q.far - p.far) * k) / n;
      sum[b]++;
    }
  }
  if (sum.some((n) => n === 0)) return null; // the line does not go around the axis
  return { far: far.map((f, i) => f / sum[i]), first, quarter, axis, low: Math.min(...at.map((p) => p.high)) };
}
