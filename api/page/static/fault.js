// The available fault current of a supply, from its source, transformer and conductors: a small form and the run as a curve.

import { button, fill, h, say } from "./dom.js";
import { trying } from "./dialogs.js";
import { curve } from "./curve.js";
import { change, note, state, supplies } from "./model.js";
import { post } from "./service.js";

const FIELDS = {
  utility: [["available", "Fault level", "500 MVA"], ["voltage", "Voltage", "13.8 kV"], ["x_over_r", "X/R", "10"]],
  transformer: [["kva", "Size", "1000 kVA"], ["primary", "Primary", "13.8 kV"], ["secondary", "Secondary", "480Y/277 V"], ["impedance", "Impedance", "5.75 %"], ["x_over_r", "X/R", "6"]],
  conductor: [["size", "Size", "500 kcmil"], ["material", "Material", "copper"], ["conduit", "Conduit", "steel"], ["sets", "Sets", "2"], ["length", "Length", "164 ft"]],
};
const WORDS = { utility: "Utility", transformer: "Transformer", conductor: "Conductors" };
const NUMBERS = new Set(["x_over_r", "sets"]);
/** The run is cut into so many pieces: one answer then holds a value for each point of the curve. */
const PIECES = 12;

/** Return the form for a supply. What is typed in it is kept with the draft. */
export function faultForm(number) {
  const id = supplies()[number].id;
  const typed = state.notes[`fault ${id}`] ?? {};
  const result = h("div", { class: "result", "aria-live": "polite" });
  const place = h("details", { class: "fault", open: Object.keys(typed).length > 0 },
    h("summary", {}, "Work it out from the source"),
    Object.keys(FIELDS).map((part) => h("fieldset", { class: "fields", "data-part": part }, h("legend", {}, WORDS[part]), FIELDS[part].map((each) => input(part, each, typed, id)))),
    h("p", { class: "row" }, button("Work it out", () => trying(result, () => work(place, result, number, typed)), { class: "main", "data-work": id })),
    result);
  return place;
}

function input(part, [name, label, example], typed, supply) {
  const id = `fault-${supply}-${part}-${name}`;
  const keep = (event) => { (typed[part] ??= {})[name] = event.target.value; note(`fault ${supply}`, typed); };
  const field = h("input", { id, type: "text", autocomplete: "off", spellcheck: "false", placeholder: example, oninput: keep, "aria-describedby": `${id}-told` });
  field.value = typed[part]?.[name] ?? "";
  return h("div", { class: "field", "data-fault": `${part}/${name}` }, h("label", { for: id }, label), field, h("span", { class: "told", id: `${id}-told` }, h("span", { class: "wrong" })));
}

async function work(place, result, number, typed) {
  for (const wrong of place.querySelectorAll(".wrong")) wrong.textContent = "";
  for (const field of place.querySelectorAll("[aria-invalid]")) field.removeAttribute("aria-invalid");
  const { site, pieces } = siteOf(typed, supplies()[number].frequency);
  let found;
  try {
    found = await (await post("/v1/fault-currents", site)).json();
  } catch (error) {
    if (error.errors?.length && tellAt(place, error.errors, site)) throw new Error("Not worked out: see the fields.");
    throw error;
  }
  show(result, found, number, typed, pieces);
}

/** Return the site of what is typed; a part that is left empty is not there. */
function siteOf(typed, frequency) {
  const read = (part) => Object.fromEntries(Object.entries(typed[part] ?? {}).filter(([, text]) => text.trim() !== "").map(([name, text]) => [name, NUMBERS.has(name) && /^[0-9]+(\.[0-9]+)?$/.test(text.trim()) ? Number(text) : text]));
  const filled = (part) => Object.keys(read(part)).length > 0;
  const elements = filled("transformer") ? [{ transformer: read("transformer") }] : [];
  const length = /^\s*([0-9]+(?:\.[0-9]+)?)\s*(\S.*?)\s*$/.exec(typed.conductor?.length ?? "");
  const pieces = filled("conductor") && length ? PIECES : filled("conductor") ? 1 : 0;
  for (let piece = 0; piece < pieces; piece += 1) {
    const part = length ? `${Number((Number(length[1]) / PIECES).toPrecision(12))} ${length[2]}` : undefined;
    elements.push({ conductor: { ...read("conductor"), ...(part && { length: part }) } });
  }
  const site = { format: "site/1", utility: read("utility"), elements };
  if (frequency) site.frequency = frequency;
  return { site, pieces: length ? { count: pieces, length: Number(length[1]), unit: length[2] } : null };
}

/** Put each error at its field; of the pieces of the run, which are all alike, the first speaks. */
function tellAt(place, errors, site) {
  let all = true;
  for (const error of errors) {
    const [, list, index, part, name] = error.pointer.split("/");
    const at = list === "utility" ? `utility/${index ?? ""}` : `${part ?? ""}/${name ?? ""}`;
    const field = place.querySelector(`[data-fault="${CSS.escape(at)}"]`);
    if (!field) { all &&= Boolean(site.elements[index]); continue; }
    field.querySelector(".wrong").textContent = error.detail;
    field.querySelector("input").setAttribute("aria-invalid", "true");
  }
  return all;
}

function show(result, found, number, typed, pieces) {
  const available = found.available_fault_current;
  const errors = found.findings.filter((each) => each.severity !== "note");
  const put = () => {
    change((document) => Object.assign(document.supplies[number], { available_fault_current: available.current, available_fault_current_date: today() }));
    say(`${supplies()[number].id} has ${available.current} available now`);
  };
  fill(result,
    h("p", {}, h("strong", { class: "figure-small" }, available ? available.current : "Not established"), available ? ` ${found.text.replace(available.current, "")}` : ""),
    pieces ? curve(points(found, pieces), pieces.unit) : null,
    errors.length ? h("ul", { class: "findings" }, errors.map((each) => h("li", { class: each.severity }, each.message))) : null,
    available && button(`Use ${available.current} for ${supplies()[number].id}`, put, { class: "main", "data-use": supplies()[number].id }),
    h("details", {}, h("summary", {}, "How it came about"), h("ol", { class: "steps" }, found.derivation.map((each) => h("li", {}, h("span", { class: "step" }, h("b", {}, each.element), " ", each.statement, " ", h("small", {}, each.reference)))))));
}

/** Return [length, amperes] from the beginning of the run to the terminals. */
function points(found, { count, length }) {
  const nodes = found.nodes.slice(-(count + 1));
  const highest = (node) => Math.max(0, ...node.maximum.map((each) => each.rms_symmetrical.current_amperes));
  return nodes.map((node, place) => [(length * (place + count + 1 - nodes.length)) / count, highest(node)]).filter(([, amperes]) => amperes > 0);
}

const today = () => new Date().toISOString().slice(0, 10);
