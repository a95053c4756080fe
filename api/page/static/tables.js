// A table of components, such as a parts list: what its columns mean is guessed, shown, and corrected before it is taken.

import { button, fill, h } from "./dom.js";
import { openDialog, trying } from "./dialogs.js";
import { emptyPanel } from "./editing.js";
import { begin, change, setView, state, supplies } from "./model.js";
import { address, askJson } from "./service.js";

const TYPES = { csv: "text/csv", xlsx: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet" };
const suffix = (name) => name.toLowerCase().split(".").pop();

export const isTable = (name) => suffix(name) in TYPES;

/** Read a table, and show what would come of it. */
export async function importTable(file) {
  const read = (columns) => askJson(address("/v1/component-tables", { columns: columns && JSON.stringify(columns) }), { method: "POST", body: file, type: TYPES[suffix(file.name)] });
  const { body } = openDialog(`Components from ${file.name}`);
  show(body, await read(), read);
}

function show(body, table, read) {
  const told = h("div", { class: "told" });
  const match = (place, name) => {
    const columns = table.columns.map((old, number) => (number === place ? name || null : old === name ? null : old));
    for (const taking of body.querySelectorAll("#table-add, #table-begin")) taking.disabled = true;  // till it is read as said
    return trying(told, async () => show(body, await read(columns), read));
  };
  const take = (how) => () => { accept(table, how); body.closest("dialog").close(); };
  fill(body, told,
    h("p", {}, `${table.rows} rows. Say what each column is; what is left out is not taken.`),
    h("div", { class: "wide", tabindex: "0", role: "region", "aria-label": "the first rows of the table" }, h("table", { class: "matching" },
      h("thead", {}, h("tr", {}, table.headers.map((header, place) => h("th", { scope: "col" }, h("label", { for: `column-${place}` }, header || `column ${place + 1}`), choice(table, place, match))))),
      h("tbody", {}, table.sample.map((row) => h("tr", {}, table.headers.map((_, place) => h("td", {}, row[place] ?? ""))))))),
    problems(table),
    table.components.length ? h("p", { class: "row" },
      state.document && button(`Add ${table.components.length} components to this panel`, take("add"), { id: "table-add" }),
      button(`Begin a panel with ${table.components.length} components`, take("begin"), { id: "table-begin", class: "main" })) : null);
}

function choice(table, place, match) {
  const now = table.columns[place] ?? "";
  const options = ["", ...table.known_columns].map((name) => h("option", { value: name, selected: name === now }, name ? name.replaceAll("_", " ") : "left out"));
  return h("select", { id: `column-${place}`, onchange: (event) => match(place, event.target.value) }, options);
}

function problems({ problems }) {
  if (!problems.length) return null;
  return [h("h3", {}, "What cannot be read"), h("ul", { class: "findings" }, problems.slice(0, 50).map((each) =>
    h("li", { class: "error" }, h("b", {}, `Line ${each.line}${each.column ? `, ${each.column}` : ""}`), ` ${each.detail}`)))];
}

/** Take the components: one that names no source is fed from the first supply, which is to be corrected by looking. */
function accept(table, how) {
  const fed = (component, from) => ({ ...component, id: component.id ?? "", fed_from: component.fed_from ?? from });
  if (how === "add") {
    change((document) => { document.components = [...(document.components ?? []), ...table.components.map((each) => fed(each, supplies()[0]?.id ?? ""))]; });
    return;
  }
  const document = emptyPanel();
  document.components = table.components.map((each) => fed(each, "MAINS"));
  begin(document, { document, label: "the table as it was read", rating: null });
  setView("tab", "parts");
}
