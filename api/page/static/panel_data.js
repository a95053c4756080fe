// The panel itself: what identifies it, what it is to reach, and its supplies, each with the fault current at its terminals.

import { button, byId, fill, h } from "./dom.js";
import { renamer } from "./editing.js";
import { editionsGroup } from "./editions.js";
import { faultForm } from "./fault.js";
import { field, group, showErrors } from "./fields.js";
import { change, on, state, supplies } from "./model.js";
import { ratingRows } from "./ratings_rows.js";

const IDENTITY = [["designation", "Designation"], ["title", "Title"], ["revision", "Revision"], ["order", "Order"], ["drawing", "Drawing"],
  ["builder", "Builder"], ["enclosure_type", "Enclosure type"], ["serial", "Serial number"]];
const SYSTEMS = ["solidly_grounded_wye", "impedance_grounded_wye", "ungrounded_delta", "corner_grounded_delta", "high_leg_delta",
  "single_phase_two_wire", "single_phase_three_wire", "dc"].map((name) => [name, name.replaceAll("_", " ")]);
const DEVICES = [["", "none"], ["fuse", "fuse"], ["circuit_breaker", "circuit breaker"]];

export function startPanelData() {
  on("document", ({ origin }) => { if (origin !== "field") show(); });
  on("rating", showComputed);
}

/** Say of each supply whose source the document describes what the service works out from it. */
function showComputed() {
  for (const place of document.querySelectorAll("[data-computed]")) {
    const found = state.rating?.supplies.find((each) => each.id === place.dataset.computed)?.available_fault_current;
    fill(place, found?.computed && `From the source that the document describes: ${found.computed.current} (${found.method} method). Of this and what is stated the higher counts.`);
  }
}

function show() {
  const place = byId("panel-panel");
  if (!state.document) return fill(place);
  fill(place,
    group("Panel", ["panel"], IDENTITY.map(([name, label]) => field(["panel", name], label))),
    group("To reach", null, field(["target"], "Target of the order", { placeholder: "65 kA" })),
    supplies().map((_, number) => supply(number)),
    button("Add a supply", add, { class: "quiet" }),
    editionsGroup(),
    group("Options of the method", ["options"], field(["options", "credit_feeder_components"], "Credit feeder components", { type: "flag" }),
      field(["options", "transformer_impedance_credit"], "Credit the impedance of transformers", { type: "flag" }),
      field(["options", "service_breaking_capacity"], "IEC: the service breaking capacity (Ics) counts", { type: "flag" }),
      field(["options", "skilled_persons_only"], "IEC: operated by skilled persons only", { type: "flag" }),
      field(["options", "coordination"], "IEC: least type of coordination of starters", { type: "integer", placeholder: "1" })));
  showErrors();
  showComputed();
}

function add() {
  change((document) => document.supplies.push({ id: `SUPPLY-${supplies().length + 1}`, voltage: "480Y/277 V", system: "solidly_grounded_wye" }));
}

function supply(number) {
  const at = (...rest) => ["supplies", number, ...rest];
  const several = supplies().length > 1;
  return group(`Supply ${supplies()[number].id}`, at(),
    identifier(number),
    field(at("voltage"), "Voltage", { placeholder: "480Y/277 V" }), field(at("system"), "System", { type: "choice", choices: SYSTEMS }),
    field(at("phases"), "Phases", { type: "integer" }), field(at("wires"), "Wires", { type: "integer" }), field(at("frequency"), "Frequency", { placeholder: "60 Hz" }),
    field(at("full_load_current"), "Full load current", { placeholder: "220 A" }),
    field(at("available_fault_current"), "Available fault current", { placeholder: "18 kA" }),
    field(at("available_fault_current_date"), "Found on", { type: "date" }),
    h("p", { class: "hint", "data-computed": supplies()[number].id }),
    faultForm(number),
    h("details", { open: Boolean(supplies()[number].upstream_protection) }, h("summary", {}, "Protection upstream that the rating may rely on"), upstream(at)),
    several && button("Remove this supply", () => change((document) => document.supplies.splice(number, 1)), { class: "quiet" }));
}

function identifier(number) {
  const rename = renamer("supplies", number);
  const made = field(["supplies", number, "id"], "Designation");
  const input = made.querySelector("input");
  input.addEventListener("input", (event) => { event.stopImmediatePropagation(); rename(input.value); }, { capture: true });
  return made;
}

function upstream(at) {
  const inner = (name, label, options) => field(at("upstream_protection", name), label, options);
  return [inner("device", "Device", { type: "choice", choices: DEVICES }), inner("fuse_class", "Fuse class", { placeholder: "J" }), inner("part", "Part"),
    inner("ampere_rating", "Ampere rating", { placeholder: "400 A" }), ratingRows(at("upstream_protection", "interrupting_ratings"), "Interrupting ratings", "interrupting"),
    inner("utilization_category", "Utilization category (IEC)", { placeholder: "gG" }), inner("clearing_time", "Clears within (IEC)", { placeholder: "20 ms" }),
    ratingRows(at("upstream_protection", "breaking_capacities"), "Breaking capacities (IEC)", "breaking")];
}
