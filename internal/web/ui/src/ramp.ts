// Colours that are even to the eye, the same as in the pictures that the server
// draws (internal/picture/paint): a colour is given by perceived lightness and two
// opponent axes, and a ramp runs through its stops in equal perceived steps.

export type Lab = readonly [number, number, number];

/** The nearest sRGB colour, 0..255. */
export function rgb([l, a, b]: Lab): [number, number, number] {
  const x = (l + 0.3963377774 * a + 0.2158037573 * b) ** 3;
  const y = (l - 0.1055613458 * a - 0.0638541728 * b) ** 3;
  const z = (l - 0.0894841775 * a - 1.291485548 * b) ** 3;
  return [
    encode(4.0767416621 * x - 3.3077115913 * y + 0.2309699292 * z),
    encode(-1.2684380046 * x + 2.6097574011 * y - 0.3413193965 * z),
    encode(-0.0041960863 * x - 0.7034186147 * y + 1.707614701 * z),
  ];
}

function encode(x: number): number {
  const v = x <= 0.0031308 ? 12.92 * x : 1.055 * x ** (1 / 2.4) - 0.055;
  return Math.min(255, Math.max(0, Math.round(255 * v)));
}

const steps = 256;

/** A ramp as 256 RGBA colours. */
export function ramp(...stops: Lab[]): Uint8Array {
  const reach = [0];
  for (let i = 1; i < stops.length; i++) {
    const [p, q] = [stops[i - 1], stops[i]];
    reach.push(reach[i - 1] + Math.hypot(q[0] - p[0], q[1] - p[1], q[2] - p[2]));
  }
  const out = new Uint8Array(4 * steps);
  let k = 1;
  for (let i = 0; i < steps; i++) {
    const d = (reach[reach.length - 1] * i) / (steps - 1);
    while (k < stops.length - 1 && reach[k] < d) k++;
    const t = (d - reach[k - 1]) / (reach[k] - reach[k - 1] || 1);
    const [p, q] = [stops[k - 1], stops[k]];
    const c = rgb([p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1]), p[2] + t * (q[2] - p[2])]);
    out.set([...c, 255], 4 * i);
  }
  return out;
}

/** The rows of the table that shaders look colours up in. */
export const row = { subject: 0, context: 1, opposing: 2, depth: 3, signed: 4 } as const;

/** All ramps, one row each: stone for surfaces, two maps for values. */
export function table(): { data: Uint8Array; width: number; height: number } {
  const rows = [
    ramp([0.24, 0.002, -0.018], [0.6, 0.004, 0.006], [0.84, 0.003, 0.016], [0.975, 0, 0.012]),
    ramp([0.46, 0, -0.01], [0.74, 0, -0.002], [0.955, 0, 0.004]),
    ramp([0.3, -0.008, -0.04], [0.62, -0.012, -0.034], [0.93, -0.006, -0.014]),
    ramp([0.3, -0.015, -0.105], [0.46, -0.02, -0.06], [0.62, -0.012, 0], [0.78, -0.01, 0.06], [0.93, -0.012, 0.085]),
    ramp([0.5, -0.035, -0.135], [0.74, -0.025, -0.065], [0.97, 0, 0.004], [0.74, 0.052, 0.088], [0.5, 0.074, 0.098]),
  ];
  const data = new Uint8Array(4 * steps * rows.length);
  rows.forEach((r, i) => data.set(r, 4 * steps * i));
  return { data, width: steps, height: rows.length };
}
