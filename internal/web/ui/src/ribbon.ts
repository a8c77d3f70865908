// Lines on a surface as bands of a width in pixels: full where the margin was
// seen, dashed where it is doubtful, open beads where it was not captured, and a
// hatched band beside what could not be read.

import { BufferAttribute, BufferGeometry, GLSL3, Group, Mesh, RawShaderMaterial, Vector2, Vector3, Vector4 } from "three";
import type { Inks } from "./ink";
import { stateAt, type Margin, type Vec } from "./scene";

const vertex = /* glsl */ `
in vec3 position;  // this end
in vec3 other;     // the other end of the piece
in vec4 piece;     // side, end (-1 first, 1 last), length along the line before the piece in mm, style
uniform mat4 modelViewMatrix;
uniform mat4 projectionMatrix;
uniform vec2 size;      // drawing buffer in pixels
uniform float reach;    // half of what is drawn across, in pixels
uniform float lift;     // towards the viewer, in clip space
uniform float perMM;    // pixels
out vec2 at;            // along the piece and across, in pixels
flat out float len;     // of the piece as it is seen, in pixels
flat out float squeeze; // how much it is foreshortened, 0..1
flat out float start;   // of the piece along the line, in pixels, not foreshortened
flat out float style;
out float before;       // how far the cut's plane it lies, mm
uniform vec4 cut;
flat out vec2 caps;     // whether the line ends before and after the piece
void main() {
  vec4 p = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
  vec4 q = projectionMatrix * modelViewMatrix * vec4(other, 1.0);
  vec2 d = (q.xy - p.xy) * size * 0.5 * -piece.y;
  len = length(d);
  vec2 along = len > 1e-4 ? d / len : vec2(1.0, 0.0);
  p.xy += (along * piece.y + vec2(-along.y, along.x) * piece.x) * reach / (size * 0.5);
  p.z -= lift;
  gl_Position = p;
  before = dot(cut.xyz, position) - cut.w;
  style = mod(piece.w, 8.0);
  caps = vec2(mod(floor(piece.w / 8.0), 2.0), floor(piece.w / 16.0));
  squeeze = clamp(len / max(distance(position, other) * perMM, 1e-4), 0.02, 1.0);
  start = piece.z * perMM;
  at = vec2(piece.y > 0.0 ? len + reach : -reach, piece.x * reach);
}`;

const fragment = /* glsl */ `
precision highp float;
in vec2 at;
flat in float len;
flat in float squeeze;
flat in float start;
flat in float style;
flat in vec2 caps;
in float before;
uniform float dots;
uniform vec3 ink;
uniform vec3 halo;
uniform vec3 warn;
uniform bool under;   // the halo below the line
out vec4 result;
float fade(float d) { return clamp(0.5 - d, 0.0, 1.0); }
void main() {
  if (before > 0.0) discard;
  float more = under ? 1.8 * dots : 0.0;
  vec3 c = under ? halo : ink;
  float a;
  vec2 beyond = vec2(-at.x, at.x - len);
  float rod = length(vec2(max(max(beyond.x, beyond.y), 0.0), at.y)); // from the piece
  float s = start + at.x / squeeze;
  if (style > 2.5) {            // hatched band
    // where the band goes on the next piece does, so that no edge is drawn across it
    if ((beyond.x > 0.7 * dots && caps.x < 0.5) || (beyond.y > 0.7 * dots && caps.y < 0.5)) discard;
    float edge = rod - 6.0 * dots;
    a = fade(edge - more);
    if (!under && edge < -1.4 * dots) c = mod(gl_FragCoord.x + gl_FragCoord.y, 7.0 * dots) < 3.5 * dots ? warn : halo;
  } else if (style > 1.5) {     // beads
    float pitch = 10.0 * dots;
    float wide = 3.7 * dots;
    float middle = (floor(s / pitch) + 0.5) * pitch;
    float there = (middle - start) * squeeze;
    if (there < 0.0 || there >= len) discard; // it belongs to another piece
    float r = length(vec2(at.x - there, at.y));
    a = fade(r - wide - more);
    if (!under) c = r < wide - 1.9 * dots ? halo : warn;
  } else if (style > 0.5) {     // dashes
    float period = 13.0 * dots;
    float m = (abs(mod(s, period) - period * 0.5) - 4.0 * dots) * squeeze;
    a = fade(max(rod - 1.4 * dots, m) - more);
  } else {
    a = fade(rod - 1.4 * dots - more);
  }
  if (a <= 0.0) discard;
  result = vec4(c, a * (under ? 0.9 : 1.0));
}`;

/** All margins, as one group of two meshes: the halo and the line. */
export class Ribbons {
  readonly group = new Group();
  private readonly materials: RawShaderMaterial[] = [];

  constructor(margins: Margin[], centre: Vec, axis: Vec | undefined) {
    const lines = new Pieces();
    const bands = new Pieces();
    for (const m of margins) {
      lines.follow(m, centre);
      if (axis) bands.beside(m, centre, axis);
    }
    this.add(lines, true);
    this.add(bands, false);
  }

  private add(p: Pieces, hidden: boolean): void {
    if (p.count === 0) return;
    const g = p.geometry();
    for (const under of [true, false]) {
      const mat = new RawShaderMaterial({
        glslVersion: GLSL3,
        vertexShader: vertex,
        fragmentShader: fragment,
        transparent: true,
        depthWrite: false,
        depthTest: hidden,
        uniforms: {
          size: { value: new Vector2(1, 1) },
          reach: { value: 12 },
          lift: { value: 0 },
          perMM: { value: 1 },
          dots: { value: 1 },
          ink: { value: new Vector3() },
          halo: { value: new Vector3() },
          warn: { value: new Vector3() },
          under: { value: under },
          cut: { value: new Vector4(0, 0, 0, 0) },
        },
      });
      const mesh = new Mesh(g, mat);
      mesh.frustumCulled = false;
      mesh.renderOrder = (hidden ? 1 : 3) + (under ? 0 : 1);
      this.materials.push(mat);
      this.group.add(mesh);
    }
  }

  /** Fits the bands to the picture. lift is in mm, depth the range of the camera. */
  fit(width: number, height: number, perMM: number, dots: number, depth: number): void {
    const lift = 0.22; // a line that lies in a noisy surface cuts its corners
    for (const m of this.materials) {
      m.uniforms.size.value.set(width, height);
      m.uniforms.perMM.value = perMM;
      m.uniforms.dots.value = dots;
      m.uniforms.reach.value = 9 * dots;
      m.uniforms.lift.value = (2 * lift) / depth;
    }
  }

  /** Takes away what lies before a plane, dot(n, p) > at; null: nothing. */
  cut(plane: { normal: Vector3; at: number } | null): void {
    for (const m of this.materials) {
      if (plane) m.uniforms.cut.value.set(plane.normal.x, plane.normal.y, plane.normal.z, plane.at);
      else m.uniforms.cut.value.set(0, 0, 0, 0);
    }
  }

  inkWith(i: Inks): void {
    for (const m of this.materials) for (const k of ["ink", "halo", "warn"] as const) m.uniforms[k].value.set(...i[k].map((x) => x / 255));
  }

  dispose(): void {
    for (const m of this.materials) m.dispose();
    for (const c of this.group.children) (c as Mesh).geometry.dispose();
  }
}

const styleOf = { captured: 0, doubtful: 1, "not-captured": 2 } as const;
const band = 3;

/** Pieces of lines before they are a geometry. */
class Pieces {
  count = 0;
  private readonly pos: number[] = [];
  private readonly other: number[] = [];
  private readonly piece: number[] = [];

  follow(m: Margin, c: Vec): void {
    const at = thinned(m);
    let far = 0;
    for (let k = 0; k + 1 < at.length; k++) {
      const [i, j] = [at[k], at[k + 1]];
      // a piece is as doubtful as the worse of its ends
      const style = Math.max(styleOf[stateAt(m, i)], styleOf[stateAt(m, j)]);
      far = this.add(sub(m.points[i], c), sub(m.points[j], c), far, style);
    }
  }

  /** Hatched bands outside the stretches that could not be read. */
  beside(m: Margin, c: Vec, axis: Vec): void {
    const at = thinned(m);
    const bad = (k: number) => k >= 0 && k + 1 < at.length && [at[k], at[k + 1]].every((i) => m.state !== undefined && m.state[i] !== "captured");
    let far = 0;
    for (let k = 0; k + 1 < at.length; k++) {
      const round = m.closed ? at.length - 1 : 0;
      const before = k === 0 && round ? bad(round - 1) : bad(k - 1);
      const after = k + 2 === at.length && round ? bad(0) : bad(k + 1);
      if (bad(k)) far = this.add(outside(m.points[at[k]], c, axis), outside(m.points[at[k + 1]], c, axis), far, band + (before ? 0 : 8) + (after ? 0 : 16));
    }
  }

  private add(p: Vec, q: Vec, at: number, style: number): number {
    const len = Math.hypot(q[0] - p[0], q[1] - p[1], q[2] - p[2]);
    for (const [a, b, end] of [[p, q, -1], [q, p, 1]] as const) {
      for (const side of [-1, 1]) {
        this.pos.push(...a);
        this.other.push(...b);
        this.piece.push(side, end, at, style);
      }
    }
    this.count++;
    return at + len;
  }

  geometry(): BufferGeometry {
    const g = new BufferGeometry();
    g.setAttribute("position", new BufferAttribute(new Float32Array(this.pos), 3));
    g.setAttribute("other", new BufferAttribute(new Float32Array(this.other), 3));
    g.setAttribute("piece", new BufferAttribute(new Float32Array(this.piece), 4));
    const index: number[] = [];
    for (let k = 0; k < this.count; k++) index.push(4 * k, 4 * k + 2, 4 * k + 1, 4 * k + 1, 4 * k + 2, 4 * k + 3);
    g.setIndex(index);
    return g;
  }
}

/**
 * The points to draw through, by index: at least a quarter of a millimetre apart,
 * which is under a scan's own waver, and both ends of every stretch. A closed line
 * comes back to its first point.
 */
function thinned(m: Margin): number[] {
  const apart = 0.25;
  const n = m.points.length;
  const out = [0];
  for (let i = 1; i < n; i++) {
    const last = out[out.length - 1];
    const [p, q] = [m.points[i], m.points[last]];
    const edge = stateAt(m, i) !== stateAt(m, i - 1) || (i + 1 < n && stateAt(m, i) !== stateAt(m, i + 1));
    if (edge || Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]) >= apart || (i === n - 1 && !m.closed)) out.push(i);
  }
  if (m.closed) out.push(0);
  return out;
}

const sub = (a: Vec, b: Vec): Vec => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];

/** A point moved away from the centre, across the axis, relative to the centre. */
function outside(p: Vec, c: Vec, axis: Vec): Vec {
  const far = 1.1; // mm
  const d = sub(p, c);
  const h = d[0] * axis[0] + d[1] * axis[1] + d[2] * axis[2];
  const r: Vec = [d[0] - h * axis[0], d[1] - h * axis[1], d[2] - h * axis[2]];
  const k = 1 + far / (Math.hypot(...r) || 1);
  return [r[0] * k + h * axis[0], r[1] * k + h * axis[1], r[2] * k + h * axis[2]];
}
