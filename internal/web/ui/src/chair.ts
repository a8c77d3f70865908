// What the pages at the chair gain from a script: files are sent where they are dropped,
// the answer appears by itself, keys do what buttons do, and a curtain hides the screen.
// Everything works without it, only less by itself.

import { correct } from "./correct";
import { pad, watch } from "./door";
import { press } from "./keys";
import { once } from "./once";

/** What the stream says of a case; internal/web/stream.go writes it. */
interface Note {
  n?: number;
  phase?: string;
}

const words = document.body.dataset;

/** send posts a form that holds files, saying how far it is, and goes where the answer leads. */
function send(form: HTMLFormElement, files?: FileList): void {
  const body = new FormData(form);
  if (files !== undefined) {
    body.delete("scans");
    for (const f of files) body.append("scans", f, f.name);
  }
  const status = form.querySelector("[data-status]");
  const request = new XMLHttpRequest();
  const say = (text: string): void => {
    if (status !== null) status.textContent = text;
  };
  request.upload.addEventListener("progress", (e) => {
    if (e.lengthComputable) say(`${words.sending ?? ""} ${Math.round((100 * e.loaded) / e.total)} %`);
  });
  request.upload.addEventListener("load", () => say(words.sent ?? ""));
  request.addEventListener("load", () => {
    const to = request.responseURL;
    const main = document.querySelector<HTMLElement>("main[data-case]");
    if (request.status < 400 && main !== null && new URL(to).pathname === location.pathname) {
      say("");
      void refresh();
    } else if (request.status < 400) {
      location.assign(to);
    } else {
      show(request.responseText);
    }
  });
  request.addEventListener("error", () => say("×"));
  request.open("POST", form.action);
  request.send(body);
}

/** show puts a page that the server answered with in the place of this one's content. */
function show(html: string): void {
  const next = new DOMParser().parseFromString(html, "text/html").querySelector("main");
  const now = document.querySelector("main");
  if (next !== null && now !== null) now.replaceWith(next);
}

/** fresh finds the content of a page that is kept fresh: a case, or the list of cases. */
const fresh = "main[data-case], main[data-stream]";

let refreshing = false;
let again = false;

/** refresh fetches the page and puts in what changed; the model stays unless it is another. */
async function refresh(): Promise<void> {
  if (refreshing) {
    again = true;
    return;
  }
  refreshing = true;
  try {
    const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
    const next = new DOMParser().parseFromString(await answer.text(), "text/html");
    const main = document.querySelector<HTMLElement>(fresh);
    const nextMain = next.querySelector<HTMLElement>(fresh);
    if (main !== null && nextMain === null) location.assign(answer.url); // somebody has to show who they are
    if (main === null || nextMain === null) return;
    const focus = place(document.activeElement);
    const open = [...document.querySelectorAll("details.more-about")].map((d) => d.hasAttribute("open"));
    for (const id of ["live", "live-rest"]) {
      const old = document.getElementById(id);
      const now = next.getElementById(id);
      if (old !== null && now !== null && old.innerHTML !== now.innerHTML) old.replaceWith(now);
    }
    document.querySelectorAll("details.more-about").forEach((d, i) => {
      if (open[i] === true) d.setAttribute("open", "");
    });
    for (const [k, v] of Object.entries(nextMain.dataset)) main.dataset[k] = v;
    const bar = document.querySelector("header.bar");
    const nextBar = next.querySelector("header.bar");
    if (bar !== null && nextBar !== null) bar.replaceWith(nextBar);
    document.title = next.title;
    const model = document.getElementById("model");
    const nextModel = next.getElementById("model");
    if (model !== null && nextModel !== null && model.dataset.scene !== nextModel.dataset.scene) {
      model.replaceWith(nextModel);
      draw();
    }
    tick();
    if (focus !== "") document.querySelector<HTMLElement>(focus)?.focus();
  } catch {
    // The server is away: the stream tells when it is back.
  } finally {
    refreshing = false;
    if (again) {
      again = false;
      void refresh();
    }
  }
}

/** place names an element by what survives a refresh; "" for none. */
function place(e: Element | null): string {
  if (e instanceof HTMLButtonElement && e.name !== "") return `button[name="${e.name}"][value="${CSS.escape(e.value)}"]`;
  if (e instanceof HTMLAnchorElement) return `a[href="${CSS.escape(e.getAttribute("href") ?? "")}"]`;
  return "";
}

/** draw puts the three-dimensional view where the page has a scene for it. */
function draw(): void {
  const box = document.getElementById("model");
  const scene = box?.dataset.scene;
  if (box === null || scene === undefined || box.childElementCount > 0) return;
  void (async () => {
    try {
      const table = await (await fetch(box.dataset.words ?? "")).text();
      const bundle = "/ui/scan-view.js"; // a name of its own: it is loaded only here
      await import(bundle);
      const view = document.createElement("scan-view");
      view.setAttribute("words", table);
      view.setAttribute("lang", document.documentElement.lang);
      view.setAttribute("src", scene);
      for (const [name, value] of [["pick", box.dataset.pick], ["only", box.dataset.role]] as const) if (value !== undefined) view.setAttribute(name, value);
      view.addEventListener("nowebgl", () => {
        const p = document.createElement("p");
        p.className = "soft";
        p.textContent = box.dataset.dark ?? "";
        box.replaceChildren(p);
        document.documentElement.classList.add("flat-ground"); // the stills take its place
      });
      box.append(view);
    } catch {
      box.textContent = box.dataset.dark ?? "";
      document.documentElement.classList.add("flat-ground");
    }
  })();
}

/** listen keeps the page fresh. The browser connects again by itself, also after a restart. */
function listen(): void {
  const list = document.querySelector<HTMLElement>("main[data-stream]");
  if (list !== null) {
    const all = new EventSource(list.dataset.stream ?? "");
    all.addEventListener("message", () => void refresh());
    all.addEventListener("error", () => refused(all));
    return;
  }
  const main = document.querySelector<HTMLElement>("main[data-case]");
  if (main === null) return;
  const stream = new EventSource(`/case/${encodeURIComponent(main.dataset.case ?? "")}/stream`);
  stream.addEventListener("message", (e: MessageEvent<string>) => {
    const note = JSON.parse(e.data) as Note;
    const shown = Number(document.querySelector<HTMLElement>("main[data-case]")?.dataset.n ?? "0");
    if (note.phase !== undefined || note.n === undefined || note.n !== shown) void refresh();
  });
  stream.addEventListener("error", () => refused(stream));
}

/** refused looks at the page again where its stream was refused: it may have been locked. */
function refused(stream: EventSource): void {
  if (stream.readyState === EventSource.CLOSED) void refresh();
}

/** curtain hides everything until somebody taps or presses a key; measuring goes on. */
function curtain(): void {
  if (document.querySelector(".curtain") !== null) return;
  const c = document.createElement("button");
  c.className = "curtain";
  c.textContent = words.curtain ?? "";
  c.addEventListener("click", () => c.remove());
  document.body.append(c);
  c.focus();
}

/** tick counts every clock on the page up, by the server's time, and says what it is time for. */
function tick(): void {
  for (const clock of document.querySelectorAll<HTMLElement>("[data-clock]")) {
    const d = clock.dataset;
    d.offset ??= String(Date.now() - Number(d.now));
    const gone = Math.max(0, (Date.now() - Number(d.offset) - Number(d.since)) / 1000);
    const least = Number(d.least);
    const most = Number(d.most);
    const whole = Math.floor(gone);
    const time = clock.querySelector("[data-time]");
    if (time !== null) time.textContent = `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
    const now = most === 0 || gone < least ? "before" : gone < most ? "between" : "after";
    if (clock.dataset.at !== now) {
      clock.dataset.at = now;
      const say = clock.querySelector("[data-say]");
      if (say !== null) say.textContent = most === 0 ? "" : (d[now] ?? "");
    }
    const sulcus = clock.classList.contains("sulcus");
    const first = sulcus ? 44.4 : 50; // where the two posts stand
    const second = sulcus ? 66.7 : 90;
    let x = second + ((gone - most) / Math.max(most, 1)) * (100 - second);
    if (gone < least) x = (gone / Math.max(least, 1)) * first;
    else if (gone < most) x = first + ((gone - least) / (most - least)) * (second - first);
    clock.querySelector("[data-gone]")?.setAttribute("width", Math.min(100, most === 0 ? 0 : x).toFixed(1));
  }
}

document.documentElement.classList.add("js");
setInterval(tick, 250);
tick();
for (const type of ["dragover", "dragenter"]) {
  document.addEventListener(type, (e) => {
    e.preventDefault();
    document.querySelector("[data-drop]")?.classList.add("over");
  });
}
document.addEventListener("dragleave", (e) => {
  if (e.relatedTarget === null) document.querySelector("[data-drop]")?.classList.remove("over");
});
document.addEventListener("drop", (e) => {
  e.preventDefault();
  const form = document.querySelector<HTMLFormElement>("form[data-drop]");
  form?.classList.remove("over");
  if (form !== null && e.dataTransfer !== null && e.dataTransfer.files.length > 0) send(form, e.dataTransfer.files);
});
document.addEventListener("change", (e) => {
  const t = e.target;
  if (t instanceof HTMLInputElement && t.matches("[data-send]") && t.form !== null && t.files !== null && t.files.length > 0) {
    send(t.form, t.files);
  } else if (t instanceof HTMLSelectElement && t.matches("[data-change]")) {
    t.form?.requestSubmit();
  }
});
listen();
draw();
correct();
press(curtain);
pad();
once();
watch();
