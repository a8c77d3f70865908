// Where the numbers stand on contour lines: on a line, where it has room, away from
// the edge of the map. Looked for in a small picture of the values.

import type { Eye } from "./eye";
import type { Label } from "./overlay";
import type { Stage } from "./stage";
import type { Words } from "./words";

/** One place of the small picture for so many CSS pixels. */
const grain = 3;
/** Lines nearer than this many CSS pixels carry no number. */
const room = 14;
/** Numbers for one level, and how far apart at least, in CSS pixels. */
const most = 2;
const apart = 120;

export function levels(stage: Stage, eye: Eye, words: Words): Label[] {
  const map = stage.map;
  if (!map || !(map.step > 0)) return [];
  const w = Math.max(8, Math.floor(eye.width / grain));
  const h = Math.max(8, Math.floor(eye.height / grain));
  const v = stage.values(eye, w, h);
  const out: Label[] = [];
  const limit = map.limit;
  const all = limit === undefined ? [] : [limit];
  for (let k = Math.ceil(map.min / map.step); k <= map.max / map.step + 1e-9; k++) {
    const l = k * map.step;
    if (limit === undefined || Math.abs(l - limit) > 0.4 * map.step) all.push(l);
  }
  for (const level of all) {
    const text = `${map.signed && level > 0 ? "+" : ""}${words.number(level)}`;
    const half = Math.ceil((4 * text.length + 4) / grain);
    let placed = 0;
    for (let y = 4; y < h - 4 && placed < most; y++) {
      for (let x = half; x < w - half && placed < most; x++) {
        const k = y * w + x;
        if (!crosses(v, k, w, level)) continue;
        const steep = Math.hypot(v[k + 1] - v[k - 1], v[k + w] - v[k - w]) / 2;
        if (!(steep < (map.step * grain) / room) || !mapped(v, w, x, y, half)) continue;
        const l = { x: (x + 0.5) * grain, y: (y + 0.5) * grain, text };
        if (out.some((o) => Math.hypot(o.x - l.x, o.y - l.y) < (o.text === text ? apart : 40))) continue;
        out.push(l);
        placed++;
      }
    }
  }
  return out;
}

/** Whether a level passes between a place and the next ones. */
function crosses(v: Float32Array, k: number, w: number, level: number): boolean {
  const a = v[k] < level;
  const near = [v[k + 1], v[k + w]];
  return !Number.isNaN(v[k]) && near.some((b) => !Number.isNaN(b) && b < level !== a);
}

/** Whether a word lies wholly on the map. */
function mapped(v: Float32Array, w: number, x: number, y: number, half: number): boolean {
  for (const dy of [-3, 0, 3]) for (const dx of [-half, 0, half]) if (Number.isNaN(v[(y + dy) * w + x + dx])) return false;
  return true;
}
