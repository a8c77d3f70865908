// Loads surfaces one after the other, in a worker where there is one.

import type { Packed } from "./packed";
import { fetchMesh, type Answer, type Ask } from "./scan-worker";

export interface Loaded {
  mesh: Packed;
  form: Int16Array;
}

export class Loader {
  private worker: Worker | null = null;
  private readonly waiting = new Map<number, { done(l: Loaded): void; fail(e: Error): void }>();
  private next = 0;
  private tail: Promise<unknown> = Promise.resolve();

  constructor() {
    try {
      this.worker = new Worker(new URL("./scan-worker.js", import.meta.url), { type: "module" });
      this.worker.onmessage = ({ data }: MessageEvent<Answer>) => {
        const w = this.waiting.get(data.id);
        this.waiting.delete(data.id);
        if ("error" in data) w?.fail(new Error(data.error));
        else w?.done(data);
      };
      this.worker.onerror = () => this.withoutWorker();
    } catch {
      this.worker = null;
    }
  }

  /** A worker that cannot start must not keep the picture away. */
  private withoutWorker(): void {
    this.worker?.terminate();
    this.worker = null;
    for (const w of this.waiting.values()) w.fail(new Error("worker"));
    this.waiting.clear();
  }

  /** Loads in the order of asking. */
  load(url: string): Promise<Loaded> {
    const job = this.tail.then(() => this.one(url));
    this.tail = job.catch(() => undefined);
    return job;
  }

  private async one(url: string): Promise<Loaded> {
    if (!this.worker) return fetchMesh(url);
    const id = this.next++;
    const ask: Ask = { id, url };
    try {
      return await new Promise<Loaded>((done, fail) => {
        this.waiting.set(id, { done, fail });
        this.worker?.postMessage(ask);
      });
    } catch (e) {
      if (this.worker) throw e;
      return fetchMesh(url);
    }
  }

  dispose(): void {
    this.worker?.terminate();
    this.worker = null;
    this.waiting.clear();
  }
}
