// How to hold the scanner: a plain rounded box over the spot, of no maker's shape, as the
// server's pictures draw it.

import { BufferAttribute, BufferGeometry, GLSL3, Group, Mesh, RawShaderMaterial, Vector3 } from "three";

/** Sizes of the drawn tip, mm: wide, high, long, and from its window to the surface. */
export const tip = { wide: 16, high: 13, long: 44, away: 11 };
/** The radius of its edges as a share of its height. */
const round = 0.28;

const paint = (dark: boolean): RawShaderMaterial =>
  new RawShaderMaterial({
    glslVersion: GLSL3,
    vertexShader: `in vec3 position; in vec3 normal; uniform mat4 modelMatrix, viewMatrix, projectionMatrix; out vec3 n;
      void main() { n = mat3(viewMatrix) * normal; gl_Position = projectionMatrix * viewMatrix * modelMatrix * vec4(position, 1.0); }`,
    fragmentShader: `precision highp float; in vec3 n; uniform vec3 ink; out vec4 result;
      void main() { float l = clamp(0.68 + 0.32 * dot(normalize(n), normalize(vec3(-0.3, 0.5, 0.8))), 0.0, 1.0); result = vec4(ink * l, 1.0); }`,
    uniforms: { ink: { value: dark ? new Vector3(0.25, 0.32, 0.42) : new Vector3(0.78, 0.83, 0.9) } },
  });

/** A box of half sizes about the origin whose edges are rounded, along the axes x, y, z. */
function box(half: Vector3, radius: number, at: Vector3, axes: [Vector3, Vector3, Vector3], dark: boolean): Mesh {
  const core = half.clone().subScalar(radius);
  const position: number[] = [];
  const normal: number[] = [];
  const index: number[] = [];
  const steps = 12;
  const h = [half.x, half.y, half.z];
  const c = [Math.max(core.x, 0), Math.max(core.y, 0), Math.max(core.z, 0)];
  for (let side = 0; side < 6; side++) {
    const a = side >> 1;
    const sign = side % 2 ? -1 : 1;
    const [u, v] = sign > 0 ? [(a + 1) % 3, (a + 2) % 3] : [(a + 2) % 3, (a + 1) % 3];
    const first = position.length / 3;
    for (let j = 0; j <= steps; j++) {
      for (let i = 0; i <= steps; i++) {
        const q = [0, 0, 0];
        q[a] = sign * h[a];
        q[u] = h[u] * Math.sin((Math.PI / 2) * ((2 * i) / steps - 1));
        q[v] = h[v] * Math.sin((Math.PI / 2) * ((2 * j) / steps - 1));
        const inner = q.map((x, k) => Math.min(Math.max(x, -c[k]), c[k]));
        const d = new Vector3(q[0] - inner[0], q[1] - inner[1], q[2] - inner[2]).normalize();
        const p = at.clone();
        const n = new Vector3();
        [d.x, d.y, d.z].forEach((x, k) => {
          p.addScaledVector(axes[k], inner[k] + radius * x);
          n.addScaledVector(axes[k], x);
        });
        position.push(p.x, p.y, p.z);
        normal.push(n.x, n.y, n.z);
        if (i < steps && j < steps) {
          const k = first + j * (steps + 1) + i;
          index.push(k, k + 1, k + steps + 2, k, k + steps + 2, k + steps + 1);
        }
      }
    }
  }
  const g = new BufferGeometry();
  g.setAttribute("position", new BufferAttribute(new Float32Array(position), 3));
  g.setAttribute("normal", new BufferAttribute(new Float32Array(normal), 3));
  g.setIndex(index);
  const m = new Mesh(g, paint(dark));
  m.frustumCulled = false;
  return m;
}

/** The tip over a place, looking down a direction (from the surface to the scanner), its handle leading out of the mouth; and the middle of its body. */
export function tipOver(at: Vector3, direction: Vector3, front: Vector3, dark: boolean): { group: Group; middle: Vector3 } {
  const z = direction.clone().normalize();
  const x = front.clone().projectOnPlane(z);
  if (x.lengthSq() < 1e-6) x.set(z.z, z.x, z.y).projectOnPlane(z);
  x.normalize();
  const y = z.clone().cross(x);
  const middle = at.clone().addScaledVector(z, tip.away + tip.high / 2).addScaledVector(x, tip.long / 2 - 0.55 * tip.wide);
  const group = new Group();
  const w = 0.34 * tip.wide;
  group.add(box(new Vector3(tip.long / 2, tip.wide / 2, tip.high / 2), round * tip.high, middle, [x, y, z], dark));
  group.add(box(new Vector3(1.15 * w, w, 0.35), 0.3, at.clone().addScaledVector(z, tip.away), [x, y, z], !dark));
  return { group, middle };
}

/** Lets what a tip is drawn with go. */
export function putAway(group: Group): void {
  for (const m of group.children as Mesh[]) {
    m.geometry.dispose();
    (m.material as RawShaderMaterial).dispose();
  }
}
