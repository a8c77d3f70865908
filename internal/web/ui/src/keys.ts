// Keys and foot pedals do what buttons do. What is done has a usual key; a person may lay it
// on another one, which the server writes into the page.

/** The usual keys of what is no button: internal/people/keys.go has the whole list. */
const next = "F8";
const before = "F2";
const push = "F4";
const hide = "F9";

const laid = JSON.parse(document.body.dataset.keys ?? "{}") as Record<string, string>;

/** keyOf is the key on which something lies, by its usual key; "" for none. */
const keyOf = (usual: string): string => laid[usual] ?? usual;

/** active is what has the focus, also inside the model's view. */
const active = (): HTMLElement | null => (document.activeElement?.shadowRoot?.activeElement ?? document.activeElement) as HTMLElement | null;

/** controls lists what can be pressed on the page, in order; the buttons of the model's view come last. */
function controls(): HTMLElement[] {
  const found = document.querySelectorAll<HTMLElement>("main a[href], main button, main select, main summary, main input:not([type=hidden])");
  const view = document.querySelector("scan-view")?.shadowRoot?.querySelectorAll<HTMLElement>("button") ?? [];
  return [...found, ...view].filter((e) => e.checkVisibility() && !(e as HTMLButtonElement).disabled && e.tabIndex >= 0);
}

/** step moves the focus to the next control or the one before, round and round. */
function step(by: number): void {
  const all = controls();
  if (all.length === 0) return;
  const at = all.indexOf(active() as HTMLElement);
  const to = at < 0 ? (by > 0 ? 0 : all.length - 1) : (at + by + all.length) % all.length;
  all[to].focus();
  all[to].scrollIntoView({ block: "nearest" });
  all[at]?.classList.remove("pointed");
  all[to].classList.add("pointed"); // a focus that a key set is seen
}

/** press lets keys work the page; curtain hides it. */
export function press(curtain: () => void): void {
  document.addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.altKey || e.metaKey) return;
    const t = e.target;
    if (t instanceof HTMLInputElement && t.matches("[data-capture]")) {
      if (e.key === "Tab" || e.key === "Enter" || e.key === "Shift") return;
      e.preventDefault();
      t.value = e.key === "Backspace" || e.key === "Delete" ? "" : e.key;
      return;
    }
    const typing = (t instanceof HTMLInputElement && !["radio", "checkbox", "file", "image"].includes(t.type)) || t instanceof HTMLSelectElement || t instanceof HTMLTextAreaElement;
    const letter = e.key.length === 1;
    if (letter && (typing || (t instanceof Element && t.closest("scan-view") !== null))) return;
    const drawn = document.querySelector<HTMLElement>(".curtain");
    if (drawn !== null) {
      e.preventDefault();
      return drawn.click(); // any key draws it aside
    }
    const act = actionOf(e.key, curtain);
    if (act === undefined) return;
    e.preventDefault();
    act();
  });
}

/** actionOf is what a key does on this page. */
function actionOf(key: string, curtain: () => void): (() => void) | undefined {
  if (key === keyOf(hide) || key === "Pause") return curtain;
  if (key === keyOf(next)) return () => step(1);
  if (key === keyOf(before)) return () => step(-1);
  if (key === keyOf(push)) return () => active()?.click();
  const button = [...document.querySelectorAll<HTMLElement>("[data-key]")].find((b) => keyOf(b.dataset.key ?? "") === key && b.checkVisibility());
  return button && (() => button.click());
}
