// What the server describes for the view to draw; doc/formats/scene.md.

export type Vec = [number, number, number];

export interface Scene {
  schema: string;
  title: string; // the picture's text: what a screen reader says
  centre: Vec;
  radius: number; // mm, about half the preparation's width
  axis?: Vec; // towards the opening
  front?: Vec; // out of the mouth: where a scanner's handle leads
  rims?: { to: Vec; word: string }[];
  surfaces: Surface[];
  maps?: ValueMap[];
  margins?: Margin[];
  spots?: Spot[];
  views?: View[];
  teeth?: Label[];
  contacts?: Contact[];
  point?: string; // GET template with {x} {y} {z} {role}
}

export interface Surface {
  role: string;
  name: string;
  kind: "subject" | "context" | "opposing" | "missing";
  coarse?: string;
  fine: string;
  shown: boolean;
  colour?: boolean;
}

export interface ValueMap {
  name: string; // of the value in the packed surfaces
  title: string; // with its unit
  word: string; // on its button
  min: number;
  max: number;
  step: number; // between contour lines
  limit?: number;
  signed?: boolean;
}

export type State = "captured" | "doubtful" | "not-captured";

export interface Margin {
  points: Vec[];
  closed: boolean;
  confidence?: number[];
  state?: State[];
}

export interface Spot {
  number: string;
  kind: "scan" | "ask" | "note";
  at: Vec;
  normal?: Vec;
  eye?: Vec; // from the surface to the viewer
  across?: number; // mm
  text?: string; // beside the pin
  sentence: string;
}

export interface View {
  name: string;
  word: string;
  eye: Vec; // from the surface to the viewer
  up: Vec;
}

/** The number of a tooth, written on it where numbers are asked for. */
export interface Label {
  role: string; // of the surface that it stands on
  at: Vec;
  text: string;
  unsure?: boolean;
}

/** A place where the arches touch. */
export interface Contact {
  at: Vec;
  across: number; // mm
}

const isVec = (v: unknown): v is Vec => Array.isArray(v) && v.length === 3 && v.every((x) => Number.isFinite(x));

/** Reads a scene; throws with what is wrong where it cannot be drawn at all. */
export function sceneOf(json: unknown): Scene {
  const s = json as Scene;
  if (!s || typeof s !== "object" || !String(s.schema).startsWith("selvage.scene/1")) throw new Error("not a scene of version 1");
  if (!isVec(s.centre) || !(s.radius > 0) || !Array.isArray(s.surfaces)) throw new Error("a scene needs centre, radius and surfaces");
  s.spots = (s.spots ?? []).filter((p) => isVec(p.at));
  s.views = (s.views ?? []).filter((v) => isVec(v.eye) && isVec(v.up));
  s.margins = (s.margins ?? []).filter((m) => m.points.length > 1 && m.points.every(isVec));
  s.maps ??= [];
  s.contacts = (s.contacts ?? []).filter((c) => isVec(c.at));
  s.teeth = (s.teeth ?? []).filter((t) => isVec(t.at));
  s.rims = (s.rims ?? []).filter((r) => isVec(r.to));
  return s;
}

/** Where a margin point stands: what the server says, else by its confidence. */
export function stateAt(m: Margin, i: number): State {
  const sure = 0.5;
  const said = m.state?.[i] ?? "captured";
  if (said === "captured" && (m.confidence?.[i] ?? 1) < sure) return "doubtful";
  return said;
}
