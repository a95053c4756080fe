// All components as a list to look through, and the palette of kinds to add another.

import { byId, fill, h, say } from "./dom.js";
import { differences } from "./differences.js";
import { drawn } from "./drawing.js";
import { add } from "./editing.js";
import { groups, kindLabel } from "./kinds.js";
import { components, on, select, state, tell, valueOf } from "./model.js";

/** Letters of IEC 81346-2 for what a component is for, as the demo panels use them; anything else may be written. */
const LETTERS = {
  circuit_breaker: "FC", fuse: "FC", fuseholder: "XF", supplementary_protector: "FC", surge_protective_device: "FA", contactor: "QA",
  disconnect_switch: "QB", fused_disconnect_switch: "QB", manual_motor_controller: "QA", combination_motor_controller: "QA", motor_starter: "QA",
  overload_relay: "BC", soft_starter: "TA", drive: "TA", transformer: "TA", power_supply: "TB", reactor: "RA", motor: "MA", heater: "EB",
  lighting: "EA", load: "KF", bus_bar: "WC", terminal_block: "XD", power_distribution_block: "XD", receptacle: "XD", gfci_receptacle: "XD",
};

export function startParts() {
  on("rating", list);
  on("document", list);
  on("selection", list);
  on("view", (name) => { if (name === "symbols") palette(); });
  byId("filter").addEventListener("input", list);
  palette();
}

function list() {
  const wanted = byId("filter").value.trim().toLowerCase();
  const changed = differences();
  const limits = new Set(state.rating?.limited_by.map((each) => each.component));
  const rows = components().filter((each) => !wanted || `${each.id} ${kindLabel(each.kind)} ${each.part ?? ""}`.toLowerCase().includes(wanted));
  fill(byId("list"), rows.map((each) => row(each, changed, limits)));
  byId("count").textContent = `${components().length} components${wanted ? `, ${rows.length} shown` : ""}`;
}

function row(component, changed, limits) {
  const { id } = component;
  const value = valueOf(id);
  const worth = value?.value ? (value.after_credit ?? value.value).current : "";
  const mark = changed.added.includes(id) ? "new" : changed.ids.has(id) ? "changed" : null;
  const choose = () => { select(id, "list"); tell("reveal", id); };
  return h("li", {}, h("button", { type: "button", onclick: choose, "aria-pressed": String(id === state.selected), "data-row": id },
    h("b", {}, id), h("span", { class: "kind" }, kindLabel(value?.kind ?? component.kind), component.part ? ` · ${component.part}` : ""),
    limits.has(id) && h("span", { class: "flag" }, "limits"), mark && h("span", { class: "flag plain" }, mark), h("span", { class: "value" }, worth)));
}

function palette() {
  fill(byId("palette"), groups().map(([title, kinds]) => h("section", {}, h("h4", {}, title), h("ul", {}, kinds.map(choice)))));
}

function choice(kind) {
  const symbol = drawn(kind.symbols[state.symbols]);
  symbol.setAttribute("aria-hidden", "true");
  symbol.removeAttribute("role");
  const put = () => { const id = add(kind, LETTERS[kind.name] ?? "X"); say(`${id}, a ${kind.label}, was added`); };
  return h("li", {}, h("button", { type: "button", onclick: put, "data-kind": kind.name }, symbol, h("span", {}, kind.label)));
}
