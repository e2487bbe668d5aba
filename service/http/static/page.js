"use strict";

// Sends the survey to this service and shows its sheets. Text only ever enters through textContent; drawings are
// shown as images, in which nothing runs.

const DOCUMENTS = [
  ["text/html", "report.html", "Report (page)"],
  ["application/pdf", "report.pdf", "Report (PDF)"],
  ["text/csv", "bill.csv", "Bill of materials (CSV)"],
  ["image/vnd.dxf", "drawings.dxf", "Drawings (DXF)"],
  ["application/vnd.heater-siting.geometry+json", "geometry.json", "Geometry (local metres)"],
];
const byId = (id) => document.getElementById(id);
let fileName = "survey.json";

function element(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  for (const child of children) made.append(child);
  return made;
}

function quoted(word) {
  return /^[\w./-]+$/.test(word) ? word : "'" + word.replace(/'/g, "'\\''") + "'";
}

function showCommand() {
  const key = byId("key").value ? " -H 'Authorization: Bearer YOUR-KEY'" : "";
  byId("curl").textContent = "curl -s -H 'Content-Type: application/json' -H 'Accept: image/svg+xml'" + key +
    " --data-binary " + quoted("@" + fileName) + " " + location.origin + "/v1/sheets > sheets.svg";
}

async function ask(accept) {
  const headers = { "Content-Type": "application/json", "Accept": accept };
  if (byId("key").value) headers["Authorization"] = "Bearer " + byId("key").value;
  const response = await fetch("/v1/sheets", { method: "POST", headers, body: byId("survey").value });
  if (!response.ok) throw await problemOf(response);
  return response;
}

async function problemOf(response) {
  try {
    return await response.json();
  } catch {
    return { title: "The service answered " + response.status, detail: "" };
  }
}

function say(text, bad = false) {
  byId("status").textContent = text;
  byId("status").classList.toggle("bad", bad);
}

function clear() {
  for (const image of byId("sheets").querySelectorAll("img")) URL.revokeObjectURL(image.src);
  for (const id of ["faults", "documents", "sheets"]) byId(id).replaceChildren();
}

function showProblem(problem) {
  say((problem.title || "The service could not be reached") + ". " + (problem.detail || problem.message || ""), true);
  const faults = (problem.errors || []).map((f) => element("li", {}, f.pointer + ": " + f.detail));
  if (faults.length) byId("faults").append(element("ul", {}, ...faults));
}

function showSheets(answer) {
  say(answer.verdict + ".", !["optimal", "feasible"].includes(answer.status));
  const warnings = answer.warnings.map((text) => element("li", {}, text));
  if (warnings.length) byId("faults").append(element("p", {}, "To be looked at:"), element("ul", {}, ...warnings));
  for (const [media, name, words] of DOCUMENTS) {
    const button = element("button", { type: "button" }, words);
    button.addEventListener("click", () => working(button, () => download(media, name)));
    byId("documents").append(button);
  }
  for (const sheet of answer.sheets) {
    const address = URL.createObjectURL(new Blob([sheet.svg], { type: "image/svg+xml" }));
    byId("sheets").append(element("figure", { tabindex: "0", "aria-label": sheet.title },
      element("figcaption", {}, sheet.about), element("img", { src: address, alt: sheet.about })));
  }
}

async function download(media, name) {
  const address = URL.createObjectURL(await (await ask(media)).blob());
  element("a", { href: address, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 10000);
}

async function working(button, work) {
  const began = Date.now();
  const before = byId("status").textContent;
  const clock = setInterval(() => say("Working, " + Math.round((Date.now() - began) / 1000) + " s."), 1000);
  button.disabled = true;
  say("Working.");
  try {
    await work();
    if (byId("status").textContent.startsWith("Working")) say(before);
  } catch (problem) {
    showProblem(problem);
  } finally {
    clearInterval(clock);
    button.disabled = false;
  }
}

async function take(file) {
  fileName = file.name;
  byId("survey").value = await file.text();
  showCommand();
}

byId("form").addEventListener("submit", (event) => {
  event.preventDefault();
  clear();
  byId("answer").scrollIntoView();
  working(byId("draw"), async () => showSheets(await (await ask("application/json")).json()));
});
byId("file").addEventListener("change", (event) => { if (event.target.files.length) take(event.target.files[0]); });
// browsers let pages copy only where the connection is safe
byId("copy").hidden = !navigator.clipboard;
byId("copy").addEventListener("click", async () => {
  await navigator.clipboard.writeText(byId("curl").textContent);
  byId("copy").textContent = "Copied";
});
byId("key").addEventListener("input", showCommand);
byId("example").addEventListener("click", async () => {
  byId("survey").value = await (await fetch("/docs/smoke_survey.json")).text();
});
for (const [name, over] of [["dragenter", true], ["dragover", true], ["dragleave", false], ["drop", false]]) {
  byId("drop").addEventListener(name, (event) => {
    event.preventDefault();
    byId("drop").classList.toggle("over", over);
    if (name === "drop" && event.dataTransfer.files.length) take(event.dataTransfer.files[0]);
  });
}
showCommand();
