// Where the numbers stand on contour lines.

import type { Eye } from "./eye";
import type { Label } from "./overlay";
import type { Stage } from "./stage";
import type { Words } from "./words";

export function levels(_stage: Stage, _eye: Eye, _words: Words): Label[] {
  return [];
}
