// <scan-view src="…scene.json"> draws one tooth in three dimensions.
//
// Attributes: src (the scene's address), words (JSON, a table of words), lang; pick
// ("tooth" or "margin": a tap chooses a place and asks for no value) and only (a role: no
// other surface is shown at the start). Property: marks, places that were chosen.
// Events: drawn (detail: triangles, still), point (detail: role, at), choose (detail:
// spot number), nowebgl, failed. Method: act(name) does what a button or a key does, so
// that a page can give it to a pedal.

import { Vector3 } from "three";
import { Actions } from "./actions";
import { Eye } from "./eye";
import { grip } from "./hand";
import { light, night } from "./ink";
import { Legend } from "./legend";
import { levels } from "./level";
import { Loader } from "./load";
import { Overlay, type Label } from "./overlay";
import { Pace } from "./pace";
import { Panel } from "./panel";
import { pick, type Hit } from "./pick";
import { sceneOf, type Scene, type Spot, type Vec } from "./scene";
import style from "./scan-view.css";
import { Piece, Stage } from "./stage";
import { Words, type Table } from "./words";

const sheet = new CSSStyleSheet();
sheet.replaceSync(style);

/** How long an old picture may stand before the twins take its place, ms. */
const patience = 150;
/** How much of the mouth is seen when a tooth is to be chosen, mm. */
const archSpan = 72;
/** How long after the last movement the picture counts as still, ms. */
const settleAfter = 160;

export class ScanView extends HTMLElement {
  static observedAttributes = ["src", "words", "lang", "pick", "only"];

  scene: Scene | null = null;
  stage: Stage | null = null;
  eye = new Eye(20);
  words = new Words();
  spotsShown = true;
  numbersShown = false;
  axisShown = true;
  contactsShown = false;
  chosen: Spot | null = null;

  private chosenPlaces: Vec[] = [];

  /** Places that a person chose, mm in the scene's frame, in their order. */
  get marks(): Vec[] {
    return this.chosenPlaces;
  }

  set marks(places: Vec[]) {
    this.chosenPlaces = places;
    this.changed();
  }

  /** Whether a tap chooses a place instead of reading its value. */
  get picks(): boolean {
    return this.hasAttribute("pick");
  }

  private readonly root = this.attachShadow({ mode: "open" });
  private readonly box = div("stage");
  private readonly said = document.createElement("p");
  private readonly answer = div("answer");
  private readonly keys = div("off");
  private canvas = document.createElement("canvas");
  private overlay: Overlay | null = null;
  private legend: Legend | null = null;
  private panel: Panel | null = null;
  private actions: Actions | null = null;
  private loader: Loader | null = null;
  private labels: Label[] = [];
  private covered = new Set<Spot>();
  private tapped: Vector3 | null = null;
  private asking: AbortController | null = null;
  private frame = 0;
  private rest = 0;
  private moving = false;
  private flight: { step(now: number): boolean } | null = null;
  private lost = 0;
  private live = false;
  private readonly pace = new Pace();
  private making = 0; // since when the still picture is being drawn, ms; 0: it is not
  private stale = true; // what is seen is not what was asked for
  private off: (() => void)[] = [];

  connectedCallback(): void {
    if (this.live) return;
    this.live = true;
    this.root.adoptedStyleSheets = [sheet];
    this.words = new Words(this.table(), this.getAttribute("lang") ?? (document.documentElement.lang || "en"));
    const frame = div("frame");
    const main = div("main");
    main.style.display = "grid";
    main.style.gap = ".6rem";
    const say = div("say");
    this.said.setAttribute("role", "status");
    say.append(this.said);
    this.keys.id = "keys";
    this.keys.textContent = this.words.say("keys");
    this.answer.hidden = true;
    this.answer.setAttribute("role", "status");
    this.box.tabIndex = 0;
    this.box.setAttribute("role", "application");
    this.box.setAttribute("aria-roledescription", this.words.say("role"));
    this.box.setAttribute("aria-describedby", "keys");
    this.box.append(this.canvas, say);
    main.append(this.box, this.answer);
    frame.append(main, this.keys);
    this.root.replaceChildren(frame);
    const dark = matchMedia("(prefers-color-scheme: dark)");
    const ground = () => {
      this.dataset.ground = dark.matches ? "dark" : "light";
      this.changed();
    };
    dark.addEventListener("change", ground);
    ground();
    const size = new ResizeObserver(() => this.resize());
    size.observe(this.box);
    const shown = () => document.visibilityState === "visible" && this.changed();
    document.addEventListener("visibilitychange", shown);
    this.off = [() => dark.removeEventListener("change", ground), () => size.disconnect(), () => document.removeEventListener("visibilitychange", shown), grip(this.box, this.grip)];
    this.box.addEventListener("keydown", this.key);
    void this.open();
  }

  disconnectedCallback(): void {
    if (!this.live) return;
    this.live = false;
    this.off.forEach((f) => f());
    this.box.removeEventListener("keydown", this.key);
    this.close();
  }

  attributeChangedCallback(_name: string, old: string | null, now: string | null): void {
    // attributes are told once before the element is connected
    if (!this.live || old === now) return;
    this.disconnectedCallback();
    this.connectedCallback();
  }

  /** Does what a button or a key does; false if there is no such thing. */
  act(name: string): boolean {
    const done = this.actions?.do(name) ?? false;
    if (done) this.panel?.refresh();
    return done;
  }

  /** Says that something must be drawn. */
  changed(moving = false): void {
    this.making = 0;
    this.stale = true;
    if (moving) {
      if (!this.moving) this.pace.begin();
      this.moving = true;
      clearTimeout(this.rest);
      this.rest = window.setTimeout(() => {
        this.moving = false;
        this.changed();
      }, settleAfter);
    }
    if (!this.frame && this.stage && document.visibilityState === "visible") this.frame = requestAnimationFrame(this.tick);
  }

  /** Moves the eye to another, at once where movement is not wanted. */
  fly(to: { turn: Eye["turn"]; middle: Vector3; span: number }): void {
    const e = this.eye;
    if (matchMedia("(prefers-reduced-motion: reduce)").matches) {
      e.turn.copy(to.turn);
      e.middle.copy(to.middle);
      e.span = to.span;
      this.flight = null;
      this.changed();
      return;
    }
    const from = { turn: e.turn.clone(), middle: e.middle.clone(), span: e.span };
    let start = 0;
    this.flight = {
      step: (now) => {
        start ||= now;
        const t = Math.min(1, (now - start) / 320);
        const k = t * t * (3 - 2 * t);
        e.turn.slerpQuaternions(from.turn, to.turn, k);
        e.middle.lerpVectors(from.middle, to.middle, k);
        e.span = from.span * (to.span / from.span) ** k;
        return t < 1;
      },
    };
    this.changed(true);
  }

  say(text: string): void {
    if (this.said.textContent !== text) this.said.textContent = text;
  }

  /** Puts the answer about a place away. */
  forget(): void {
    this.asking?.abort();
    this.asking = null;
    this.tapped = null;
    this.answer.hidden = true;
    this.changed();
  }

  /** Reads the place in the middle of the picture, for those who cannot tap. */
  readMiddle(): void {
    this.read(this.eye.width / 2, this.eye.height / 2);
  }

  // ---- what it is made of

  private table(): Table {
    try {
      return JSON.parse(this.getAttribute("words") ?? "{}") as Table;
    } catch {
      return {};
    }
  }

  private async open(): Promise<void> {
    const src = this.getAttribute("src");
    if (!src) return;
    this.dataset.state = "loading";
    this.say(this.words.say("loading"));
    let scene: Scene;
    try {
      const r = await fetch(src, { credentials: "same-origin", headers: { Accept: "application/json" } });
      if (!r.ok) throw new Error(`${r.status}`);
      scene = sceneOf(await r.json());
    } catch (e) {
      this.dataset.state = "failed";
      this.say(this.words.say("failed-scene"));
      this.dispatchEvent(new CustomEvent("failed", { bubbles: true, detail: { error: String(e) } }));
      return;
    }
    if (src !== this.getAttribute("src") || !this.isConnected) return;
    const base = new URL(src, document.baseURI);
    for (const s of scene.surfaces) {
      s.fine = new URL(s.fine, base).href;
      if (s.coarse) s.coarse = new URL(s.coarse, base).href;
    }
    if (scene.point) scene.point = new URL(scene.point.replaceAll("{", "%7B").replaceAll("}", "%7D"), base).href;
    this.scene = scene;
    this.box.setAttribute("aria-label", scene.title);
    if (!this.start(scene)) return this.noWebGL();
    await this.load();
  }

  private start(scene: Scene): boolean {
    this.canvas = document.createElement("canvas");
    this.canvas.setAttribute("aria-hidden", "true");
    this.box.querySelector("canvas")?.replaceWith(this.canvas);
    try {
      this.stage = new Stage(scene, this.canvas);
    } catch {
      return false;
    }
    this.canvas.addEventListener("webglcontextlost", this.onLost);
    this.canvas.addEventListener("webglcontextrestored", this.onRestored);
    this.overlay = new Overlay(scene);
    this.box.querySelector(".over")?.remove();
    this.canvas.after(this.overlay.root);
    this.eye = new Eye(4.7 * scene.radius);
    this.actions = new Actions(this, scene);
    this.panel?.root.remove();
    this.panel = new Panel(this.actions.trays(), (id) => this.act(id));
    this.legend = new Legend(this.words);
    this.root.querySelector(".main")?.append(this.legend.root);
    this.root.querySelector(".frame")?.append(this.panel.root);
    this.actions.first();
    this.picking(scene);
    this.panel.refresh();
    this.resize();
    return true;
  }

  /** Shows what a place is to be chosen on. */
  private picking(scene: Scene): void {
    const kind = this.getAttribute("pick");
    const only = this.getAttribute("only");
    if (!this.stage || kind === null) return;
    this.spotsShown = false;
    for (const p of this.stage.pieces) if (only !== null) p.shown = p.surface.role === only;
    if (kind !== "tooth") return;
    this.numbersShown = true;
    this.axisShown = false;
    const of = (scene.teeth ?? []).filter((t) => t.role === only);
    const middle = new Vector3();
    for (const t of of) middle.add(new Vector3(...t.at)).sub(new Vector3(...scene.centre));
    if (of.length > 0) this.eye.middle.copy(middle.divideScalar(of.length));
    const c = new Vector3(...scene.centre).add(this.eye.middle);
    const far = Math.max(0, ...of.map((t) => new Vector3(...t.at).distanceTo(c)));
    this.eye.span = Math.min(archSpan, Math.max(28, 2 * far + 14)); // with the teeth's own size
    if (scene.surfaces.find((s) => s.role === only)?.kind === "opposing") this.eye.rotate(0, Math.PI, 0); // its biting side
  }

  private close(): void {
    cancelAnimationFrame(this.frame);
    this.frame = 0;
    clearTimeout(this.rest);
    clearTimeout(this.lost);
    this.asking?.abort();
    this.loader?.dispose();
    this.loader = null;
    this.canvas.removeEventListener("webglcontextlost", this.onLost);
    this.canvas.removeEventListener("webglcontextrestored", this.onRestored);
    this.stage?.dispose();
    this.stage = null;
    this.legend?.root.remove();
    this.panel?.root.remove();
    this.panel = null;
  }

  /** Loads what is shown: all twins first, then all detail. */
  async load(): Promise<void> {
    const { stage } = this;
    if (!stage) return;
    this.loader ??= new Loader();
    const want = stage.pieces.filter((p) => p.shown);
    const jobs: Promise<void>[] = [];
    for (const p of want) if (p.surface.coarse && !p.coarse && !p.fine) jobs.push(this.fetch(p, "coarse"));
    for (const p of want) if (!p.fine) jobs.push(this.fetch(p, "fine"));
    await Promise.all(jobs);
    if (stage !== this.stage) return;
    if (this.dataset.state === "loading") {
      this.dataset.state = "ready";
      this.say("");
    }
  }

  private readonly asked = new WeakMap<Piece, Set<string>>();

  private async fetch(p: Piece, kind: "coarse" | "fine"): Promise<void> {
    const asked = this.asked.get(p) ?? new Set();
    this.asked.set(p, asked);
    if (asked.has(kind)) return;
    asked.add(kind);
    const stage = this.stage;
    const url = kind === "coarse" ? p.surface.coarse : p.surface.fine;
    try {
      if (!url || !this.loader) return;
      const { mesh, form } = await this.loader.load(url);
      if (stage !== this.stage || !stage) return;
      stage.put(p, kind, mesh, form);
      if (this.dataset.state === "loading") this.say(this.words.say("loading-fine"));
      this.panel?.refresh();
      this.changed();
    } catch {
      asked.delete(kind);
      if (stage !== this.stage) return;
      this.dataset.state = "failed";
      this.say(this.words.say("failed", { name: p.surface.name }));
      this.dispatchEvent(new CustomEvent("failed", { bubbles: true, detail: { url } }));
    }
  }

  private readonly onLost = (e: Event) => {
    e.preventDefault(); // otherwise it never comes back
    this.say(this.words.say("lost"));
    this.dataset.state = "lost";
    const comesBack = 8000; // ms
    this.lost = window.setTimeout(() => this.noWebGL(), comesBack);
  };

  private readonly onRestored = () => {
    clearTimeout(this.lost);
    this.stage?.restored();
    this.dataset.state = "ready";
    this.say("");
    this.changed();
  };

  private noWebGL(): void {
    this.close();
    this.dataset.state = "nowebgl";
    this.box.removeAttribute("tabindex");
    this.box.setAttribute("role", "group");
    this.say(this.words.say("no-webgl"));
    this.dispatchEvent(new CustomEvent("nowebgl", { bubbles: true }));
  }

  private resize(): void {
    const { width, height } = this.box.getBoundingClientRect();
    if (width < 2 || height < 2) return;
    this.eye.width = this.box.clientWidth;
    this.eye.height = this.box.clientHeight;
    if (this.stage) this.stage.dots = Math.min(2, devicePixelRatio || 1);
    this.changed();
  }

  // ---- drawing

  private readonly tick = (now: number) => {
    this.frame = 0;
    const { stage } = this;
    if (!stage || this.dataset.state === "lost") return;
    if (this.flight) {
      if (!this.flight.step(now)) this.flight = null;
      this.changed(true);
    }
    if (this.moving) {
      this.pace.picture(now);
      stage.draw(this.eye, this.inks(), this.pace.dots);
      this.making = 0;
      this.shown(false);
      return;
    }
    if (!this.making) {
      stage.begin(this.eye, this.inks());
      this.making = now;
    } else if (this.stale && now - this.making > patience) {
      // the old picture is wrong and the new one takes long: show the twins meanwhile
      stage.draw(this.eye, this.inks(), 1);
      this.shown(false);
      stage.begin(this.eye, this.inks());
      this.stale = false;
    }
    if (!stage.step(now)) {
      this.frame = requestAnimationFrame(this.tick);
      return;
    }
    this.making = 0;
    this.stale = false;
    this.labels = stage.map ? levels(stage, this.eye, this.words) : [];
    this.covered = this.behind();
    this.shown(true);
  };

  /** Lays words and marks over a picture that was drawn. */
  private shown(still: boolean): void {
    const { stage, overlay } = this;
    if (!stage || !overlay) return;
    this.legend?.show(stage.map);
    overlay.draw(this.eye, {
      spots: this.spotsShown,
      chosen: this.chosen,
      hidden: this.covered,
      tapped: this.tapped,
      labels: still ? this.labels : [],
      teeth: this.numbersShown ? new Set(stage.pieces.filter((p) => p.shown).map((p) => p.surface.role)) : null,
      axis: this.axisShown ? this.words.say("axis") : "",
      marks: this.chosenPlaces,
      contacts: this.contactsShown,
      scale: (mm) => this.words.say("scale", { n: mm }),
    });
    this.dispatchEvent(new CustomEvent("drawn", { detail: { triangles: stage.triangles(!still), still } }));
  }

  private inks() {
    return this.dataset.ground === "dark" ? night : light;
  }

  /** Switches off surfaces whose inner side would hide a place seen from a direction. */
  uncover(at: Vec, eye: Vec): void {
    const slack = 0.7; // mm
    const far = 60;
    const dir = new Vector3(...eye).normalize();
    const from = new Vector3(...at).addScaledVector(dir, far);
    for (const p of this.stage?.pieces ?? []) {
      const data = p.data.coarse ?? p.data.fine;
      const hit = p.shown && data ? pick(data, from, dir.clone().negate(), this.gone) : null;
      if (hit && !hit.outside && hit.far < far - slack) p.shown = false;
    }
  }

  /** The spots that a surface hides: looked for on the twins, and only when still. */
  private behind(): Set<Spot> {
    const out = new Set<Spot>();
    const [, , z] = this.eye.axes();
    for (const spot of this.scene?.spots ?? []) {
      if (this.gone?.(spot.at)) {
        out.add(spot);
        continue;
      }
      const slack = 0.7; // a spot stands for a small place, and a twin is a little off
      const from = new Vector3(...spot.at).addScaledVector(z, 60);
      const hit = this.hit(from, z.clone().negate(), "coarse");
      if (hit && hit.hit.far < 60 - slack) out.add(spot);
    }
    return out;
  }

  /** Whether a cut took a place away; undefined where there is no cut. */
  private get gone(): ((p: Vec) => boolean) | undefined {
    const c = this.scene?.centre;
    const cut = this.stage?.cut;
    if (!c || !cut) return undefined;
    const { normal: n, at } = cut;
    return (p) => n.x * (p[0] - c[0]) + n.y * (p[1] - c[1]) + n.z * (p[2] - c[2]) > at;
  }

  /** The nearest place on what is shown, along a line. */
  private hit(from: Vector3, dir: Vector3, best: "coarse" | "fine"): { piece: Piece; hit: Hit } | null {
    let near: { piece: Piece; hit: Hit } | null = null;
    const { gone } = this;
    for (const piece of this.stage?.pieces ?? []) {
      if (!piece.shown) continue;
      const data = best === "fine" ? (piece.data.fine ?? piece.data.coarse) : (piece.data.coarse ?? piece.data.fine);
      const hit = data && pick(data, from, dir, gone);
      if (hit && (!near || hit.far < near.hit.far)) near = { piece, hit };
    }
    return near;
  }

  // ---- hands and keys

  private readonly grip = {
    turn: (dx: number, dy: number) => {
      const perPixel = 0.009;
      this.flight = null;
      this.eye.rotate(dx * perPixel, -dy * perPixel, 0);
      this.changed(true);
    },
    move: (dx: number, dy: number) => {
      this.flight = null;
      this.eye.shift(dx, dy);
      this.changed(true);
    },
    zoom: (f: number, x: number, y: number) => {
      this.flight = null;
      this.eye.zoom(f, x, y);
      this.changed(true);
    },
    settle: () => this.changed(true),
    tap: (x: number, y: number) => this.tap(x, y),
  };

  private readonly key = (e: KeyboardEvent) => {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const name = this.actions?.key(e.key);
    if (name && this.act(name)) e.preventDefault();
  };

  private tap(x: number, y: number): void {
    if (!this.scene || !this.stage) return;
    const reach = 24;
    const near = this.spotsShown && this.overlay?.pins.find((p) => Math.min(Math.hypot(p.x - x, p.y - y), Math.hypot(p.px - x, p.py - y) * 1.6) < reach);
    if (near) {
      this.act(`spot:${near.spot.number}`);
      return;
    }
    this.read(x, y);
  }

  /** Finds the place on the surface at a pixel and asks for its value. */
  private read(x: number, y: number): void {
    if (!this.scene || !this.stage) return;
    const [ax, ay, az] = this.eye.axes();
    const e = this.eye;
    const from = new Vector3(...this.scene.centre)
      .add(e.middle)
      .addScaledVector(ax, (x - e.width / 2) / e.perMM)
      .addScaledVector(ay, -(y - e.height / 2) / e.perMM)
      .addScaledVector(az, 120);
    const got = this.hit(from, az.clone().negate(), "fine");
    if (!got || !got.hit.outside || got.piece.surface.kind === "missing") return this.forget();
    const c = this.scene.centre;
    const { at } = got.hit;
    this.tapped = new Vector3(at[0] - c[0], at[1] - c[1], at[2] - c[2]);
    this.changed();
    const { role } = got.piece.surface;
    this.dispatchEvent(new CustomEvent("point", { bubbles: true, detail: { role, at } }));
    if (this.scene.point && !this.picks) void this.ask(this.scene.point, role, at);
  }

  /** Asks the server for the value at a place. */
  private async ask(template: string, role: string, at: Vec): Promise<void> {
    this.asking?.abort();
    const mine = (this.asking = new AbortController());
    const fill: Record<string, string> = { x: at[0].toFixed(4), y: at[1].toFixed(4), z: at[2].toFixed(4), role: encodeURIComponent(role) };
    const url = template.replace(/%7B(\w+)%7D/g, (_, k: string) => fill[k] ?? "");
    this.tell([this.words.say("reading")]);
    try {
      const r = await fetch(url, { credentials: "same-origin", headers: { Accept: "application/json" }, signal: mine.signal });
      if (!r.ok) throw new Error(`${r.status}`);
      const { lines } = (await r.json()) as { lines?: string[] };
      if (mine === this.asking) this.tell(lines?.length ? lines : [this.words.say("no-value")]);
    } catch {
      if (mine === this.asking && !mine.signal.aborted) this.tell([this.words.say("no-answer")]);
    }
  }

  private tell(lines: string[]): void {
    const ul = document.createElement("ul");
    for (const l of lines) {
      const li = document.createElement("li");
      li.textContent = l;
      ul.append(li);
    }
    const b = document.createElement("button");
    b.type = "button";
    b.textContent = this.words.say("close");
    b.addEventListener("click", () => {
      this.forget();
      this.box.focus();
    });
    this.answer.replaceChildren(ul, b);
    this.answer.hidden = false;
  }
}

function div(name: string): HTMLDivElement {
  const d = document.createElement("div");
  d.className = name;
  return d;
}

customElements.define("scan-view", ScanView);
