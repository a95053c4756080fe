// The order desk: orders, their panels, and every record that is kept, to be searched and opened.

import { amperes } from "./amounts.js";
import { button, byId, fill, h } from "./dom.js";
import { openDialog, trying } from "./dialogs.js";
import { begin, setView } from "./model.js";
import { papersOf } from "./papers.js";
import { address, ask, askJson, step } from "./service.js";

const WAIT = 200;
let waiting = null;

export function startDesk() {
  byId("orders").addEventListener("click", () => browse("Orders", "order", orders));
  byId("records").addEventListener("click", () => browse("Records", "order, panel or part", records));
}

/** Show a list that is searched as one types; `list` fills a place with what a text finds. */
function browse(title, what, list) {
  const told = h("div", { class: "told" });
  const found = h("div", { class: "found", id: "found" });
  const search = () => trying(told, () => list(input.value.trim(), found, told));
  const input = h("input", { id: "desk-text", type: "search", autocomplete: "off", oninput: () => { clearTimeout(waiting); waiting = setTimeout(search, WAIT); } });
  openDialog(title, h("div", { class: "field" }, h("label", { for: "desk-text" }, `Search by ${what}`), input), told, found);
  search();
}

/** Fill a place with all pages of a list, one page at a time. */
async function pages(place, path, query, member, row, none) {
  const list = h("ul", { class: "plain" });
  const more = h("p", {});
  const load = async (cursor) => {
    const page = await askJson(address(path, { ...query, cursor }));
    list.append(...page[member].map(row));
    fill(more, page.next ? button("More", () => trying(more, () => load(page.next))) : list.hasChildNodes() ? null : none);
  };
  fill(place, list, more);
  await load();
}

function orders(text, place, told) {
  const row = (each) => h("li", {}, button(each.order, () => trying(told, () => panels(each.order, place, told)), { class: "name", "data-order": each.order }), ` ${each.panels} ${each.panels === 1 ? "panel" : "panels"}, ${each.updated_at.slice(0, 10)}`);
  return pages(place, "/v1/orders", { text }, "orders", row, text ? "No order is called so." : "There are no orders yet. Keep stores a panel in one.");
}

function panels(order, place, told) {
  clearTimeout(waiting);  // a search that was still to begin would take the place of these
  const row = (each) => h("li", {}, button(each.designation, () => trying(told, () => openRevision(order, each.designation)), { class: "name", "data-panel": each.designation }),
    ` revision ${each.revision}, ${worth(each)}, ${each.created_at.slice(0, 10)} `, button("Papers", () => papersOf(each.record, each.designation), { class: "quiet" }));
  return pages(place, `/v1/orders/${step(order)}/panels`, {}, "panels", row, "");
}

async function openRevision(order, designation) {
  const answer = await ask(`/v1/orders/${step(order)}/panels/${step(designation)}`);
  const { document, result, revision } = await answer.json();
  opened(document, { document, rating: result, label: `revision ${revision} in order ${order}` });
}

/** A text may be the name of an order, of a panel or of a part: all three are asked for. */
async function records(text, place, told) {
  const row = (each) => h("li", {}, button(each.designation ?? each.id, () => trying(told, () => openRecord(each.id)), { class: "name", "data-record": each.id }),
    ` ${[each.order, worth(each), each.asked_at.slice(0, 16).replace("T", " "), each.asked_by].filter(Boolean).join(", ")} `, button("Papers", () => papersOf(each.id, each.designation), { class: "quiet" }));
  if (!text) return pages(place, "/v1/records", {}, "records", row, "There are no records yet.");
  const kinds = ["order", "designation", "part"];
  const places = kinds.map((kind) => h("section", { "data-by": kind }));
  fill(place, places);
  await Promise.all(kinds.map((kind, number) => pages(places[number], "/v1/records", { [kind]: text }, "records", row, "")));
  if (!place.querySelector("li")) fill(place, h("p", {}, "No record names this order, panel or part."));
}

async function openRecord(id) {
  const { document, result, asked_at: at } = await askJson(`/v1/records/${step(id)}`);
  opened(document, { document, rating: result, label: `the record of ${at.slice(0, 10)}` });
}

function opened(document, base) {
  begin(document, base);
  byId("dialog").close();
  setView("tab", "limits");
}

const worth = (each) => (each.current_amperes === null ? "withheld" : amperes(each.current_amperes));
