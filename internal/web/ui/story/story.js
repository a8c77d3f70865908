// What a page does with the element's events, noted where a test can read it.
const noted = [];
window.noted = noted;
for (const kind of ["point", "choose", "nowebgl", "failed"]) {
  document.addEventListener(kind, (e) => {
    noted.push({ kind, detail: e.detail });
    if (kind === "nowebgl") document.getElementById("stills").hidden = false;
  });
}
document.querySelector("scan-view").addEventListener("drawn", (e) => {
  noted.push({ kind: "drawn", detail: e.detail });
});
document.addEventListener("securitypolicyviolation", (e) => noted.push({ kind: "csp", detail: e.violatedDirective + " " + e.blockedURI }));
addEventListener("error", (e) => noted.push({ kind: "error", detail: e.message }));
addEventListener("unhandledrejection", (e) => noted.push({ kind: "error", detail: String(e.reason) }));
