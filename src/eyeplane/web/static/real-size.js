// A zoomed page has larger CSS pixels: what the device keeps is put right, and the page drawn anew.
const kept = document.getElementById("real-size");

export function screenNow() {
  return `${Number(window.devicePixelRatio.toFixed(4))}_${screen.width}_${screen.height}`;
}

// The size of one mm after a change of zoom; null where the screen is another one.
export function corrected(pxPerMm, before, now) {
  if (!before) return pxPerMm;
  const [ratio, ...sides] = before.split("_").map(Number);
  const [ratioNow, ...sidesNow] = now.split("_").map(Number);
  const ordered = (list) => [...list].sort((a, b) => a - b);
  const near = (one, other) => one.every((side, k) => Math.abs(side / other[k] - 1) < 0.01);
  const [was, is] = [ordered(sides), ordered(sidesNow)];
  const whole = (list, by) => list.map((side) => side * by);
  if (near(was, is) || near(whole(was, ratio), whole(is, ratioNow))) return (pxPerMm * ratio) / ratioNow;
  return null;
}

async function putRight() {
  const pxPerMm = Number(kept.dataset.pxPerMm);
  const now = screenNow();
  if (!pxPerMm || kept.dataset.seen === now) return;
  const size = corrected(pxPerMm, kept.dataset.seen, now);
  kept.hidden = size !== null;
  if (size === null) return;
  const body = new URLSearchParams({ px_per_mm: size.toFixed(5), screen: now });
  const answer = await fetch("/screen", { method: "POST", body, redirect: "manual" }).catch(() => null);
  if (answer && (answer.ok || answer.type === "opaqueredirect")) location.reload();
}

function watchZoom() {
  const changed = window.matchMedia(`(resolution: ${window.devicePixelRatio}dppx)`);
  changed.addEventListener("change", () => { putRight(); watchZoom(); }, { once: true });
}

if (kept) {
  putRight();
  watchZoom();
}
