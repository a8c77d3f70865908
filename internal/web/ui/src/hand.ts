// Fingers, mouse and wheel on the picture. One finger or the mouse turns, two
// fingers move and zoom, a short touch reads the place. Nothing here is needed: all
// of it has buttons and keys too.

export interface Grip {
  turn(dx: number, dy: number): void; // pixels
  move(dx: number, dy: number): void;
  zoom(factor: number, x: number, y: number): void;
  tap(x: number, y: number): void;
  settle(): void; // all fingers are off
}

/** A touch that moves less than this many pixels is a tap. Gloves waver. */
const slop = 10;

export function grip(el: HTMLElement, g: Grip): () => void {
  const down = new Map<number, { x: number; y: number }>();
  let start: { x: number; y: number } | null = null; // of a touch that may be a tap
  const place = (e: PointerEvent | WheelEvent) => {
    const r = el.getBoundingClientRect();
    return { x: e.clientX - r.left, y: e.clientY - r.top };
  };
  const begin = (e: PointerEvent) => {
    if (e.pointerType === "mouse" && e.button > 1) return;
    try {
      el.setPointerCapture(e.pointerId);
    } catch {
      // a pointer that has gone already
    }
    down.set(e.pointerId, place(e));
    start = down.size === 1 ? place(e) : null;
  };
  const drag = (e: PointerEvent) => {
    const last = down.get(e.pointerId);
    if (!last) return;
    const now = place(e);
    if (start) {
      if (Math.hypot(now.x - start.x, now.y - start.y) < slop) return;
      start = null;
      down.set(e.pointerId, now);
      return;
    }
    const other = [...down].find(([id]) => id !== e.pointerId)?.[1];
    if (other) {
      const was = Math.hypot(last.x - other.x, last.y - other.y) || 1;
      const is = Math.hypot(now.x - other.x, now.y - other.y) || 1;
      g.move((now.x - last.x) / 2, (now.y - last.y) / 2);
      g.zoom(is / was, (now.x + other.x) / 2, (now.y + other.y) / 2);
    } else if (e.shiftKey || e.buttons === 4) g.move(now.x - last.x, now.y - last.y);
    else g.turn(now.x - last.x, now.y - last.y);
    down.set(e.pointerId, now);
  };
  const end = (e: PointerEvent) => {
    if (!down.delete(e.pointerId)) return;
    if (start && e.type === "pointerup") g.tap(start.x, start.y);
    start = null;
    if (down.size === 0) g.settle();
  };
  let rest = 0;
  const wheel = (e: WheelEvent) => {
    // the page scrolls unless the picture was chosen, so that nobody is caught in it
    if (!e.ctrlKey && !el.matches(":focus-within")) return;
    e.preventDefault();
    const p = place(e);
    g.zoom(Math.exp(-Math.max(-60, Math.min(60, e.deltaY * (e.deltaMode === 1 ? 16 : 1))) / 200), p.x, p.y);
    clearTimeout(rest);
    rest = window.setTimeout(() => g.settle(), 180);
  };
  const on = { pointerdown: begin, pointermove: drag, pointerup: end, pointercancel: end } as const;
  for (const [k, f] of Object.entries(on)) el.addEventListener(k, f as EventListener);
  el.addEventListener("wheel", wheel, { passive: false });
  return () => {
    for (const [k, f] of Object.entries(on)) el.removeEventListener(k, f as EventListener);
    el.removeEventListener("wheel", wheel);
    clearTimeout(rest);
  };
}
