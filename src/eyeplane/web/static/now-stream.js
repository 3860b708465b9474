// The stream of events: opened, watched and opened anew, so that every frame is told once and in
// order, whatever sleeps, breaks or restarts between. Others on this page hear of it as events of
// the document: now:frame, now:state, now:anew, now:connection.

const QUIET_MS = 12500; // the site gives a sign of life every 5 s
const OLD_MS = 3000; // after so long without a sign a page that wakes asks anew
const HIDDEN_MS = 5000; // a page that nobody sees gives its line back after so long
const FIRST_MS = 300;
const LONGEST_MS = 5000;

const page = document.getElementById("now");
let last = Number(page.dataset.last);
let revision = page.dataset.revision;
let source = null;
let heard = Date.now();
let up = true;
let pause = FIRST_MS;
let again = 0;
let hide = 0;
let fastest = Infinity; // least difference of this clock and the site's, ms: that of a free line

function tell(name, detail) {
  document.dispatchEvent(new CustomEvent(`now:${name}`, { detail }));
}

function sign(data) {
  heard = Date.now();
  pause = FIRST_MS;
  if (data.sent_s) fastest = Math.min(fastest, heard - 1000 * data.sent_s);
  if (!up) {
    up = true;
    tell("connection", { up });
  }
}

// How long ago a frame landed, by the site's clock, with the time that its news was held up.
function age(data) {
  if (data.age_s === null) return Infinity;
  return data.age_s + (Date.now() - 1000 * data.sent_s - fastest) / 1000;
}

function close() {
  clearTimeout(again);
  if (source) source.close();
  source = null;
}

function lost() {
  close();
  if (up) {
    up = false;
    tell("connection", { up, since: heard });
  }
  again = setTimeout(open, pause);
  pause = Math.min(2 * pause, LONGEST_MS);
}

function open() {
  close();
  const mine = new EventSource(
    `/now/events?sitting=${encodeURIComponent(page.dataset.sitting)}&after=${last}&revision=${revision}`,
  );
  source = mine;
  const on = (name, done) =>
    mine.addEventListener(name, (event) => {
      if (mine !== source) return;
      const data = JSON.parse(event.data);
      sign(data);
      done(data, Number(event.lastEventId));
    });
  on("beat", () => {});
  on("state", (data) => {
    revision = data.revision;
    tell("state");
  });
  on("anew", () => tell("anew"));
  on("frame", (data, number) => {
    if (!(number > last)) return;
    last = number;
    tell("frame", { ...data, number, age_s: age(data) });
  });
  mine.onerror = () => {
    if (mine === source) lost();
  };
}

function wake() {
  clearTimeout(hide);
  if (!source || Date.now() - heard > OLD_MS) {
    pause = FIRST_MS;
    open();
  }
}

setInterval(() => {
  if (source && Date.now() - heard > QUIET_MS) lost();
}, 1000);
window.addEventListener("online", () => {
  pause = FIRST_MS;
  open();
});
window.addEventListener("offline", () => {
  open(); // on the machine that serves, the line is still there; elsewhere this fails at once
});
window.addEventListener("pageshow", wake);
window.addEventListener("pagehide", close);
document.addEventListener("resume", wake);
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") wake();
  else if (!page.dataset.sounding) hide = setTimeout(close, HIDDEN_MS);
});
