// Windows over the page: the browser's own dialogs, which keep the keyboard inside and give it back.

import { button, byId, fill, h } from "./dom.js";

/** Show a window with a title; return the place for what is in it and a function that closes it. */
export function openDialog(title, ...children) {
  const dialog = byId("dialog");
  const shut = () => dialog.close();
  const body = h("div", { class: "body" }, ...children);
  fill(dialog, h("header", {}, h("h2", { id: "dialog-title" }, title), button("Close", shut, { class: "quiet", id: "close" })), body);
  if (!dialog.open) dialog.showModal();
  return { body, shut };
}

/** Do something that asks the service, and show its refusal at a place. */
export async function trying(place, work) {
  fill(place);
  try {
    return await work();
  } catch (error) {
    fill(place, h("p", { class: "wrong", role: "alert" }, error.message), error.errors?.length ? h("ul", {}, error.errors.slice(0, 20).map((each) => h("li", {}, `${each.pointer} ${each.detail}`))) : null);
    return undefined;
  }
}
