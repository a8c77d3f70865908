// Where the picture is looked at from: an orthographic view, so that a scale bar
// holds everywhere in it. Places are mm from the scene's centre.

import { Matrix4, OrthographicCamera, Quaternion, Vector3 } from "three";
import type { Vec } from "./scene";

/** Half the range of depth that is drawn, mm. */
export const depth = 120;

export class Eye {
  readonly camera = new OrthographicCamera();
  readonly turn = new Quaternion();
  readonly middle = new Vector3();
  span = 20; // mm across the shorter side
  width = 1; // CSS pixels
  height = 1;

  constructor(private readonly usual: number) {
    this.span = usual;
  }

  /** Looks from a direction (surface to viewer) with another pointing up. */
  static facing(eye: Vec, up: Vec): Quaternion {
    const z = new Vector3(...eye).normalize();
    let x = new Vector3(...up).cross(z);
    if (x.lengthSq() < 1e-8) x = new Vector3(1, 0, 0).cross(z).lengthSq() > 1e-8 ? new Vector3(1, 0, 0).cross(z) : new Vector3(0, 1, 0).cross(z);
    x.normalize();
    return new Quaternion().setFromRotationMatrix(new Matrix4().makeBasis(x, z.clone().cross(x), z));
  }

  get perMM(): number {
    return Math.min(this.width, this.height) / this.span;
  }

  /** Turns the model by angles about the picture's own axes, radians. */
  rotate(right: number, up: number, roll: number): void {
    const q = new Quaternion();
    for (const [x, y, z, a] of [[0, 1, 0, -right], [1, 0, 0, up], [0, 0, 1, roll]] as const) {
      if (a) this.turn.multiply(q.setFromAxisAngle(new Vector3(x, y, z), a));
    }
    this.turn.normalize();
  }

  /** Moves the picture by pixels. */
  shift(dx: number, dy: number): void {
    const [x, y] = this.axes();
    this.middle.addScaledVector(x, -dx / this.perMM).addScaledVector(y, dy / this.perMM);
    const far = 4 * this.usual;
    if (this.middle.length() > far) this.middle.setLength(far);
  }

  /** Comes closer by a factor, keeping a place of the picture where it is. */
  zoom(factor: number, px = this.width / 2, py = this.height / 2): void {
    const next = Math.min(8 * this.usual, Math.max(this.usual / 16, this.span / factor));
    const f = this.span / next;
    this.shift((px - this.width / 2) * (1 - f) / f, (py - this.height / 2) * (1 - f) / f);
    this.span = next;
  }

  axes(): [Vector3, Vector3, Vector3] {
    return [new Vector3(1, 0, 0), new Vector3(0, 1, 0), new Vector3(0, 0, 1)].map((v) => v.applyQuaternion(this.turn)) as [Vector3, Vector3, Vector3];
  }

  /** Sets the camera up for drawing. */
  place(): OrthographicCamera {
    const c = this.camera;
    const w = this.width / this.perMM / 2;
    const h = this.height / this.perMM / 2;
    Object.assign(c, { left: -w, right: w, top: h, bottom: -h, near: 0, far: 2 * depth });
    c.quaternion.copy(this.turn);
    c.position.copy(this.middle).addScaledVector(this.axes()[2], depth);
    c.updateMatrixWorld();
    c.updateProjectionMatrix();
    return c;
  }

  /** Where a place is seen: pixels right and down, and mm towards the viewer. */
  project(p: Vector3): { x: number; y: number; z: number } {
    const [x, y, z] = this.axes();
    const d = p.clone().sub(this.middle);
    return { x: this.width / 2 + d.dot(x) * this.perMM, y: this.height / 2 - d.dot(y) * this.perMM, z: d.dot(z) };
  }
}
