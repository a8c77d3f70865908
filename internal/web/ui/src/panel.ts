// The buttons: four that stay, and a tray that holds what the chosen one offers.

import { svg } from "./overlay";

export interface Button {
  id: string; // what is done
  word: string;
  icon?: string; // a path in a box of 24
  picture?: SVGElement; // in place of the word, which is then read out only
  pressed?: boolean; // a switch, and how it stands; undefined: a plain button
  group?: string; // heading above
}

export interface Tray {
  id: string;
  word: string;
  icon: string;
  buttons: () => Button[];
  note?: () => string;
}

export class Panel {
  readonly root = document.createElement("div");
  private readonly bar = document.createElement("div");
  private readonly tray = document.createElement("div");
  open: string;

  constructor(
    private readonly trays: Tray[],
    private readonly act: (id: string) => void,
  ) {
    this.root.className = "panel";
    this.bar.className = "bar4";
    this.tray.className = "tray";
    this.tray.id = "tray";
    this.root.append(this.bar, this.tray);
    this.open = trays[0].id;
    for (const t of trays) {
      const b = this.button({ id: `tray:${t.id}`, word: t.word, icon: t.icon }, () => {
        this.open = t.id;
        this.refresh();
      });
      b.setAttribute("aria-controls", "tray");
      this.bar.append(b);
    }
    this.refresh();
  }

  /** Draws the open tray again; the focus stays where it was. */
  refresh(): void {
    for (const [i, b] of [...this.bar.children].entries()) b.setAttribute("aria-expanded", String(this.trays[i].id === this.open));
    const t = this.trays.find((t) => t.id === this.open);
    if (!t) return;
    const root = this.tray.getRootNode() as Document | ShadowRoot;
    const focused = (root.activeElement as HTMLElement | null)?.dataset?.act;
    this.tray.setAttribute("role", "group");
    this.tray.setAttribute("aria-label", t.word);
    const out: Node[] = [];
    let group: string | undefined;
    let row = document.createElement("div");
    row.className = "row";
    for (const b of t.buttons()) {
      if (b.group !== group) {
        group = b.group;
        if (row.children.length) out.push(row);
        row = document.createElement("div");
        row.className = "row";
        if (group) {
          const h = document.createElement("p");
          h.className = "head";
          h.textContent = group;
          out.push(h);
        }
      }
      row.append(this.button(b, () => this.act(b.id)));
    }
    out.push(row);
    const note = t.note?.();
    if (note) {
      const p = document.createElement("p");
      p.className = "note";
      p.textContent = note;
      out.push(p);
    }
    this.tray.replaceChildren(...out);
    if (focused) this.tray.querySelector<HTMLElement>(`[data-act="${CSS.escape(focused)}"]`)?.focus();
  }

  private button(b: Button, act: () => void): HTMLButtonElement {
    const e = document.createElement("button");
    e.type = "button";
    e.dataset.act = b.id;
    if (b.pressed !== undefined) e.setAttribute("aria-pressed", String(b.pressed));
    if (b.icon) e.append(svg("svg", { viewBox: "0 0 24 24", class: "icon", "aria-hidden": "true" }, svg("path", { d: b.icon })));
    if (b.picture) {
      e.append(b.picture);
      e.setAttribute("aria-label", b.word);
    } else {
      const s = document.createElement("span");
      s.textContent = b.word;
      e.append(s);
    }
    e.addEventListener("click", act); // on release
    return e;
  }
}

/** Icons as paths in a box of 24. */
export const icon = {
  look: "M2 12c3-5 6.5-7 10-7s7 2 10 7c-3 5-6.5 7-10 7s-7-2-10-7zM12 9a3 3 0 1 0 .01 0z",
  turn: "M4 12a8 8 0 1 1 3 6.200M4 12l-2.5-2.500M4 12l2.8-2.3",
  layers: "M12 3l9 5-9 5-9-5zM3 12.500l9 5 9-5M3 16.500l9 5 9-5",
  cut: "M5 19V7l6-3v12zM13 20V8l6-3v12z",
  left: "M20 12H5M11 6l-6 6 6 6",
  right: "M4 12h15M13 6l6 6-6 6",
  up: "M12 20V5M6 11l6-6 6 6",
  down: "M12 4v15M6 13l6 6 6-6",
  closer: "M12 4v16M4 12h16",
  farther: "M4 12h16",
  whole: "M4 9V4h5M15 4h5v5M20 15v5h-5M9 20H4v-5",
} as const;
