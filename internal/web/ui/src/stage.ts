// What is drawn: surfaces, margins, the cut. The stage draws when it is told that
// something changed, the few triangles of the twins while the view is moving, and all
// of them once it is still.

import { BufferAttribute, BufferGeometry, GLSL3, type Group, LinearSRGBColorSpace, Mesh, NoBlending, PlaneGeometry, RawShaderMaterial, Scene as World, Vector3, WebGLRenderer, WebGLRenderTarget } from "three";
import { Clay } from "./clay";
import { depth, type Eye } from "./eye";
import { light, type Inks } from "./ink";
import type { Packed } from "./packed";
import { Ribbons } from "./ribbon";
import { putAway } from "./tip";
import { rimOf, type Rim } from "./rim";
import type { Scene, Surface, ValueMap } from "./scene";

/** A surface as it stands on the stage. */
export class Piece {
  coarse: Mesh<BufferGeometry, Clay> | null = null;
  fine: Mesh<BufferGeometry, Clay> | null = null;
  data: { coarse?: Packed; fine?: Packed } = {};
  shown: boolean;

  constructor(readonly surface: Surface) {
    this.shown = surface.shown;
  }

  /** What can be drawn: the twin while moving, else the best there is. */
  mesh(moving: boolean): Mesh<BufferGeometry, Clay> | null {
    return moving ? (this.coarse ?? this.fine) : (this.fine ?? this.coarse);
  }

  get meshes(): Mesh<BufferGeometry, Clay>[] {
    return [this.coarse, this.fine].filter((m) => m !== null);
  }
}

/** A cut: what lies before the plane, dot(n, p) > d with p from the centre, is not drawn. */
export interface Cut {
  normal: Vector3;
  at: number;
}

/** Triangles of a surface that are still to be drawn, as a range of its index. */
interface Part {
  mesh: Mesh<BufferGeometry, Clay>;
  from: number;
  count: number;
}

/** A picture in the making. */
interface Job {
  eye: Eye;
  dots: number;
  parts: Part[];
  cleared: boolean;
  fence: WebGLSync | null;
  since: number; // when the last part was handed over, ms
}

/** A sheet that shows a finished picture. */
function sheetOf(t: WebGLRenderTarget): { world: World; dispose(): void } {
  const world = new World();
  const geometry = new PlaneGeometry(2, 2);
  const material = new RawShaderMaterial({
    glslVersion: GLSL3,
    vertexShader: "in vec3 position; out vec2 at; void main() { at = position.xy * 0.5 + 0.5; gl_Position = vec4(position.xy, 0.0, 1.0); }",
    fragmentShader: "precision highp float; in vec2 at; uniform sampler2D picture; out vec4 result; void main() { result = texture(picture, at); }",
    uniforms: { picture: { value: t.texture } },
    depthTest: false,
    depthWrite: false,
    blending: NoBlending,
  });
  const mesh = new Mesh(geometry, material);
  mesh.frustumCulled = false;
  world.add(mesh);
  return {
    world,
    dispose() {
      geometry.dispose();
      material.dispose();
    },
  };
}

export class Stage {
  readonly pieces: Piece[];
  readonly world = new World();
  readonly renderer: WebGLRenderer;
  readonly ribbons: Ribbons;
  own = false;
  map: ValueMap | null = null;
  cut: Cut | null = null;
  /** Pixels drawn per CSS pixel once still. */
  dots = 1;
  private readonly target = new WebGLRenderTarget(1, 1, { samples: 4, generateMipmaps: false });
  private readonly sheet = sheetOf(this.target);
  private readonly rim: Rim | null;
  private job: Job | null = null;
  private tip: Group | null = null;
  /** How many corners are handed over at once. */
  private chunk = 180_000;

  constructor(
    readonly scene: Scene,
    canvas: HTMLCanvasElement,
  ) {
    this.renderer = new WebGLRenderer({ canvas, antialias: false, alpha: true, premultipliedAlpha: true, powerPreference: "low-power", preserveDrawingBuffer: true });
    this.renderer.setClearColor(0, 0);
    this.renderer.outputColorSpace = LinearSRGBColorSpace; // colours are sRGB as they stand
    this.world.matrixWorldAutoUpdate = false;
    this.pieces = scene.surfaces.map((s) => new Piece(s));
    this.ribbons = new Ribbons(scene.margins ?? [], scene.centre, scene.axis);
    this.world.add(this.ribbons.group);
    this.rim = rimOf(scene.margins?.[0], scene.centre, scene.axis);
  }

  /** Sets anew what a lost context took along and the renderer does not set itself: the ground stays clear. */
  restored(): void {
    this.renderer.setClearColor(0, 0);
  }

  /** Puts a surface that arrived on the stage. */
  put(piece: Piece, kind: "coarse" | "fine", data: Packed, form: Int16Array): void {
    const g = new BufferGeometry();
    g.setAttribute("position", new BufferAttribute(data.at, 4));
    g.setAttribute("form", new BufferAttribute(form, 4, true));
    if (data.colour) g.setAttribute("colour", new BufferAttribute(data.colour, 4, true));
    g.setIndex(new BufferAttribute(data.index, 1));
    const mat = new Clay(piece.surface.kind);
    const c = this.scene.centre;
    mat.uniforms.origin.value.set(data.origin[0] - c[0], data.origin[1] - c[1], data.origin[2] - c[2]);
    mat.uniforms.unit.value = data.step;
    mat.mark(this.rim);
    const mesh = new Mesh(g, mat);
    mesh.frustumCulled = false;
    piece[kind] = mesh;
    piece.data[kind] = data;
    this.world.add(mesh);
  }

  /** Puts the drawn scanner tip on the stage, or takes it away. */
  hold(tip: Group | null): void {
    if (this.tip) {
      this.world.remove(this.tip);
      putAway(this.tip);
    }
    this.tip = tip;
    if (tip) this.world.add(tip);
  }

  get held(): boolean {
    return this.tip !== null;
  }

  /** Names of the values that loaded surfaces carry. */
  has(map: ValueMap): boolean {
    return this.pieces.some((p) => p.data.fine?.values.some((v) => v.name === map.name) || p.data.coarse?.values.some((v) => v.name === map.name));
  }

  /** How many triangles a drawing has. */
  triangles(moving: boolean): number {
    return this.pieces.reduce((n, p) => n + (p.shown ? (p.mesh(moving)?.geometry.index?.count ?? 0) / 3 : 0), 0);
  }

  /** Draws at once: the twins, at no more than so many pixels per CSS pixel. */
  draw(eye: Eye, inks: Inks, most: number): void {
    this.job = null;
    const r = this.renderer;
    const dots = Math.min(most, this.dots);
    r.setRenderTarget(null);
    this.prepare(eye, true, dots, inks);
    this.size(eye, dots);
    r.render(this.world, eye.place());
  }

  /**
   * Begins to draw everything, without the picture that is seen being touched until
   * `step` has drawn it all. A processor that draws must not be handed a second's
   * work at once: a finger that comes down meanwhile would wait for it.
   */
  begin(eye: Eye, inks: Inks): void {
    const dots = this.dots;
    const w = Math.floor(eye.width * dots);
    const h = Math.floor(eye.height * dots);
    this.target.setSize(w, h);
    this.prepare(eye, false, dots, inks);
    const parts: Part[] = [];
    for (const p of this.pieces) {
      const m = p.shown ? p.mesh(false) : null;
      if (m) parts.push({ mesh: m, from: 0, count: m.geometry.index?.count ?? 0 });
    }
    this.job = { eye, dots, parts, cleared: false, fence: null, since: 0 };
  }

  /** Draws some more; true when the picture stands. */
  step(now: number): boolean {
    const j = this.job;
    if (!j) return true;
    const gl = this.renderer.getContext() as WebGL2RenderingContext;
    if (j.fence) {
      const s = gl.clientWaitSync(j.fence, 0, 0);
      if (s === gl.TIMEOUT_EXPIRED) return false;
      gl.deleteSync(j.fence);
      j.fence = null;
      // as much as takes about a frame
      this.chunk = now - j.since < 40 ? Math.min(this.chunk * 2, 4e6) : Math.max(this.chunk / 2, 2e4);
    }
    if (j.parts.length === 0) {
      this.finish(j);
      return true;
    }
    this.some(j);
    j.since = now;
    j.fence = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
    gl.flush();
    if (!j.fence) return this.step(now);
    return false;
  }

  /** Draws the next triangles of a job into the hidden picture. */
  private some(j: Job): void {
    const r = this.renderer;
    r.setRenderTarget(this.target);
    r.autoClear = false;
    if (!j.cleared) r.clear();
    j.cleared = true;
    const lines = this.ribbons.group.visible;
    this.ribbons.group.visible = false;
    if (this.tip) this.tip.visible = false;
    for (const p of this.pieces) for (const m of p.meshes) m.visible = false;
    let room = 3 * Math.round(this.chunk / 3);
    while (room > 0 && j.parts.length) {
      const p = j.parts[0];
      const n = Math.min(room, p.count - p.from);
      p.mesh.visible = true;
      p.mesh.geometry.setDrawRange(p.from, n);
      r.render(this.world, j.eye.place());
      p.mesh.visible = false;
      p.mesh.geometry.setDrawRange(0, Infinity);
      p.from += n;
      room -= n;
      if (p.from >= p.count) j.parts.shift();
    }
    this.ribbons.group.visible = lines;
    if (this.tip) this.tip.visible = true;
    r.autoClear = true;
    r.setRenderTarget(null);
  }

  /** Draws the lines over the hidden picture and shows it. */
  private finish(j: Job): void {
    const r = this.renderer;
    for (const p of this.pieces) for (const m of p.meshes) m.visible = false;
    r.setRenderTarget(this.target);
    r.autoClear = false;
    if (!j.cleared) r.clear();
    r.render(this.world, j.eye.place());
    r.autoClear = true;
    r.setRenderTarget(null);
    this.size(j.eye, j.dots);
    r.render(this.sheet.world, j.eye.camera);
    this.job = null;
  }

  /** What value of the map is seen at each place of a small picture; NaN for none. */
  values(eye: Eye, width: number, height: number): Float32Array {
    const out = new Float32Array(width * height).fill(NaN);
    const map = this.map;
    if (!map) return out;
    const r = this.renderer;
    const t = new WebGLRenderTarget(width, height, { generateMipmaps: false });
    const lines = this.ribbons.group.visible;
    this.ribbons.group.visible = false;
    if (this.tip) this.tip.visible = false;
    for (const p of this.pieces) {
      const now = p.mesh(true);
      for (const m of p.meshes) {
        m.visible = p.shown && m === now;
        if (m.visible) this.dress(p, m, 1, light); // it may not have been drawn with this map yet
        m.material.uniforms.mode.value = 4;
      }
    }
    r.setRenderTarget(t);
    r.clear();
    r.render(this.world, eye.place());
    const px = new Uint8Array(4 * width * height);
    r.readRenderTargetPixels(t, 0, 0, width, height, px);
    r.setRenderTarget(null);
    t.dispose();
    this.ribbons.group.visible = lines;
    if (this.tip) this.tip.visible = true;
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const k = 4 * ((height - 1 - y) * width + x); // rows come from below
        if (px[k + 2] === 255) out[y * width + x] = map.min + (map.max - map.min) * (3 * ((px[k] * 256 + px[k + 1]) / 65535) - 1);
      }
    }
    return out;
  }

  private size(eye: Eye, dots: number): void {
    const r = this.renderer;
    if (r.getPixelRatio() !== dots || r.domElement.width !== Math.floor(eye.width * dots) || r.domElement.height !== Math.floor(eye.height * dots)) {
      r.setPixelRatio(dots);
      r.setSize(eye.width, eye.height, false);
    }
  }

  private prepare(eye: Eye, moving: boolean, dots: number, inks: Inks): void {
    for (const p of this.pieces) {
      const now = p.mesh(moving);
      for (const m of p.meshes) {
        m.visible = p.shown && m === now;
        if (m.visible) this.dress(p, m, dots, inks);
      }
    }
    this.ribbons.fit(Math.floor(eye.width * dots), Math.floor(eye.height * dots), eye.perMM * dots, dots, 2 * depth);
    this.ribbons.inkWith(inks);
    this.ribbons.cut(this.cut);
  }

  /** Sets one surface's look. */
  private dress(p: Piece, m: Mesh<BufferGeometry, Clay>, dots: number, inks: Inks): void {
    const data = m === p.fine ? p.data.fine : p.data.coarse;
    const value = this.map && data?.values.find((v) => v.name === this.map?.name);
    if (value) {
      m.material.uniforms.scale.value.set(value.least, value.step);
      const had = m.geometry.getAttribute("value");
      if (!had || had.array !== value.code) m.geometry.setAttribute("value", new BufferAttribute(value.code, 2));
    }
    m.material.show(this.own && !!data?.colour, value ? this.map : null);
    m.material.inkWith(inks);
    const u = m.material.uniforms;
    u.dots.value = dots;
    // a cut goes through all surfaces alike, so that room between them is seen
    u.cutting.value = this.cut !== null;
    if (this.cut) u.cut.value.set(this.cut.normal.x, this.cut.normal.y, this.cut.normal.z, this.cut.at);
  }

  dispose(): void {
    for (const p of this.pieces) {
      for (const m of p.meshes) {
        m.geometry.dispose();
        m.material.dispose();
      }
    }
    this.ribbons.dispose();
    this.hold(null);
    this.sheet.dispose();
    this.target.dispose();
    this.renderer.dispose();
  }
}
