// Moving the diagram in its window: by dragging it, and to what is to be seen.

/** Let a mouse drag the drawing; a finger scrolls it without this. */
export function drag(view) {
  let from = null;
  view.addEventListener("pointerdown", (event) => {
    if (event.pointerType === "mouse" && event.button === 0) from = { x: event.clientX + view.scrollLeft, y: event.clientY + view.scrollTop, moved: false };
  });
  addEventListener("pointermove", (event) => {
    if (!from) return;
    const left = from.x - event.clientX, top = from.y - event.clientY;
    if (!from.moved && Math.hypot(left - view.scrollLeft, top - view.scrollTop) < 5) return;
    from.moved = true;
    view.classList.add("dragged");
    view.scrollTo(left, top);
  });
  addEventListener("pointerup", () => { from = null; });
  // What the drawing was dragged by is not chosen by it.
  view.addEventListener("click", (event) => {
    if (view.classList.contains("dragged")) event.stopPropagation();
    view.classList.remove("dragged");
  }, { capture: true });
}

/** Scroll the diagram to a node: how "start" keeps as much of what leads to it in sight as there is room for. */
export function centre(view, root, node, how) {
  if (!node) return;
  const box = node.getBoundingClientRect(), frame = seen(view);
  const inside = box.left >= frame.left && box.right <= frame.right && box.top >= frame.top && box.bottom <= frame.bottom;
  if (inside && how === "nearest") return;
  const middle = view.scrollLeft + box.left - frame.left - (frame.width - box.width) / 2;
  const left = how === "start" ? box.right - root.getBoundingClientRect().left - frame.width + 40 : middle;
  const top = view.scrollTop + box.top - frame.top - (frame.height - box.height) / 2;
  const lowest = box.bottom - root.getBoundingClientRect().top - frame.height + 24;
  view.scrollTo(left, how === "start" ? lowest : top);
}

/** Return the part of the diagram's window that is inside the browser's. */
function seen(view) {
  const { left, right, width, top, bottom } = view.getBoundingClientRect();
  const end = Math.min(bottom, innerHeight);
  return end - top < 150 ? { left, right, width, top, bottom, height: bottom - top } : { left, right, width, top, bottom: end, height: end - top };
}
