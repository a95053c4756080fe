// Lists of ratings: a row each, in which every quantity is a field of its own, so that an error stands at the one it means.

import { button, h } from "./dom.js";
import { field, group } from "./fields.js";
import { change, state } from "./model.js";
import { pointer, setAt, valueAt } from "./paths.js";

const SUPPLY = [["", "AC"], ["dc", "DC"]];
const DEVICES = [["", "any device"], ["fuse", "a fuse"], ["circuit_breaker", "a breaker"]];

/** Return the rows of a list of ratings. kind: interrupting, short_circuit, series or let_through. */
export function ratingRows(path, title, kind) {
  const rows = valueAt(state.document, path);
  const list = Array.isArray(rows) ? rows : [];
  const place = group(title, path, list.map((_, number) => row([...path, number], kind, () => again(place, path, title, kind))));
  place.append(button(list.length ? "Add another" : "Add", () => add(path, kind, () => again(place, path, title, kind)), { class: "quiet" }));
  return place;
}

function again(place, path, title, kind) {
  const fresh = ratingRows(path, title, kind);
  place.replaceWith(fresh);
  fresh.querySelector("input, button")?.focus();
}

function add(path, kind, after) {
  const first = kind === "let_through" ? { available: "", peak: "" } : { current: "", voltage: state.document.supplies?.[0]?.voltage ?? "" };
  if (kind === "series") first.line_side = { device: "fuse" };
  change((document) => {
    if (!Array.isArray(valueAt(document, path))) setAt(document, path, []);
    valueAt(document, path).push(first);
  }, { origin: "field" });
  after();
}

function remove(path, after) {
  change((document) => {
    setAt(document, path, undefined);
    const list = path.slice(0, -1);
    if (!valueAt(document, list).length) setAt(document, list, undefined);
  }, { origin: "field" });
  after();
}

function row(path, kind, after) {
  const fields = kind === "let_through"
    ? [field([...path, "available"], "Available", { placeholder: "65 kA" }), field([...path, "peak"], "Peak", { placeholder: "21 kA" }),
       field([...path, "i2t"], "I²t", { placeholder: "900 kA²s" }), field([...path, "voltage"], "Voltage")]
    : [field([...path, "current"], "Current", { placeholder: "65 kA" }), field([...path, "voltage"], "Voltage", { placeholder: "480 V" }),
       field([...path, "supply"], "Supply", { type: "choice", choices: SUPPLY })];
  if (kind === "short_circuit") fields.push(...behind([...path, "protected_by"], "Holds behind", after));
  if (kind === "series") fields.push(...behind([...path, "line_side"], "Line side", after), field([...path, "reference"], "Reference"));
  return h("div", { class: "rating-row", "data-pointer": pointer(path) }, h("span", { class: "wrong" }), fields,
    button("Remove", () => remove(path, after), { class: "quiet", "aria-label": "remove this rating" }));
}

/** Return the fields of the device that a rating was tested with. */
function behind(path, title, after) {
  const device = valueAt(state.document, [...path, "device"]);
  const choose = (value) => { if (value === undefined) change((document) => setAt(document, path, undefined), { origin: "field" }); after(); };
  const fields = [field([...path, "device"], title, { type: "choice", choices: DEVICES, onchange: choose })];
  if (device === "fuse") fields.push(field([...path, "fuse_classes"], "Fuse classes", { type: "list", placeholder: "J; CC" }));
  if (device === "circuit_breaker") fields.push(field([...path, "parts"], "Parts", { type: "list" }));
  if (device) fields.push(field([...path, "max_ampere_rating"], "Most amperes", { placeholder: "30 A" }));
  return fields;
}
