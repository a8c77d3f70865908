// Putting right by touch what the check took for something else: a tap on a tooth leads to
// its numbers; taps on the margin are gathered until they are sent. Without the model the
// same page works with a still picture.

type Place = [number, number, number];

interface View extends HTMLElement {
  marks: Place[];
}

/** correct lets taps on the model do what the page asks for. */
export function correct(): void {
  const what = document.querySelector<HTMLElement>("main[data-correct]")?.dataset.correct;
  if (what === undefined) return;
  const form = document.querySelector<HTMLFormElement>("form[data-points]");
  const fields = (): HTMLInputElement[] => [...(form?.querySelectorAll<HTMLInputElement>('input[name="p"]') ?? [])];
  const text = (at: Place): string => at.map((x) => x.toFixed(4)).join(",");
  const show = (): void => {
    const n = fields().length;
    const view = document.querySelector<View>("scan-view");
    if (view !== null) view.marks = fields().map((f) => f.value.split(",").map(Number) as Place);
    const count = form?.querySelector<HTMLElement>("[data-count]");
    if (count) count.textContent = (count.dataset.count ?? "").replace("%", String(n));
    for (const b of form?.querySelectorAll<HTMLButtonElement>("[data-least]") ?? []) b.disabled = n < Number(b.dataset.least);
  };
  document.addEventListener("point", (e) => {
    const { role, at } = (e as CustomEvent<{ role: string; at: Place }>).detail;
    if (what === "tooth") {
      const to = new URLSearchParams(location.search);
      for (const [k, v] of Object.entries({ what, role, p: text(at) })) to.set(k, v);
      location.assign(`?${to.toString()}`);
      return;
    }
    if (form === null || role !== document.getElementById("model")?.dataset.role) return;
    const f = document.createElement("input");
    f.type = "hidden";
    f.name = "p";
    f.value = text(at);
    form.append(f);
    show();
  });
  document.addEventListener("click", (e) => {
    if (!(e.target instanceof Element) || e.target.closest("[data-fewer]") === null || document.querySelector("scan-view") === null) return;
    e.preventDefault();
    fields().pop()?.remove();
    show();
  });
}
