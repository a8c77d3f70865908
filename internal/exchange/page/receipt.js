// Makes a receipt of what was filled in, as a file to send back. Nothing leaves the page.
"use strict";
(() => {
  const about = JSON.parse(document.getElementById("about").textContent);
  const form = document.getElementById("receipt");
  form.addEventListener("submit", (e) => {
    e.preventDefault();
    const f = new FormData(form), get = (k) => String(f.get(k) || "").trim();
    if (get("answer") !== "accept" && !get("reason")) {
      document.getElementById("said").textContent = about.why;
      form.elements.reason.focus();
      return;
    }
    const r = { schema: about.schema, parcel: about.parcel, answer: get("answer"), by: get("by"), at: new Date().toISOString().replace(/\.\d+Z$/, "Z") };
    if (get("answer") !== "accept") r.reason = get("reason");
    for (const k of ["text", "due"]) if (get(k)) r[k] = get(k);
    const a = document.createElement("a");
    a.href = URL.createObjectURL(new Blob([JSON.stringify(r, null, 2) + "\n"], { type: "application/json" }));
    a.download = about.name;
    a.click();
    document.getElementById("said").textContent = about.saved;
  });
})();
