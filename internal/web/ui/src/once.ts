// A tap that bounces is one tap.

/** How soon after a form was sent the very same is a bounce and no second wish, ms. */
const bounce = 600;

/**
 * Keeps a form from being sent twice by one tap of a glove: the same button with the same
 * fields, again within 600 ms, be it on the page that the first tap brought back.
 */
export function once(): void {
  document.addEventListener("submit", (e) => {
    const form = e.target;
    if (e.defaultPrevented || !(form instanceof HTMLFormElement) || form.method !== "post") return;
    const fields = [...new FormData(form, e.submitter)].map(([k, v]) => `${k}=${typeof v === "string" ? v : v.name}`);
    const to = e.submitter?.getAttribute("formaction") ?? form.getAttribute("action") ?? "";
    const what = hash(`${to} ${fields.join("&")}`);
    const [before, at] = (sessionStorage.getItem("sent") ?? "").split(" ");
    if (before === what && Date.now() - Number(at) < bounce) {
      e.preventDefault();
      return;
    }
    sessionStorage.setItem("sent", `${what} ${Date.now()}`);
  });
}

/** A short name of a text (FNV-1a, 32 bits): what was sent itself is not kept. */
function hash(text: string): string {
  let h = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) h = Math.imul(h ^ text.charCodeAt(i), 0x01000193);
  return (h >>> 0).toString(16);
}
