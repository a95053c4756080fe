// The key of who uses a service that has keys: typed once, kept for this tab, sent in a header.

import { button, byId, h } from "./dom.js";
import { openDialog } from "./dialogs.js";
import { on, tell } from "./model.js";
import { key, setKey } from "./service.js";

export function startKey() {
  byId("key").addEventListener("click", () => show(null));
  on("key-needed", (problem) => { if (!byId("dialog").open) show(problem); });
}

function show(problem) {
  const input = h("input", { id: "key-text", type: "password", autocomplete: "off", spellcheck: "false" });
  input.value = key() ?? "";
  const settle = (value) => { setKey(value); shut(); tell("key"); };
  const { shut } = openDialog("Key", problem && h("p", { class: "wrong" }, problem.detail),
    h("p", {}, "A service that other machines reach asks for a key. It stays in this tab, and is sent to this service alone."),
    h("div", { class: "field" }, h("label", { for: "key-text" }, "Key"), input),
    h("p", { class: "row" }, button("Use it", () => settle(input.value.trim()), { class: "main", id: "key-use" }), button("Forget it", () => settle(""), { class: "quiet" })));
  input.addEventListener("keydown", (event) => { if (event.key === "Enter") settle(input.value.trim()); });
  input.focus();
}
