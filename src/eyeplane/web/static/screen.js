// The outline of a bank card is made as large as a real one: by slider, buttons, keys or two fingers.
import { screenNow } from "./real-size.js";

const card = document.getElementById("card");
const slider = document.getElementById("size");
const lay = document.getElementById("lay");
const outline = document.getElementById("outline");
const said = document.getElementById("size-now");
const words = JSON.parse(document.getElementById("words").textContent);
const [longMm, shortMm, cornerMm] = card.dataset.card.split(" ").map(Number);
const NARROW_PX = 500;
const PHONE_PX_PER_MM = 6; // where a phone begins that was not measured yet; from memory
const STEP_PX = 0.5; // of the outline's width on the page, for one press

for (const field of document.querySelectorAll("input[name=screen]")) field.value = screenNow();
card.hidden = false;

// On a phone held upright only the card's short side fits, whatever the size; it must not turn midway.
const upright = () => lay.clientWidth < NARROW_PX || longMm * Number(slider.value) + 8 > lay.clientWidth;
if (!card.dataset.known && Math.min(screen.width, screen.height) < 600) slider.value = PHONE_PX_PER_MM;

function draw() {
  const size = Number(slider.value);
  const stands = upright();
  const [wide, high] = stands ? [shortMm, longMm] : [longMm, shortMm];
  const rect = outline.querySelector("rect");
  // Half of the line lies outside: its outer edge is the card's.
  for (const [name, value] of [["width", wide * size - 1], ["height", high * size - 1], ["rx", cornerMm * size]]) {
    rect.setAttribute(name, value.toFixed(3));
  }
  outline.setAttribute("width", (wide * size).toFixed(3));
  outline.setAttribute("height", (high * size).toFixed(3));
  document.getElementById("card-flat").hidden = stands;
  document.getElementById("card-upright").hidden = !stands;
  said.textContent = words.now.replace("{px_per_mm}", size.toFixed(2));
}

function change(stepPx) {
  slider.value = Number(slider.value) + stepPx / (upright() ? shortMm : longMm);
  draw();
}

slider.addEventListener("input", draw);
slider.addEventListener("keydown", (event) => {
  if (event.key === "+" || event.key === "-") change(event.key === "+" ? STEP_PX : -STEP_PX);
});
window.addEventListener("resize", draw);
document.getElementById("smaller").addEventListener("click", () => change(-STEP_PX));
document.getElementById("larger").addEventListener("click", () => change(STEP_PX));

const fingers = new Map();
let began = null;
const apart = () => {
  const [one, other] = [...fingers.values()];
  return Math.hypot(one.x - other.x, one.y - other.y);
};
lay.addEventListener("pointerdown", (event) => {
  fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
  if (fingers.size === 2) began = { apart: apart(), size: Number(slider.value) };
});
lay.addEventListener("pointermove", (event) => {
  if (!fingers.has(event.pointerId)) return;
  fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
  if (fingers.size === 2 && began) {
    slider.value = began.size * (apart() / Math.max(began.apart, 1));
    draw();
  }
});
for (const end of ["pointerup", "pointercancel", "pointerleave"]) {
  lay.addEventListener(end, (event) => { fingers.delete(event.pointerId); began = null; });
}
draw();
