// Fetches and unpacks surfaces beside the page, so that the page stays awake.

import { form } from "./form";
import { unpack, type Packed } from "./packed";

/** What the page asks for, and what it gets. */
export interface Ask {
  id: number;
  url: string;
}
export type Answer = { id: number; mesh: Packed; form: Int16Array } | { id: number; error: string };

/** Fetches one packed mesh. Bytes that are still gzip are unpacked here. */
export async function fetchMesh(url: string): Promise<{ mesh: Packed; form: Int16Array }> {
  const r = await fetch(url, { credentials: "same-origin" });
  if (!r.ok) throw new Error(`${r.status} ${r.statusText}`);
  let buffer = await r.arrayBuffer();
  const head = new Uint8Array(buffer, 0, Math.min(2, buffer.byteLength));
  if (head[0] === 0x1f && head[1] === 0x8b) {
    const plain = new Blob([buffer]).stream().pipeThrough(new DecompressionStream("gzip"));
    buffer = await new Response(plain).arrayBuffer();
  }
  const mesh = unpack(buffer);
  return { mesh, form: form(mesh) };
}

declare const WorkerGlobalScope: { new (): unknown } | undefined;

if (typeof WorkerGlobalScope !== "undefined" && self instanceof WorkerGlobalScope) {
  const scope = self as unknown as {
    onmessage: ((e: MessageEvent<Ask>) => void) | null;
    postMessage(a: Answer, move?: Transferable[]): void;
  };
  scope.onmessage = async ({ data: { id, url } }) => {
    try {
      const { mesh, form } = await fetchMesh(url);
      const move: ArrayBufferLike[] = [mesh.at.buffer, mesh.index.buffer, form.buffer, ...mesh.values.map((v) => v.code.buffer)];
      if (mesh.colour) move.push(mesh.colour.buffer);
      scope.postMessage({ id, mesh, form }, move as ArrayBuffer[]);
    } catch (e) {
      scope.postMessage({ id, error: e instanceof Error ? e.message : String(e) });
    }
  };
}
