// What was changed, against what was opened or against a stored revision.

import { button, byId, fill, h } from "./dom.js";
import { trying } from "./dialogs.js";
import { differences, movedValues } from "./differences.js";
import { on, replace, state, tell } from "./model.js";
import { askJson, step } from "./service.js";
import { name } from "./verdict.js";

export function startChanges() {
  for (const topic of ["document", "rating", "base"]) on(topic, show);
}

function show() {
  const place = byId("panel-changes");
  const { base } = state;
  if (!base) return fill(place);
  const found = differences();
  const count = found.added.length + found.removed.length + found.changed.length;
  byId("tab-changes").textContent = count ? `Changes (${count})` : "Changes";
  fill(place,
    h("h3", {}, "Against ", base.label),
    ratings(base),
    count ? [list(found), moved(), button("Put everything back", () => replace(base.document), { class: "quiet", id: "back-to-base" })] : h("p", {}, "Nothing is changed."),
    stored(base));
}

function ratings(base) {
  if (!base.rating || !state.rating) return null;
  const words = (rating) => rating.rating?.text ?? "no rating";
  return h("p", { class: "compared" }, h("span", {}, words(base.rating)), " → ", h("strong", {}, words(state.rating)));
}

function list({ added, removed, changed }) {
  const shown = (value) => (value === undefined ? "not stated" : typeof value === "object" ? JSON.stringify(value) : String(value));
  return h("ul", { class: "changes" },
    added.map((id) => h("li", {}, h("span", { class: "flag plain" }, "new"), " ", name(id))),
    removed.map((id) => h("li", {}, h("span", { class: "flag plain" }, "removed"), " ", id)),
    changed.map((each) => h("li", {}, each.where === "panel" ? h("b", {}, "panel") : name(each.where), ` ${each.field.replaceAll("_", " ")}: `, h("del", {}, shown(each.before)), " → ", h("ins", {}, shown(each.after)))));
}

function moved() {
  const found = movedValues();
  if (!found.length) return null;
  return [h("h4", {}, "Values that moved"), h("ul", { class: "changes" }, found.map((each) => h("li", {}, name(each.id), ` ${each.before} → ${each.after}: ${each.because}`)))];
}

/** Offer the stored revisions of this panel to compare with. */
function stored(base) {
  const { order, designation } = state.document?.panel ?? {};
  if (!order || !designation) return h("p", { class: "hint" }, "Once the panel names its order, it can be compared with what is stored there.");
  const list = h("div", {}), told = h("div", {});
  const ask = async () => {
    try {
      const { revisions } = await askJson(`/v1/orders/${step(order)}/panels/${step(designation)}/revisions`);
      fill(list, h("ul", { class: "plain" }, revisions.map((each) => h("li", {}, button(`Compare with revision ${each.revision}`, () => trying(told, () => compareWith(order, designation, each.revision)), { "data-revision": each.revision }),
        ` ${each.current_amperes === null ? "withheld" : `${each.current_amperes / 1000} kA`}, ${each.created_at.slice(0, 10)}`))));
    } catch (error) {
      fill(list, h("p", { class: "hint" }, error.status === 404 ? `Nothing is stored yet of ${designation} in order ${order}.` : error.message));
    }
  };
  return h("section", {}, h("h4", {}, "Stored revisions"), button("Look them up", ask, { id: "revisions" }), told, list);
}

/** Count changes from a stored revision on; the document itself stays as it is. */
export async function compareWith(order, designation, revision) {
  const found = await askJson(`/v1/orders/${step(order)}/panels/${step(designation)}?revision=${revision}`);
  state.base = { document: found.document, rating: found.result, label: `revision ${revision} in order ${order}` };
  tell("base");
  tell("fields");
}
