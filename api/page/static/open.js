// Beginning: a demo, a file, a paste, a table of components, nothing at all.

import { button, byId, fill, h, say, saveFile } from "./dom.js";
import { openDialog, trying } from "./dialogs.js";
import { emptyPanel } from "./editing.js";
import { begin, note, on, setView, state } from "./model.js";
import { ask, askJson, pageFile, step } from "./service.js";
import { importTable, isTable } from "./tables.js";

export function startOpening() {
  byId("open").addEventListener("click", () => openDialog("Open a panel", ways("h3")));
  byId("save").addEventListener("click", save);
  on("document", showStart);
  addEventListener("dragover", (event) => { event.preventDefault(); document.body.classList.add("dropping"); });
  addEventListener("dragleave", (event) => { if (event.relatedTarget === null) document.body.classList.remove("dropping"); });
  addEventListener("drop", dropped);
  addEventListener("paste", pasted);
  showStart();
}

function showStart() {
  const none = !state.document;
  document.body.classList.toggle("begun", !none);
  byId("start").hidden = !none;
  for (const id of ["save", "keep", "nameplate", "report", "undo", "redo"]) byId(id).hidden = none;
  byId("work").hidden = none;
  if (none && !byId("start").hasChildNodes()) fill(byId("start"), h("h1", {}, "What holds a panel down?"), h("p", { class: "lead" }, "Open one, or begin with nothing. The rating, what limits it, and every step that led there follow as you go."), ways("h2"));
}

/** Return the ways to begin, under headings of the level that they stand at. */
function ways(level) {
  const told = h("div", { class: "told" });
  const demos = h("ul", { class: "demos" }, h("li", {}, "…"));
  trying(told, async () => fill(demos, (await pageFile("demos.json")).map((demo) => card(demo, told))));
  const choose = h("input", { type: "file", id: "file", accept: ".json,.csv,.xlsx,application/json,text/csv", onchange: (event) => openFile(event.target.files[0], told) });
  const text = h("textarea", { id: "paste", rows: 4, spellcheck: "false", "aria-label": "a panel document to paste", oninput: () => note("paste", text.value) });
  text.value = state.notes.paste ?? "";
  return h("div", { class: "ways" }, told,
    h("section", {}, h(level, {}, "Your own"),
      h("p", {}, button("Begin with nothing", () => start(emptyPanel(), "the empty panel", "parts"), { id: "new", class: "main" })),
      h("p", { class: "file" }, h("label", { for: "file" }, "A file: a panel (JSON), or a table of its components (CSV, XLSX)"), choose),
      h("p", {}, "Files can also be dropped anywhere on the page."),
      h("details", {}, h("summary", {}, "Paste a document"), text, button("Open what is pasted", () => openText(text.value, "the pasted document", told), { id: "open-pasted" }))),
    h("section", {}, h(level, {}, "Demo panels"), h("p", { class: "hint" }, "Of a grain-handling line; every part in them is invented."), demos));
}

function card(demo, told) {
  const size = `${demo.document.components.length} components`;
  return h("li", {}, h("button", { type: "button", "data-demo": demo.name, onclick: () => openDemo(demo, told) }, h("b", {}, demo.title.includes(`${demo.document.components.length} `) ? demo.title : `${demo.title} (${size})`), h("span", {}, demo.teaches)));
}

/** Open a demo. Its parts come into a catalogue that is empty; one that has parts is somebody's, who is asked first. */
async function openDemo(demo, told) {
  await trying(told, async () => {
    const empty = (await askJson("/v1/parts?limit=1")).catalogue_version === null;
    if (empty) await bringParts().catch((error) => { if (error.status !== 403) throw error; });  // not everybody may
    if (empty || (await hasParts(demo.document))) openAsItIs(demo);
    else askForParts(demo);
    if (empty) say("The catalogue was empty. The invented parts of the demo panels are in it now.");
  });
}

const openAsItIs = (demo) => start(demo.document, `the demo ${demo.document.panel.designation}`, "limits");

async function bringParts() {
  const parts = await pageFile("demo-catalogue.json");
  await ask("/v1/catalogue/import?note=demo%20parts", { method: "POST", body: JSON.stringify(parts) });
}

async function hasParts(document) {
  const named = document.components.find((each) => each.part)?.part;
  if (!named) return true;
  return ask(`/v1/parts/${step(named)}`).then(() => true, (error) => { if (error.status === 404) return false; throw error; });
}

function askForParts(demo) {
  const told = h("div", { class: "told" });
  openDialog("The demo's parts", h("p", {}, "The catalogue holds parts, but not the invented ones that the demo panels are built of."), told,
    h("p", { class: "row" }, button("Add the invented parts", () => trying(told, async () => { await bringParts(); openAsItIs(demo); }), { id: "bring-parts" }),
      button("Open it without them", () => openAsItIs(demo), { class: "main" })));
}

export function start(document, label, tab) {
  note("paste", "");
  begin(document, { document, label, rating: null });
  const dialog = byId("dialog");
  if (dialog.open) dialog.close();
  setView("tab", tab);
  byId("verdict").focus({ preventScroll: true });
  scrollTo(0, 0);
}

async function openFile(file, told) {
  if (!file) return;
  if (isTable(file.name)) return trying(told, () => importTable(file));
  openText(await file.text(), file.name, told);
}

function openText(text, label, told) {
  trying(told, async () => {
    let document;
    try { document = JSON.parse(text); } catch (error) { throw new Error(`This is no JSON: ${error.message}`); }
    if (document === null || typeof document !== "object" || Array.isArray(document)) throw new Error("This is JSON, but no panel document: it begins with { \"format\": \"panel/1\" …");
    // A stored panel or record holds the document that is meant.
    start(document.document?.format === "panel/1" ? document.document : document, label, "limits");
  });
}

function dropped(event) {
  event.preventDefault();
  document.body.classList.remove("dropping");
  const file = event.dataTransfer.files[0];
  if (!file) return;
  const told = h("div", { class: "told" });
  if (!isTable(file.name) || !state.document) openDialog(file.name, told);
  openFile(file, told);
}

/** A document pasted outside of any field is opened. */
function pasted(event) {
  if (event.target.closest("input, textarea, select, dialog")) return;
  const text = event.clipboardData.getData("text/plain").trim();
  if (!text.startsWith("{")) return;
  event.preventDefault();
  const { body } = openDialog("Open what was pasted?");
  const told = h("div", { class: "told" });
  fill(body, told, button("Open it", () => openText(text, "the pasted document", told), { class: "main" }));
}

function save() {
  const name = String(state.document.panel?.designation ?? "panel").replace(/[^\p{L}\p{N}._-]+/gu, "_");
  saveFile(JSON.stringify(state.document, null, 2), `${name}.json`, "application/json");
  say(`${name}.json was saved`);
}
