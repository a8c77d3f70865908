// Everything that can be done, by name: buttons, keys and the page call the same.

import { Quaternion, Vector3 } from "three";
import { Eye } from "./eye";
import { icon, type Button, type Tray } from "./panel";
import { badgeOf } from "./overlay";
import type { ScanView } from "./scan-view";
import { tip, tipOver } from "./tip";
import type { Scene, Spot, Vec } from "./scene";

/** One press turns by this much, radians. */
const turnBy = Math.PI / 12;
/** One press moves a cut by this much, mm. */
const cutBy = 0.5;

export class Actions {
  private kind: "none" | "along" | "across" | "level" = "none";
  private at = 0;
  private other = false;

  constructor(
    private readonly view: ScanView,
    private readonly scene: Scene,
  ) {}

  /** Looks down the path of draw, or at what the scene names first. */
  first(): void {
    const v = this.scene.views?.[0];
    const e = this.view.eye;
    e.turn.copy(v ? Eye.facing(v.eye, v.up) : Eye.facing(this.axis(), this.top()));
    e.middle.set(0, 0, 0);
  }

  trays(): Tray[] {
    const { view } = this;
    const w = view.words;
    const tray = (id: "look" | "turn" | "layers" | "cut", buttons: () => Button[], note?: () => string): Tray => ({ id, word: w.say(id), icon: icon[id], buttons, note });
    return [
      tray("look", () => this.look(), () => (view.picks ? "" : w.say("point-hint"))),
      tray("turn", () => this.turn()),
      tray("layers", () => this.layers()),
      tray("cut", () => this.cuts(), () => (this.kind === "none" ? "" : w.say("cut-at", { n: this.at }))),
    ];
  }

  private look(): Button[] {
    const w = this.view.words;
    const views: Button[] = (this.scene.views ?? []).map((v) => ({ id: `look:${v.name}`, word: v.word }));
    if (this.view.picks) return views; // the spots are not what is looked for
    const spots: Button[] = (this.scene.spots ?? []).map((s) => ({ id: `spot:${s.number}`, word: w.say("spot", { n: s.number }), picture: badgeOf(s), pressed: this.view.chosen === s, group: w.say("spots") }));
    const held = this.view.stage?.held ?? false;
    const hold: Button[] = this.heldSpot() ? [{ id: "tip", word: w.say("tip"), pressed: held, group: w.say("spots") }] : [];
    return [...views, ...spots, ...hold];
  }

  private turn(): Button[] {
    const w = this.view.words;
    const b = (id: "left" | "right" | "up" | "down" | "closer" | "farther" | "whole"): Button => ({ id, word: w.say(id), icon: icon[id] });
    return [b("left"), b("right"), b("up"), b("down"), b("closer"), b("farther"), b("whole")];
  }

  private layers(): Button[] {
    const { view } = this;
    const w = view.words;
    const stage = view.stage;
    if (!stage) return [];
    const out: Button[] = stage.pieces.map((p, i) => ({ id: `surface:${i}`, word: p.surface.name, pressed: p.shown }));
    if (this.scene.margins?.length) out.push({ id: "margin", word: w.say("margin"), pressed: stage.ribbons.group.visible });
    if (this.scene.axis) out.push({ id: "axis", word: w.say("axis"), pressed: view.axisShown });
    if (this.scene.teeth?.length) out.push({ id: "numbers", word: w.say("numbers"), pressed: view.numbersShown });
    if (this.scene.contacts?.length) out.push({ id: "contacts", word: w.say("contacts"), pressed: view.contactsShown });
    if (this.scene.spots?.length) out.push({ id: "spots", word: w.say("spots"), pressed: view.spotsShown });
    if (stage.pieces.some((p) => p.surface.colour || p.data.fine?.colour)) out.push({ id: "own", word: w.say("own-colour"), pressed: stage.own });
    for (const m of this.scene.maps ?? []) out.push({ id: `map:${m.name}`, word: m.word, pressed: stage.map === m });
    return out;
  }

  private cuts(): Button[] {
    const w = this.view.words;
    const kinds = (["none", "along", "across", "level"] as const).map((k): Button => ({ id: `cut:${k}`, word: w.say(`cut-${k}`), pressed: this.kind === k }));
    if (this.kind === "none") return kinds;
    return [...kinds, { id: "deeper", word: w.say("cut-deeper"), icon: icon.down }, { id: "back", word: w.say("cut-back"), icon: icon.up }, { id: "other", word: w.say("cut-other") }];
  }

  /** The action of a key, while the picture has the focus. */
  key(k: string): string | undefined {
    const plain: Record<string, string> = {
      ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down", "+": "closer", "=": "closer", "-": "farther", Home: "whole",
      "0": "whole", Enter: "read", Escape: "forget", "[": "back", "]": "deeper", ",": "roll-left", ".": "roll-right",
    };
    if (plain[k]) return plain[k];
    if (/^[1-9]$/.test(k)) return `spot:${k}`;
    return undefined;
  }

  do(name: string): boolean {
    const { view } = this;
    const [verb, what] = name.split(/:(.*)/s);
    const e = view.eye;
    const turned = (r: number, u: number, roll = 0) => {
      const q = e.turn.clone();
      e.rotate(r, u, roll);
      const to = e.turn.clone();
      e.turn.copy(q);
      view.fly({ turn: to, middle: e.middle.clone(), span: e.span });
      return true;
    };
    switch (verb) {
      case "left": return turned(-turnBy, 0);
      case "right": return turned(turnBy, 0);
      case "up": return turned(0, turnBy);
      case "down": return turned(0, -turnBy);
      case "roll-left": return turned(0, 0, -turnBy);
      case "roll-right": return turned(0, 0, turnBy);
      case "closer": return this.zoom(1.4);
      case "farther": return this.zoom(1 / 1.4);
      case "whole": return this.go(e.turn.clone(), new Vector3(), 4.7 * this.scene.radius);
      case "read": view.readMiddle(); return true;
      case "forget": view.forget(); view.say(""); return true;
      case "look": return this.lookFrom(what);
      case "spot": return this.toSpot(what);
      case "tip": return this.holdTip();
      case "deeper": return this.move(cutBy);
      case "back": return this.move(-cutBy);
      case "other": this.other = !this.other; this.at = -this.at; return this.cut();
      case "cut": return this.startCut(what);
    }
    return this.show(verb, what);
  }

  private show(verb: string, what: string): boolean {
    const stage = this.view.stage;
    if (!stage) return false;
    switch (verb) {
      case "surface": {
        const p = stage.pieces[Number(what)];
        if (!p) return false;
        p.shown = !p.shown;
        void this.view.load();
        break;
      }
      case "margin": stage.ribbons.group.visible = !stage.ribbons.group.visible; break;
      case "axis": this.view.axisShown = !this.view.axisShown; break;
      case "numbers": this.view.numbersShown = !this.view.numbersShown; break;
      case "contacts": this.view.contactsShown = !this.view.contactsShown; break;
      case "spots": this.view.spotsShown = !this.view.spotsShown; break;
      case "own":
        stage.own = !stage.own;
        if (stage.own) stage.map = null;
        break;
      case "map": {
        const m = this.scene.maps?.find((m) => m.name === what) ?? null;
        stage.map = stage.map === m ? null : m;
        if (stage.map) stage.own = false;
        break;
      }
      default: return false;
    }
    this.view.changed();
    return true;
  }

  private go(turn: Quaternion, middle: Vector3, span: number): boolean {
    this.view.fly({ turn, middle, span });
    return true;
  }

  private zoom(f: number): boolean {
    const e = this.view.eye;
    const usual = 4.7 * this.scene.radius;
    return this.go(e.turn.clone(), e.middle.clone(), Math.min(8 * usual, Math.max(usual / 16, e.span / f)));
  }

  private lookFrom(name: string): boolean {
    const v = this.scene.views?.find((v) => v.name === name);
    if (!v) return false;
    this.view.chosen = null;
    this.view.stage?.hold(null);
    this.view.say("");
    return this.go(Eye.facing(v.eye, v.up), new Vector3(), 4.7 * this.scene.radius);
  }

  /** Brings a spot to the middle, seen from where the server says or from outside. */
  private toSpot(number: string): boolean {
    const s = this.scene.spots?.find((s) => s.number === number);
    if (!s) return false;
    this.view.chosen = s;
    this.view.stage?.hold(null);
    const c = this.scene.centre;
    const eye = s.eye ?? this.eyeOf(s);
    this.view.dispatchEvent(new CustomEvent("choose", { bubbles: true, detail: { number } }));
    this.view.say(s.sentence);
    this.view.uncover(s.at, eye);
    return this.go(Eye.facing(eye, this.upFor(eye)), new Vector3(s.at[0] - c[0], s.at[1] - c[1], s.at[2] - c[2]), 2.6 * this.scene.radius);
  }

  /** The spot for which a way to hold the scanner is known: the chosen one, else the first. */
  private heldSpot(): Spot | undefined {
    const known = (s: Spot | null | undefined): boolean => s?.kind === "scan" && s.eye !== undefined;
    return known(this.view.chosen) ? (this.view.chosen ?? undefined) : this.scene.spots?.find(known);
  }

  /** Draws the scanner's tip over a spot, seen from the side: the angle to the axis is true. */
  private holdTip(): boolean {
    const { stage } = this.view;
    const s = this.heldSpot();
    if (!stage || !s?.eye) return false;
    if (stage.held) {
      stage.hold(null);
      return this.toSpot(s.number);
    }
    const c = this.scene.centre;
    const at = new Vector3(s.at[0] - c[0], s.at[1] - c[1], s.at[2] - c[2]);
    const dir = new Vector3(...s.eye).normalize();
    const axis = new Vector3(...this.axis()).normalize();
    const front = new Vector3(...(this.scene.front ?? this.top()));
    const { group, middle } = tipOver(at, dir, front, this.view.dataset.ground === "dark");
    stage.hold(group);
    this.view.chosen = s;
    this.view.say(s.sentence);
    const level = 0.12; // rad: a tip held straight down has no side
    const side = axis.clone().cross(dir);
    if (side.length() < level) side.copy(front).cross(axis);
    side.normalize();
    const out = new Vector3(...(this.scene.rims?.[2]?.to ?? this.top()));
    if (side.dot(out) < 0) side.negate();
    side.addScaledVector(axis, 0.3);
    const eye: Vec = [side.x, side.y, side.z];
    return this.go(Eye.facing(eye, this.upFor(eye)), at.clone().lerp(middle, 0.3).addScaledVector(dir, 0.4 * tip.away), 40);
  }

  /** Along the surface's normal, leaning to the biting side. */
  private eyeOf(s: Spot): Vec {
    const a = this.axis();
    const n = s.normal ?? a;
    return [n[0] + 0.9 * a[0], n[1] + 0.9 * a[1], n[2] + 0.9 * a[2]];
  }

  /** What points up when looking from eye: as in the scene's view that is nearest. */
  private upFor(eye: Vec): Vec {
    const u = new Vector3(...eye).normalize();
    let best = -2;
    let up = this.top();
    for (const v of this.scene.views ?? []) {
      const d = u.dot(new Vector3(...v.eye).normalize());
      if (d > best) [best, up] = [d, v.up];
    }
    return up;
  }

  private axis(): Vec {
    return this.scene.axis ?? this.scene.views?.[0]?.eye ?? [0, 0, 1];
  }

  private top(): Vec {
    return this.scene.views?.[0]?.up ?? this.scene.rims?.[0]?.to ?? [0, 1, 0];
  }

  // ---- the cut

  private startCut(kind: string): boolean {
    if (kind !== "none" && kind !== "along" && kind !== "across" && kind !== "level") return false;
    this.kind = kind;
    this.at = 0;
    this.other = false;
    return this.cut();
  }

  private move(by: number): boolean {
    if (this.kind === "none") return false;
    const far = 3 * this.scene.radius;
    this.at = Math.min(far, Math.max(-far, this.at - by));
    return this.cut();
  }

  /** Sets the plane; what lies on the viewer's side of it goes. */
  private cut(): boolean {
    const stage = this.view.stage;
    if (!stage) return false;
    if (this.kind === "none") stage.cut = null;
    else {
      const a = new Vector3(...this.axis()).normalize();
      const m = new Vector3(...(this.scene.rims?.[0]?.to ?? this.top())).projectOnPlane(a).normalize();
      const n = { along: a.clone().cross(m), across: m, level: a }[this.kind].clone();
      if (stage.cut === null || stage.cut.normal.clone().cross(n).length() > 1e-6) {
        // a new cut opens towards the viewer
        this.flip = n.dot(this.view.eye.axes()[2]) < 0;
      }
      if (this.flip !== this.other) n.negate();
      stage.cut = { normal: n, at: this.at };
    }
    this.view.changed();
    return true;
  }

  private flip = false;
}
