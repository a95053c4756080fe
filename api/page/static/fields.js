// Fields bound to a place in the document: what is typed is in it at once, and what the service says of it stands below.

import { button, fill, h } from "./dom.js";
import { change, on, state, tell } from "./model.js";
import { baseValue, isNew, pointer, same, setAt, valueAt } from "./paths.js";

let numbered = 0;

export function startFields() {
  on("errors", showErrors);
}

/**
 * Return a field with its label.
 * type: text, integer, choice (with choices [[value, words]]), flag, list, date; hint: what to write.
 */
export function field(path, label, { type = "text", choices = [], hint = null, placeholder = null, list = null, onchange = null } = {}) {
  const id = `field-${(numbered += 1)}`;
  const value = valueAt(state.document, path);
  const settle = (written) => { store(path, written); marks(); onchange?.(written); };
  const input = control(id, type, value, choices, { placeholder, list }, settle);
  input.setAttribute("aria-describedby", `${id}-told`);
  const changed = h("span", { class: "was" });
  const marks = () => fill(changed, was(path, input, type, settle));
  marks();
  const told = h("span", { class: "told", id: `${id}-told` }, hint && h("span", { class: "hint" }, hint), h("span", { class: "wrong" }));
  const name = h("label", { for: id }, label);
  return h("div", { class: `field type-${type}`, "data-pointer": pointer(path) }, name, input, changed, told);
}

function control(id, type, value, choices, { placeholder, list }, settle) {
  if (type === "choice" || type === "flag") {
    const options = type === "flag" ? [["", "not stated"], ["true", "yes"], ["false", "no"]] : choices;
    const now = value === undefined ? "" : String(value);
    const unknown = now && !options.some(([each]) => each === now) ? [[now, now]] : [];  // what was typed stays to be seen
    const read = (text) => (text === "" ? undefined : type === "flag" ? text === "true" : text);
    return h("select", { id, onchange: (event) => settle(read(event.target.value)) },
      [...options, ...unknown].map(([each, words]) => h("option", { value: each, selected: each === now }, words)));
  }
  const input = h("input", { id, type: type === "date" ? "date" : "text", autocomplete: "off", spellcheck: "false", placeholder, list });
  input.value = written(value, type);
  input.addEventListener("input", () => settle(read(input.value, type)));
  return input;
}

function written(value, type) {
  if (value === undefined || value === null) return "";
  if (type === "list" && Array.isArray(value)) return value.join("; ");
  return typeof value === "object" ? JSON.stringify(value) : String(value);
}

function read(text, type) {
  if (text.trim() === "") return undefined;
  if (type === "integer" && /^[0-9]{1,9}$/.test(text.trim())) return Number(text);
  if (type === "list") return text.split(";").map((each) => each.trim()).filter(Boolean);
  return text;  // not what is wanted, perhaps: the service says so, in its words, at this field
}

function store(path, value) {
  change((document) => setAt(document, path, value), { key: pointer(path), origin: "field" });
}

/** Return what a field was before, with a way back; nothing where it is as it was. */
function was(path, input, type, settle) {
  if (!state.base || isNew(path[0], state.document?.[path[0]]?.[path[1]]?.id)) return null;
  const before = baseValue(path);
  const now = valueAt(state.document, path);
  if (same(before ?? null, now ?? null)) return null;
  const words = before === undefined ? "not stated" : written(before, type);
  return [`was ${words} `, button("put back", () => { input.value = written(before, type); settle(before); input.focus(); }, { class: "quiet" })];
}

/** Put each error of the service where its pointer leads, or at the nearest field around it. */
export function showErrors() {
  for (const wrong of document.querySelectorAll(".field .wrong, .fields > .wrong")) wrong.textContent = "";
  for (const input of document.querySelectorAll("[aria-invalid]")) input.removeAttribute("aria-invalid");
  for (const error of state.errors) {
    const place = nearest(error.pointer);
    if (!place) continue;
    const wrong = place.querySelector(":scope > .told > .wrong, :scope > .wrong");
    if (wrong) wrong.textContent = wrong.textContent ? `${wrong.textContent} ${error.detail}` : error.detail;
    place.querySelector("input, select")?.setAttribute("aria-invalid", "true");
  }
}

function nearest(at) {
  for (let part = at; part; part = part.slice(0, part.lastIndexOf("/"))) {
    const found = document.querySelector(`[data-pointer="${CSS.escape(part)}"]`);
    if (found) return found;
  }
  return null;
}

/** Give the focus to the field of a pointer. */
export function focusField(at) {
  const place = nearest(at);
  const input = place?.querySelector("input, select, button");
  input?.focus();
  place?.scrollIntoView({ block: "center" });
  return Boolean(input);
}

/** Return fields as a group with a name; errors of the group itself stand below the name. */
export function group(title, path, ...fields) {
  return h("fieldset", { class: "fields", "data-pointer": path ? pointer(path) : null }, h("legend", {}, title), h("span", { class: "wrong" }), ...fields);
}

export const rerender = () => tell("fields");
