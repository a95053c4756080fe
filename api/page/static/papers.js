// The nameplate and the report: of a record, since both name the rating that they are of. Making one keeps a record.

import { button, byId, fill, h, saveFile, say } from "./dom.js";
import { openDialog, trying } from "./dialogs.js";
import { state } from "./model.js";
import { address, ask, askJson, post, step } from "./service.js";

let kept = null;  // the record of the document that is shown, so that a second look makes no second record

export function startPapers() {
  byId("nameplate").addEventListener("click", () => open("nameplate"));
  byId("report").addEventListener("click", () => open("report"));
}

async function open(which) {
  const told = h("div", { class: "told" });
  const { body } = openDialog("Papers", told);
  await trying(told, async () => show(await recordOfNow(), state.document.panel.designation, which, body));
}

/** Show the papers of a record. */
export function papersOf(record, designation) {
  const { body } = openDialog(`Papers of ${designation ?? "the record"}`);
  show(record, designation, "nameplate", body);
}

async function recordOfNow() {
  const text = JSON.stringify(state.document);
  if (kept?.text !== text) {
    const answer = await post("/v1/ratings?record=true", state.document, { headers: { "Idempotency-Key": `"${crypto.randomUUID()}"` } });
    kept = { text, id: (await answer.json()).id };
  }
  return kept.id;
}

function show(record, designation, which, body) {
  const told = h("div", { class: "told" });
  const preview = h("div", { class: "preview" });
  const nameplate = which === "nameplate";
  const download = (format, words) => button(words, () => trying(told, () => save(record, designation, which, format)), { "data-format": format, class: "main" });
  const other = button(nameplate ? "Report instead" : "Nameplate instead", () => show(record, designation, nameplate ? "report" : "nameplate", body), { class: "quiet" });
  fill(body, h("h3", {}, nameplate ? "Nameplate" : "Report"), h("p", { class: "hint" }, `Of record ${record}, which never changes.`), told,
    h("p", { class: "row" }, nameplate ? [download("png", "Download PNG"), download("pdf", "Download PDF"), download("svg", "Download SVG")] : [download("pdf", "Download PDF"), download("html", "Download HTML"), download("markdown", "Download text")], other),
    preview);
  trying(told, () => look(record, which, preview));
}

const place = (record, which, format) => address(`/v1/records/${step(record)}/${which}`, { format, symbols: which === "report" ? state.symbols : undefined });

/** Show the paper. The report stands in a frame in which no script runs; the policy of the page lets its style in, no other. */
async function look(record, which, preview) {
  const nameplate = which === "nameplate";
  const answer = await ask(place(record, which, nameplate ? "svg" : "html"), { accept: "*/*" });
  const shown = URL.createObjectURL(await answer.blob());
  fill(preview, nameplate ? h("img", { src: shown, alt: `nameplate, ${state.rating?.rating?.text ?? ""}` }) : h("iframe", { src: shown, sandbox: "", title: "the report" }));
}

async function save(record, designation, which, format) {
  const answer = await ask(place(record, which, format), { accept: "*/*" });
  const name = `${String(designation ?? record).replace(/[^\p{L}\p{N}._-]+/gu, "_")} ${which}.${format === "markdown" ? "md" : format}`;
  saveFile(await answer.blob(), name);
  say(`${name} was downloaded`);
}

export const lookUp = (record) => askJson(`/v1/records/${step(record)}`);
