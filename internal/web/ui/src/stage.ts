// What is drawn: surfaces, margins, the cut. The stage draws when it is told that
// something changed, the few triangles of the twins while the view is moving, and all
// of them once it is still.

import { BufferAttribute, BufferGeometry, LinearSRGBColorSpace, Mesh, Scene as World, Vector3, WebGLRenderer } from "three";
import { Clay } from "./clay";
import { depth, type Eye } from "./eye";
import type { Inks } from "./ink";
import type { Packed } from "./packed";
import { Ribbons } from "./ribbon";
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

export class Stage {
  readonly pieces: Piece[];
  readonly world = new World();
  readonly renderer: WebGLRenderer;
  readonly ribbons: Ribbons;
  own = false;
  map: ValueMap | null = null;
  cut: Cut | null = null;
  /** Pixels drawn per CSS pixel, at most, once still. */
  dots = 1;

  constructor(
    readonly scene: Scene,
    canvas: HTMLCanvasElement,
  ) {
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true, premultipliedAlpha: true, powerPreference: "low-power", preserveDrawingBuffer: true });
    this.renderer.setClearColor(0, 0);
    this.renderer.outputColorSpace = LinearSRGBColorSpace; // colours are sRGB as they stand
    this.world.matrixWorldAutoUpdate = false;
    this.pieces = scene.surfaces.map((s) => new Piece(s));
    this.ribbons = new Ribbons(scene.margins ?? [], scene.centre, scene.axis);
    this.world.add(this.ribbons.group);
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
    const mesh = new Mesh(g, mat);
    mesh.frustumCulled = false;
    piece[kind] = mesh;
    piece.data[kind] = data;
    this.world.add(mesh);
  }

  /** Names of the values that loaded surfaces carry. */
  has(map: ValueMap): boolean {
    return this.pieces.some((p) => p.data.fine?.values.some((v) => v.name === map.name) || p.data.coarse?.values.some((v) => v.name === map.name));
  }

  inkWith(i: Inks): void {
    for (const p of this.pieces) for (const m of p.meshes) m.material.inkWith(i);
    this.ribbons.inkWith(i);
  }

  /** How many triangles a drawing has. */
  triangles(moving: boolean): number {
    return this.pieces.reduce((n, p) => n + (p.shown ? (p.mesh(moving)?.geometry.index?.count ?? 0) / 3 : 0), 0);
  }

  draw(eye: Eye, moving: boolean, inks: Inks): void {
    const dots = moving ? Math.min(1, this.dots) : this.dots;
    const r = this.renderer;
    const camera = eye.place();
    if (r.getPixelRatio() !== dots || r.domElement.width !== Math.floor(eye.width * dots) || r.domElement.height !== Math.floor(eye.height * dots)) {
      r.setPixelRatio(dots);
      r.setSize(eye.width, eye.height, false);
    }
    for (const p of this.pieces) {
      const now = p.mesh(moving);
      for (const m of p.meshes) {
        m.visible = p.shown && m === now;
        if (m.visible) this.dress(p, m, dots, inks);
      }
    }
    this.ribbons.fit(r.domElement.width, r.domElement.height, eye.perMM * dots, dots, 2 * depth);
    this.ribbons.inkWith(inks);
    r.render(this.world, camera);
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
    this.renderer.dispose();
  }
}
