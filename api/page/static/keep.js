// Keeping the panel in its order: the next revision, based on the one that is there.

import { button, byId, h, say } from "./dom.js";
import { openDialog, trying } from "./dialogs.js";
import { field } from "./fields.js";
import { state, tell } from "./model.js";
import { ask, step } from "./service.js";

export function startKeep() {
  byId("keep").addEventListener("click", show);
}

function show() {
  const told = h("div", { class: "told" });
  openDialog("Keep in the order", h("p", {}, "Stores this panel as the next revision, with its rating."), told,
    field(["panel", "order"], "Order"), field(["panel", "designation"], "Designation"),
    h("p", { class: "row" }, button("Keep this revision", () => trying(told, keep), { class: "main", id: "keep-now" })));
}

async function keep() {
  const { order, designation } = state.document.panel;
  if (!order || !designation) throw new Error("Write the order and the designation of the panel.");
  const place = `/v1/orders/${step(order)}/panels/${step(designation)}`;
  // What is there is looked at first: a revision that somebody else has stored since is not passed over unseen.
  const there = await ask(place).catch((error) => { if (error.status === 404) return null; throw error; });
  const condition = there ? { "If-Match": there.headers.get("ETag") } : { "If-None-Match": "*" };
  const { document } = state;
  const answer = await ask(place, { method: "PUT", body: JSON.stringify(document), headers: { ...condition, "Idempotency-Key": `"${crypto.randomUUID()}"` } });
  const { revision, result } = await answer.json();
  state.base = { document, rating: result, label: `revision ${revision} in order ${order}` };
  tell("base");
  byId("dialog").close();
  say(`${designation} is kept in order ${order}, revision ${revision}`);
}
