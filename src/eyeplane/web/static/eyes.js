// Two frames at full resolution, moved together: the same way on the screen, at one scale of the face.
const given = JSON.parse(document.getElementById("frames").textContent);
const words = JSON.parse(document.getElementById("words").textContent);
const WINDOW_MM = 46; // of face across a view at first
const ABOVE_SHARE = 0.55; // of a kept window lies above the middle of the iris
const CLOSER = 1.25; // for one press
const STEP_SHARE = 0.15; // of a view, for one press of an arrow
const sides = [];
const kept = `eyes ${given.key}`;
let tied = true;
let leader = null;
let moving = false;

const fill = (text, parts) => text.replace(/\{(\w+)\}/g, (_, name) => parts[name]);
const figure = (value) => {
  const text = value >= 10 ? value.toFixed(0) : value.toFixed(value >= 1 ? 1 : 2);
  return given.comma ? text.replace(".", ",") : text;
};

// OpenSeadragon writes one inline style unless it finds it written, which our policy forbids; an
// element of that name outside of HTML styles nothing. What it would say stands in eyes.css.
const written = document.createElementNS("http://www.w3.org/1998/Math/MathML", "style");
written.setAttribute("data-openseadragon-mobile-css", "");
document.head.append(written);

class Side {
  constructor(view, number, label, name) {
    Object.assign(this, { view, number, name });
    this.box = document.getElementById(`look-${name}`);
    this.trouble = document.getElementById(`trouble-${name}`);
    this.eye = { x: view.x, y: view.y };
    this.box.classList.add("live");
    const still = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
    this.viewer = OpenSeadragon({
      element: this.box,
      drawer: "canvas",
      tileSources: {
        width: view.width, height: view.height, tileSize: view.tile, tileOverlap: view.overlap,
        minLevel: 0, maxLevel: view.level,
        getTileUrl: (level, x, y) => `/tiles/${given.key}/${number}/${level}/${x}_${y}.jpg?v=${view.version}`,
      },
      showNavigationControl: false,
      showNavigator: false,
      immediateRender: true,
      animationTime: still ? 0 : 0.2,
      blendTime: 0,
      visibilityRatio: 0.05,
      minZoomImageRatio: 0.5,
      maxZoomPixelRatio: 12,
      crossOriginPolicy: false,
      gestureSettingsMouse: { clickToZoom: false, dblClickToZoom: false },
      gestureSettingsTouch: { clickToZoom: false, dblClickToZoom: false, flickEnabled: false, pinchRotate: false },
      gestureSettingsPen: { clickToZoom: false, dblClickToZoom: false },
    });
    this.stand();
    this.viewer.addOnceHandler("tile-drawn", () => this.box.classList.add("drawn"));
    this.viewer.canvas.setAttribute("role", "group");
    this.viewer.canvas.setAttribute("aria-label", label);
    this.viewer.addHandler("canvas-key", (event) => { event.preventDefaultAction = true; });
    for (const begun of ["canvas-press", "canvas-scroll", "canvas-pinch"]) {
      this.viewer.addHandler(begun, () => { leader = this; });
    }
    this.viewer.addHandler("viewport-change", () => followed(this));
    this.viewer.addHandler("tile-load-failed", (event) => this.tell(event.tile));
    this.opened = new Promise((done) => { this.viewer.addHandler("open", done); });
  }

  // The kept window, where the eye will stand.
  stand() {
    const window = this.box.querySelector("img");
    if (!window || !this.view.window_mm) return;
    const width = (this.view.window_mm / WINDOW_MM) * this.box.clientWidth;
    const height = width * (Number(window.getAttribute("height")) / Number(window.getAttribute("width")));
    window.style.width = `${width}px`;
    window.style.left = `${(this.box.clientWidth - width) / 2}px`;
    window.style.top = `${this.box.clientHeight / 2 - ABOVE_SHARE * height}px`;
  }

  get port() { return this.viewer.viewport; }
  get widthPx() { return this.port.getContainerSize().x; }
  // CSS px to one pixel of the frame, as shown at this moment.
  get scale() { return this.port.viewportToImageZoom(this.port.getZoom(true)); }
  get centre() { return this.port.viewportToImageCoordinates(this.port.getCenter(true)); }
  get facePerPx() { return this.view.face_mm_per_px; }

  show(scale, centre, atOnce = true) {
    this.port.zoomTo(this.port.imageToViewportZoom(scale), null, atOnce);
    this.port.panTo(this.port.imageToViewportCoordinates(centre.x, centre.y), atOnce);
    this.viewer.forceRedraw();
  }

  // The whole frame within the view.
  get whole() {
    const size = this.port.getContainerSize();
    return Math.min(size.x / this.view.width, size.y / this.view.height);
  }

  async tell(tile) {
    if (this.trouble.textContent) return;
    const answer = await fetch(tile.getUrl()).catch(() => null);
    const said = { 404: words.gone, 409: words.changed };
    this.trouble.textContent = (answer && said[answer.status]) || words.failed;
    if (answer && said[answer.status]) {
      this.viewer.destroy();
      this.box.classList.remove("live", "drawn");
      this.box.replaceChildren(...this.before);
      this.box.querySelector("img")?.removeAttribute("style");
      sides.splice(sides.indexOf(this), 1);
    }
  }
}

// What two views have in common: where they stood when they were tied, and the ratio of scales.
let knot = null;
function tie() {
  if (sides.length < 2) return;
  knot = { centres: sides.map((one) => one.centre), ratio: sides[1].scale / sides[0].scale };
}

function followed(side) {
  if (moving || (leader && leader !== side)) return tell();
  if (tied && knot && sides.length > 1) {
    moving = true;
    const [at, other] = side === sides[0] ? [0, 1] : [1, 0];
    const scale = side.scale * (at === 0 ? knot.ratio : 1 / knot.ratio);
    const by = side.scale / scale;
    const moved = side.centre.minus(knot.centres[at]).times(by);
    sides[other].show(scale, knot.centres[other].plus(moved));
    moving = false;
  }
  tell();
}

function place(scales, centres) {
  moving = true;
  sides.forEach((one, k) => one.show(scales[k], centres ? centres[k] : one.centre));
  moving = false;
  tie();
  tell();
}

const eyes = () => sides.map((one) => one.eye);
const onFace = (mmPerPx) => sides.map((one) => (one.facePerPx ? one.facePerPx / mmPerPx : one.whole));
const steps = {
  eye: () => place(onFace(WINDOW_MM / Math.min(...sides.map((one) => one.widthPx))), eyes()),
  // Of the frame with more pixels to the face: its own meet the screen's, the other keeps its scale.
  pixel: () => {
    const finest = Math.min(...sides.map((one) => one.facePerPx || Infinity));
    const one = 1 / window.devicePixelRatio;
    place(Number.isFinite(finest) ? onFace(finest / one) : sides.map(() => one), eyes());
  },
  print: () => place(sides.map((one) => one.view.print_px_per_px), eyes()),
  whole: () => place(sides.map((one) => one.whole), sides.map((one) => ({ x: one.view.width / 2, y: one.view.height / 2 }))),
  nearer: () => zoom(CLOSER),
  farther: () => zoom(1 / CLOSER),
};

function zoom(by) {
  const first = lead();
  first.port.zoomTo(first.port.getZoom() * by);
}

function pan(x, y) {
  const first = lead();
  const bounds = first.port.getBounds();
  first.port.panBy(new OpenSeadragon.Point(x * bounds.width * STEP_SHARE, y * bounds.height * STEP_SHARE));
}

function lead() {
  const inside = sides.find((one) => one.box.contains(document.activeElement));
  leader = inside || (tied ? sides[0] : leader || sides[0]);
  return leader;
}

let waiting = 0;
function tell() {
  clearTimeout(waiting);
  waiting = setTimeout(() => {
    const cm = 10 * given.screen_px_per_mm;
    const shown = sides.map((one) => (one.facePerPx ? (one.facePerPx / one.scale) * cm : 0)).filter(Boolean);
    const alike = shown.length < 2 || Math.abs(shown[0] / shown[1] - 1) < 0.02;
    const ratio = sides.length ? 1 / (sides[0].scale * window.devicePixelRatio) : 0;
    const parts = [];
    if (shown.length) parts.push(alike ? fill(words.scale, { mm: figure(shown[0]) }) : fill(words.apart, { a: figure(shown[0]), b: figure(shown[1]) }));
    if (ratio) parts.push(ratio >= 1 ? fill(words.whole, { px: figure(ratio) }) : fill(words.enlarged, { px: figure(1 / ratio) }));
    document.getElementById("scale").textContent = parts.join(" ");
    keep();
  }, 250);
}

// The next frame of a burst is looked at where the last one was: kept as lengths on the face.
function keep() {
  if (!sides.length || sides.some((one) => !one.facePerPx)) return;
  const state = sides.map((one) => {
    const off = one.centre.minus(new OpenSeadragon.Point(one.eye.x, one.eye.y)).times(one.facePerPx);
    return { mm: one.facePerPx / one.scale, x: off.x, y: off.y };
  });
  sessionStorage.setItem(kept, JSON.stringify({ state, tied }));
}

function restore() {
  try {
    const before = JSON.parse(sessionStorage.getItem(kept));
    if (!before || before.state.length !== sides.length || sides.some((one) => !one.facePerPx)) return false;
    const centres = sides.map((one, k) => ({
      x: one.eye.x + before.state[k].x / one.facePerPx, y: one.eye.y + before.state[k].y / one.facePerPx,
    }));
    place(sides.map((one, k) => one.facePerPx / before.state[k].mm), centres);
    setTied(before.tied);
    return true;
  } catch {
    return false;
  }
}

const button = document.getElementById("tie");
function setTied(value) {
  tied = value;
  if (button) button.setAttribute("aria-pressed", String(value));
  if (value) tie();
}

for (const one of document.querySelectorAll("[data-step]")) {
  one.addEventListener("click", () => steps[one.dataset.step]());
}
if (button) button.addEventListener("click", () => { setTied(!tied); keep(); });
const arrows = { left: [-1, 0], right: [1, 0], up: [0, -1], down: [0, 1] };
for (const [name, [x, y]] of Object.entries(arrows)) {
  document.addEventListener(`key:${name}`, (event) => {
    event.preventDefault();
    if (sides.length) pan(x, y);
  });
}

for (const [k, view] of given.sides.entries()) {
  if (!view) continue;
  const name = "ab"[k];
  const before = [...document.getElementById(`look-${name}`).childNodes];
  const side = new Side(view, given.numbers[k], given.labels[k], name);
  side.before = before;
  sides.push(side);
}
Promise.all(sides.map((one) => one.opened)).then(() => {
  if (!sides.length) return;
  document.getElementById("steps").hidden = false;
  if (!restore()) steps.eye();
  document.body.dataset.ready = "yes";
});
