// Lists of ratings: a row each, in which every quantity is a field of its own, so that an error stands at the one it means.

import { button, h } from "./dom.js";
import { field, group } from "./fields.js";
import { change, state } from "./model.js";
import { pointer, setAt, valueAt } from "./paths.js";

const SUPPLY = [["", "AC"], ["dc", "DC"]];
const DEVICES = [["", "any device"], ["fuse", "a fuse"], ["circuit_breaker", "a breaker"]];
const BREAKING = [["icu", "Icu (IEC 60947-2)"], ["ics", "Ics (IEC 60947-2)"], ["icn", "Icn (IEC 60898-1)"], ["fuse", "of a fuse (IEC 60269)"]];
/** What a new row begins with, of each kind that is no plain current at a voltage. */
const FIRST = {
  let_through: () => ({ available: "", peak: "" }), short_time: () => ({ current: "", duration: "" }),
  series: (at) => ({ ...at, line_side: { device: "fuse" } }), back_up: (at) => ({ ...at, line_side: { device: "fuse" } }),
  conditional: (at) => ({ ...at, protected_by: { device: "fuse" } }),
  breaking: (at) => ({ ...at, kind: "icu" }), breaking_of_a_fuse: (at) => ({ ...at, kind: "fuse" }),
};

/** Return the rows of a list of ratings. kind: interrupting, short_circuit, or one of FIRST. */
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
  const at = { current: "", voltage: state.document.supplies?.[0]?.voltage ?? "" };
  const first = FIRST[kind] ? FIRST[kind](at) : at;
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
  const fields = quantities(path, kind);
  if (kind.startsWith("breaking")) fields.unshift(field([...path, "kind"], "Kind", { type: "choice", choices: BREAKING }));
  if (kind === "short_circuit" || kind === "conditional") fields.push(...behind([...path, "protected_by"], "Holds behind", after));
  if (kind === "conditional") fields.push(field([...path, "coordination"], "Type of coordination", { type: "integer", placeholder: "2" }));
  if (kind === "series" || kind === "back_up") fields.push(...behind([...path, "line_side"], "Line side", after), field([...path, "reference"], "Reference"));
  return h("div", { class: "rating-row", "data-pointer": pointer(path) }, h("span", { class: "wrong" }), fields,
    button("Remove", () => remove(path, after), { class: "quiet", "aria-label": "remove this rating" }));
}

/** Return the fields of the quantities of a rating. */
function quantities(path, kind) {
  const of = (name, label, placeholder) => field([...path, name], label, { placeholder });
  if (kind === "let_through") return [of("available", "Available", "65 kA"), of("peak", "Peak", "21 kA"), of("i2t", "I²t", "900 kA²s"), of("voltage", "Voltage")];
  if (kind === "short_time") return [of("current", "Current", "10 kA"), of("duration", "Duration", "1 s"), of("peak", "Peak", "17 kA")];
  return [of("current", "Current", "65 kA"), of("voltage", "Voltage", "480 V"), field([...path, "supply"], "Supply", { type: "choice", choices: SUPPLY })];
}

/** Return the fields of the device that a rating was tested with. */
function behind(path, title, after) {
  const device = valueAt(state.document, [...path, "device"]);
  const choose = (value) => { if (value === undefined) change((document) => setAt(document, path, undefined), { origin: "field" }); after(); };
  const fields = [field([...path, "device"], title, { type: "choice", choices: DEVICES, onchange: choose })];
  if (device === "fuse") fields.push(field([...path, "fuse_classes"], "Fuse classes", { type: "list", placeholder: "J; CC" }),
    field([...path, "utilization_categories"], "Utilization categories", { type: "list", placeholder: "gG; aM" }));
  if (device === "circuit_breaker") fields.push(field([...path, "parts"], "Parts", { type: "list" }));
  if (device) fields.push(field([...path, "max_ampere_rating"], "Most amperes", { placeholder: "30 A" }));
  return fields;
}
