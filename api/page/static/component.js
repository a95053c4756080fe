// The component that is looked at, in fields: the usual ones of its kind first, the others behind a fold.

import { button, byId, fill, h } from "./dom.js";
import { remove, renamer } from "./editing.js";
import { field, group, showErrors } from "./fields.js";
import { has, kindLabel, kinds } from "./kinds.js";
import { change, components, on, ownerOf, placeOf, select, sourcesOf, state, supplies, tell, valueOf } from "./model.js";
import { pointer, setAt } from "./paths.js";
import { ratingRows } from "./ratings_rows.js";
import { showPart, swapper } from "./swap.js";

const POSITIONS = [["", "none"], ["wye_point", "wye point of a starter"], ["drive_output", "output of a drive"], ["behind_current_transformer", "behind a current transformer"]];
const CLASSES = ["CC", "CF", "G", "H", "J", "K1", "K5", "L", "RK1", "RK5", "R", "T", "midget", "miniature"].map((name) => [name, name]);
const CATEGORIES = ["gG", "gM", "aM", "aR", "gR"].map((name) => [name, name]);
const IEC = ["utilization_category", "breaking_capacities", "conditional_ratings", "short_time_ratings", "back_up_ratings", "clearing_time"];

export function startComponent() {
  on("selection", show);
  on("document", ({ origin }) => { if (origin !== "field") show(); });
  on("rating", showValue);
}

function show() {
  const place = state.selected === null ? -1 : placeOf(state.selected);
  byId("component").hidden = place < 0;
  byId("parts").hidden = place >= 0;
  fill(byId("component"), place < 0 ? null : form(place));
  if (place >= 0) { showValue(); showPart(components()[place].part); showErrors(); }
}

function form(place) {
  const component = components()[place];
  const at = (...rest) => ["components", place, ...rest];
  return [
    h("p", { class: "row" }, button("← All parts", () => select(null), { class: "quiet" }), button("Remove", () => remove(component.id), { class: "quiet", id: "remove" })),
    h("h3", {}, component.id, " ", h("span", { class: "kind" }, kindLabel(component.kind))),
    h("p", { id: "worth", class: "worth" }),
    swapper(component),
    group("Place", null, identifier(place), kind(at), feeds(place, component)),
    group("Marking", null, field(at("part"), "Part number", { onchange: showPart }), h("div", { id: "part-says" }), usual(at, component)),
    h("details", {}, h("summary", {}, "More fields"), more(at, component)),
    !has(component.kind, "load") && h("details", { open: IEC.some((name) => component[name] !== undefined) }, h("summary", {}, "Ratings by IEC standards"), iec(at, component)),
  ];
}

function showValue() {
  const place = byId("worth");
  const value = state.selected === null ? undefined : valueOf(state.selected);
  if (!place || !value) return;
  const credited = value.after_credit && value.value && value.after_credit.current !== value.value.current;
  fill(place, value.value ? h("strong", {}, value.value.current) : "no value", ` ${value.because}`, credited && `; credited ${value.after_credit.current}`);
}

function identifier(place) {
  const rename = renamer("components", place);
  const made = field(["components", place, "id"], "Designation");
  const input = made.querySelector("input");
  // The name is what others refer to: they follow it, letter by letter.
  input.addEventListener("input", (event) => { event.stopImmediatePropagation(); rename(input.value); }, { capture: true });
  return made;
}

function kind(at) {
  const choices = [["", "as the part"], ...kinds().map((each) => [each.name, each.label])];
  return field(at("kind"), "Kind", { type: "choice", choices, onchange: show });
}

/** Return a choice for each source; a component may have several. */
function feeds(place, component) {
  const path = ["components", place, "fed_from"];
  const names = sourcesOf(component);
  const write = (list) => { change((document) => setAt(document, path, list.length === 1 ? list[0] : list)); };
  const choice = (name, number) => {
    const known = sources(component, name).map((each) => h("option", { value: each, selected: each === name }, each));
    const choose = (event) => write(names.map((old, index) => (index === number ? event.target.value : old)));
    const drop = names.length > 1 && button("Remove", () => write(names.filter((_, index) => index !== number)), { class: "quiet", "aria-label": `no longer fed from ${name}` });
    return h("span", { class: "source" }, h("select", { "aria-label": number ? `fed from, source ${number + 1}` : "fed from", onchange: choose }, known), drop);
  };
  const other = sources(component, "").find((each) => each && !names.includes(each));
  return h("div", { class: "field", "data-pointer": pointer(path) }, h("span", { class: "label" }, "Fed from"), (names.length ? names : [""]).map(choice),
    other && names.length ? button("Another source", () => write([...names, other]), { class: "quiet" }) : null, h("span", { class: "told" }, h("span", { class: "wrong" })));
}

/** Return what may feed a component: supplies, other components, windings; what is written stays to be chosen. */
function sources(component, written) {
  const names = [...supplies(), ...components()].map((each) => each.id).filter((id) => id !== component.id);
  const windings = components().filter((each) => Array.isArray(each.transformer?.secondary)).flatMap((each) => each.transformer.secondary.map((_, number) => `${each.id}/${number + 1}`));
  return [...new Set([written, ...names, ...windings])].filter((name) => name !== "" || written === "");
}

const interrupting = ({ kind, self_protected: own }) => has(kind, "overcurrent") || has(kind, "supplementary") || kind === "combination_motor_controller" || own;

function usual(at, component) {
  const { kind } = component;
  const interrupts = interrupting(component);
  return [
    has(kind, "switches_poles") && field(at("poles"), "Poles", { type: "integer", placeholder: "3" }),
    !has(kind, "load") && !has(kind, "transformer") && field(at("ampere_rating"), "Ampere rating", { placeholder: "30 A" }),
    (kind === "fuse" || has(kind, "carries_fuse")) && field(at("fuse_class"), "Fuse class", { type: "choice", choices: [["", "not stated"], ...CLASSES] }),
    (has(kind, "controller") || has(kind, "motor")) && field(at("horsepower"), "Horsepower", { placeholder: "10 hp" }),
    has(kind, "load") && field(at("full_load_current"), "Full load current", { placeholder: "14 A" }),
    has(kind, "load") && field(at("location"), "Stands", { type: "choice", choices: [["", "not stated"], ["field", "in the field"], ["panel", "in the panel"]] }),
    has(kind, "transformer") && transformer(at),
    interrupts && ratingRows(at("interrupting_ratings"), "Interrupting ratings", "interrupting"),
    !has(kind, "overcurrent") && !has(kind, "load") && ratingRows(at("short_circuit_ratings"), "Short-circuit ratings", "short_circuit"),
    interrupts && ratingRows(at("series_ratings"), "Series ratings", "series"),
  ];
}

function iec(at, component) {
  const { kind } = component;
  const fuse = kind === "fuse";
  return [
    fuse && field(at("utilization_category"), "Utilization category", { type: "choice", choices: [["", "not stated"], ...CATEGORIES] }),
    interrupting(component) && ratingRows(at("breaking_capacities"), "Breaking capacities", fuse ? "breaking_of_a_fuse" : "breaking"),
    !has(kind, "overcurrent") && ratingRows(at("conditional_ratings"), "Conditional ratings (Icc, Iq)", "conditional"),
    !fuse && ratingRows(at("short_time_ratings"), "Short-time ratings (Icw, Ipk)", "short_time"),
    interrupting(component) && ratingRows(at("back_up_ratings"), "Back-up ratings", "back_up"),
    (has(kind, "overcurrent") || (has(kind, "controller") && component.self_protected)) && field(at("clearing_time"), "Clears within", { placeholder: "20 ms" }),
  ];
}

function transformer(at) {
  const inner = (name, label, options) => field(at("transformer", name), label, options);
  return group("Transformer", at("transformer"), inner("kva", "Size", { placeholder: "5 kVA" }), inner("primary", "Primary", { placeholder: "480 V" }),
    inner("secondary", "Secondary", { placeholder: "120 V" }), inner("impedance", "Impedance", { placeholder: "2.1 %" }), inner("phases", "Phases", { type: "integer" }),
    inner("isolated", "Isolated", { type: "flag" }));
}

function more(at, component) {
  return [
    field(at("voltage_rating"), "Voltage rating", { placeholder: "600 V" }), field(at("phases"), "Phases", { type: "integer" }),
    field(at("circuit"), "Circuit", { type: "choice", choices: [["", "power"], ["control", "control"]] }),
    field(at("position"), "Position", { type: "choice", choices: POSITIONS }),
    !has(component.kind, "load") && field(at("location"), "Stands", { type: "choice", choices: [["", "in the panel"], ["field", "in the field"]] }),
    field(at("self_protected"), "Self-protected", { type: "flag", onchange: show }), field(at("line_to_line"), "Marked for line-to-line", { type: "flag" }),
    has(component.kind, "overcurrent") && field(at("current_limiting"), "Marked current-limiting", { type: "flag" }),
    has(component.kind, "overcurrent") && ratingRows(at("let_through"), "Let-through", "let_through"),
    field(at("standards"), "Standards", { type: "list", placeholder: "UL 489; CSA C22.2 No. 5" }), field(at("accessories"), "Accessories", { type: "list" }),
    field(at("mounting"), "Mounting"), field(at("trip_curve"), "Trip curve"),
    field(at("exempt", "reason"), "Exempt because"), field(at("exempt", "reference"), "Reference of the exemption"),
  ];
}

export const goToComponent = (id) => { select(id); tell("reveal", ownerOf(id)); };
