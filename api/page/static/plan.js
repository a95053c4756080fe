// The cheapest way up: asked of the service, shown change by change, and put in with one press.

import { button, byId, fill, h, say } from "./dom.js";
import { trying } from "./dialogs.js";
import { note, on, replace, state, tell } from "./model.js";
import { address, post } from "./service.js";
import { name } from "./verdict.js";

const OBJECTIVES = [["price", "the lowest price"], ["changes", "the fewest changes"], ["labour", "the least labour"]];

export function startPlan() {
  const target = h("input", { id: "plan-target", type: "text", autocomplete: "off", spellcheck: "false", oninput: () => note("plan target", target.value) });
  target.value = state.notes["plan target"] ?? "";
  const objective = h("select", { id: "plan-objective" }, OBJECTIVES.map(([value, words]) => h("option", { value }, words)));
  const answer = h("div", { id: "plan-answer", "aria-live": "polite" });
  fill(byId("panel-plan"),
    h("h3", {}, "The cheapest way up"),
    h("div", { class: "fields" },
      h("div", { class: "field" }, h("label", { for: "plan-target" }, "To reach"), target, h("span", { class: "told" }, h("span", { class: "hint" }, "Left empty: the target of the order, else the fault current available."))),
      h("div", { class: "field" }, h("label", { for: "plan-objective" }, "By"), objective)),
    h("p", { class: "row" }, button("Find the plan", () => find(target.value.trim(), objective.value, answer), { class: "main", id: "plan-find" })),
    answer);
  on("document", ({ origin }) => { if (origin !== "plan") fill(answer); });
}

async function find(target, objective, answer) {
  await trying(answer, async () => {
    fill(answer, h("p", {}, "Looking…"));
    const asked = state.document;
    const found = await (await post(address("/v1/upgrade-plans", { target, objective }), asked)).json();
    if (asked === state.document) show(answer, found.plans[0]);
  });
}

function show(answer, found) {
  if (!found.best)
    return fill(answer, h("p", {}, h("strong", {}, `${found.target.current} is out of reach`), " with the parts of the catalogue."), h("ul", {}, found.blocked.map((each) => h("li", {}, name(each.component), ` ${each.reason}`))));
  const proof = found.proved_optimal ? "Proved: no other choice of parts reaches it for less." : `Not proved the least; nothing costs less than ${found.lower_bound}.`;
  return fill(answer, h("h4", {}, `To ${found.target.current}`), plan(found.best, "best"), h("p", { class: "hint" }, proof),
    found.alternatives.length ? h("details", {}, h("summary", {}, `${found.alternatives.length} next best`), found.alternatives.map((each, number) => plan(each, `other-${number}`))) : null);
}

function plan(each, id) {
  const put = () => {
    replace(each.document);
    tell("reveal", each.limited_by[0]?.component);
    say(`The plan is in: ${each.rating.text}`);
  };
  const row = (change) => h("li", {}, change.action === "add" ? h("b", {}, `add ${change.component}`) : name(change.component), ` ${change.before ? `${change.before} → ` : ""}${change.quantity > 1 ? `${change.quantity} × ` : ""}${change.after}`, change.price ? ` · ${change.price}` : "", change.on_hand ? " · on hand" : "");
  return h("section", { class: "plan" }, each.changes.length ? h("ul", { class: "changes" }, each.changes.map(row)) : h("p", {}, "Nothing need be changed."),
    h("p", {}, "Then rated ", h("strong", {}, each.rating.text), `; cost ${each.cost}`),
    each.changes.length ? button("Put this plan in", put, { class: "main", "data-plan": id }) : null);
}
