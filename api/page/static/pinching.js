// Two fingers on the diagram change its scale; one scrolls it, as everywhere.

/** Call `zoomed(factor, at)` while two fingers move; `at` is the point between them, in the view. */
export function pinch(view, zoomed) {
  let apart = null;
  view.addEventListener("touchstart", (event) => { apart = event.touches.length === 2 ? distance(event.touches) : null; }, { passive: true });
  view.addEventListener("touchmove", (event) => {
    if (apart === null || event.touches.length !== 2) return;
    event.preventDefault();  // the diagram is scaled, not the whole page
    const now = distance(event.touches);
    zoomed(now / apart, between(event.touches, view.getBoundingClientRect()));
    apart = now;
  }, { passive: false });
  for (const end of ["touchend", "touchcancel"]) view.addEventListener(end, () => { apart = null; }, { passive: true });
}

const distance = ([a, b]) => Math.max(1, Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY));

const between = ([a, b], box) => ({ x: (a.clientX + b.clientX) / 2 - box.left, y: (a.clientY + b.clientY) / 2 - box.top });
