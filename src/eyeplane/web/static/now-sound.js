// Tones and the spoken sentence, for frames that landed just now. Both are off until wanted; a
// browser lets a page sound only after somebody has touched it.

const FRESH_S = 8; // an older frame makes no sound: it was missed, not taken
const APART_MS = 900; // between two tones
const LOUD = 0.06; // of full scale: a hint beside a sitter, not a signal

// Two short rising tones for a frame that holds, one long low one for a soft frame: told apart by
// number, length and height, so also by who hears only one of them.
const TONES = {
  holds: [[0, 0.09, 660], [0.14, 0.12, 880]],
  soft: [[0, 0.34, 247]],
};

const page = document.getElementById("now");
const words = JSON.parse(document.getElementById("words").textContent);
const note = document.getElementById("now-gesture");
const wanted = {
  sound: document.getElementById("act-sound")?.getAttribute("aria-pressed") === "true" || page.dataset.sound === "on",
  speech: document.getElementById("act-speech")?.getAttribute("aria-pressed") === "true" || page.dataset.speech === "on",
};
let context = null;
let sounded = -Infinity;

// Before anybody touched the page no sound is made ready: the browser would only refuse it.
function touched() {
  return navigator.userActivation ? navigator.userActivation.hasBeenActive : true;
}

async function ready() {
  page.dataset.sounding = wanted.sound || wanted.speech ? "1" : "";
  if (wanted.sound && touched()) {
    context = context || new AudioContext();
    if (context.state !== "running") await context.resume().catch(() => {});
  }
  const mute = wanted.speech && !("speechSynthesis" in window);
  const waits = wanted.sound && (!context || context.state !== "running");
  const text = waits ? words.gesture : mute ? words.no_speech : "";
  if (note.textContent !== text) note.textContent = text;
}

function sound(name) {
  if (!context || context.state !== "running" || performance.now() - sounded < APART_MS) return;
  sounded = performance.now();
  for (const [start, length, height] of TONES[name]) {
    const from = context.currentTime + 0.02 + start;
    const tone = context.createOscillator();
    const level = context.createGain();
    tone.frequency.value = height;
    level.gain.setValueAtTime(0, from);
    level.gain.linearRampToValueAtTime(LOUD, from + 0.015);
    level.gain.setValueAtTime(LOUD, from + length - 0.03);
    level.gain.linearRampToValueAtTime(0, from + length);
    tone.connect(level).connect(context.destination);
    tone.start(from);
    tone.stop(from + length);
  }
}

function speak(sentence, after = false) {
  if (!sentence || !("speechSynthesis" in window)) return;
  if (window.speechSynthesis.speaking && !after) return;
  const spoken = new SpeechSynthesisUtterance(sentence);
  spoken.lang = document.documentElement.lang;
  window.speechSynthesis.speak(spoken);
}

document.addEventListener("now:frame", (event) => {
  const { holds, sentence, said, age_s: age } = event.detail;
  if (!(age < FRESH_S)) return;
  if (wanted.sound && holds !== null) sound(holds ? "holds" : "soft");
  if (wanted.speech) speak(sentence || said);
});
document.addEventListener("now:warned", (event) => {
  if (wanted.speech) speak(event.detail, true); // it is told once, so it waits its turn
});
document.addEventListener("now:wanted", async (event) => {
  const { name, on } = event.detail;
  wanted[name] = on;
  if (!wanted.speech && "speechSynthesis" in window) window.speechSynthesis.cancel();
  await ready();
  if (on && name === "sound") sound("holds"); // what it is like
  if (on && name === "speech") speak(words.speaks);
});
for (const name of ["pointerup", "keydown"]) {
  document.addEventListener(name, () => {
    if (wanted.sound && (!context || context.state !== "running")) ready();
  });
}
ready();
