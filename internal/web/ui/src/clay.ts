// How a surface is drawn: a matte stone, light from the upper left, creases dark and
// edges light; the scan's own colour; or a map of values with contour lines.

import { DataTexture, DoubleSide, GLSL3, LinearFilter, NearestFilter, RawShaderMaterial, RGBAFormat, Vector2, Vector3, Vector4 } from "three";
import type { Inks } from "./ink";
import { row, table } from "./ramp";
import type { Rim } from "./rim";
import type { Surface, ValueMap } from "./scene";

const vertex = /* glsl */ `
in vec4 position;
in vec4 form;
in vec4 colour;
in vec2 value;
uniform mat4 modelViewMatrix;
uniform mat4 projectionMatrix;
uniform mat3 normalMatrix;
uniform vec3 origin;
uniform float unit;
uniform vec2 scale;
uniform bool marked;      // whether the margin says what belongs to the preparation
uniform float rim[64];    // how far the margin lies from the axis, all around, mm
uniform vec3 first;       // the direction of rim[0], and the next quarter
uniform vec3 quarter;
uniform vec3 axis;
uniform float low;        // of the margin along the axis, mm
out float vBeside;        // 0 on the preparation, 1 beside it
out vec3 vNormal;
out vec3 vPlace;
out float vTurn;
out vec3 vColour;
out vec2 vValue;
void main() {
  vPlace = origin + unit * position.xyz;
  vNormal = normalMatrix * form.xyz;
  vTurn = form.w;
  vColour = colour.rgb;
  vValue = vec2(scale.x + scale.y * value.x, value.y / 65535.0);
  vBeside = 0.0;
  if (marked) {
    float around = fract(atan(dot(vPlace, quarter), dot(vPlace, first)) / 6.2831853 + 1.0) * 64.0;
    int i = int(around) % 64;
    float edge = mix(rim[i], rim[(i + 1) % 64], fract(around));
    float high = dot(vPlace, axis);
    float far = length(vPlace - axis * high);
    vBeside = max(smoothstep(edge - 0.02, edge + 0.12, far), high < low - 0.6 || high > low + 12.0 ? 1.0 : 0.0);
  }
  gl_Position = projectionMatrix * modelViewMatrix * vec4(vPlace, 1.0);
}`;

const fragment = /* glsl */ `
precision highp float;
in vec3 vNormal;
in vec3 vPlace;
in float vTurn;
in float vBeside;
in vec3 vColour;
in vec2 vValue;
uniform sampler2D ramps;
uniform float stone;     // row of the ramp
uniform float contrast;
uniform int mode;        // 0 stone, 1 own colour, 2 map, 3 missing, 4 the value as a number
uniform vec4 range;      // least, most, step, limit
uniform float mapRow;
uniform bool hasLimit;
uniform bool twoSided;
uniform vec4 cut;        // what lies before the plane is taken away
uniform bool cutting;
uniform vec3 ink;
uniform vec3 halo;
uniform vec3 warn;
uniform float dots;      // device pixels per CSS pixel
out vec4 result;

const float rows = 5.0;
vec3 look(float r, float t) { return texture(ramps, vec2((clamp(t, 0.0, 1.0) * 255.0 + 0.5) / 256.0, (r + 0.5) / rows)).rgb; }

float lamp(vec3 n, vec3 dir, float power) { return power * max(0.0, (dot(n, dir) + 0.25) / 1.25); }

float toneOf(vec3 n) {
  float t = 0.16 + lamp(n, vec3(-0.48, 0.56, 0.675), 0.62) + lamp(n, vec3(0.70, 0.10, 0.707), 0.20) + lamp(n, vec3(0.10, -0.62, 0.778), 0.14);
  t += vTurn > 0.0 ? min(0.45 * vTurn, 0.16) : max(0.95 * vTurn, -0.42);
  t -= 0.16 * smoothstep(0.22, 0.0, n.z);
  return clamp(t, 0.0, 1.0);
}

// stoneAt is the stone's colour in a light: paler and flatter beside the preparation.
vec3 stoneAt(float t) {
  vec3 c = look(stone, 0.5 + (t - 0.5) * contrast);
  return vBeside > 0.0 ? mix(c, look(1.0, 0.5 + (t - 0.5) * 0.9), vBeside) : c;
}

// onLine is how much of a pixel a contour at level l covers.
float onLine(float v, float g, float l, float half_) { return 1.0 - smoothstep(half_ - 0.5, half_ + 0.5, abs(v - l) / g); }

vec3 mapped(float v, float t) {
  float place = clamp((v - range.x) / (range.y - range.x), 0.0, 1.0);
  float dark = 0.42 * (1.0 - min(1.0, t / 0.8));
  vec3 c = pow(pow(look(mapRow, place), vec3(2.2)) * pow(1.0 - dark, 3.0), vec3(1.0 / 2.2));
  float g = max(fwidth(v), 1e-7);
  vec3 line = vec3(0.086, 0.102, 0.133);
  if (range.z > 0.0) {
    float l = round(v / range.z) * range.z;
    float room = smoothstep(3.0, 8.0, range.z / g / dots);
    float dash = twoSided && l < -0.5 * range.z && mod(gl_FragCoord.x + gl_FragCoord.y, 12.0 * dots) > 7.0 * dots ? 0.0 : 1.0;
    if (!hasLimit || abs(l - range.w) > 0.4 * range.z) c = mix(c, line, 0.75 * room * dash * onLine(v, g, l, 0.75 * dots));
  }
  if (hasLimit) {
    float room = smoothstep(2.0, 5.0, 0.5 * (range.y - range.x) / g / dots); // none on a sliver
    c = mix(c, vec3(1.0), 0.85 * room * onLine(v, g, range.w, 2.4 * dots));
    c = mix(c, line, room * onLine(v, g, range.w, 1.4 * dots));
  }
  return c;
}

bool stripe(float pitch, float wide) { return mod(gl_FragCoord.x + gl_FragCoord.y, pitch * dots) < wide * dots; }

void main() {
  float before = 0.0;
  if (cutting) {
    before = dot(cut.xyz, vPlace) - cut.w;
    if (before > 0.0) discard;
  }
  if (mode == 4) {
    // sixteen bits over three ranges, so that a value outside is told from the edge
    float place = clamp((vValue.x - range.x) / (range.y - range.x) / 3.0 + 1.0 / 3.0, 0.0, 1.0) * 65535.0;
    bool there = vValue.y > 0.99999 && gl_FrontFacing;
    result = there ? vec4(floor(place / 256.0) / 255.0, mod(place, 256.0) / 255.0, 1.0, 1.0) : vec4(0.0, 0.0, 0.0, 1.0);
    return;
  }
  vec3 n = normalize(vNormal);
  vec3 c;
  if (mode == 3) {
    c = stripe(8.0, 4.0) ? warn : halo;
  } else if (!gl_FrontFacing) {
    // the inner side of a scan: flat and hatched, never taken for a tooth
    c = stripe(9.0, 2.0) ? vec3(0.275, 0.29, 0.32) : vec3(0.5, 0.517, 0.55);
  } else {
    float t = toneOf(n);
    if (mode == 2 && vValue.y > 0.99999) c = mapped(vValue.x, t);
    else if (mode == 1) c = min(vec3(1.0), vColour * (0.45 + 0.7 * t));
    else c = stoneAt(t);
  }
  if (cutting) c = mix(c, ink, 1.0 - smoothstep(1.6 * dots, 2.6 * dots, -before / max(fwidth(before), 1e-7)));
  result = vec4(c, 1.0);
}`;

let ramps: DataTexture | undefined;

function rampTexture(): DataTexture {
  if (!ramps) {
    const t = table();
    ramps = new DataTexture(t.data, t.width, t.height, RGBAFormat);
    ramps.magFilter = LinearFilter;
    ramps.minFilter = NearestFilter;
    ramps.needsUpdate = true;
  }
  return ramps;
}

/** A material for one surface; `show` and `inkWith` change it. */
export class Clay extends RawShaderMaterial {
  constructor(private readonly kind: Surface["kind"]) {
    super({
      glslVersion: GLSL3,
      vertexShader: vertex,
      fragmentShader: fragment,
      side: DoubleSide,
      uniforms: {
        origin: { value: new Vector3() },
        unit: { value: 1 },
        scale: { value: new Vector2(0, 1) },
        ramps: { value: rampTexture() },
        stone: { value: kind === "missing" ? row.subject : row[kind] },
        contrast: { value: kind === "context" ? 0.9 : 1 },
        mode: { value: kind === "missing" ? 3 : 0 },
        range: { value: new Vector4(0, 1, 0, 0) },
        mapRow: { value: row.depth },
        hasLimit: { value: false },
        twoSided: { value: false },
        cut: { value: new Vector4() },
        cutting: { value: false },
        ink: { value: new Vector3() },
        halo: { value: new Vector3() },
        warn: { value: new Vector3() },
        dots: { value: 1 },
        marked: { value: false },
        rim: { value: new Float32Array(64) },
        first: { value: new Vector3() },
        quarter: { value: new Vector3() },
        axis: { value: new Vector3() },
        low: { value: 0 },
      },
    });
  }

  /** Draws what lies outside a closed margin as context. */
  mark(r: Rim | null): void {
    if (!r || this.kind !== "subject") return;
    const u = this.uniforms;
    u.marked.value = true;
    u.rim.value = r.far;
    u.low.value = r.low;
    u.first.value.copy(r.first);
    u.quarter.value.copy(r.quarter);
    u.axis.value.copy(r.axis);
  }

  /** Shows stone, the scan's own colour, or a map of values. */
  show(own: boolean, map: ValueMap | null): void {
    if (this.kind === "missing") return;
    const u = this.uniforms;
    u.mode.value = map ? 2 : own ? 1 : 0;
    if (map) {
      u.range.value.set(map.min, map.max, map.step, map.limit ?? 0);
      u.hasLimit.value = map.limit !== undefined;
      u.twoSided.value = !!map.signed;
      u.mapRow.value = map.signed ? row.signed : row.depth;
    }
  }

  inkWith(i: Inks): void {
    for (const k of ["ink", "halo", "warn"] as const) this.uniforms[k].value.set(...i[k].map((x) => x / 255));
  }
}
