// The key to a map of values: its colours, its numbers, its limit.

import { svg } from "./overlay";
import { row, table } from "./ramp";
import type { ValueMap } from "./scene";
import type { Words } from "./words";

export class Legend {
  readonly root = document.createElement("div");
  private shown: ValueMap | null = null;

  constructor(private readonly words: Words) {
    this.root.className = "legend";
    this.root.hidden = true;
  }

  show(map: ValueMap | null): void {
    if (map === this.shown) return;
    this.shown = map;
    this.root.hidden = !map;
    if (!map) return;
    const title = document.createElement("p");
    title.className = "head";
    title.textContent = map.title;
    const c = document.createElement("canvas");
    const t = table();
    c.width = t.width;
    c.height = 1;
    const r = map.signed ? row.signed : row.depth;
    const line = new Uint8ClampedArray(t.data.subarray(4 * t.width * r, 4 * t.width * (r + 1)));
    c.getContext("2d")?.putImageData(new ImageData(line, t.width, 1), 0, 0);
    c.setAttribute("aria-hidden", "true");
    this.root.replaceChildren(title, c, this.numbers(map));
  }

  private numbers(m: ValueMap): Node {
    const wide = 320;
    const s = svg("svg", { viewBox: `0 0 ${wide} 26`, preserveAspectRatio: "none" });
    const at = (v: number) => ((v - m.min) / (m.max - m.min)) * wide;
    const every = Math.max(1, Math.ceil((m.max - m.min) / m.step / 6));
    s.setAttribute("preserveAspectRatio", "xMidYMid meet");
    const n = Math.round((m.max - m.min) / m.step);
    for (let i = 0; i <= n; i++) {
      const v = m.min + i * m.step;
      s.append(svg("path", { d: `M${at(v)} 0v5` }));
      const crowded = m.limit !== undefined && Math.abs(at(v) - at(m.limit)) < 60;
      if (i % every === 0 && !crowded) s.append(svg("text", { x: at(v), y: 20 }, this.words.number(v)));
    }
    if (m.limit !== undefined) {
      s.append(svg("path", { d: `M${at(m.limit)} -3v11`, class: "limit" }));
      s.append(svg("text", { x: at(m.limit), y: 20 }, this.words.say("limit", { n: m.limit })));
    }
    return s;
  }
}

