// What the panel would be rated with each part of a list: rated by the service, one after another, while the list is looked at.

import { withPart } from "./editing.js";
import { byFirstEdition, state } from "./model.js";
import { post } from "./service.js";

/** Write beside each part of the list what it would make of the panel; `place` finds the element of a part's number. */
export async function outcomes(id, parts, place, signal) {
  const now = state.rating?.rating?.current_amperes ?? null;
  for (const { part } of parts) {
    if (!place(part)) continue;
    const said = await outcome(withPart(state.document, id, part), now, signal);
    if (signal.aborted) return;
    const element = place(part);
    element.textContent = said.words;
    element.className = `outcome ${said.sort}`;
  }
}

async function outcome(document, now, signal) {
  try {
    const { rating } = await (await post("/v1/ratings", byFirstEdition(document), { signal })).json();
    if (!rating) return { words: "no rating: withheld", sort: "worse" };
    const by = now === null ? 0 : Math.sign(rating.current_amperes - now);
    return { words: `panel ${rating.current}${["", ", higher", ", lower"].at(by)}`, sort: ["same", "better", "worse"].at(by) };
  } catch (error) {
    return { words: error.status === 422 ? "cannot be used here" : "", sort: "worse" };
  }
}
