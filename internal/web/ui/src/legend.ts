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
    const least = this.words.number(map.min);
    const limit = map.limit === undefined ? "" : `, ${this.words.say("limit", { n: map.limit })}`;
    this.root.setAttribute("role", "img");
    this.root.setAttribute("aria-label", `${map.title}: ${least} – ${this.words.number(map.max)}${limit}`);
    this.root.replaceChildren(title, c, this.numbers(map));
  }

  /** Marks and numbers below the colours, by percentage of their width. */
  private numbers(m: ValueMap): Node {
    const s = svg("svg", { class: "numbers", "aria-hidden": "true" });
    const at = (v: number) => `${(100 * (v - m.min)) / (m.max - m.min)}%`;
    const say = (v: number, text: string, from = 0) => {
      const edge = v <= m.min ? "start" : v >= m.max ? "end" : "middle";
      s.append(svg("line", { x1: at(v), x2: at(v), y1: from, y2: 6, class: from < 0 ? "limit" : "" }));
      if (text) s.append(svg("text", { x: at(v), y: 20, class: edge }, text));
    };
    const n = Math.round((m.max - m.min) / m.step);
    const every = Math.max(1, Math.ceil(n / 6));
    for (let i = 0; i <= n; i++) {
      const v = m.min + i * m.step;
      const crowded = m.limit !== undefined && Math.abs(v - m.limit) < 0.16 * (m.max - m.min);
      say(v, i % every === 0 && !crowded ? this.words.number(v) : "");
    }
    if (m.limit !== undefined) say(m.limit, this.words.say("limit", { n: m.limit }), -4);
    return s;
  }
}
