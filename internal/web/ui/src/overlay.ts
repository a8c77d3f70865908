// Words and marks over the picture: where the directions lead, numbered pins, the
// scale, the place that was tapped. Drawn as SVG, so that letters stay sharp.

import { Vector3 } from "three";
import type { Eye } from "./eye";
import type { Scene, Spot, Vec } from "./scene";

const ns = "http://www.w3.org/2000/svg";

export function svg<K extends keyof SVGElementTagNameMap>(name: K, at: Record<string, string | number> = {}, ...inside: (Node | string)[]): SVGElementTagNameMap[K] {
  const e = document.createElementNS(ns, name);
  for (const [k, v] of Object.entries(at)) e.setAttribute(k, String(v));
  e.append(...inside);
  return e;
}

interface Box {
  x: number;
  y: number;
  w: number; // half
  h: number; // half
}

/** A pin as it stands in the picture. */
export interface Pinned {
  spot: Spot;
  x: number; // of the badge
  y: number;
  px: number; // of the place
  py: number;
}

/** A number on a contour line. */
export interface Label {
  x: number;
  y: number;
  text: string;
}

export interface Shown {
  spots: boolean;
  chosen: Spot | null;
  hidden: Set<Spot>; // behind the surface
  tapped: Vector3 | null;
  labels: Label[];
  teeth: Set<string> | null; // roles of the surfaces whose teeth carry their numbers
  axis: string; // the word at the insertion axis; empty: it is not drawn
  contacts: boolean; // where the arches touch
  marks: Vec[]; // places that a person chose, in order
  scale: (mm: number) => string;
}

const badge = 15;
const far = 46;

export class Overlay {
  readonly root = svg("svg", { class: "over", "aria-hidden": "true" });
  pins: Pinned[] = [];
  private taken: Box[] = [];

  constructor(private readonly scene: Scene) {}

  draw(eye: Eye, s: Shown): void {
    const { width: w, height: h } = eye;
    this.root.setAttribute("viewBox", `0 0 ${w} ${h}`);
    this.taken = [];
    this.pins = [];
    const out: Node[] = [this.bar(eye, s.scale)];
    if (s.axis !== "") out.push(...this.axis(eye, s.axis));
    out.push(...this.chosen(eye, s.marks));
    if (s.contacts) out.push(...this.contacts(eye));
    if (s.spots) out.push(...this.spots(eye, s));
    out.push(...this.rims(eye));
    if (s.teeth !== null) out.push(...this.teeth(eye, s.teeth));
    for (const l of s.labels) {
      const box = { x: l.x, y: l.y, w: 6 + 4 * l.text.length, h: 10 };
      if (this.free(box)) {
        this.taken.push(box);
        out.push(svg("text", { x: l.x, y: l.y, class: "level" }, l.text));
      }
    }
    if (s.tapped) {
      const p = eye.project(s.tapped);
      out.push(svg("g", { class: "tapped" }, svg("path", { d: cross(p.x, p.y) }), svg("path", { d: cross(p.x, p.y) })));
    }
    this.root.replaceChildren(...out);
  }

  /** Words at the rim, where the directions leave the picture; none for one that points at the viewer. */
  private rims(eye: Eye): Node[] {
    const [x, y] = eye.axes();
    const out: Node[] = [];
    for (const r of this.scene.rims ?? []) {
      const d = new Vector3(...r.to);
      const [dx, dy] = [d.dot(x), -d.dot(y)];
      const flat = Math.hypot(dx, dy);
      if (flat < 0.5) continue;
      const half = 4.6 * r.word.length + 4;
      const k = Math.min((eye.width / 2 - half - 8) / (Math.abs(dx) || 1e-9), (eye.height / 2 - 20) / (Math.abs(dy) || 1e-9));
      const box = { x: eye.width / 2 + k * dx, y: eye.height / 2 + k * dy, w: half, h: 13 };
      if (!this.free(box)) continue;
      this.taken.push(box);
      out.push(svg("text", { x: box.x, y: box.y, class: "rim" }, r.word));
    }
    return out;
  }

  /** The insertion axis as an arrow out of the preparation; none where it points at the viewer. */
  private axis(eye: Eye, word: string): Node[] {
    if (!this.scene.axis) return [];
    const a = new Vector3(...this.scene.axis);
    const [x, y] = eye.axes();
    const [dx, dy] = [a.dot(x), -a.dot(y)];
    const flat = Math.hypot(dx, dy);
    if (flat < 0.3) return [];
    const long = 2.1 * this.scene.radius;
    const from = eye.project(a.clone().multiplyScalar(-0.3 * this.scene.radius));
    const to = eye.project(a.clone().multiplyScalar(long));
    const [ux, uy] = [dx / flat, dy / flat];
    const head = `M${to.x - 13 * ux - 7 * uy} ${to.y - 13 * uy + 7 * ux}L${to.x} ${to.y}L${to.x - 13 * ux + 7 * uy} ${to.y - 13 * uy - 7 * ux}`;
    const line = `M${from.x} ${from.y}L${to.x} ${to.y}`;
    const out: Node[] = [
      svg("path", { d: `${line}${head}`, class: "back" }),
      svg("path", { d: line, class: "axis" }),
      svg("path", { d: head, class: "arrow" }),
    ];
    const half = 4.6 * word.length + 4;
    const box = { x: Math.min(Math.max(to.x, half), eye.width - half), y: to.y - 16, w: half, h: 13 };
    if (box.y > 14 && this.free(box)) {
      this.taken.push(box);
      out.push(svg("text", { x: box.x, y: box.y, class: "rim" }, word));
    }
    return out;
  }

  /** Where the arches touch: a full disc of the contact's size on a ring. */
  private contacts(eye: Eye): Node[] {
    const c = this.scene.centre;
    return (this.scene.contacts ?? []).map((k) => {
      const p = eye.project(new Vector3(k.at[0] - c[0], k.at[1] - c[1], k.at[2] - c[2]));
      const r = Math.max(4, (eye.perMM * k.across) / 2);
      return svg("g", { class: "contact" }, svg("circle", { cx: p.x, cy: p.y, r: r + 3, class: "back" }), svg("circle", { cx: p.x, cy: p.y, r }));
    });
  }

  /** Places that a person chose, numbered, joined in their order. */
  private chosen(eye: Eye, marks: Vec[]): Node[] {
    const c = this.scene.centre;
    const at = marks.map((m) => eye.project(new Vector3(m[0] - c[0], m[1] - c[1], m[2] - c[2])));
    const out: Node[] = [];
    if (at.length > 1) {
      const d = at.map((p, i) => `${i ? "L" : "M"}${p.x} ${p.y}`).join("");
      out.push(svg("path", { d, class: "back" }), svg("path", { d, class: "joined" }));
    }
    at.forEach((p, i) => {
      out.push(svg("g", { class: "mark" }, svg("circle", { cx: p.x, cy: p.y, r: 9 }), svg("text", { x: p.x, y: p.y - 20 }, String(i + 1))));
    });
    return out;
  }

  /** The numbers of the teeth, each on its tooth. */
  private teeth(eye: Eye, roles: Set<string>): Node[] {
    const c = this.scene.centre;
    const out: Node[] = [];
    for (const t of this.scene.teeth ?? []) {
      if (!roles.has(t.role)) continue;
      const p = eye.project(new Vector3(t.at[0] - c[0], t.at[1] - c[1], t.at[2] - c[2]));
      const text = t.unsure ? `${t.text} ?` : t.text;
      const half = 6 * text.length + 5;
      out.push(
        svg("g", { class: t.unsure ? "tooth unsure" : "tooth" }, svg("rect", { x: p.x - half, y: p.y - 14, width: 2 * half, height: 28, rx: 5 }), svg("text", { x: p.x, y: p.y }, text)),
      );
    }
    return out;
  }

  /** A bar of a round length. */
  private bar(eye: Eye, word: (mm: number) => string): Node {
    const want = Math.min(110, eye.width / 4) / eye.perMM;
    const mm = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50].filter((v) => v <= want).pop() ?? 0.1;
    const len = mm * eye.perMM;
    const [x, y] = [16, eye.height - 16];
    this.taken.push({ x: x + len / 2, y: y - 10, w: len / 2 + 12, h: 22 });
    const d = `M${x} ${y - 5}v10M${x} ${y}h${len}M${x + len} ${y - 5}v10`;
    return svg("g", { class: "bar" }, svg("path", { d, class: "back" }), svg("path", { d }), svg("text", { x: x + len / 2, y: y - 15, class: "rim" }, word(mm)));
  }

  /** Rings around the places, then leaders, then badges and words, so that no ring crosses a number. */
  private spots(eye: Eye, s: Shown): Node[] {
    const rings: Node[] = [];
    const leads: Node[] = [];
    const badges: Node[] = [];
    const c = this.scene.centre;
    const seen = (this.scene.spots ?? []).map((spot) => {
      const p = eye.project(new Vector3(spot.at[0] - c[0], spot.at[1] - c[1], spot.at[2] - c[2]));
      const ring = Math.min(44, Math.max(12, (eye.perMM * (spot.across ?? 0)) / 2 + 5));
      return { spot, p, ring, hidden: s.hidden.has(spot) };
    });
    const inside = seen.filter(({ p }) => p.x > -20 && p.y > -20 && p.x < eye.width + 20 && p.y < eye.height + 20);
    for (const { p, hidden } of inside) if (!hidden) this.taken.push({ x: p.x, y: p.y, w: 8, h: 8 });
    for (const { spot, p, ring, hidden } of inside) {
      const at = this.place(p.x, p.y, ring, eye);
      this.taken.push({ x: at.x, y: at.y, w: badge + 2, h: badge + 2 });
      const name = `pin ${spot.kind}${hidden ? " hidden" : ""}${s.chosen === spot ? " chosen" : ""}`;
      const [dx, dy] = [at.x - p.x, at.y - p.y];
      const d = Math.hypot(dx, dy) || 1;
      const lead = `M${p.x + (dx / d) * ring} ${p.y + (dy / d) * ring}L${at.x} ${at.y}`;
      if (!hidden) rings.push(svg("g", { class: name }, svg("circle", { cx: p.x, cy: p.y, r: ring, class: "back" }), svg("circle", { cx: p.x, cy: p.y, r: ring, class: "ring" })));
      leads.push(svg("g", { class: name }, svg("path", { d: lead, class: "back" }), svg("path", { d: lead, class: "lead" })));
      badges.push(svg("g", { class: name }, mark(spot, at.x, at.y), svg("text", { x: at.x, y: at.y, class: "number" }, spot.number), ...this.beside(spot, at, eye)));
      this.pins.push({ spot, x: at.x, y: at.y, px: p.x, py: p.y });
    }
    return [...rings, ...leads, ...badges];
  }

  /** A pin's words beside its badge, where there is room. */
  private beside(spot: Spot, at: { x: number; y: number }, eye: Eye): Node[] {
    if (!spot.text) return [];
    const half = 5.2 * spot.text.length;
    for (const side of at.x + badge + 2 * half + 14 > eye.width ? [-1, 1] : [1, -1]) {
      const box = { x: at.x + side * (badge + half + 6), y: at.y, w: half + 2, h: 13 };
      if (box.x - half < 0 || box.x + half > eye.width || !this.free(box)) continue;
      this.taken.push(box);
      return [svg("text", { x: at.x + side * (badge + 7), y: at.y, class: `strong ${side < 0 ? "end" : "start"}` }, spot.text)];
    }
    return [];
  }

  /** Room for a badge beside its place: outwards from the middle if that is free. */
  private place(x: number, y: number, ring: number, eye: Eye): { x: number; y: number } {
    const out = Math.atan2(y - eye.height / 2, x - eye.width / 2 || 1);
    for (const more of [0, 24, 60]) {
      for (const turn of [0, 0.6, -0.6, 1.2, -1.2, 1.9, -1.9, 3.1]) {
        const r = ring + far - 12 + more;
        const b = { x: x + r * Math.cos(out + turn), y: y + r * Math.sin(out + turn), w: badge, h: badge };
        const inside = b.x > badge + 4 && b.y > badge + 4 && b.x < eye.width - badge - 4 && b.y < eye.height - badge - 4;
        if (inside && this.free(b)) return b;
      }
    }
    return { x: Math.min(Math.max(x, badge + 4), eye.width - badge - 4), y: Math.min(Math.max(y, badge + 4), eye.height - badge - 4) };
  }

  private free(b: Box): boolean {
    return this.taken.every((t) => Math.abs(t.x - b.x) > t.w + b.w || Math.abs(t.y - b.y) > t.h + b.h);
  }
}

/** A badge by itself, for a button. */
export function badgeOf(s: Spot): SVGElement {
  return svg("svg", { viewBox: "0 0 36 36", class: `pin ${s.kind}`, "aria-hidden": "true" }, mark(s, 18, 18), svg("text", { x: 18, y: 18, class: "number" }, s.number));
}

/** The badge's shape says what is asked: ring, full disc, square. */
function mark(s: Spot, x: number, y: number): Node {
  if (s.kind === "note") return svg("rect", { x: x - 13, y: y - 13, width: 26, height: 26, rx: 3, class: "badge" });
  return svg("circle", { cx: x, cy: y, r: badge, class: "badge" });
}

const cross = (x: number, y: number) => `M${x - 16} ${y}h11M${x + 5} ${y}h11M${x} ${y - 16}v11M${x} ${y + 5}v11`;
