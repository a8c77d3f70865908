// What the door gains from a script: digits appear without a way to the server, and the
// page locks itself when nobody touched it. Without the script the digits go through the
// server, and the page leaves by itself after the same time.

/** How often the server hears that somebody is there, at most, ms. */
const tellEvery = 20_000;

/** pad lets the keys of a number pad write into its field. */
export function pad(): void {
  document.addEventListener("click", (e) => {
    const key = e.target instanceof Element ? e.target.closest<HTMLButtonElement>("form[data-pad] button") : null;
    const field = key?.form?.elements.namedItem("proof");
    if (key === null || !(field instanceof HTMLInputElement)) return;
    if (key.name === "digit") {
      if (field.value.length < field.maxLength) field.value += key.value;
    } else if (key.value === "back") {
      field.value = field.value.slice(0, -1);
    } else {
      return; // the whole is sent
    }
    e.preventDefault();
  });
}

/** watch locks the page after a time without a touch; all tabs count as one. */
export function watch(): void {
  const idle = 1000 * Number(document.body.dataset.idle ?? "0");
  if (idle <= 0) return;
  const last = (): number => Number(localStorage.getItem("touched") ?? "0");
  let told = Date.now();
  const touch = (): void => {
    const now = Date.now();
    localStorage.setItem("touched", String(now));
    if (now - told < tellEvery) return;
    told = now;
    void fetch("/awake", { method: "POST" }).catch(() => undefined); // the server is away: it asks again when it is back
  };
  localStorage.setItem("touched", String(Date.now()));
  for (const type of ["pointerdown", "keydown", "wheel"]) document.addEventListener(type, touch, { passive: true, capture: true });
  const timer = setInterval(() => {
    if (Date.now() - last() < idle) return;
    clearInterval(timer);
    const here = location.pathname + location.search;
    document.querySelector("main")?.replaceChildren(); // at once, also where the server is away
    void fetch("/lock", { method: "POST", body: new URLSearchParams({ idle: "1" }) })
      .catch(() => undefined)
      .then(() => location.assign(`/who?to=${encodeURIComponent(here)}`));
  }, 2000);
}
